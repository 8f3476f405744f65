"""What a cover weighs when nobody weighed it: the library's figure, carried to the plan's dates by warmth and light."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from somsim.climate.sun import day_length
from somsim.growth.degree_days import daily_from_normals, daily_gain, degree_days_between, gain_in_light
from somsim.growth.standing import Shape, gain_while_alive, killed_by_frost, logistic_shape, share_grown
from somsim.library import Entry
from somsim.plan.days import Day, read_day
from somsim.plan.site import FactorClimate
from somsim.timeline.figures import Figures
from somsim.timeline.weather import latitude_of, normals_of
from somsim.timeline.world import World

Array = NDArray[np.float64]
Date = datetime.date
COMMON = 2025  # the first of three years without a leap day
FLOWERING_ROW = "_flower"  # a row of that ending tells when a cover that is usually cut young comes to flower


@dataclass(frozen=True)
class Growth:
    """The season of one cover at one place.

    ``shares`` are degree days from sowing to each cut, over those of its life to flowering (cut,); ``known_share``
    the same at the end of the window for which a mass is published.  ``stages`` at each cut.
    """

    shares: tuple[float, ...]
    known_share: float
    stages: tuple[str, ...]


def shape_of(world: World) -> Shape:
    """The growth curve, per draw."""
    return logistic_shape(
        world.constant("growth_half_share"), world.constant("growth_early_point"), world.constant("growth_early_share")
    )


def growth(figures: Figures, entry: Entry, dates: tuple[Date, ...], *, covered: bool) -> Growth | None:
    """Degree days of a sowing and its cuts beside those of the published window.

    The window is taken in open ground at the plan's own climate: published masses are outdoor masses.  Under cover
    the plan's dates have the warmer air.  Days shorter than the library's short day give nothing, and a plant that
    frost kills gains nothing once the mean of a day is that cold.  A cover whose
    published end is before flowering has its life counted to the flowering of the row that tells it.  None where
    nothing is known of the temperature or the window.
    """
    if isinstance(figures.plan.site.climate, FactorClimate):
        return None
    window = _window(figures, entry)
    if window is None:
        return None
    sown, known_end, life_end = window
    begin, *cuts = _in_common_years(dates)
    own = [warmth(figures, entry, begin, cut, covered) for cut in cuts]
    known = warmth(figures, entry, sown, known_end, False)
    life = warmth(figures, entry, sown, life_end, False)
    if known <= 0.0 or life <= 0.0:
        return None
    ends_at = entry.about.get("stage_at_end") or "vegetative"
    flowering = 1.0 if life_end > known_end or ends_at != "vegetative" else np.inf
    shares = tuple(warmth / life for warmth in own)
    stages = tuple("flower" if share >= flowering else "vegetative" for share in shares)
    return Growth(shares, known / life, stages)


def grown_share(found: Growth, shape: Shape) -> list[Array]:
    """Mass at each cut as a multiple of the published mass (draw,), had nothing been cut before."""
    known = share_grown(found.known_share, shape)
    return [np.asarray(share_grown(share, shape) / known) for share in found.shares]


def regrown_share(found: Growth, shape: Shape) -> list[Array]:
    """Mass grown from each cut to the next as a multiple of the published mass (draw,); the first from sowing."""
    known = share_grown(found.known_share, shape)
    steps = np.diff(found.shares, prepend=0.0)
    return [np.asarray(share_grown(step, shape) / known) for step in steps]


def _in_common_years(dates: tuple[Date, ...]) -> list[Date]:
    """The same days counted from 2025, so that a leap day makes no crop heavier."""
    first = dates[0].year
    return [Day(day.day, day.month).in_year(COMMON + day.year - first) for day in dates]


def _window(figures: Figures, entry: Entry) -> tuple[Date, Date, Date] | None:
    """Sowing, published end and flowering of a cover, as dates of one season; half a year on in the south."""
    first, last = entry.about.get("window_sow"), entry.about.get("window_end")
    if not first or not last:
        return None
    south = (latitude_of(figures) or 0.0) < 0.0
    sown = _day(first, south).in_year(COMMON)
    known_end = _after(_day(last, south), sown)
    later = figures.library.tables["covers"].get(entry.id + FLOWERING_ROW)
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


def warmth(figures: Figures, entry: Entry, first: Date, last: Date, covered: bool) -> float:
    """Degree days over the cover's base temperature from one date to another."""
    if last <= first:
        return 0.0
    constants = figures.library.tables["constants"]
    kind = "warm" if entry.about.get("base_temperature") == "warm" else "cool"
    base = constants[f"{kind}_base_temperature"].value("value").best
    short = constants["short_day"].value("value").best
    days = np.arange(np.datetime64(first), np.datetime64(last) + 1)
    warm = daily_from_normals(normals_of(figures), days) + (_uplift(figures) if covered else 0.0)
    of_year = (days - days.astype("datetime64[Y]")).astype(int) + 1.0
    light = day_length(latitude_of(figures) or 0.0, of_year)
    gain = gain_in_light(daily_gain(warm, base), light, short)
    kills = entry.values.get("frost_kill_temperature")
    if kills is not None:
        # Monthly means hold no single night: only a cold that the mean itself reaches is sure to have killed.
        gain = gain_while_alive(gain, killed_by_frost(warm, kills.best, np.ones(len(days), dtype=bool)))
    return float(degree_days_between(gain, days, np.datetime64(first), np.datetime64(last)))


def _uplift(figures: Figures) -> float:
    site = figures.plan.site
    if site.uplift is not None:
        return site.uplift.best
    row = {"unheated tunnel": "tunnel_uplift", "heated glasshouse": "glasshouse_uplift"}.get(site.shelter)
    return figures.library.tables["constants"][row].value("value").best if row else 0.0
