"""How much nitrogen of what is put on the beds can be used, and when: one published line and simple ramps."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def first_weeks(
    dry: ArrayLike,
    nitrogen: ArrayLike,
    *,
    slope: ArrayLike,
    nothing_at: ArrayLike,
    level_from: ArrayLike,
    most_tied: ArrayLike,
    contact: ArrayLike = 1.0,
) -> Array:
    """Nitrogen that plants put on or into the soil release in the first weeks; below nought it is tied up.

    Sullivan & Andrews (2012), PNW 636: nothing at 1.5 % nitrogen, 35 lb a short ton of dry matter at 3.5 %, a line
    between, and late cereals tie up 50 lb an acre at the most.  Plants richer than 3.5 % are taken as 3.5 %.

    Parameters
    ----------
    dry : array_like (kg/m2), dry matter of the plants
    nitrogen : array_like, share of the dry matter
    slope : array_like, kg of nitrogen for each kg of dry matter and each unit of its share of nitrogen
    nothing_at, level_from : array_like, shares of nitrogen between which the line runs
    most_tied : array_like (kg/m2), the least it can be: nought or less
    contact : array_like, 1 when dug in; less on the surface

    Returns
    -------
    ndarray (kg/m2)

    Examples
    --------
    >>> line = dict(slope=0.875, nothing_at=0.015, level_from=0.035, most_tied=-0.0056)
    >>> round(float(first_weeks(1.0, 0.035, **line)), 4)
    0.0175
    >>> round(float(first_weeks(0.8, 0.005, **line)), 4)
    -0.0056
    """
    rich = np.minimum(np.asarray(nitrogen, dtype=float), level_from)
    released = np.asarray(slope) * (rich - np.asarray(nothing_at)) * np.asarray(dry)
    return np.asarray(np.maximum(released, most_tied) * np.asarray(contact))


def reached(since: ArrayLike, length: ArrayLike, delay: ArrayLike = 0.0) -> Array:
    """Share of a steady release that is over some years after it was put down: from 0 to 1.

    ``since`` (yr) may be before it: then nothing.  ``length`` and ``delay`` (yr) are how long the release takes and
    how long it waits.

    >>> reached([-0.5, 0.0, 0.25, 1.0], 0.5).tolist()
    [0.0, 0.0, 0.5, 1.0]
    """
    gone = (np.asarray(since, dtype=float) - np.asarray(delay)) / np.asarray(length)
    return np.asarray(np.clip(gone, 0.0, 1.0))


def from_humus(carbon: ArrayLike, carbon_nitrogen: ArrayLike) -> Array:
    """Nitrogen (kg/m2) set free with carbon (kg C/m2) that humus loses, at the C:N of humus.

    A soil of 19.5 t C/ha that loses 2 % of it a year, at C:N 10 (worked on in advice to growers in Australia):

    >>> round(float(from_humus(1.95 * 0.02, 10.0)) * 1e4, 9)
    39.0
    """
    return np.asarray(np.asarray(carbon, dtype=float) / np.asarray(carbon_nitrogen))


def fixed_by_legumes(nitrogen: ArrayLike, fixed_share: ArrayLike, legume_share: ArrayLike = 1.0) -> Array:
    """Nitrogen (kg/m2) of the tops of a cover that legumes took from the air.

    ``nitrogen`` is all of it, ``legume_share`` the legumes' part of it, ``fixed_share`` the part of theirs that is
    not from the soil.

    >>> round(float(fixed_by_legumes(0.010, 0.75, 0.5)), 5)
    0.00375
    """
    return np.asarray(np.asarray(nitrogen, dtype=float) * np.asarray(fixed_share) * np.asarray(legume_share))
