"""What a soil test can say: its error, equal soil mass, and the smallest difference that tests can see."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from somsim.estimate import FloatArray

Z_TWO_SIDED = 1.959963984540054  # standard score that 5 % of chance lies beyond, on both sides together
Z_POWER = 0.8416212335729143  # standard score below which 80 % lies


def result_error(
    cores: ArrayLike, *, between_cores: ArrayLike, laboratory: ArrayLike, tests: ArrayLike = 1
) -> FloatArray:
    """Standard deviation of a soil test's result, as a share of the result.

    Cores pooled to samples average their variation; each sample brings its laboratory error:
    variance = between_cores^2 / cores + laboratory^2 / tests, the usual sum of independent errors (common practice,
    no source).

    Parameters
    ----------
    cores : array_like, cores in all
    between_cores : array_like, coefficient of variation between single cores
    laboratory : array_like, coefficient of variation of a laboratory result
    tests : array_like, how many pooled samples went to the laboratory

    Examples
    --------
    >>> round(float(result_error(16, between_cores=0.12, laboratory=0.03)), 4)
    0.0424
    """
    variance = np.square(between_cores) / np.asarray(cores) + np.square(laboratory) / np.asarray(tests)
    return np.asarray(np.sqrt(variance))


def equal_mass_stock(
    share: ArrayLike, *, layer_mass: ArrayLike, reference_mass: ArrayLike, share_below: ArrayLike
) -> FloatArray:
    """Carbon in a reference mass of soil, when a layer of another mass was sampled.

    stock = share * layer mass + share below * (reference mass - layer mass): Ellert & Bettany (1995), Can. J. Soil
    Sci. 75:529 (formula from memory).  A loosened layer is lighter than the reference, so that some of the soil below
    belongs to it; for a heavier one the difference is taken off at the same share.

    Parameters
    ----------
    share, share_below : array_like, carbon in the dry soil of the layer, and of the soil just below it
    layer_mass, reference_mass : array_like (kg/m2), dry soil sampled, and to be compared at

    Returns
    -------
    ndarray (kg C/m2)

    Examples
    --------
    >>> float(equal_mass_stock(0.019, layer_mass=250.0, reference_mass=280.0, share_below=0.010))  # 50.5 t/ha
    5.05
    """
    sampled = np.asarray(share) * np.asarray(layer_mass)
    return np.asarray(sampled + np.asarray(share_below) * (np.asarray(reference_mass) - np.asarray(layer_mass)))


def added_thickness(layer_mass: float, reference_mass: float, density_below: float) -> float:
    """How much deeper the reference mass reaches than the sampled layer, m: Ellert & Bettany (1995).

    Examples
    --------
    >>> round(added_thickness(250.0, 280.0, 1450.0), 4)
    0.0207
    """
    return (reference_mass - layer_mass) / density_below


def log_likelihood(found: float, expected: ArrayLike, error: ArrayLike) -> FloatArray:
    """Logarithm of the density of a result, for each expected value; normal, with an error in proportion to it.

    Examples
    --------
    >>> [round(float(one), 3) for one in log_likelihood(0.02, [0.02, 0.022], 0.05)]
    [5.989, 4.241]
    """
    middle = np.asarray(expected, dtype=float)
    sd = np.asarray(error) * middle
    return np.asarray(-0.5 * np.square((found - middle) / sd) - np.log(sd) - 0.5 * math.log(2.0 * math.pi))


def effective_size(weights: ArrayLike) -> float:
    """How many equal draws weighted ones are worth: (sum w)^2 / sum w^2, Kong, Liu & Wong (1994), JASA 89:278.

    Examples
    --------
    >>> effective_size([1.0, 1.0, 0.0, 0.0])
    2.0
    """
    given = np.asarray(weights, dtype=float)
    return float(given.sum() ** 2 / np.square(given).sum())


def resampled(weights: ArrayLike, count: int, start: float = 0.5) -> NDArray[np.intp]:
    """Which draws to keep so that each is as frequent as its weight says: systematic resampling, Kitagawa (1996).

    J. Comput. Graph. Stat. 5:1.  ``start`` (0 to 1) is where the evenly spaced points begin.

    Examples
    --------
    >>> resampled([0.5, 0.25, 0.25], 4).tolist()
    [0, 0, 1, 2]
    """
    given = np.asarray(weights, dtype=float)
    upto = np.cumsum(given / given.sum())
    upto[-1] = 1.0
    points = (np.arange(count) + start) / count
    return np.searchsorted(upto, points, side="left")


def smallest_difference(level: ArrayLike, error: ArrayLike) -> FloatArray:
    """The smallest true difference between two levels that tests of this error find in 8 of 10 cases.

    (1.96 + 0.84) * sqrt(2) * error * level: the two-sided comparison of two means with known error at 5 % and a power
    of 80 % (any text on statistics; from memory).

    Parameters
    ----------
    level : array_like, what is tested, any unit
    error : array_like, standard deviation of one result as a share of it

    Examples
    --------
    >>> round(float(smallest_difference(2.6, 0.0424)), 2)
    0.44
    """
    return np.asarray((Z_TWO_SIDED + Z_POWER) * math.sqrt(2.0) * np.asarray(error) * np.asarray(level))
