"""Land: the area of a cover or ley that would feed the compost for an area of beds.

All per m2 of bed: what a layer of compost holds, over what one m2 of the cover brings to it in a year after
the losses of the heap. Yearly layers against yearly growth; a second dose in a year doubles the area.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from somsim.estimate import FloatArray, not_negative, positive, share


@dataclass(frozen=True)
class FeedLand:
    """Area of cover per area of bed (m2/m2): to match the organic matter, and the nitrogen, of a layer."""

    by_organic_matter: FloatArray
    by_nitrogen: FloatArray

    @property
    def larger(self) -> FloatArray:
        """The area that gives enough of both."""
        return np.maximum(self.by_organic_matter, self.by_nitrogen)


def layer_content(
    depth: ArrayLike, *, density: ArrayLike, dry_matter: ArrayLike, content: ArrayLike
) -> FloatArray:
    """What a layer holds of organic matter or an element: depth x density x dry matter x content.

    Parameters
    ----------
    depth : array_like (m)
    density : array_like (kg/m3), as spread
    dry_matter : array_like, share of fresh mass
    content : array_like, share of dry mass

    Returns
    -------
    ndarray (kg/m2 of bed)

    Raises
    ------
    ValueError
        If depth or density is not above 0, or a share is out of bounds.

    Examples
    --------
    >>> round(float(layer_content(0.025, density=600, dry_matter=0.60, content=0.40)), 3)
    3.6
    """
    fresh = positive("the depth", depth) * positive("the density", density)
    return np.asarray(fresh * share("dry matter", dry_matter) * share("the content", content))


def yield_to_compost(dry_yield: ArrayLike, *, content: ArrayLike, loss: ArrayLike) -> FloatArray:
    """What one m2 of a cover brings into finished compost in a year: yield x content x (1 - loss).

    Parameters
    ----------
    dry_yield : array_like (kg/m2/yr), dry mass cut and carted
    content : array_like, share of dry mass that is organic matter or the element
    loss : array_like, share of that lost in the heap

    Returns
    -------
    ndarray (kg/m2/yr)

    Raises
    ------
    ValueError
        If the yield is not above 0, or a share is out of bounds.

    Examples
    --------
    >>> round(float(yield_to_compost(1.22, content=0.90, loss=0.50)), 3)
    0.549
    """
    kept = 1 - share("the loss in the heap", loss)
    return np.asarray(positive("the yield", dry_yield) * share("the content", content) * kept)


def area_ratio(needed: ArrayLike, brought: ArrayLike) -> FloatArray:
    """Area of cover per area of bed.

    Parameters
    ----------
    needed : array_like (kg/m2 of bed and year)
    brought : array_like (kg/m2 of cover and year)

    Returns
    -------
    ndarray (m2/m2)

    Raises
    ------
    ValueError
        If what is needed is negative, or the cover brings nothing.

    Examples
    --------
    >>> round(float(area_ratio(3.6, 0.549)), 1)
    6.6
    """
    return not_negative("what the layer holds", needed) / positive("what the cover brings", brought)


def feed_land(
    needed_organic: ArrayLike,
    needed_nitrogen: ArrayLike,
    *,
    brought_organic: ArrayLike,
    brought_nitrogen: ArrayLike,
) -> FeedLand:
    """Area of cover per area of bed by organic matter and by nitrogen, side by side.

    Parameters
    ----------
    needed_organic, needed_nitrogen : array_like (kg/m2 of bed and year), from `layer_content`
    brought_organic, brought_nitrogen : array_like (kg/m2 of cover and year), from `yield_to_compost`

    Returns
    -------
    FeedLand (m2/m2)

    Raises
    ------
    ValueError
        If what is needed is negative, or the cover brings nothing.

    Examples
    --------
    >>> both = feed_land(3.6, 0.1125, brought_organic=0.549, brought_nitrogen=0.0275)
    >>> round(float(both.by_nitrogen), 1), round(float(both.larger), 1)
    (4.1, 6.6)
    """
    return FeedLand(
        by_organic_matter=area_ratio(needed_organic, brought_organic),
        by_nitrogen=area_ratio(needed_nitrogen, brought_nitrogen),
    )


def layer_from_land(
    ratio: ArrayLike, *, brought: ArrayLike, density: ArrayLike, dry_matter: ArrayLike, content: ArrayLike
) -> FloatArray:
    """The yearly layer that a given area of cover can feed: the other way round.

    Parameters
    ----------
    ratio : array_like (m2 of cover per m2 of bed)
    brought : array_like (kg/m2 of cover and year), from `yield_to_compost`
    density, dry_matter, content : of the compost, as in `layer_content`

    Returns
    -------
    ndarray (m)

    Raises
    ------
    ValueError
        If a value is negative, a divisor is 0, or a share is out of bounds.

    Examples
    --------
    >>> made = layer_from_land(1.5, brought=0.549, density=600, dry_matter=0.60, content=0.40)
    >>> round(1000 * float(made), 1)
    5.7
    """
    supply = not_negative("the area of cover", ratio) * not_negative("what the cover brings", brought)
    return np.asarray(supply / layer_content(1.0, density=density, dry_matter=dry_matter, content=content))


def ratio_from_share(part: ArrayLike) -> FloatArray:
    """Area of cover per area of other crops, from the cover's share of all growing land.

    Parameters
    ----------
    part : array_like, share of the growing land under the cover, 0 to under 1

    Returns
    -------
    ndarray (m2/m2)

    Raises
    ------
    ValueError
        If the share is out of bounds, or leaves no land for other crops.

    Examples
    --------
    >>> round(float(ratio_from_share(0.60)), 3)
    1.5
    """
    covered = share("the share of land", part)
    if np.any(covered == 1):
        raise ValueError("with all land under the cover there are no beds to feed")
    return np.asarray(covered / (1 - covered))


def share_from_ratio(ratio: ArrayLike) -> FloatArray:
    """The cover's share of all growing land, from its area per area of other crops.

    Parameters
    ----------
    ratio : array_like (m2/m2), 0 or more

    Returns
    -------
    ndarray, share 0-1

    Raises
    ------
    ValueError
        If the ratio is negative.

    Examples
    --------
    >>> round(float(share_from_ratio(1.5)), 3)
    0.6
    """
    value = not_negative("the ratio of areas", ratio)
    return np.asarray(value / (1 + value))


def harvest_given_up(area: ArrayLike, crop_yield: ArrayLike) -> FloatArray:
    """What the area of a cover would have grown instead.

    Parameters
    ----------
    area : array_like (m2)
    crop_yield : array_like (kg/m2 and crop or year), fresh

    Returns
    -------
    ndarray (kg)

    Raises
    ------
    ValueError
        If either is negative.

    Examples
    --------
    >>> float(harvest_given_up(66, 4.5))
    297.0
    """
    return not_negative("the area", area) * not_negative("the yield", crop_yield)
