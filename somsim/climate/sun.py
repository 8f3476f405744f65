"""Where the sun stands, how long the day is and what reaches the top of the air, by latitude and day of year.

Latitudes are in degrees, north positive, south negative. Allen et al. (1998), Crop evapotranspiration, FAO
Irrigation and Drainage Paper 56, chapter 3.
"""

from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

MONTH_DAYS: Final = (31.0, 28.25, 31.0, 30.0, 31.0, 30.0, 31.0, 31.0, 30.0, 31.0, 30.0, 31.0)
"""Days in each month of the mean year of 365.25 days, January first."""


def month_middles() -> NDArray[np.float64]:
    """Day of the year on which each month is half over, January first.

    Returns
    -------
    ndarray (day of year), shape (12,)

    Examples
    --------
    >>> [round(float(day), 2) for day in month_middles()[:3]]
    [15.5, 45.12, 74.75]
    """
    days = np.array(MONTH_DAYS)
    return np.asarray(np.cumsum(days) - days / 2.0)


def declination(day: ArrayLike) -> NDArray[np.float64]:
    """Angle of the sun above the plane of the equator: FAO-56, eq. 24.

    Parameters
    ----------
    day : array_like (day of year), 1 on 1 January

    Returns
    -------
    ndarray (radians), the shape of ``day``

    Examples
    --------
    >>> round(float(declination(246)), 3)
    0.12
    """
    turn = 2.0 * np.pi / 365.0 * np.asarray(day, dtype=np.float64)
    return np.asarray(0.409 * np.sin(turn - 1.39))


def sunset_hour_angle(latitude: ArrayLike, day: ArrayLike) -> NDArray[np.float64]:
    """Half the angle the sun travels above the horizon: FAO-56, eq. 25.

    Within the polar circles it ends at 0 (night all day) and pi (no night).

    Parameters
    ----------
    latitude : array_like (degrees), -90 to 90
    day : array_like (day of year)

    Returns
    -------
    ndarray (radians, 0 to pi), the broadcast shape

    Raises
    ------
    ValueError : a latitude outside -90 to 90

    Examples
    --------
    >>> round(float(sunset_hour_angle(-20.0, 246)), 3)
    1.527
    """
    degrees = np.asarray(latitude, dtype=np.float64)
    if not np.all(np.abs(degrees) <= 90.0):
        raise ValueError("latitude must be between -90 and 90 degrees")
    return np.asarray(np.arccos(np.clip(-np.tan(np.radians(degrees)) * np.tan(declination(day)), -1.0, 1.0)))


def day_length(latitude: ArrayLike, day: ArrayLike) -> NDArray[np.float64]:
    """Hours from sunrise to sunset: FAO-56, eq. 34.

    Parameters
    ----------
    latitude : array_like (degrees), -90 to 90
    day : array_like (day of year)

    Returns
    -------
    ndarray (h, 0 to 24), the broadcast shape

    Raises
    ------
    ValueError : a latitude outside -90 to 90

    Examples
    --------
    >>> round(float(day_length(-20.0, 246)), 1)
    11.7
    """
    return np.asarray(24.0 / np.pi * sunset_hour_angle(latitude, day))


def extraterrestrial_radiation(latitude: ArrayLike, day: ArrayLike) -> NDArray[np.float64]:
    """Sunlight on a level surface above the air: FAO-56, eq. 21, with the sun's distance by eq. 23.

    FAO-56 warns that the daily form is weak in the winter months beyond 55 degrees.

    Parameters
    ----------
    latitude : array_like (degrees), -90 to 90
    day : array_like (day of year)

    Returns
    -------
    ndarray (MJ/m2/d, 0 or more), the broadcast shape

    Raises
    ------
    ValueError : a latitude outside -90 to 90

    Examples
    --------
    >>> round(float(extraterrestrial_radiation(-20.0, 246)), 1)
    32.2
    """
    angle = sunset_hour_angle(latitude, day)
    north = np.radians(np.asarray(latitude, dtype=np.float64))
    tilt = declination(day)
    nearness = 1.0 + 0.033 * np.cos(2.0 * np.pi / 365.0 * np.asarray(day, dtype=np.float64))
    height = angle * np.sin(north) * np.sin(tilt) + np.cos(north) * np.cos(tilt) * np.sin(angle)
    solar_constant = 0.0820  # MJ/m2/min, FAO-56 eq. 21
    # Rounding leaves a hair below 0 in the polar night.
    return np.asarray(np.maximum(24.0 * 60.0 / np.pi * solar_constant * nearness * height, 0.0))


def radiation_as_water(radiation: ArrayLike) -> NDArray[np.float64]:
    """Depth of water that a day's radiation could evaporate: FAO-56, eq. 20, 0.408 mm a MJ/m2.

    Parameters
    ----------
    radiation : array_like (MJ/m2/d)

    Returns
    -------
    ndarray (mm/d), the shape of ``radiation``

    Examples
    --------
    >>> round(float(radiation_as_water(32.2)), 1)
    13.1
    """
    return np.asarray(0.408 * np.asarray(radiation, dtype=np.float64))
