"""Several cuts from one sowing: what each gives, and which the season cannot hold.

A cut gives no more than what stands on its date, and, after the first, no more than the crop's falling
regrowth: its own printed cut masses where there are any, else a share of the first cut. The smaller of the
two counts. They are not multiplied: a regrowth that its date already keeps small is not made smaller still.

A cut that cannot be is an answer, not an exception: `cut_plan` gives a `Refusal` in its place. A refused cut
is not made, so the crop stands on and the next cut is judged from the last one that was made.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]
StandingOn = Callable[[np.datetime64, np.datetime64 | None], float]
Bound = float | int | np.datetime64

TOO_MANY = "too many"
TOO_SOON = "too soon"
TOO_LIGHT = "too early"
PAST_SEED = "past seed set"
AFTER_FROST = "after frost"


@dataclass(frozen=True)
class Cut:
    """A cut that can be made: its dry mass (kg/m2), and whether its date or the crop's regrowth limits it."""

    number: int
    day: np.datetime64
    mass: float
    limited_by: str


@dataclass(frozen=True)
class Refusal:
    """A cut that cannot be made: why, what was found and the limit broken (kg/m2, days, cuts or a date)."""

    number: int
    day: np.datetime64
    reason: str
    found: Bound
    limit: Bound


@dataclass(frozen=True)
class CutLimits:
    """What a crop allows. A date left out means that there is none.

    seeds_on: the day from which growth never cut before has set seed. killed_on: the first day dead by frost.
    """

    most_cuts: int
    shortest_interval: int  # days
    lightest: float  # kg/m2, the lowest useful cut
    seeds_on: np.datetime64 | None = None
    killed_on: np.datetime64 | None = None


def falling_cuts(first: ArrayLike, decline: ArrayLike) -> Floats:
    """Dry mass of each cut when regrowth falls by fixed shares of the first cut.

    Several cuts therefore make less than the first cut times their number.

    Parameters
    ----------
    first : array_like (kg/m2), shape (...), the first cut
    decline : array_like, shape (n,), each cut as a share of the first; its first value is 1

    Returns
    -------
    ndarray (kg/m2), shape (..., n)

    Examples
    --------
    >>> falling_cuts(0.4, [1.00, 0.85, 0.65, 0.45]).round(3).tolist()
    [0.4, 0.34, 0.26, 0.18]
    """
    return np.asarray(np.asarray(first, dtype=np.float64)[..., None] * np.asarray(decline, dtype=np.float64))


def cut_mass(standing: ArrayLike, regrowth: ArrayLike) -> Floats:
    """Dry mass a cut gives: what stands on the date, or the crop's regrowth, whichever is less.

    Parameters
    ----------
    standing : array_like (kg/m2), grown since the last cut (or sowing) by the cut's date, not yet declined
    regrowth : array_like (kg/m2), the most this cut gives by its number; inf for a first cut

    Returns
    -------
    ndarray (kg/m2), the broadcast shape

    Examples
    --------
    >>> cut_mass([0.10, 0.50], 0.34).tolist()
    [0.1, 0.34]
    """
    return np.asarray(np.minimum(np.asarray(standing, dtype=np.float64), regrowth))


def _refused(
    number: int, day: np.datetime64, mass: float, made: Sequence[Cut], limits: CutLimits
) -> Refusal | None:
    """The first limit that a cut breaks, or None."""
    if limits.killed_on is not None and day >= limits.killed_on:
        return Refusal(number, day, AFTER_FROST, day, limits.killed_on)
    if len(made) >= limits.most_cuts:
        return Refusal(number, day, TOO_MANY, len(made) + 1, limits.most_cuts)
    if made:
        interval = int((day - made[-1].day).astype(np.int64))
        if interval < limits.shortest_interval:
            return Refusal(number, day, TOO_SOON, interval, limits.shortest_interval)
    elif limits.seeds_on is not None and day >= limits.seeds_on:
        return Refusal(number, day, PAST_SEED, day, limits.seeds_on)
    if mass < limits.lightest:
        return Refusal(number, day, TOO_LIGHT, mass, limits.lightest)
    return None


def cut_plan(
    days: ArrayLike,
    standing_on: StandingOn,
    limits: CutLimits,
    *,
    decline: Sequence[float],
    printed_cuts: Sequence[float] | None = None,
) -> tuple[Cut | Refusal, ...]:
    """What each of several cuts of one sowing gives, or why it cannot be made.

    Parameters
    ----------
    days : array_like of datetime64[D], the cuts' dates, rising
    standing_on : function of a day and the day of the last cut (None before any) that gives the mass (kg/m2)
        grown by then, without any decline
    limits : CutLimits
    decline : each cut as a share of the first, used where the crop has no printed cuts
    printed_cuts : the crop's own cut masses (kg/m2), first cut included; they replace the decline. The first
        cut is still what stands: a grower's sample counts for more than a printed first cut.

    Returns
    -------
    tuple of Cut or Refusal, one for each day

    Raises
    ------
    ValueError : if the days do not rise, or the crop's regrowth is given for fewer cuts than it allows

    Examples
    --------
    >>> limits = CutLimits(most_cuts=2, shortest_interval=42, lightest=0.05)
    >>> for cut in cut_plan(["2026-05-20", "2026-06-10", "2026-07-20"], lambda day, last: 0.3, limits,
    ...                     decline=[1.00, 0.85]):
    ...     print(cut.number, getattr(cut, "mass", None) or cut.reason)
    1 0.3
    2 too soon
    3 0.255
    """
    dates = np.asarray(days, dtype="datetime64[D]")
    if np.any(np.diff(dates) <= np.timedelta64(0, "D")):
        raise ValueError("the cuts' dates must rise")
    known = decline if printed_cuts is None else printed_cuts
    if len(known) < min(limits.most_cuts, dates.size):
        raise ValueError(f"{limits.most_cuts} cuts are allowed, but regrowth is given for {len(known)}")
    answers: list[Cut | Refusal] = []
    made: list[Cut] = []
    for number, day in enumerate(dates, start=1):
        standing = float(standing_on(day, made[-1].day if made else None))
        most = _most(made, decline, printed_cuts)
        mass = float(cut_mass(standing, most))
        refusal = _refused(number, day, mass, made, limits)
        if refusal is None:
            made.append(Cut(number, day, mass, "date" if standing <= most else "regrowth"))
        answers.append(refusal or made[-1])
    return tuple(answers)


def _most(made: Sequence[Cut], decline: Sequence[float], printed_cuts: Sequence[float] | None) -> float:
    """The most that the next cut gives by its number; no limit for the first, nor beyond the list."""
    known = decline if printed_cuts is None else printed_cuts
    if not made or len(made) >= len(known):
        return float("inf")
    if printed_cuts is not None:
        return printed_cuts[len(made)]
    return float(falling_cuts(made[0].mass, decline)[len(made)])
