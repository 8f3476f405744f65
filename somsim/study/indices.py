"""Which unknowns decide a figure: Sobol' indices over independent scores, on a design of their own.

The indices are scipy's (`scipy.stats.sobol_indices`, estimators of Saltelli and others 2010, Comput. Phys. Commun.
181:259).  Here are the design, the screening that comes before it (Campolongo, Saltelli & Cariboni 2011, Comput. Phys.
Commun. 182:978: total indices from few points of a radial design find what matters), and the grouping of the rest.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Scores = Mapping[str, Array]
Function = Callable[[Scores], Array]
SCREENED_WITH = 64  # points that find what matters
RESAMPLED = 200
INTERVAL = (0.1, 0.9)


@dataclass(frozen=True)
class Indices:
    """Sobol' indices (group, figure) of groups of scores, with P10 and P90 of resampling (2, group, figure).

    ``first``: share of a figure's variance that goes when the group alone is known.  ``total``: the share that stays
    when all but the group are known.  Both are 0 for a figure that does not vary.
    """

    groups: tuple[tuple[str, ...], ...]
    first: Array
    total: Array
    first_range: Array
    total_range: Array


def sobol(function: Function, groups: Sequence[Sequence[str]], points: int, seed: int) -> Indices:
    """Sobol' indices of groups of independent standard normal scores.

    Parameters
    ----------
    function : scores (point,) by name to figures (figure, point)
    groups : the scores, each in one group; a group counts as one input
    points : int, a power of two; the function is evaluated at points x (groups + 2) of them
    seed : int

    Raises
    ------
    ValueError
        when ``points`` is no power of two.
    """
    from scipy.stats import sobol_indices

    names = [name for group in groups for name in group]
    first, second = _design(names, points, seed)
    swapped = [{**first, **{name: second[name] for name in group}} for group in groups]
    every = function({name: np.concatenate([one[name] for one in (first, second, *swapped)]) for name in names})
    parts = every.reshape(len(every), len(groups) + 2, points)  # figure, sample, point
    # A figure that is far from nought beside its spread loses digits in the estimators: they take it about its mean.
    parts = parts - parts.mean(axis=(1, 2), keepdims=True)
    parts = np.concatenate([parts, parts[:1]])  # scipy 1.17 fails on one input and one figure: it always gets two

    def indices(chosen: NDArray[np.int64]) -> Array:
        here = parts[:, :, chosen]
        found = sobol_indices(
            func={"f_A": here[:, 0], "f_B": here[:, 1], "f_AB": np.moveaxis(here[:, 2:], 1, 0)}, n=points
        )
        shape = (len(parts), len(groups))
        orders = [np.reshape(order, shape)[:-1] for order in (found.first_order, found.total_order)]
        return np.stack(orders)

    made = indices(np.arange(points))
    random = np.random.default_rng(seed)
    again = np.stack([indices(random.integers(0, points, points)) for _ in range(RESAMPLED)])
    low, high = np.quantile(again, INTERVAL, axis=0)
    first_order, total_order = (part.T for part in made)
    ranges = np.stack([low, high])
    return Indices(
        tuple(tuple(group) for group in groups),
        first_order,
        total_order,
        np.swapaxes(ranges[:, 0], 1, 2),
        np.swapaxes(ranges[:, 1], 1, 2),
    )


def _design(names: Sequence[str], points: int, seed: int) -> tuple[dict[str, Array], dict[str, Array]]:
    """Two independent samples of all scores, from one scrambled Sobol' sequence twice as wide (Saltelli 2002)."""
    from scipy.special import ndtri
    from scipy.stats import qmc

    exponent = points.bit_length() - 1
    if points != 1 << exponent:
        raise ValueError(f"points: {points} is no power of two")
    uniform = qmc.Sobol(d=2 * len(names), scramble=True, rng=seed).random_base2(exponent)
    scores = ndtri(np.clip(uniform, 1e-12, 1.0 - 1e-12)).T
    return (
        dict(zip(names, scores[: len(names)], strict=True)),
        dict(zip(names, scores[len(names) :], strict=True)),
    )


def that_matter(function: Function, names: Sequence[str], seed: int, *, least: float, most: int) -> tuple[str, ...]:
    """The scores with a total index of at least ``least`` for some figure: the ``most`` greatest, greatest first."""
    screened = sobol(function, [(name,) for name in names], SCREENED_WITH, seed)
    greatest = screened.total.max(axis=1)
    order = sorted(range(len(names)), key=lambda number: (-greatest[number], names[number]))
    return tuple(names[number] for number in order[:most] if greatest[number] >= least)
