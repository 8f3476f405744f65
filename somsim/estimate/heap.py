"""A heap: the mix that goes in, and the compost that comes out by mass balance, beside the volume rule.

Compressed wet greens make far less compost than their volume suggests: most of them is water, and about half
of the rest is breathed away. The volume rule sees neither.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from somsim.estimate import FloatArray, positive, share


@dataclass(frozen=True)
class Mix:
    """What was heaped, all feedstocks together: masses in kg, volume in m3."""

    mass: float
    volume: float
    dry: float
    carbon: float
    nitrogen: float

    @property
    def water(self) -> float:
        """Water (kg)."""
        return self.mass - self.dry

    @property
    def moisture(self) -> float:
        """Water over fresh mass, share 0-1."""
        return self.water / self.mass

    @property
    def density(self) -> float:
        """Fresh mass over volume (kg/m3), the volumes added: settling on mixing is left out."""
        return self.mass / self.volume

    @property
    def carbon_to_nitrogen(self) -> float:
        """Carbon over nitrogen by mass."""
        return self.carbon / self.nitrogen


@dataclass(frozen=True)
class Finished:
    """Compost made and what left the heap, in kg and m3, the shape of the losses.

    `water_lost` is below 0 where water had to be added. What was heaped = `mass` + `dry_lost` + `water_lost`.
    """

    mass: FloatArray
    volume: FloatArray
    dry: FloatArray
    carbon: FloatArray
    nitrogen: FloatArray
    dry_lost: FloatArray
    carbon_lost: FloatArray
    nitrogen_lost: FloatArray
    water_lost: FloatArray

    @property
    def carbon_to_nitrogen(self) -> FloatArray:
        """Carbon over nitrogen of the compost, by mass."""
        return np.asarray(self.carbon / self.nitrogen)


def carbon_to_nitrogen(
    mass: ArrayLike, dry_matter: ArrayLike, carbon: ArrayLike, nitrogen: ArrayLike
) -> float:
    """C:N of a mix from wet masses: the sum of m D C over the sum of m D N.

    The blend formula of Rynk (ed., 1992), On-Farm Composting Handbook, NRAES-54 (from memory). It is a ratio
    of sums: the mean of the feedstocks' own ratios is another number.

    Parameters
    ----------
    mass : array_like (kg fresh), shape (feedstocks,)
    dry_matter : array_like, share of fresh mass
    carbon, nitrogen : array_like, shares of dry mass

    Returns
    -------
    float

    Raises
    ------
    ValueError
        If a mass is not above 0, a share is out of bounds, or there is no carbon or no nitrogen at all.

    Examples
    --------
    >>> round(carbon_to_nitrogen([100, 50], [0.18, 0.86], [0.43, 0.45], [0.03, 0.0057]), 1)
    34.5
    """
    dry = _dry(mass, dry_matter)
    carbon_mass = float(np.sum(dry * share("the carbon share", carbon)))
    if carbon_mass == 0:
        raise ValueError("there is no carbon in this mix: a C:N of 0 is no compost")
    nitrogen_mass = positive("the nitrogen of the mix", np.sum(dry * share("the nitrogen share", nitrogen)))
    return carbon_mass / float(nitrogen_mass)


def nitrogen_share(carbon: ArrayLike, ratio: ArrayLike) -> FloatArray:
    """Nitrogen share from a carbon share and a printed C:N.

    Where a table prints all three, use two: a mean of ratios is not the ratio of means.

    Parameters
    ----------
    carbon : array_like, share of dry mass
    ratio : array_like, carbon to nitrogen by mass, above 0

    Returns
    -------
    ndarray, share of dry mass

    Raises
    ------
    ValueError
        If the carbon is no share or the ratio is not above 0.

    Examples
    --------
    >>> round(float(nitrogen_share(0.45, 75)), 4)
    0.006
    """
    return share("the carbon share", carbon) / positive("C:N", ratio)


def mass_of(volume: ArrayLike, density: ArrayLike) -> FloatArray:
    """Fresh mass of a feedstock measured by volume.

    Parameters
    ----------
    volume : array_like (m3)
    density : array_like (kg/m3), as it lay when measured: loose or pressed

    Returns
    -------
    ndarray (kg)

    Raises
    ------
    ValueError
        If either is not above 0.

    Examples
    --------
    >>> float(mass_of(0.5, 300))
    150.0
    """
    return positive("the volume", volume) * positive("the density", density)


def mix(
    mass: ArrayLike, *, dry_matter: ArrayLike, carbon: ArrayLike, nitrogen: ArrayLike, density: ArrayLike
) -> Mix:
    """Put feedstocks together; their volumes are added.

    Parameters
    ----------
    mass : array_like (kg fresh), shape (feedstocks,); from volumes with `mass_of`
    dry_matter : array_like, share of fresh mass
    carbon, nitrogen : array_like, shares of dry mass
    density : array_like (kg/m3), fresh, as heaped

    Returns
    -------
    Mix

    Raises
    ------
    ValueError
        If a mass or density is not above 0, a share is out of bounds, there is no dry matter, carbon or
        nitrogen, or carbon and nitrogen are more than the dry mass.

    Examples
    --------
    >>> heap = mix([100, 50], dry_matter=[0.18, 0.86], carbon=[0.43, 0.45], nitrogen=[0.03, 0.0057],
    ...            density=[300, 130])
    >>> round(heap.carbon_to_nitrogen, 1), round(heap.moisture, 2), round(heap.density)
    (34.5, 0.59, 209)
    """
    carbon_to_nitrogen(mass, dry_matter, carbon, nitrogen)
    parts, rest = share("the carbon share", carbon), share("the nitrogen share", nitrogen)
    if np.any(parts + rest > 1):
        raise ValueError("carbon and nitrogen together are more than the dry mass")
    dry = _dry(mass, dry_matter)
    fresh = np.broadcast_to(positive("the mass of a feedstock", mass), dry.shape)
    volume = fresh / positive("the density", density)
    return Mix(
        mass=float(fresh.sum()),
        volume=float(volume.sum()),
        dry=float(dry.sum()),
        carbon=float((dry * parts).sum()),
        nitrogen=float((dry * rest).sum()),
    )


def finish(
    heaped: Mix,
    *,
    dry_loss: ArrayLike,
    carbon_loss: ArrayLike,
    nitrogen_loss: ArrayLike,
    dry_matter: ArrayLike,
    density: ArrayLike,
) -> Finished:
    """Finished compost by mass balance.

    What is lost is a share of what was heaped; what is left of the dry mass takes up water to the dry matter
    share of the compost. Give losses as arrays to carry a range: low with low and high with high, for they
    come from one and the same fire.

    Parameters
    ----------
    heaped : Mix
    dry_loss, carbon_loss, nitrogen_loss : array_like, shares lost of the dry mass, carbon and nitrogen heaped
    dry_matter : array_like, dry matter share of the finished compost
    density : array_like (kg/m3), of the finished compost as spread

    Returns
    -------
    Finished, each part in the broadcast shape of the arguments

    Raises
    ------
    ValueError
        If a share is out of bounds, all of the dry mass is lost, or more carbon and nitrogen are lost, or
        kept, than dry mass is.

    Examples
    --------
    >>> green = mix([500], dry_matter=[0.20], carbon=[0.44], nitrogen=[0.03], density=[500])
    >>> made = finish(green, dry_loss=0.5, carbon_loss=0.5, nitrogen_loss=0.25, dry_matter=0.45, density=650)
    >>> round(float(made.volume), 2), round(float(made.mass), 1)
    (0.17, 111.1)
    """
    solids = positive("dry matter", share("dry matter", dry_matter))
    given = (
        share("the loss of dry mass", dry_loss) * heaped.dry,
        share("the loss of carbon", carbon_loss) * heaped.carbon,
        share("the loss of nitrogen", nitrogen_loss) * heaped.nitrogen,
        solids,
        positive("the density", density),
    )
    dry_lost, carbon_lost, nitrogen_lost, solids, weight = map(np.asarray, np.broadcast_arrays(*given))
    dry, carbon = heaped.dry - dry_lost, heaped.carbon - carbon_lost
    nitrogen = heaped.nitrogen - nitrogen_lost
    if np.any(dry <= 0):
        raise ValueError("all of the dry mass cannot be lost: nothing would be left to spread")
    _part_of("lost", carbon_lost + nitrogen_lost, dry_lost)
    _part_of("kept", carbon + nitrogen, dry)
    mass = dry / solids
    return Finished(
        mass=mass,
        volume=mass / weight,
        dry=dry,
        carbon=carbon,
        nitrogen=nitrogen,
        dry_lost=dry_lost,
        carbon_lost=carbon_lost,
        nitrogen_lost=nitrogen_lost,
        water_lost=np.asarray(heaped.water - (mass - dry)),
    )


def volume_by_rule(volume: ArrayLike, loss: ArrayLike) -> FloatArray:
    """Finished volume by the volume rule: what was heaped, less the share of volume lost.

    It fits loose bulky mixes only; show it beside `finish`, never instead.

    Parameters
    ----------
    volume : array_like (m3), heaped
    loss : array_like, share of volume lost

    Returns
    -------
    ndarray (m3)

    Raises
    ------
    ValueError
        If the volume is not above 0 or the loss is no share.

    Examples
    --------
    >>> float(volume_by_rule(100, 0.66))
    34.0
    """
    return np.asarray(positive("the volume", volume) * (1 - share("the loss of volume", loss)))


def fresh_for_one(heaped: ArrayLike, finished: ArrayLike) -> FloatArray:
    """How many cubic metres of fresh feedstock make one of compost.

    Parameters
    ----------
    heaped, finished : array_like (m3)

    Returns
    -------
    ndarray (m3/m3)

    Raises
    ------
    ValueError
        If either is not above 0.

    Examples
    --------
    >>> round(float(fresh_for_one(1.0, 0.17)), 1)
    5.9
    """
    return positive("the volume heaped", heaped) / positive("the finished volume", finished)


def beside_window(value: float, low: float, high: float) -> str:
    """Where a value lies against a published window, both ends inside.

    Parameters
    ----------
    value, low, high : float, one unit

    Returns
    -------
    "below", "within" or "above"

    Raises
    ------
    ValueError
        If the window's low end is above its high end.

    Examples
    --------
    >>> beside_window(34.5, 25, 30), beside_window(34.5, 25, 40)
    ('above', 'within')
    """
    if low > high:
        raise ValueError(f"a window goes from low to high; {low:g} to {high:g} does not")
    return "below" if value < low else "above" if value > high else "within"


def _dry(mass: ArrayLike, dry_matter: ArrayLike) -> FloatArray:
    fresh = np.atleast_1d(positive("the mass of a feedstock", mass))
    if fresh.size == 0:
        raise ValueError("there is nothing in this heap; give at least one feedstock")
    return np.asarray(fresh * positive("dry matter", share("dry matter", dry_matter)))


def _part_of(what: str, part: FloatArray, dry: FloatArray) -> None:
    # Equal up to rounding is allowed: a loss that is carbon alone.
    if np.any(part > dry * (1 + 1e-9)):
        at = float(part[part > dry * (1 + 1e-9)].flat[0])
        raise ValueError(
            f"more carbon and nitrogen ({at:.4g} kg) would be {what} than dry mass; the losses disagree"
        )
