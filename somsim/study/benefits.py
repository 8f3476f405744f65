"""What organic matter does not show: which other benefits apply in this place, why, and how well they are known.

Nothing here is added up to a score.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from somsim.plan.actions import Cover, Dig, Idle
from somsim.plan.model import Plan
from somsim.simulate import Trajectory
from somsim.study.equivalence import Spread
from somsim.study.nutrients import Nutrients
from somsim.timeline.weather import latitude_of

SUMMER_HALF = range(4, 10)  # April to September, the months in which plants use more water than it rains; of the north
LEAST = 1e-6  # kg/m2/yr
LEAST_MONTHS = 0.05


@dataclass(frozen=True)
class Months:
    """Months of a mean year, over all beds: with plants, under rain, and under rain with or without cover."""

    planted: float
    rain: float
    rain_covered: float
    wet: float
    wet_planted: float

    @property
    def rain_bare(self) -> float:
        """Months in which rain falls on ground without plants or a sheet."""
        return self.rain - self.rain_covered


@dataclass(frozen=True)
class Benefit:
    """One benefit in one strategy: whether it applies here and why; a figure where there is one, with its unit.

    ``evidence`` has the names of ``printed`` figures (kg/m2) in braces, to be filled in the reader's units.
    """

    id: str
    name: str
    strategy: str
    applies: bool
    why: str
    value: Spread | None
    unit: str
    evidence: str
    strength: str
    known: str
    source: str
    printed: dict[str, float]


@dataclass(frozen=True)
class Seen:
    """What the rules look at."""

    plan: Plan
    actions: tuple[object, ...]
    months: Months
    nutrients: Nutrients
    food: Spread


Verdict = tuple[bool, str, Spread | None, str]


def benefits(one: Trajectory, nutrients: Nutrients, food: Spread) -> tuple[Benefit, ...]:
    """Every benefit of the library in one strategy; ``food`` is kg C/m2 decomposed a year."""
    figures, strategy = one.world.figures, one.timeline.strategy
    plan = figures.plan
    seen = Seen(plan, plan.actions(strategy), months_of(one), nutrients, food)
    found = []
    for entry in figures.library.tables["benefits"].values():
        applies, why, figure, unit = RULES[entry.id](seen)
        about = entry.about
        words = (about["evidence"], about["strength"], about["known"], about["source"])
        printed = {name: value.best for name, value in entry.values.items()}
        found.append(Benefit(entry.id, entry.name, strategy, applies, why, figure, unit, *words, printed))
    return tuple(found)


def months_of(one: Trajectory) -> Months:
    """Add up the state of the ground, month by month, over the beds."""
    timeline = one.timeline
    south = (latitude_of(one.world.figures) or 0.0) < 0.0
    lengths = 12.0 * np.asarray(timeline.problem.years)
    total = lengths.sum() / 12.0
    wet = np.array([(day.month in SUMMER_HALF) == south for day in timeline.dates[:-1]])
    sums = np.zeros(5)
    for group, states in zip(timeline.groups, timeline.ground, strict=True):
        planted = np.array([state.planted for state in states])
        rain = np.array([not state.covered for state in states])
        held = planted | np.array([state.sheet for state in states])
        parts = (planted, rain, rain & held, rain & wet, rain & wet & planted)
        sums += group.share * np.array([(lengths * part).sum() for part in parts])
    return Months(*(float(value) for value in sums / total))


def _exact(value: float) -> Spread:
    return Spread(value, value, value, value)


def _count(months: float) -> str:
    return f"{months:.0f}" if months >= 9.95 or abs(months - round(months)) < LEAST_MONTHS else f"{months:.1f}"


def _erosion(seen: Seen) -> Verdict:
    months = seen.months
    if months.rain < LEAST_MONTHS:
        return False, "no rain reaches the soil: the film stays on", None, ""
    bare = _exact(months.rain_bare)
    if months.rain_covered < LEAST_MONTHS:
        return (
            False,
            "rain reaches the soil, and nothing grows or covers it then",
            bare,
            "months of rain on bare ground",
        )
    held, all_of_them = _count(months.rain_covered), _count(months.rain)
    why = f"in {held} of the {all_of_them} months with rain the ground is planted or covered"
    return True, why, bare, "months of rain on bare ground"


def _leaching(seen: Seen) -> Verdict:
    months = seen.months
    if months.wet < LEAST_MONTHS:
        return (
            False,
            "no rain reaches the soil in the wet half of the year; only heavy watering could wash it",
            None,
            "",
        )
    if months.wet_planted < LEAST_MONTHS:
        return False, "nothing grows in the wet half of the year", None, ""
    why = f"plants stand in {_count(months.wet_planted)} of the {_count(months.wet)} wet months with rain"
    return True, why, _exact(months.wet_planted), "wet months with plants"


def _weeds(seen: Seen) -> Verdict:
    covers = [action for action in seen.actions if isinstance(action, Cover)]
    sheets = [action for action in seen.actions if isinstance(action, Idle) and action.as_ == "sheet"]
    if not covers and not sheets:
        return False, "no cover is sown and no sheet is laid", None, ""
    names = [action.name for action in covers] + ["the sheet"] * bool(sheets)
    return True, f"{' and '.join(dict.fromkeys(names))} would take the light, if the stand is thick", None, ""


def _fixed(seen: Seen) -> Verdict:
    fixed = seen.nutrients.nitrogen["fixed"]
    if fixed.p90 < LEAST:
        return False, "no legume is cut, or nobody published its share", None, ""
    return True, "in the tops; that of the roots is not published", fixed, "kg N/m2/yr"


def _life(seen: Seen) -> Verdict:
    why = f"carbon decomposed in a year, and plants with living roots in {_count(seen.months.planted)} months of it"
    return True, why, seen.food, "kg C/m2/yr"


def _structure(seen: Seen) -> Verdict:
    covers = dict.fromkeys(action.name for action in seen.actions if isinstance(action, Cover))
    if not covers:
        return False, "no cover roots the soil between crops", None, ""
    dug = any(isinstance(action, Dig) or getattr(action, "then", "") == "dug in" for action in seen.actions)
    return True, f"roots of {' and '.join(covers)}{', though digging undoes a part of it' if dug else ''}", None, ""


def _kept(seen: Seen) -> Verdict:
    covers = dict.fromkeys(action.name for action in seen.actions if isinstance(action, Cover))
    sheets = any(isinstance(action, Idle) and action.as_ == "sheet" for action in seen.actions)
    if not covers and not sheets:
        return False, "nothing covers the beds between crops", None, ""
    names = [*covers, *(["a sheet"] if sheets else [])]
    return True, f"under {' and '.join(names)} the bed waits; a cover must still be cut on its day", None, ""


RULES: dict[str, Callable[[Seen], Verdict]] = {
    "erosion": _erosion,
    "leaching": _leaching,
    "weeds": _weeds,
    "nitrogen_fixed": _fixed,
    "soil_life": _life,
    "structure": _structure,
    "kept_bed": _kept,
}
