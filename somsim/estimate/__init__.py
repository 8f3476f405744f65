"""From what a grower can see to carbon: a sample, roots, a layer, a heap, land.

Numbers and arrays in, numbers and small frozen types out, in kg, m, m2, m3 and shares of 0-1. Nothing about
any soil, crop or material is kept here: whoever calls gives those numbers.

The checks below are what every estimate refuses before it multiplies anything.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]


@dataclass(frozen=True)
class Share:
    """A share of 0-1 and how sure it is; no standard error where none can be told."""

    best: float
    standard_error: float | None

    @property
    def relative_variance(self) -> float:
        """Squared standard error over squared value; an unknown error counts as none."""
        return 0.0 if self.standard_error is None else (self.standard_error / self.best) ** 2


def finite(name: str, value: ArrayLike) -> FloatArray:
    """Return `value` as floats, or refuse what is not a number.

    Parameters
    ----------
    name : what the value is, in the words of the message
    value : array_like, any shape and unit

    Returns
    -------
    ndarray, the shape of `value`

    Raises
    ------
    ValueError
        If anything in it is not a finite number.

    Examples
    --------
    >>> float(finite("area", 2))
    2.0
    """
    array = np.asarray(value, dtype=np.float64)
    if not np.all(np.isfinite(array)):
        raise ValueError(f"{name} must be a number; {_first(array, ~np.isfinite(array)):g} is not one")
    return array


def positive(name: str, value: ArrayLike) -> FloatArray:
    """Return `value` as floats, or refuse anything of zero or below.

    Parameters
    ----------
    name : what the value is, in the words of the message
    value : array_like, any shape and unit

    Returns
    -------
    ndarray, the shape of `value`

    Raises
    ------
    ValueError
        If anything in it is not a finite number above 0.

    Examples
    --------
    >>> positive("area", -3)
    Traceback (most recent call last):
    ValueError: area must be above 0; -3 is not
    """
    array = finite(name, value)
    if not np.all(array > 0):
        raise ValueError(f"{name} must be above 0; {_first(array, array <= 0):g} is not")
    return array


def not_negative(name: str, value: ArrayLike) -> FloatArray:
    """Return `value` as floats, or refuse anything below zero.

    Parameters
    ----------
    name : what the value is, in the words of the message
    value : array_like, any shape and unit

    Returns
    -------
    ndarray, the shape of `value`

    Raises
    ------
    ValueError
        If anything in it is not a finite number of 0 or more.

    Examples
    --------
    >>> float(not_negative("mass", 0))
    0.0
    """
    array = finite(name, value)
    if not np.all(array >= 0):
        raise ValueError(f"{name} cannot be negative; {_first(array, array < 0):g} is")
    return array


def share(name: str, value: ArrayLike) -> FloatArray:
    """Return `value` as floats, or refuse what cannot be a share of a whole.

    Parameters
    ----------
    name : what the value is, in the words of the message
    value : array_like, shares of 0-1

    Returns
    -------
    ndarray, the shape of `value`

    Raises
    ------
    ValueError
        If anything in it is below 0 or above 1.

    Examples
    --------
    >>> share("dry matter", 17)
    Traceback (most recent call last):
    ValueError: dry matter is a share of 0 to 1; 17 is not
    """
    array = finite(name, value)
    wrong = (array < 0) | (array > 1)
    if np.any(wrong):
        raise ValueError(f"{name} is a share of 0 to 1; {_first(array, wrong):g} is not")
    return array


def share_from_range(best: float, low: float, high: float) -> Share:
    """A share with the standard error of a triangle over its range.

    The range is read as bounds with the best value most likely: a triangular distribution, JCGM 100:2008
    section 4.3.9 (from memory); the asymmetric form is the variance of the triangle itself.

    Parameters
    ----------
    best, low, high : shares of 0-1, low <= best <= high, best above 0

    Returns
    -------
    Share

    Raises
    ------
    ValueError
        If a value is no share, best is 0, or the three are out of order.

    Examples
    --------
    >>> round(share_from_range(0.17, 0.14, 0.20).standard_error, 5)
    0.01225
    """
    for name, value in (("low", low), ("best", best), ("high", high)):
        share(f"the {name} value", value)
    positive("the best value", best)
    if not low <= best <= high:
        raise ValueError(f"low, best and high come in that order; {low:g}, {best:g}, {high:g} do not")
    variance = (low**2 + best**2 + high**2 - low * best - low * high - best * high) / 18
    return Share(best, math.sqrt(max(variance, 0.0)))


def _first(array: FloatArray, wrong: NDArray[np.bool_]) -> float:
    return float(array[wrong].flat[0])
