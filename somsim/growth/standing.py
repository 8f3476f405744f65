"""Dry mass standing on the bed: a logistic curve in degree days, scaled through one known mass.

The curve runs over the crop's *window*: the degree days from sowing to the end of its growth, which for a
crop cut young is later than its cut. Its shape is the same for all crops; what is known of this crop (a
published mass, or the grower's own sample, and the degree days when it stood) sets its height.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

_HALVINGS = 80  # of a bracket no wider than about 50, so to the last bit of a double


@dataclass(frozen=True)
class Shape:
    """A logistic over the share of the window gone by, whose value at the window's end is 1.

    steepness and middle are in shares of the window; ceiling is in window-end masses.
    """

    steepness: Floats
    middle: Floats
    ceiling: Floats


def logistic_shape(half_at: ArrayLike, early_at: ArrayLike, early_share: ArrayLike) -> Shape:
    """The one logistic through three points: (early_at, early_share), (half_at, 1/2) and (1, 1).

    The reciprocal of a logistic is a constant plus an exponential, which leaves one equation for the
    steepness s, with p = half_at - early_at and r = 1 - half_at (derived here):
    (e^(s p) - 1) / (1 - e^(-s r)) = 1 / early_share - 2.

    Parameters
    ----------
    half_at : array_like, share of the window's degree days at which half the window-end mass stands
    early_at, early_share : array_like, an early share of the window, and the share of the mass standing then

    Returns
    -------
    Shape, with arrays of the inputs' broadcast shape

    Raises
    ------
    ValueError : if the points are out of order, or lie on no logistic that levels off

    Examples
    --------
    >>> shape = logistic_shape(0.55, 0.10, 0.03)
    >>> round(float(shape.steepness), 4), round(float(shape.ceiling), 4)
    (7.6548, 1.0341)
    """
    half, early, share = np.broadcast_arrays(
        *(np.asarray(given, dtype=np.float64) for given in (half_at, early_at, early_share))
    )
    if not np.all((early >= 0) & (early < half) & (half < 1) & (share > 0) & (share < 0.5)):
        raise ValueError("needs 0 <= early_at < half_at < 1 and 0 < early_share < 0.5")
    rise = 1.0 / share - 2.0
    first, second = half - early, 1.0 - half
    if not np.all(rise > first / second):
        raise ValueError("no logistic passes through these points: the early mass is too large")
    low, high = np.zeros_like(rise), np.log1p(rise) / first
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        under = np.expm1(middle * first) < -rise * np.expm1(-middle * second)
        low, high = np.where(under, middle, low), np.where(under, high, middle)
    steepness = 0.5 * (low + high)
    falling = rise / -np.expm1(-steepness * first)
    level = 1.0 / share - falling
    if not np.all(level > 0):
        raise ValueError("the curve through these points never levels off: the early mass is too large")
    return Shape(steepness, early + np.log(falling / level) / steepness, 1.0 / level)


def unbounded_early_share(half_at: ArrayLike, early_at: ArrayLike) -> Floats:
    """The early share at which growth is exponential to the end: every logistic curve has less by then.

    Growth that doubles from half the mass to all of it doubled as often before, so the early share is one half to
    the power of (1 - early_at) / (1 - half_at).

    Parameters
    ----------
    half_at, early_at : array_like, shares of the window's degree days, as in `logistic_shape`

    Returns
    -------
    ndarray, a share of the window-end mass, the inputs' broadcast shape

    Examples
    --------
    >>> round(float(unbounded_early_share(0.55, 0.10)), 6)
    0.25
    """
    early, half = (np.asarray(given, dtype=np.float64) for given in (early_at, half_at))
    return np.asarray(0.5 ** ((1.0 - early) / (1.0 - half)))


def share_grown(share_of_window: ArrayLike, shape: Shape) -> Floats:
    """Standing mass as a share of the window-end mass; 0 until the first degree day, then never falling.

    Parameters
    ----------
    share_of_window : array_like, degree days since sowing over the window's; may pass 1
    shape : Shape

    Returns
    -------
    ndarray, 0 to shape.ceiling, the broadcast shape

    Examples
    --------
    >>> share_grown([0.0, 0.1, 0.55, 1.0], logistic_shape(0.55, 0.10, 0.03)).round(4).tolist()
    [0.0, 0.03, 0.5, 1.0]
    """
    gone = np.asarray(share_of_window, dtype=np.float64)
    started = np.maximum(gone, 0.0)
    curve = shape.ceiling / (1.0 + np.exp(-shape.steepness * (started - shape.middle)))
    return np.asarray(np.where(gone > 0, curve, 0.0))


def standing_mass(
    degree_days: ArrayLike, *, mass: ArrayLike, at_degree_days: ArrayLike, window: ArrayLike, shape: Shape
) -> Floats:
    """Dry mass standing, on the curve that passes through one known mass.

    Parameters
    ----------
    degree_days : array_like (K d), gathered since sowing
    mass : array_like (kg/m2), known: the published one at the window's end, or a sample on its date
    at_degree_days : array_like (K d), gathered when that mass stood; the window itself for a published mass
    window : array_like (K d), from sowing to the end of growth
    shape : Shape

    Returns
    -------
    ndarray (kg/m2), the inputs' broadcast shape

    Raises
    ------
    ValueError : if the window or the known mass's degree days are not above 0, or the mass is negative

    Examples
    --------
    >>> shape = logistic_shape(0.55, 0.10, 0.03)
    >>> float(standing_mass(1000.0, mass=0.25, at_degree_days=550.0, window=1000.0, shape=shape).round(4))
    0.5
    """
    final = np.asarray(mass, dtype=np.float64) * magnified(at_degree_days, window=window, shape=shape)
    if np.any(final < 0):
        raise ValueError("the known mass must not be negative")
    gone = np.asarray(degree_days, dtype=np.float64) / np.asarray(window, dtype=np.float64)
    return np.asarray(final * share_grown(gone, shape))


def magnified(at_degree_days: ArrayLike, *, window: ArrayLike, shape: Shape) -> Floats:
    """Window-end mass for each unit of mass known earlier: how far a young sample's error is carried up.

    Parameters
    ----------
    at_degree_days : array_like (K d), gathered when the mass was known
    window : array_like (K d)
    shape : Shape

    Returns
    -------
    ndarray (kg/m2 for each kg/m2), the inputs' broadcast shape

    Raises
    ------
    ValueError : if either is not above 0

    Examples
    --------
    >>> float(magnified(100.0, window=1000.0, shape=logistic_shape(0.55, 0.10, 0.03)).round(2))
    33.33
    """
    known = np.asarray(at_degree_days, dtype=np.float64)
    whole = np.asarray(window, dtype=np.float64)
    if not (np.all(known > 0) and np.all(whole > 0)):
        raise ValueError("the window and the day of the known mass must both lie after sowing")
    return np.asarray(1.0 / share_grown(known / whole, shape))


def ceiling_mass(*, mass: ArrayLike, at_degree_days: ArrayLike, window: ArrayLike, shape: Shape) -> Floats:
    """The mass that the curve through one known mass levels off at; arguments as for `standing_mass`.

    Returns
    -------
    ndarray (kg/m2), the inputs' broadcast shape

    Examples
    --------
    >>> shape = logistic_shape(0.55, 0.10, 0.03)
    >>> float(ceiling_mass(mass=0.5, at_degree_days=1000.0, window=1000.0, shape=shape).round(4))
    0.517
    """
    final = np.asarray(mass, dtype=np.float64) * magnified(at_degree_days, window=window, shape=shape)
    return np.asarray(final * shape.ceiling)


def killed_by_frost(lowest_leaf: ArrayLike, kills_below: ArrayLike, standing: ArrayLike) -> NDArray[np.bool_]:
    """Whether the crop is dead, from the first standing day whose lowest leaf temperature is under the limit.

    On a clear night a leaf is colder than the air in the screen; turning one into the other is the caller's.

    Parameters
    ----------
    lowest_leaf : array_like (deg C), shape (..., n), each day's lowest leaf temperature
    kills_below : array_like (deg C), broadcast against the days; -inf for a crop that no frost kills
    standing : array_like of bool, shape (..., n), whether a sown crop stands that day

    Returns
    -------
    ndarray of bool, shape (..., n)

    Examples
    --------
    >>> killed_by_frost([-6.0, -4.0, -5.5, 2.0], -5.0, [False, True, True, True]).tolist()
    [False, False, True, True]
    """
    struck = np.asarray(lowest_leaf, dtype=np.float64) < np.asarray(kills_below, dtype=np.float64)
    return np.asarray(np.logical_or.accumulate(struck & np.asarray(standing, dtype=np.bool_), axis=-1))


def gain_while_alive(gain: ArrayLike, dead: ArrayLike) -> Floats:
    """The daily gain of a crop until it is killed; nothing after, so that its mass stays as it was.

    Parameters
    ----------
    gain : array_like (K d), shape (..., n)
    dead : array_like of bool, shape (..., n)

    Returns
    -------
    ndarray (K d), the inputs' broadcast shape

    Examples
    --------
    >>> gain_while_alive([5.0, 4.0, 3.0], [False, True, True]).tolist()
    [5.0, 0.0, 0.0]
    """
    return np.asarray(np.where(np.asarray(dead, dtype=np.bool_), 0.0, np.asarray(gain, dtype=np.float64)))


def sowing_share(sown: ArrayLike, usual: ArrayLike, *, days: ArrayLike, amounts: ArrayLike) -> Floats:
    """What a crop sown on one day makes, as a share of its usual sowing day's, from a printed row.

    Between two printed sowing days the amount falls by the same share each day (straight lines in the
    logarithm). Outside the printed days there is no figure, and none is made up.

    Parameters
    ----------
    sown, usual : array_like (day of the year, or any day count shared with days)
    days : array_like, shape (n,), the printed sowing days, rising
    amounts : array_like, shape (n,), what was printed for each, any unit, above 0

    Returns
    -------
    ndarray, share, the broadcast shape of sown and usual

    Raises
    ------
    ValueError : if a day lies outside the printed days, days do not rise or an amount is not above 0

    Examples
    --------
    >>> white_mustard = {"days": [227, 244], "amounts": [750.0, 500.0]}  # the Netherlands, 15 Aug and 1 Sep
    >>> float(sowing_share(235, 227, **white_mustard).round(4))
    0.8263
    """
    printed, logs = np.asarray(days, dtype=np.float64), np.asarray(amounts, dtype=np.float64)
    if not (np.all(np.diff(printed) > 0) and np.all(logs > 0)):
        raise ValueError("the printed days must rise and the amounts lie above 0")
    logs = np.log(logs)
    asked = [np.asarray(day, dtype=np.float64) for day in (sown, usual)]
    if any(np.any((day < printed[0]) | (day > printed[-1])) for day in asked):
        raise ValueError(f"sowing days are printed only from {printed[0]:g} to {printed[-1]:g}")
    ours, theirs = (np.interp(day, printed, logs) for day in asked)
    return np.asarray(np.exp(ours - theirs))


def printed_share(
    gone: ArrayLike, *, shares: ArrayLike, amounts: ArrayLike, shape: Shape, most: float = float("inf")
) -> Floats:
    """Standing mass as a share of the window-end mass, for a crop that has a printed row of its own.

    A row by sowing day (filled in day by day with `sowing_share`), all ended on one day, is mass against the
    warmth that each sowing had. Under the least of them the curve of ``shape`` goes on down from that point;
    over the greatest the mass stays as it was there.

    Parameters
    ----------
    gone : array_like, degree days since sowing over the window's
    shares : array_like, shape (n,), the same for the sowings of the row, rising
    amounts : array_like, shape (n,), what each left, any unit, above 0
    shape : Shape
    most : the most that is believed, in window-end masses

    Returns
    -------
    ndarray, 0 to most, the broadcast shape of gone and the shape's arrays

    Examples
    --------
    >>> row = {"shares": [0.26, 0.47, 1.00], "amounts": [250.0, 350.0, 750.0]}
    >>> printed_share([0.47, 1.0, 2.0], **row, shape=logistic_shape(0.55, 0.10, 0.03)).round(3).tolist()
    [0.467, 1.0, 1.0]
    """
    asked, known = np.asarray(gone, dtype=np.float64), np.asarray(shares, dtype=np.float64)
    least = known[0]
    inside = sowing_share(
        np.clip(asked, least, known[-1]), np.clip(1.0, least, known[-1]), days=known, amounts=amounts
    )
    young = share_grown(np.minimum(asked, least), shape) / share_grown(least, shape)
    return np.asarray(np.minimum(inside * young, most))
