"""How wet the soil is, as water supplied against water the air asks for, and what that does to decay."""

import numpy as np
from numpy.typing import ArrayLike, NDArray


def supply_ratio(supply: ArrayLike, demand: ArrayLike, *, most: float = 1.25) -> NDArray[np.float64]:
    """Water supplied for each mm the air asks for, at most ``most``.

    Where nothing is asked for (a frozen month, or a dark cold one under cover) nothing dries: ``most``, with
    or without rain. Cap: IPCC (2019), Refinement, vol. 4, ch. 5, eq. 5.0F (remembered).

    Parameters
    ----------
    supply : array_like (mm), rain and irrigation of the month, 0 or more
    demand : array_like (mm), potential evapotranspiration of the month, 0 or more
    most : float (ratio), wetter than this makes no difference

    Returns
    -------
    ndarray (ratio, 0 to ``most``), the broadcast shape

    Raises
    ------
    ValueError : a supply or demand is negative or not a finite number

    Examples
    --------
    >>> [round(float(ratio), 3) for ratio in supply_ratio([30.0, 90.0, 0.0, 0.0], [60.0, 60.0, 60.0, 0.0])]
    [0.5, 1.25, 0.0, 1.25]
    """
    given, asked = np.broadcast_arrays(
        np.asarray(supply, dtype=np.float64), np.asarray(demand, dtype=np.float64)
    )
    for name, amount in (("supply", given), ("demand", asked)):
        if not np.all(np.isfinite(amount) & (amount >= 0.0)):
            raise ValueError(f"{name} must be 0 mm or more in every month")
    # Dividing only where the answer is below the cap: no 0/0, and no overflow where demand is nearly 0.
    ratio = np.full(given.shape, most, dtype=np.float64)
    np.divide(given, asked, out=ratio, where=given < most * asked)
    return ratio


def water_factor(ratio: ArrayLike) -> NDArray[np.float64]:
    """Decay at a supply ratio, by the published parabola.

    IPCC (2019), Refinement, vol. 4, ch. 5, eq. 5.0F (remembered): 1.5 (0.2129 + 1.331 x - 0.2413 x2). The 1.5
    is kept to stay with the publication; it cancels when a site is divided by the reference.

    Parameters
    ----------
    ratio : array_like (ratio, 0 to 1.25), from `supply_ratio`

    Returns
    -------
    ndarray (ratio), the shape of ``ratio``

    Examples
    --------
    >>> round(float(water_factor(1.0)), 4)
    1.9539
    """
    wet = np.asarray(ratio, dtype=np.float64)
    return np.asarray(1.5 * (0.2129 + 1.331 * wet - 0.2413 * wet**2))


def watered_ratio(ratio: ArrayLike, watered: ArrayLike, *, supply: ArrayLike) -> NDArray[np.float64]:
    """Supply ratio of a month that is watered for a share of its days.

    While it is watered the soil gets ``supply`` of the demand, and is never drier than by its rain alone.

    Parameters
    ----------
    ratio : array_like (ratio), by rain alone, from `supply_ratio`
    watered : array_like (share, 0-1), of the month's days
    supply : array_like (share of the demand), what watering keeps up

    Returns
    -------
    ndarray (ratio), the broadcast shape

    Raises
    ------
    ValueError : a watered share is not between 0 and 1

    Examples
    --------
    >>> round(float(watered_ratio(0.2, 0.5, supply=0.9)), 3)
    0.55
    """
    dry = np.asarray(ratio, dtype=np.float64)
    share = np.asarray(watered, dtype=np.float64)
    if not np.all((share >= 0.0) & (share <= 1.0)):
        raise ValueError("watered must be a share of the month, 0 to 1")
    wet = np.maximum(dry, np.asarray(supply, dtype=np.float64))
    return np.asarray((1.0 - share) * dry + share * wet)
