"""The climate factor: how much faster residue and humus decay here than where the rates were fitted."""

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from somsim.climate.water import supply_ratio, water_factor

Response = Callable[[NDArray[np.float64]], NDArray[np.float64]]
"""A temperature response: deg C in, speed out. `temperature.RESPONSES` holds the published ones."""


def soil_temperature(air: ArrayLike, uplift: ArrayLike) -> NDArray[np.float64]:
    """Soil temperature as the air's plus what a shelter adds; 0 uplift in open ground.

    Parameters
    ----------
    air : array_like (deg C)
    uplift : array_like (K), broadcastable against ``air``

    Returns
    -------
    ndarray (deg C), the broadcast shape

    Examples
    --------
    >>> float(soil_temperature(10.0, 3.0))
    13.0
    """
    return np.asarray(np.asarray(air, dtype=np.float64) + np.asarray(uplift, dtype=np.float64))


def with_warming(temperature: ArrayLike, per_year: ArrayLike) -> NDArray[np.float64]:
    """A monthly series with a steady trend added, from the start of its first year on.

    Each month is warmed by the time from that start to its middle; months count as twelfths of a year.

    Parameters
    ----------
    temperature : array_like (deg C), shape (..., year, 12)
    per_year : array_like (K/yr), shape (...) or a single number

    Returns
    -------
    ndarray (deg C), shape (..., year, 12)

    Raises
    ------
    ValueError : the last two axes are not (year, 12)

    Examples
    --------
    >>> [round(float(month), 4) for month in with_warming([[10.0] * 12] * 2, 0.024)[:, 0]]
    [10.001, 10.025]
    """
    series = np.asarray(temperature, dtype=np.float64)
    if series.ndim < 2 or series.shape[-1] != 12:
        raise ValueError(f"the last two axes must be (year, 12); the shape is {series.shape}")
    years = np.arange(series.shape[-2])[:, np.newaxis] + (np.arange(12) + 0.5) / 12.0
    trend = np.asarray(per_year, dtype=np.float64)[..., np.newaxis, np.newaxis]
    return np.asarray(series + trend * years)


def ratio_products(temperature: ArrayLike, ratio: ArrayLike, *, response: Response) -> NDArray[np.float64]:
    """Temperature response times water factor, month by month, from a supply ratio already known.

    For months that are watered: the ratio then comes from `water.watered_ratio`.

    Parameters
    ----------
    temperature : array_like (deg C), of the soil
    ratio : array_like (ratio, 0 to 1.25)
    response : the temperature response; the same for site and reference

    Returns
    -------
    ndarray (ratio), the broadcast shape

    Examples
    --------
    >>> from somsim.climate.temperature import q10
    >>> round(float(ratio_products(20.0, 1.0, response=q10)), 4)
    3.9078
    """
    return np.asarray(response(np.asarray(temperature, dtype=np.float64)) * water_factor(ratio))


def month_products(
    temperature: ArrayLike, supply: ArrayLike, demand: ArrayLike, *, response: Response
) -> NDArray[np.float64]:
    """Temperature response times water factor, month by month, from water in mm.

    Parameters
    ----------
    temperature : array_like (deg C), of the soil
    supply, demand : array_like (mm a month), rain with irrigation, and potential evapotranspiration
    response : the temperature response; the same for site and reference

    Returns
    -------
    ndarray (ratio), the broadcast shape

    Raises
    ------
    ValueError : a supply or demand is negative or not a finite number

    Examples
    --------
    >>> from somsim.climate.temperature import q10
    >>> round(float(month_products(20.0, 60.0, 60.0, response=q10)), 4)
    3.9078
    """
    return ratio_products(temperature, supply_ratio(supply, demand), response=response)


def climate_factor(site_products: ArrayLike, reference_products: ArrayLike) -> NDArray[np.float64]:
    """Speed of decay of each month against the reference climate's mean year: the monthly form.

    The published factor multiplies the mean temperature response by the mean water factor (`annual_factor`);
    here each month's own product is taken, because a dry summer or a frozen wet winter is lost in the means.

    Parameters
    ----------
    site_products : array_like (ratio), shape (..., 12)
    reference_products : array_like (ratio), shape (..., 12) broadcastable against the site, or (12,)

    Returns
    -------
    ndarray (ratio), shape (..., 12); 1 on average at the reference climate

    Raises
    ------
    ValueError : nothing decays at the reference climate

    Examples
    --------
    >>> [round(float(month), 2) for month in climate_factor([1.0, 3.0], [1.0, 1.5])]
    [0.8, 2.4]
    """
    speed = np.mean(np.asarray(reference_products, dtype=np.float64), axis=-1, keepdims=True)
    if not np.all(speed > 0.0):
        raise ValueError("nothing decays at the reference climate, so no climate can be set against it")
    return np.asarray(np.asarray(site_products, dtype=np.float64) / speed)


