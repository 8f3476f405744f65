"""Measured or dated things held against limits: raw manure before harvests, metals in materials, salt in the soil."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

from somsim.plan.actions import Crop
from somsim.plan.occurrences import meet
from somsim.simulate import Trajectory
from somsim.timeline import Figures, Load
from somsim.timeline.ground import Happening

DAYS = 365.25  # the library keeps days as years
WAIT = "raw_manure_wait"


@dataclass(frozen=True)
class ManureWait:
    """Raw manure before a harvest on the same beds, the first time it comes so.

    ``verdict`` is "stands" (the crop is there when it is spread), "too soon" (cleared before the wait is over) or
    "wait" (nothing may be harvested before ``earliest``).
    """

    strategy: str
    material: str
    crop: str
    spread: datetime.date
    earliest: datetime.date
    days: int
    verdict: str


@dataclass(frozen=True)
class MetalHeld:
    """A metal of a material's analysis, share of its dry matter, against one list of limits."""

    material: str
    metal: str
    found: float
    level: float
    limit: str
    source: str
    known: str

    @property
    def passed(self) -> bool:
        """Whether it is over the limit."""
        return self.found > self.level


@dataclass(frozen=True)
class SaltHeld:
    """A soil salt test against the level at which losses begin by that method, dS/m; None where none is published."""

    found: float
    text: str
    test: str
    level: float | None
    source: str
    known: str

    @property
    def passed(self) -> bool:
        """Whether it is over the level."""
        return self.level is not None and self.found > self.level


def manure_waits(one: Trajectory) -> tuple[ManureWait, ...]:
    """Every raw manure that is spread before a harvest may be safe; each pair of material and crop once."""
    found: dict[tuple[str, str, str], ManureWait] = {}
    for load in one.timeline.arrivals.loads:
        for wait in waits_after_manure(one, load):
            found.setdefault((wait.material, wait.crop, wait.verdict), wait)
    return tuple(found.values())


def waits_after_manure(one: Trajectory, load: Load) -> tuple[ManureWait, ...]:
    """The harvests that have to wait for one spreading, where it is of raw manure."""
    if load.kind != "material" or not _is_raw(one.world.figures, load.name):
        return ()
    return tuple(_waits(one, load, [h for h in one.timeline.happenings if isinstance(h.action, Crop)]))


def _is_raw(figures: Figures, name: str) -> bool:
    entry = figures.entry("materials", name)
    return entry is not None and "raw manure" in {word.strip() for word in entry.about["tags"].split(";")}


def _waits(one: Trajectory, load: Load, crops: list[Happening]) -> Iterator[ManureWait]:
    for crop in crops:
        first, last = crop.occurrence.first, crop.occurrence.last
        if not meet(crop.where, load.happening.where) or last < load.date:
            continue
        days = _days(one.world.figures, crop.action.name)
        earliest = load.date + datetime.timedelta(days=days)
        if first >= earliest:
            continue
        verdict = "stands" if first < load.date else "too soon" if last < earliest else "wait"
        yield ManureWait(one.timeline.strategy, load.name, crop.action.name, load.date, earliest, days, verdict)


def _days(figures: Figures, crop: str) -> int:
    """Days to wait: the longer time unless the library says that the eaten part does not touch the soil."""
    entry = figures.entry("crops", crop)
    touches = entry is None or entry.about.get("edible_touches_soil", "yes") != "no"
    row = figures.library.tables["limits"][WAIT]
    return round(row.value("touches_soil" if touches else "otherwise").best * DAYS)


def metals_held(figures: Figures) -> tuple[MetalHeld, ...]:
    """Every metal measured against every list that the plan names, or all of the library's."""
    lists = [entry for entry in figures.library.tables["limits"].values() if entry.kind == "metals"]
    named = [figures.library.find("limits", one.limit) for one in figures.plan.limits or () if one.limit is not None]
    chosen = [entry for entry in lists if entry in named] or lists
    found = []
    for name, own in figures.plan.materials.items():
        for metal, amount in own.metals.measured().items() if own.metals is not None else ():
            for entry in chosen:
                if metal in entry.values:
                    value = entry.value(metal)
                    found.append(MetalHeld(name, metal, amount.high, value.best, entry.name, value.source, value.known))
    return tuple(found)


def salt_held(figures: Figures) -> SaltHeld | None:
    """The plan's soil salt test against the level of its own method; methods are never mixed."""
    test = figures.plan.site.soil.salt
    if test is None:
        return None
    row = figures.library.tables["limits"]["salt_soil_one_to_two"]
    value = row.value(row.about["stop"])
    level = value.printed[0] if test.test == "1:2" else None
    return SaltHeld(test.value.high, test.value.text, test.test, level, value.source, value.known)
