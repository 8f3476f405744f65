"""Water the air asks for: potential evapotranspiration from temperature alone, or with daily extremes."""

import numpy as np
from numpy.typing import ArrayLike, NDArray

from somsim.climate.sun import MONTH_DAYS, day_length, month_middles


def yearly_heat_index(temperature: ArrayLike) -> NDArray[np.float64]:
    """Sum over the months of (T/5)^1.514, frozen months counting nothing: Thornthwaite (1948).

    Parameters
    ----------
    temperature : array_like (deg C), shape (..., 12), monthly means

    Returns
    -------
    ndarray (index, 0 or more), shape (...)

    Raises
    ------
    ValueError : the last axis is not twelve months

    Examples
    --------
    >>> round(float(yearly_heat_index([10.0] * 12)), 2)
    34.27
    """
    return np.asarray(np.sum((np.maximum(_twelve(temperature), 0.0) / 5.0) ** 1.514, axis=-1))


def thornthwaite_standard(temperature: ArrayLike, heat_index: ArrayLike) -> NDArray[np.float64]:
    """Evaporation of a month of thirty days of twelve hours.

    16 (10 T / I)^a with a = 6.75e-7 I3 - 7.71e-5 I2 + 1.792e-2 I + 0.49239: Thornthwaite (1948), Geogr. Rev.
    38:55-94. Above 26.5 deg C -415.85 + 32.24 T - 0.43 T2: Willmott, Rowe & Mintz (1985), J. Climatol. 5:589
    (remembered). The two branches differ by about 2 mm where they meet. That parabola turns down beyond
    37.5 deg C; it is held level there (judged), since hotter air does not ask for less.

    Parameters
    ----------
    temperature : array_like (deg C)
    heat_index : array_like (index), from `yearly_heat_index`, broadcastable against ``temperature``

    Returns
    -------
    ndarray (mm a standard month, 0 or more), the broadcast shape

    Examples
    --------
    >>> round(float(thornthwaite_standard(26.5, 100.0)), 1)
    135.0
    """
    warm = np.maximum(np.asarray(temperature, dtype=np.float64), 0.0)
    index = np.asarray(heat_index, dtype=np.float64)
    power = 6.75e-7 * index**3 - 7.71e-5 * index**2 + 1.792e-2 * index + 0.49239
    # An index of 0 is a year without a thaw: nothing evaporates, and there is nothing to divide by.
    relative = np.where(index > 0.0, 10.0 * warm / np.where(index > 0.0, index, 1.0), 0.0)
    capped = np.minimum(warm, 32.24 / (2.0 * 0.43))
    hot = -415.85 + 32.24 * capped - 0.43 * capped**2
    return np.asarray(np.where(warm > 26.5, hot, 16.0 * relative**power))


def thornthwaite(
    temperature: ArrayLike, latitude: ArrayLike, *, heat_index: ArrayLike | None = None
) -> NDArray[np.float64]:
    """Potential evapotranspiration of each month from its mean temperature and day length.

    Thornthwaite (1948), Geogr. Rev. 38:55-94: the standard month times (day length / 12 h) (days / 30), with
    the day length of the month's middle. Frozen months: 0.

    Parameters
    ----------
    temperature : array_like (deg C), shape (..., 12), January first
    latitude : array_like (degrees, south negative), broadcastable to (...): (place, 1) for (place, year, 12)
    heat_index : array_like (index), broadcastable to (...); default: of each year itself. For a series of
        years give the index of the mean year, so that one hot summer does not change the exponent.

    Returns
    -------
    ndarray (mm a month, 0 or more), shape (..., 12)

    Raises
    ------
    ValueError : the last axis is not twelve months, or a latitude is outside -90 to 90

    Examples
    --------
    >>> [round(float(month)) for month in thornthwaite([10.0] * 12, 0.0)[:3]]
    [51, 46, 51]
    """
    months = _twelve(temperature)
    index = yearly_heat_index(months) if heat_index is None else np.asarray(heat_index, dtype=np.float64)
    hours = day_length(np.asarray(latitude, dtype=np.float64)[..., np.newaxis], month_middles())
    length = np.array(MONTH_DAYS) / 30.0
    return np.asarray(thornthwaite_standard(months, index[..., np.newaxis]) * hours / 12.0 * length)


def hargreaves(
    mean: ArrayLike, highest: ArrayLike, lowest: ArrayLike, radiation_mm: ArrayLike
) -> NDArray[np.float64]:
    """Reference evapotranspiration of a day from its temperature extremes.

    0.0023 (T + 17.8) (Tmax - Tmin)^0.5 Ra: Allen et al. (1998), FAO-56, eq. 52. Below -17.8 deg C: 0.

    Parameters
    ----------
    mean : array_like (deg C)
    highest, lowest : array_like (deg C), the day's (or the period's mean daily) extremes
    radiation_mm : array_like (mm/d), extraterrestrial radiation as a depth of water

    Returns
    -------
    ndarray (mm/d, 0 or more), the broadcast shape

    Raises
    ------
    ValueError : a highest temperature below the lowest

    Examples
    --------
    >>> round(float(hargreaves(20.7, 26.6, 14.8, 16.5463)), 1)
    5.0
    """
    span = np.asarray(highest, dtype=np.float64) - np.asarray(lowest, dtype=np.float64)
    if np.any(span < 0.0):
        raise ValueError("the highest temperature of a day must not be below its lowest")
    above = np.maximum(np.asarray(mean, dtype=np.float64) + 17.8, 0.0)
    return np.asarray(0.0023 * above * np.sqrt(span) * np.asarray(radiation_mm, dtype=np.float64))


def _twelve(temperature: ArrayLike) -> NDArray[np.float64]:
    """Monthly values as an array whose last axis is the twelve months; anything else is refused."""
    months = np.asarray(temperature, dtype=np.float64)
    if months.ndim == 0 or months.shape[-1] != 12:
        raise ValueError(f"the last axis must be twelve months; the shape is {months.shape}")
    return months
