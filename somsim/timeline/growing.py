"""What a cover weighs when nobody weighed it: the library's figure, carried to the plan's dates by warmth and light."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from somsim.climate.sun import day_length
from somsim.growth.degree_days import daily_from_normals, daily_gain, degree_days_between, gain_in_light
from somsim.growth.standing import (
    Shape,
    gain_while_alive,
    killed_by_frost,
    logistic_shape,
    printed_share,
    share_grown,
    sowing_share,
    unbounded_early_share,
)
from somsim.library import Entry, Library
from somsim.plan.days import Day, read_day
from somsim.plan.site import FactorClimate
from somsim.timeline.figures import Figures, LibraryKey
from somsim.timeline.weather import latitude_of, normals_of
from somsim.timeline.world import DAYS_A_YEAR, World

Array = NDArray[np.float64]
Date = datetime.date
COMMON = 2025  # the first of three years without a leap day
ROW_CLIMATE = "netherlands"  # where the rows by sowing day were measured
LEVELLING = 0.9  # of the early share of growth without an end: a curve under it levels off (judged)
MIDWINTER = Day(21, 12)


@dataclass(frozen=True)
class PrintedRow:
    """What a cover makes by its warmth, from a row printed by sowing day, as `printed_share` takes it."""

    shares: tuple[float, ...]
    amounts: tuple[float, ...]
    most: float


@dataclass(frozen=True)
class Growth:
    """The season of one cover at one place.

    ``shares`` are degree days from sowing to each cut, over those of its life to flowering (cut,); ``known_share``
    the same at the end of the window for which a mass is published.  ``stages`` at each cut.  ``since`` are degree
    days from the cut before (the first: from sowing) over those between two cuts as published; None where no interval
    is.  ``died`` is the day of the frost that killed it before its last cut, ``row`` its own printed row.
    """

    shares: tuple[float, ...]
    known_share: float
    stages: tuple[str, ...]
    since: tuple[float, ...] | None = None
    died: Date | None = None
    row: PrintedRow | None = None


@dataclass(frozen=True)
class Air:
    """Mean air temperature of twelve months, deg C, and the latitude."""

    normals: Array
    latitude: float


def shape_of(world: World) -> Shape:
    """The growth curve, per draw.

    A late half and a large early share together would be growth without an end: there the early share gives way.
    """
    half, early = world.constant("growth_half_share"), world.constant("growth_early_point")
    most = LEVELLING * unbounded_early_share(half, early)
    return logistic_shape(half, early, np.minimum(world.constant("growth_early_share"), most))


def growth(figures: Figures, entry: Entry, dates: tuple[Date, ...], *, covered: bool) -> Growth | None:
    """Degree days of a sowing and its cuts beside those of the published window.

    The window is taken in open ground at the plan's own climate: published masses are outdoor masses.  Under cover
    the plan's dates have the warmer air.  Days shorter than the library's short day give nothing, and a plant that
    frost kills gains nothing from then on.  A cover whose published end is before flowering has its life counted to
    the flowering of the row that tells it.  None where nothing is known of the temperature or the window.
    """
    if isinstance(figures.plan.site.climate, FactorClimate):
        return None
    window = _window(figures.library, entry, (latitude_of(figures) or 0.0) < 0.0)
    if window is None:
        return None
    sown, known_end, life_end = window
    died = killed_on(figures, entry, dates, covered)
    alive = dates if died is None else tuple(min(day, died) for day in dates)
    days = _in_common_years(alive)
    own = [warmth(figures, entry, days[0], cut, covered) for cut in days[1:]]
    known = warmth(figures, entry, sown, known_end, False)
    life = warmth(figures, entry, sown, life_end, False)
    if known <= 0.0 or life <= 0.0:
        return None
    ends_at = entry.about.get("stage_at_end") or "vegetative"
    flowering = 1.0 if life_end > known_end or ends_at != "vegetative" else np.inf
    shares = tuple(one / life for one in own)
    between = _between_cuts(figures, entry)
    return Growth(
        shares,
        known / life,
        tuple("flower" if share >= flowering else "vegetative" for share in shares),
        None if between is None else tuple(float(step) / between for step in np.diff(own, prepend=0.0)),
        died,
        _printed_row(LibraryKey(figures.library, id(figures.library)), entry.id),
    )


def grown_share(found: Growth, shape: Shape) -> list[Array]:
    """Mass at each cut as a multiple of the published mass (draw,), had nothing been cut before."""
    row = found.row
    if row is not None:
        gone = [share / found.known_share for share in found.shares]
        return [printed_share(g, shares=row.shares, amounts=row.amounts, shape=shape, most=row.most) for g in gone]
    known = share_grown(found.known_share, shape)
    return [np.asarray(share_grown(share, shape) / known) for share in found.shares]


def regrown_share(found: Growth, shape: Shape) -> list[Array]:
    """Mass grown from each cut to the next as a multiple of the published mass (draw,); the first from sowing."""
    known = share_grown(found.known_share, shape)
    steps = np.diff(found.shares, prepend=0.0)
    return [np.asarray(share_grown(step, shape) / known) for step in steps]


def killed_on(figures: Figures, entry: Entry, dates: tuple[Date, ...], covered: bool) -> Date | None:
    """The day on which frost kills a cover before its last cut; None where none does, or nobody knows.

    The plan's own day of frost for such a plant; else the day whose very mean is cold enough.  Monthly means hold no
    single night: that a plant lives by them is no promise.
    """
    day = frost_day(figures, entry)
    if day is not None:
        found = day.on_or_after(dates[0] + datetime.timedelta(1))
        return found if found < dates[-1] else None
    kills = entry.values.get("frost_kill_temperature")
    if kills is None or isinstance(figures.plan.site.climate, FactorClimate):
        return None
    first, *_, last = _in_common_years(dates)
    days = np.arange(np.datetime64(first), np.datetime64(last))
    dead = killed_by_frost(_daily(_air(figures), days, _lift(figures, covered)), kills.best, np.ones(len(days), bool))
    if not dead.any():
        return None
    found = days[int(dead.argmax())].astype(object)
    return Day(found.day, found.month).in_year(dates[0].year + found.year - first.year)


def frost_day(figures: Figures, entry: Entry) -> Day | None:
    """The plan's day of the frost that kills a cover; None where no frost does, or the plan does not say."""
    frost, kind = figures.plan.site.frost, entry.about.get("frost_kill", "")
    if frost is None or not kind.startswith("killed"):
        return None
    return frost.first if "first frost" in kind else frost.hard


