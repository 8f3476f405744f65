"""What a reading is worth before it is taken: how far it narrows a figure, and whether it would change the choice.

Each possible world says what the reading would be, with its error; a regression of the figures on the readings gives
what one would then expect (Strong, Oakley, Brennan & Breeze 2015, Med. Decis. Making 35:570; for readings without error
Strong, Oakley & Brennan 2014, 34:311).  So the worlds that a comparison has drawn anyway are enough.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
SAME = 1e-9  # a figure that varies less than this is one number


@dataclass(frozen=True)
class Choice:
    """Which row is chosen by its mean, and the regret of it: how much is lost on average for not knowing better.

    ``wrong`` is the chance that another row is better; ``regret`` in the unit of the levels.
    """

    chosen: int
    wrong: float
    regret: float


@dataclass(frozen=True)
class Worth:
    """What some readings are worth together.

    ``narrowed`` (figure,): by which share the spread (standard deviation) of each figure is expected to shrink;
    ``changes``: chance that another row is chosen afterwards; ``saved``: regret that is spared on average, in the unit
    of the levels (the expected value of sample information).
    """

    narrowed: Array
    changes: float
    saved: float


def choice(levels: Array, weights: Array | None = None) -> Choice:
    """The choice that is best on average, and what not knowing better costs (expected value of perfect information).

    Parameters
    ----------
    levels : (row, draw), more is better
    weights : (draw,), how far each draw is to be believed, or None

    Examples
    --------
    >>> choice(np.array([[3.0, 1.0], [1.0, 2.0]]))
    Choice(chosen=0, wrong=0.5, regret=0.5)
    """
    means = np.average(levels, axis=1, weights=weights)
    chosen = int(np.argmax(means))
    lost = levels.max(axis=0) - levels[chosen]
    return Choice(
        chosen,
        float(np.average(lost > SAME, weights=weights)),
        float(np.average(lost, weights=weights)),
    )


def worth(readings: Array, levels: Array, figures: Array, weights: Array | None = None) -> Worth:
    """What readings are worth for a choice between levels, and for the spread of figures.

    Parameters
    ----------
    readings : (reading, draw), what would be read in each draw, errors included; in any unit, only its order counts
    levels : (row, draw), more is better
    figures : (figure, draw)
    weights : (draw,) or None
    """
    above = levels - levels[choice(levels, weights).chosen]
    scores = [normal_scores(one, weights) for one in readings]
    expected = _expected(above, scores, weights)
    means = np.average(above, axis=1, weights=weights)
    best = expected.max(axis=0)
    return Worth(
        1.0 - np.sqrt(1.0 - _explained(figures, scores, weights)),
        float(np.average(best > expected[means.argmax()] + SAME, weights=weights)),
        max(float(np.average(best, weights=weights) - means.max()), 0.0),
    )


def normal_scores(values: Array, weights: Array | None = None) -> Array:
    """Standard normal scores of the ranks of values (draw,); equal values share one."""
    from scipy.special import ndtri
    from scipy.stats import rankdata

    if weights is None:
        return np.asarray(ndtri((rankdata(values) - 0.5) / len(values)))
    below = np.array([weights[values < one].sum() + 0.5 * weights[values == one].sum() for one in values])
    return np.asarray(ndtri(np.clip(below / weights.sum(), 1e-9, 1.0 - 1e-9)))


def _terms(scores: Sequence[Array]) -> Array:
    """Columns (term, draw) of the regression: Hermite polynomials of each score, and products of every two scores."""
    columns = [np.ones_like(scores[0])]
    for one in scores:
        columns += [one, one**2 - 1.0, one**3 - 3.0 * one]
    columns += [one * other for number, one in enumerate(scores) for other in scores[number + 1 :]]
    return np.stack(columns)


def _fitted(figures: Array, scores: Sequence[Array], weights: Array | None) -> tuple[Array, Array]:
    """Fitted values (figure, draw), and the share of each figure's variance that is truly explained (figure,).

    The share is adjusted for the number of terms (Ezekiel 1930), which would explain something of anything.  Sums over
    draws are plain loops (`einsum`), so that they come out alike on any number of threads.
    """
    terms = _terms(scores)
    weight = np.ones(terms.shape[1]) if weights is None else weights / weights.mean()
    squares = np.einsum("in,jn,n->ij", terms, terms, weight)
    products = np.einsum("in,fn,n->if", terms, figures, weight)
    found, *_ = np.linalg.lstsq(squares, products, rcond=None)
    fitted = np.einsum("in,if->fn", terms, found)
    means = np.average(figures, axis=1, weights=weights)[:, np.newaxis]
    whole = np.average((figures - means) ** 2, axis=1, weights=weights)
    left = np.average((figures - fitted) ** 2, axis=1, weights=weights)
    count = terms.shape[1] if weights is None else weights.sum() ** 2 / (weights**2).sum()
    freedom = max(count - terms.shape[0], 1.0)
    share = 1.0 - np.divide(left, whole, out=np.ones_like(left), where=whole > SAME**2) * (count - 1.0) / freedom
    return fitted, np.clip(share, 0.0, 1.0)


def _explained(figures: Array, scores: Sequence[Array], weights: Array | None) -> Array:
    return _fitted(figures, scores, weights)[1]


def _expected(figures: Array, scores: Sequence[Array], weights: Array | None) -> Array:
    """What one would expect of each figure after the readings (figure, draw), with the adjusted spread."""
    fitted, share = _fitted(figures, scores, weights)
    means = np.average(figures, axis=1, weights=weights)[:, np.newaxis]
    wide = np.average((figures - means) ** 2, axis=1, weights=weights)
    now = np.average((fitted - means) ** 2, axis=1, weights=weights)
    shrunk = np.sqrt(np.divide(share * wide, now, out=np.zeros_like(now), where=now > SAME**2))
    return np.asarray(means + (fitted - means) * np.minimum(shrunk, 1.0)[:, np.newaxis])
