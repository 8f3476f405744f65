"""Roots: published ratios brought to one depth and one definition, and the carbon they leave.

One definition: roots in the layer **plus** what living roots give off into it, per shoot dry mass. Structural
roots are counted once, on the largest standing mass; what roots give off follows all growth of the shoots.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from somsim.estimate import FloatArray, finite, not_negative, positive, share


@dataclass(frozen=True)
class RootRatio:
    """Parts of one published ratio, each per shoot dry mass, each an array of one shape."""

    structural: FloatArray
    exudates: FloatArray
    structural_below: FloatArray
    exudates_below: FloatArray

    @property
    def in_layer(self) -> FloatArray:
        """Roots in the layer with exudates, per shoot dry mass: the one definition."""
        return self.structural + self.exudates


@dataclass(frozen=True)
class RootCarbon:
    """Carbon of roots (kg C/m2): in the layer and below; structural once, exudates over the growing time."""

    structural: FloatArray
    exudates: FloatArray
    structural_below: FloatArray
    exudates_below: FloatArray


def share_above(depth: ArrayLike, beta: ArrayLike) -> FloatArray:
    """Share of all roots that lie above a depth.

    1 - beta^d with d in cm: Gale & Grigal (1987), Can. J. For. Res. 17:829; fitted to many plants by Jackson
    et al. (1996), Oecologia 108:389 (both from memory).

    Parameters
    ----------
    depth : array_like (m), 0 or more; infinite is the whole root system
    beta : array_like, extinction per cm of depth, between 0 and 1

    Returns
    -------
    ndarray, share 0-1

    Raises
    ------
    ValueError
        If a depth is negative or beta is not between 0 and 1.

    Examples
    --------
    >>> round(float(share_above(0.30, 0.961)), 3)
    0.697
    """
    down = np.asarray(depth, dtype=np.float64)
    fall = positive("beta", beta)
    if np.any(np.isnan(down)) or np.any(down < 0):
        raise ValueError("a depth cannot be negative")
    if np.any(fall >= 1):
        raise ValueError("beta lies between 0 and 1; at 1 the roots would never end")
    return np.asarray(-np.expm1(100 * down * np.log(fall)))


def beta_from_share(part: ArrayLike, depth: ArrayLike) -> FloatArray:
    """The beta at which a known share of the roots lies above a depth.

    Inverse of `share_above` (derived), so that a published topsoil share serves as well as a published beta.

    Parameters
    ----------
    part : array_like, share of all roots above `depth`, between 0 and 1
    depth : array_like (m), above 0

    Returns
    -------
    ndarray, beta per cm

    Raises
    ------
    ValueError
        If the share is not between 0 and 1, or the depth not above 0.

    Examples
    --------
    >>> round(float(beta_from_share(0.70, 0.20)), 4)
    0.9416
    """
    above = positive("the share of roots above", share("the share of roots above", part))
    down = positive("the depth", depth)
    if np.any(above == 1):
        raise ValueError("some roots lie deeper: a share of 1 gives no distribution")
    return np.asarray(np.exp(np.log1p(-above) / (100 * down)))


def to_layer(
    ratio: ArrayLike,
    *,
    depth: ArrayLike,
    layer: ArrayLike,
    beta: ArrayLike,
    exudates: ArrayLike,
    includes_exudates: bool,
) -> RootRatio:
    """Bring a published root-to-shoot ratio to a layer, exudates apart.

    Divided by the share of roots its depth holds, times the share the layer holds; exudates are a fixed
    share of root mass (Bolinder et al. 2007, Agric. Ecosyst. Environ. 118:29) and are spread with depth as
    the roots are (judged).

    Parameters
    ----------
    ratio : array_like, root to shoot dry mass as published, 0 or more
    depth : array_like (m), depth to which those roots were taken; infinite for all of them
    layer : array_like (m), depth of the layer wanted
    beta : array_like, extinction of roots per cm of depth
    exudates : array_like, exudates and fine turnover per mass of root, 0 or more
    includes_exudates : whether `ratio` holds exudates already

    Returns
    -------
    RootRatio, each part in the broadcast shape of the inputs

    Raises
    ------
    ValueError
        If the ratio or exudates are negative, a depth is 0 or less, or beta is out of bounds.

    Examples
    --------
    >>> found = to_layer(0.149, depth=0.20, layer=0.30, beta=0.961, exudates=0.65, includes_exudates=False)
    >>> round(float(found.in_layer), 3)
    0.312
    """
    given_off = not_negative("the exudates", exudates)
    if np.any(np.asarray(depth) == 0) or np.any(np.asarray(layer) == 0):
        raise ValueError("roots to a depth of 0 are none; give the depth of the roots and of the layer")
    whole = not_negative("the root ratio", ratio) / share_above(depth, beta)
    roots = whole / (1 + given_off) if includes_exudates else whole
    above = share_above(layer, beta)
    parts = np.broadcast_arrays(
        roots * above, roots * above * given_off, roots * (1 - above), roots * (1 - above) * given_off
    )
    return RootRatio(*(np.asarray(part) for part in parts))


def measured_ratio(roots: ArrayLike, shoots: ArrayLike) -> FloatArray:
    """Root-to-shoot ratio from a grower's own washed roots; bring it to the layer with `to_layer`.

    Parameters
    ----------
    roots : array_like (kg/m2), dry mass dug and washed
    shoots : array_like (kg/m2), dry mass of tops from the same ground

    Returns
    -------
    ndarray, ratio to the depth that was dug, without exudates

    Raises
    ------
    ValueError
        If roots are negative or shoots are not above 0.

    Examples
    --------
    >>> float(measured_ratio(0.1, 0.4))
    0.25
    """
    return not_negative("root mass", roots) / positive("shoot mass", shoots)


def root_carbon(
    ratio: RootRatio, *, largest_standing: ArrayLike, total_growth: ArrayLike, carbon: ArrayLike
) -> RootCarbon:
    """Carbon that roots leave: structural once, exudates with all growth of the shoots.

    For the high bound in which roots follow all that was cut, give `total_growth` as `largest_standing` too.

    Parameters
    ----------
    ratio : RootRatio, per shoot dry mass
    largest_standing : array_like (kg/m2), largest dry mass of shoots that ever stood
    total_growth : array_like (kg/m2), dry mass of shoots grown in all, cuts and regrowth together
    carbon : array_like, carbon share of root dry mass

    Returns
    -------
    RootCarbon (kg C/m2), each part in the broadcast shape of the inputs

    Raises
    ------
    ValueError
        If a mass is negative, carbon is no share, or more stood than ever grew.

    Examples
    --------
    >>> found = to_layer(0.4, depth=float("inf"), layer=0.2, beta=0.9416, exudates=0.5,
    ...                  includes_exudates=False)
    >>> left = root_carbon(found, largest_standing=0.4, total_growth=0.9, carbon=0.45)
    >>> round(float(left.structural), 4), round(float(left.exudates), 4)
    (0.0504, 0.0567)
    """
    stood = not_negative("the largest standing mass", largest_standing)
    grown = not_negative("the growth of shoots", total_growth)
    part = share("the carbon share of roots", carbon)
    if np.any(stood > grown * (1 + 1e-9)):
        raise ValueError("more cannot have stood at once than grew in all")
    return RootCarbon(
        structural=np.asarray(ratio.structural * stood * part),
        exudates=np.asarray(ratio.exudates * grown * part),
        structural_below=np.asarray(ratio.structural_below * stood * part),
        exudates_below=np.asarray(ratio.exudates_below * grown * part),
    )


def exudate_inflow(exudates: ArrayLike, years: ArrayLike) -> FloatArray:
    """Exudates as a steady inflow over the growing time.

    Parameters
    ----------
    exudates : array_like (kg C/m2), over the whole growing time
    years : array_like (yr), length of the growing time, above 0

    Returns
    -------
    ndarray (kg C/m2/yr)

    Raises
    ------
    ValueError
        If exudates are negative or the time is not above 0.

    Examples
    --------
    >>> round(float(exudate_inflow(0.05, 0.5)), 3)
    0.1
    """
    return not_negative("the exudates", exudates) / positive("the growing time", years)


def disagreement(ratios: ArrayLike) -> tuple[float, float, float]:
    """How far published ratios of one definition lie apart: all are carried, none is averaged away.

    Parameters
    ----------
    ratios : array_like, at least one, each above 0

    Returns
    -------
    lowest, highest, and highest over lowest

    Raises
    ------
    ValueError
        If there are none, or one is not above 0.

    Examples
    --------
    >>> low, high, times = disagreement([0.2, 0.5, 0.8])
    >>> low, high, round(times, 2)
    (0.2, 0.8, 4.0)
    """
    values = positive("a root ratio", finite("a root ratio", ratios))
    if values.size == 0:
        raise ValueError("there is no ratio to compare")
    return float(values.min()), float(values.max()), float(values.max() / values.min())