def _in_common_years(dates: tuple[Date, ...]) -> list[Date]:
    """The same days counted from 2025, so that a leap day makes no crop heavier."""
    first = dates[0].year
    return [Day(day.day, day.month).in_year(COMMON + day.year - first) for day in dates]


def _window(library: Library, entry: Entry, south: bool) -> tuple[Date, Date, Date] | None:
    """Sowing, published end and flowering of a cover, as dates of one season; half a year on in the south."""
    first, last = entry.about.get("window_sow"), entry.about.get("window_end")
    if not first or not last:
        return None
    sown = _day(first, south).in_year(COMMON)
    known_end = _after(_day(last, south), sown)
    later = library.tables["covers"].get(entry.about.get("flowering_row", ""))
    life_end = known_end
    if later is not None and later.about.get("window_end"):
        life_end = max(known_end, _after(_day(later.about["window_end"], south), sown))
    return sown, known_end, life_end


def _day(words: str, south: bool) -> Day:
    day = read_day(words)
    return Day(min(day.day, 28), (day.month + 5) % 12 + 1) if south else day


def _after(day: Day, date: Date) -> Date:
    found = day.on_or_after(date)
    return found if found > date else day.in_year(date.year + 1)


@cache
def _printed_row(key: LibraryKey, cover: str) -> PrintedRow | None:
    """A cover's own printed row: what a sowing on each of its days left, against its warmth where it was measured.

    All sowings of a row ended on one day: the end of the usual season, or, of a cover that is usually over before the
    last of them is sown, when the days are too short to grow in.
    """
    library, entry = key.library, key.library.tables["covers"][cover]
    sowings, window = library.sowings_of(cover), _window(library, entry, False)
    place = library.find("climates", ROW_CLIMATE)
    if len(sowings) < 2 or window is None or place is None:
        return None
    air = Air(np.array(place.month_values("temperature").values), place.value("latitude").best)
    sown, known_end, _ = window
    printed = [read_day(one.day).in_year(COMMON).toordinal() for one in sowings]
    latest = Date.fromordinal(printed[-1])
    ended = known_end if known_end > latest else MIDWINTER.in_year(COMMON)
    usual = degree_days(library, entry, air, sown, known_end)
    days = range(printed[-1], printed[0] - 1, -1)
    amounts = sowing_share(list(days), printed[0], days=printed, amounts=[one.best for one in sowings])
    shares = [degree_days(library, entry, air, Date.fromordinal(day), ended) / usual for day in days]
    mass = entry.values.get("dry_tops")
    most = mass.high / mass.best if mass is not None else np.inf
    return PrintedRow(tuple(shares), tuple(amounts.tolist()), most)