def annual_factor(temperature: ArrayLike, ratio: ArrayLike, *, response: Response) -> NDArray[np.float64]:
    """Mean temperature response times mean water factor of a year: the published annual form.

    IPCC (2019), Refinement, vol. 4, ch. 5, eqs 5.0E and 5.0F (remembered). Not yet set against a reference.

    Parameters
    ----------
    temperature : array_like (deg C), shape (..., 12)
    ratio : array_like (ratio, 0 to 1.25), shape (..., 12)
    response : the temperature response

    Returns
    -------
    ndarray (ratio), shape (...)

    Examples
    --------
    >>> from somsim.climate.temperature import q10
    >>> round(float(annual_factor([10.0, 20.0], [1.25, 0.0], response=q10)), 4)
    1.9266
    """
    speed = np.mean(response(np.asarray(temperature, dtype=np.float64)), axis=-1)
    return np.asarray(speed * np.mean(water_factor(ratio), axis=-1))


def humus_rate_single_pool(
    temperature: ArrayLike, clay: ArrayLike, lime: ArrayLike, *, floor_temperature: float = 5.5
) -> NDArray[np.float64]:
    """Yearly decay of all humus taken as one pool, at the site's own temperature, clay and lime.

    0.03 (1 + 0.2 (T - 10)) / [(1 + 0.005 clay) (1 + 0.0015 lime)]: Mary & Guerif (1994), as printed on
    INRAE's page on its long-term compost trial. The line reaches 0 at 5 deg C, which no soil does: colder
    than ``floor_temperature`` it stays at its value there (judged).

    Parameters
    ----------
    temperature : array_like (deg C), mean of the year
    clay, lime : array_like (g/kg), clay and calcium carbonate of the soil, 0-1000
    floor_temperature : float (deg C), above 5

    Returns
    -------
    ndarray (1/yr), the broadcast shape; not to be multiplied by the climate factor

    Raises
    ------
    ValueError : clay or lime outside 0-1000 g/kg, or a floor that leaves no rate

    Examples
    --------
    >>> round(float(humus_rate_single_pool(11.0, 150.0, 0.0)), 6)
    0.020571
    """
    if not floor_temperature > 5.0:
        raise ValueError(f"the rate is 0 at 5 deg C: the floor must lie above, not at {floor_temperature}")
    clays, limes = np.asarray(clay, dtype=np.float64), np.asarray(lime, dtype=np.float64)
    for name, share in (("clay", clays), ("lime", limes)):
        if not np.all((share >= 0.0) & (share <= 1000.0)):
            raise ValueError(f"{name} must be between 0 and 1000 g/kg")
    warm = np.maximum(np.asarray(temperature, dtype=np.float64), floor_temperature)
    return np.asarray(0.03 * (1.0 + 0.2 * (warm - 10.0)) / ((1.0 + 0.005 * clays) * (1.0 + 0.0015 * limes)))


def spread_over_months(rate: ArrayLike, factors: ArrayLike) -> NDArray[np.float64]:
    """A yearly rate shared over the months in proportion to the climate factor, its mean kept.

    Where every factor is 0 there is no proportion: every month gets the same rate.

    Parameters
    ----------
    rate : array_like (1/yr), shape (...) or a single number
    factors : array_like (ratio, 0 or more), shape (..., 12)

    Returns
    -------
    ndarray (1/yr), shape (..., 12), with ``rate`` as the mean of the months

    Examples
    --------
    >>> [round(float(month), 3) for month in spread_over_months(0.02, [0.5, 1.0, 1.5])]
    [0.01, 0.02, 0.03]
    """
    months = np.asarray(factors, dtype=np.float64)
    mean = np.mean(months, axis=-1, keepdims=True)
    shape = np.divide(months, mean, out=np.ones_like(months), where=mean > 0.0)
    return np.asarray(np.asarray(rate, dtype=np.float64)[..., np.newaxis] * shape)
