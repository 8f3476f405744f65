"""How fast organic matter decays at a temperature: four published responses, each by its published name."""

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray


def ipcc_2019(temperature: ArrayLike, *, best: float = 33.69, highest: float = 45.0) -> NDArray[np.float64]:
    """Share of the fastest decay, at its peak where it is ``best`` warm and nothing from ``highest`` on.

    IPCC (2019), Refinement to the 2006 Guidelines, vol. 4, ch. 5 (Cropland), eq. 5.0E and Table 5.5a
    (equation and constants remembered, not read).

    Parameters
    ----------
    temperature : array_like (deg C), any shape
    best : float (deg C), where decay is fastest; published range 30.7-35.34
    highest : float (deg C), where it ends

    Returns
    -------
    ndarray (share, 0-1), the shape of ``temperature``

    Raises
    ------
    ValueError : ``highest`` is not above ``best``

    Examples
    --------
    >>> round(float(ipcc_2019(10.0)), 4)
    0.307
    """
    if not highest > best:
        raise ValueError(f"highest ({highest} deg C) must lie above best ({best} deg C)")
    left = np.maximum(highest - np.asarray(temperature, dtype=np.float64), 0.0) / (highest - best)
    return np.asarray(left**0.2 * np.exp(0.076 * (1.0 - left**2.63)))


def quadratic(
    temperature: ArrayLike, *, lowest: float = -3.8, reference: float = 30.0
) -> NDArray[np.float64]:
    """Decay against that at ``reference``, by the square of the degrees above ``lowest``; nothing below it.

    Form: Ratkowsky et al. (1982), J. Bacteriol. 149:1-5. The -3.8 deg C is remembered from the Swedish soil
    papers (Katterer et al. 1998, Biol. Fertil. Soils 27:258-262, or Lomander et al. 1998, Soil Biol. Biochem.
    30:2023); which of them prints it is not settled.

    Parameters
    ----------
    temperature : array_like (deg C), any shape
    lowest : float (deg C), where decay stops
    reference : float (deg C), where the response is 1

    Returns
    -------
    ndarray (ratio, 0 or more), the shape of ``temperature``

    Raises
    ------
    ValueError : ``reference`` is not above ``lowest``

    Examples
    --------
    >>> round(float(quadratic(10.0)), 4)
    0.1667
    """
    if not reference > lowest:
        raise ValueError(f"reference ({reference} deg C) must lie above lowest ({lowest} deg C)")
    above = np.maximum(np.asarray(temperature, dtype=np.float64) - lowest, 0.0)
    return np.asarray((above / (reference - lowest)) ** 2)


def q10(temperature: ArrayLike, *, factor: float = 2.0, reference: float = 10.0) -> NDArray[np.float64]:
    """Decay against that at ``reference``, times ``factor`` for each 10 deg C warmer.

    The factor 2 fits organic matter between 5 and 35 deg C; below about 5 deg C other forms fit better:
    Katterer et al. (1998), Biol. Fertil. Soils 27:258-262 (abstract read).

    Parameters
    ----------
    temperature : array_like (deg C), any shape
    factor : float (ratio), above 0
    reference : float (deg C), where the response is 1

    Returns
    -------
    ndarray (ratio, above 0), the shape of ``temperature``

    Raises
    ------
    ValueError : ``factor`` is not above 0

    Examples
    --------
    >>> round(float(q10(20.0)), 4)
    2.0
    """
    if not factor > 0.0:
        raise ValueError(f"factor must be above 0, not {factor}")
    return np.asarray(factor ** ((np.asarray(temperature, dtype=np.float64) - reference) / 10.0))


def lloyd_taylor(temperature: ArrayLike) -> NDArray[np.float64]:
    """Soil respiration against that at 10 deg C; nothing at or below -46.02 deg C, where the form ends.

    Lloyd & Taylor (1994), Funct. Ecol. 8:315-323, eq. 11 (T0 = 227.13 K; 308.56 K remembered).

    Parameters
    ----------
    temperature : array_like (deg C), any shape

    Returns
    -------
    ndarray (ratio, 0 or more), the shape of ``temperature``

    Examples
    --------
    >>> round(float(lloyd_taylor(20.0)), 4)
    2.3032
    """
    above = np.asarray(temperature, dtype=np.float64) + 46.02
    # A hair above the end of the form 1/above would overflow; the response is 0 to the last bit long before.
    return np.asarray(np.exp(308.56 * (1.0 / 56.02 - 1.0 / np.maximum(above, 0.1))))


RESPONSES: Final[Mapping[str, Callable[..., NDArray[np.float64]]]] = MappingProxyType(
    {
        "ipcc 2019": ipcc_2019,
        "quadratic": quadratic,
        "q10": q10,
        "lloyd-taylor": lloyd_taylor,
    }
)
