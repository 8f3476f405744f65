"""From low, best and high to a distribution: one rule for every uncertain value."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

TAIL = 1.6448536269514722  # standard score of the 95 % point
FURTHEST = 3.0  # scores are cut here, so that no value is further out than about one in a thousand


def value_at(
    score: ArrayLike,
    low: float,
    best: float,
    high: float,
    *,
    lowest: float = -np.inf,
    highest: float = np.inf,
) -> NDArray[np.float64]:
    """The value at a standard normal score: ``best`` at 0, ``low`` and ``high`` at the 5 and 95 % points.

    Two halves meet at the best value, each a straight line in the score: of the logarithm where low is above 0
    (so that a value never turns negative and a factor of two up is as far as a factor of two down), else of the
    value itself.  A published range is taken as the middle 90 % (judged; documented in how-sure.md).

    Parameters
    ----------
    score : array_like, standard normal; cut at +-3
    low, best, high : float, any one unit, low <= best <= high
    lowest, highest : float, bounds that physics sets (a share is at most 1)

    Returns
    -------
    ndarray, shape of ``score``, unit of ``best``

    Raises
    ------
    ValueError
        when low, best and high are not in order.

    Examples
    --------
    >>> [round(float(value_at(z, 0.2, 0.4, 0.8)), 3) for z in (-TAIL, 0.0, TAIL)]
    [0.2, 0.4, 0.8]
    """
    if not low <= best <= high:
        raise ValueError(f"low {low}, best {best} and high {high} are not in order")
    steps = np.clip(np.asarray(score, dtype=float), -FURTHEST, FURTHEST) / TAIL
    if low > 0.0:
        down, up = np.log(best / low), np.log(high / best)
        values = best * np.exp(np.where(steps < 0.0, down, up) * steps)
    else:
        values = best + np.where(steps < 0.0, best - low, high - best) * steps
    return np.asarray(np.clip(values, lowest, highest))