def _between_cuts(figures: Figures, entry: Entry) -> float | None:
    """Degree days between two cuts as published in weeks, at the mean warmth of the days on which it grows here."""
    interval = entry.values.get("cut_interval")
    if interval is None:
        return None
    year = np.arange(np.datetime64(Date(COMMON, 1, 1)), np.datetime64(Date(COMMON + 1, 1, 1)))
    gain = _gain(figures.library, entry, _air(figures), year, 0.0)
    growing = gain[gain > 0.0]
    return float(growing.mean() * interval.best * DAYS_A_YEAR) if growing.size else None


def warmth(figures: Figures, entry: Entry, first: Date, last: Date, covered: bool) -> float:
    """Degree days over the cover's base temperature from one date to another, in the climate of a plan."""
    return degree_days(figures.library, entry, _air(figures), first, last, _lift(figures, covered))


def degree_days(library: Library, entry: Entry, air: Air, first: Date, last: Date, uplift: float = 0.0) -> float:
    """Degree days over the cover's base temperature from one date to another; ``uplift`` deg C under a shelter."""
    if last <= first:
        return 0.0
    days = np.arange(np.datetime64(first), np.datetime64(last) + 1)
    gain = _gain(library, entry, air, days, uplift)
    kills = entry.values.get("frost_kill_temperature")
    if kills is not None:
        # Monthly means hold no single night: only a cold that the mean itself reaches is sure to have killed.
        gain = gain_while_alive(gain, killed_by_frost(_daily(air, days, uplift), kills.best, np.ones(len(days), bool)))
    return float(degree_days_between(gain, days, np.datetime64(first), np.datetime64(last)))


def _daily(air: Air, days: NDArray[np.datetime64], uplift: float) -> Array:
    return daily_from_normals(air.normals, days) + uplift


def _gain(library: Library, entry: Entry, air: Air, days: NDArray[np.datetime64], uplift: float) -> Array:
    """Degree days of each day that is long enough to grow in."""
    constants = library.tables["constants"]
    kind = "warm" if entry.about.get("base_temperature") == "warm" else "cool"
    base = constants[f"{kind}_base_temperature"].value("value").best
    short = constants["short_day"].value("value").best
    of_year = (days - days.astype("datetime64[Y]")).astype(int) + 1.0
    return gain_in_light(daily_gain(_daily(air, days, uplift), base), day_length(air.latitude, of_year), short)


def _air(figures: Figures) -> Air:
    return Air(normals_of(figures), latitude_of(figures) or 0.0)


def _lift(figures: Figures, covered: bool) -> float:
    site = figures.plan.site
    if not covered:
        return 0.0
    if site.uplift is not None:
        return site.uplift.best
    row = {"unheated tunnel": "tunnel_uplift", "heated glasshouse": "glasshouse_uplift"}.get(site.shelter)
    return figures.library.tables["constants"][row].value("value").best if row else 0.0
