"""What a strategy spreads in any twelve or twenty-four months, and the limits that there are on it."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, field

import numpy as np

from somsim.library import Entry
from somsim.plan.limits import Limit
from somsim.simulate import Array, Trajectory
from somsim.study.equivalence import Spread, spread_of
from somsim.timeline import Figures, Load
from somsim.units import parse_amount

HECTARE = 1e4  # m2
TYPICAL = ("field_nitrogen", "compost_nitrogen", "manure_nitrogen")
DAYS_A_YEAR = 365  # a limit of twelve months speaks of a calendar year, not of 365.25 days


@dataclass(frozen=True)
class Rule:
    """A limit on what is spread: kg/m2 of ground with its paths, of what, in how many days.

    ``named`` whether the plan names it; ``counts`` is manure, compost or all.
    """

    name: str
    nutrient: str
    counts: str
    days: int
    level: float
    source: str
    known: str
    named: bool

    @property
    def months(self) -> int:
        """The time it is for."""
        return round(12 * self.days / DAYS_A_YEAR)


@dataclass(frozen=True)
class NitrogenLoad:
    """The most nitrogen that a strategy spreads in any twelve months, kg per hectare of ground with its paths.

    ``most`` is told to people, ``draws`` (draw,) are the worlds behind it.
    """

    most: Spread
    draws: Array = field(compare=False)


def rules(figures: Figures) -> tuple[Rule, ...]:
    """The limits on what is spread that the plan names, else the typical ones of the library."""
    table = figures.library.tables["limits"]
    if figures.plan.limits is None:
        return tuple(_of_library(table[name], named=False) for name in TYPICAL)
    found = []
    for limit in figures.plan.limits:
        entry = None if limit.limit is None else figures.library.find("limits", limit.limit)
        if entry is None:
            found.append(_own(limit))
        elif entry.kind == "nitrogen" and entry.about["stop"]:
            found.append(_of_library(entry, named=True))
    return tuple(found)


def _of_library(entry: Entry, *, named: bool) -> Rule:
    counts = {"livestock manure": "manure", "compost": "compost"}.get(entry.about["counts"], "all")
    value = entry.value(entry.about["stop"])
    days = round(parse_amount(entry.about["period"], "duration").best * DAYS_A_YEAR)
    return Rule(entry.name, "nitrogen", counts, days, value.best, value.source, value.known, named)


def _own(limit: Limit) -> Rule:
    nutrient = "nitrogen" if limit.nitrogen is not None else "phosphorus"
    assert limit.own is not None
    counts, months = limit.of or "all", 24 if limit.within == "24 months" else 12
    what = {"manure": "in livestock manure", "compost": "in compost", "all": "in all that is spread"}[counts]
    name = f"your limit on {nutrient} {what}"
    return Rule(name, nutrient, counts, months // 12 * DAYS_A_YEAR, limit.own.best, limit.own.text, "plan", True)


def counted(figures: Figures, name: str, counts: str) -> bool:
    """Whether a material counts towards a limit on manure, compost or all that is spread."""
    if counts == "all":
        return True
    entry = figures.entry("materials", name)
    if entry is None:
        return False
    tags = {word.strip() for word in entry.about["tags"].split(";")}
    return counts in tags or entry.kind == counts


def loads_of(one: Trajectory, nutrient: str, counts: str) -> list[tuple[Load, Array]]:
    """What counts, kg/m2 of ground with its paths (draw,)."""
    beds = one.world.figures.plan.site.beds
    ground = beds.bed_area / beds.ground_area
    found = []
    for load in one.timeline.arrivals.loads:
        amount = getattr(load, nutrient)
        if load.kind == "material" and amount is not None and counted(one.world.figures, load.name, counts):
            found.append((load, amount * load.share * ground))
    return found


def rolling(loads: list[tuple[Load, Array]], days: int) -> list[tuple[datetime.date, Array]]:
    """What was spread in the days up to each spreading."""
    window = datetime.timedelta(days=days)
    return [
        (load.date, np.sum([each for other, each in loads if load.date - window < other.date <= load.date], axis=0))
        for load, _ in loads
    ]


def nitrogen_load(best: Trajectory, drawn: Trajectory) -> NitrogenLoad:
    """The most nitrogen in everything spread in any twelve months, over the whole ground."""
    rolled = [rolling(loads_of(one, "nitrogen", "all"), DAYS_A_YEAR) for one in (best, drawn)]
    if not rolled[0]:
        return NitrogenLoad(Spread(0.0, 0.0, 0.0, 0.0), np.zeros(drawn.timeline.problem.draws))
    most = [HECTARE * np.max([amount for _, amount in one], axis=0) for one in rolled]
    return NitrogenLoad(spread_of(most[0][0], most[1], drawn.world.draws.weights), most[1])
