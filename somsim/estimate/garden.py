"""What a garden's own weighed cuts say about its coming ones: between this garden and all others."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike


@dataclass(frozen=True)
class Coming:
    """How much a coming cut will be, as a factor on what is published: its median, and the spread of its logarithm."""

    factor: float
    log_sd: float


def coming_cut(
    weighed: ArrayLike, expected: ArrayLike, weighing_error: ArrayLike, *, published_sd: float, shared: float
) -> Coming:
    """The factor on a published mass for the next cut in a garden whose cuts were weighed.

    The logarithm of weighed over expected is this garden's own level plus the luck of each year plus the error of
    weighing, all normal with known spread: the conjugate case of any text on Bayesian statistics (e.g. Gelman et al.,
    Bayesian Data Analysis, chapter 5; from memory).  With nothing weighed the published mass and spread come back;
    with many years the garden's own mean, and only the luck of the year remains.

    Parameters
    ----------
    weighed, expected : array_like (cut,), any one unit of mass per area, above 0
    weighing_error : array_like (cut,), standard deviation of the logarithm of what was weighed
    published_sd : float, standard deviation of the logarithm of the published mass, over gardens and years together
    shared : float, 0 to 1, share of that variance that a garden keeps from year to year

    Returns
    -------
    Coming

    Raises
    ------
    ValueError
        for a mass that is not above 0, or a share outside 0 to 1.

    Examples
    --------
    >>> found = coming_cut([5.0, 5.0], [4.0, 4.0], [0.0, 0.0], published_sd=0.3, shared=0.5)
    >>> round(found.factor, 3), round(found.log_sd, 3)
    (1.16, 0.245)
    """
    masses, hoped = np.asarray(weighed, dtype=float), np.asarray(expected, dtype=float)
    if np.any(masses <= 0.0) or np.any(hoped <= 0.0):
        raise ValueError("weighed and expected: above 0")
    if not 0.0 <= shared <= 1.0:
        raise ValueError("shared: from 0 to 1")
    between, within = shared * published_sd**2, (1.0 - shared) * published_sd**2
    if between == 0.0:
        return Coming(1.0, published_sd)
    each = within + np.asarray(weighing_error, dtype=float) ** 2
    if np.any(each == 0.0):
        each = np.maximum(each, 1e-12)
    precision = 1.0 / between + float(np.sum(1.0 / each))
    level = float(np.sum(np.log(masses / hoped) / each)) / precision
    return Coming(float(np.exp(level)), float(np.sqrt(1.0 / precision + within)))
