"""What stands on each group of beds, day by day: spans in which nothing changes."""

from __future__ import annotations

import datetime
from bisect import bisect_right
from collections import Counter
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

from somsim.plan.actions import Cover, Crop, Dig, Idle, Spread, Uncover
from somsim.plan.model import Plan, shift
from somsim.plan.occurrences import (
    Interval,
    Occurrence,
    ground_of,
    ground_words,
    grounds_of,
    meet,
    occurrences,
    plan_year,
)
from somsim.plan.site import FactorClimate, Watering
from somsim.timeline.weather import Ground

Date = datetime.date


@dataclass(frozen=True)
class Group:
    """Beds that are treated alike in every strategy: a part of the row of beds from 0 to 1."""

    label: str
    low: float
    high: float

    @property
    def share(self) -> float:
        """Share of the bed area."""
        return self.high - self.low

    @property
    def interval(self) -> tuple[Interval, ...]:
        """The part of the row, as `occurrences.intervals` writes it."""
        return ((self.low, self.high),)


def groups(plan: Plan) -> tuple[Group, ...]:
    """The groups of beds of a plan: cut wherever an action of any strategy begins or ends."""
    cuts = {0.0, 1.0}
    lists = [plan.actions(name) for name in plan.strategies]
    for actions in [*lists, plan.before or ()]:
        for action in actions:
            for where in grounds_of(action, plan.site.beds):
                cuts.update(edge for interval in where for edge in interval)
    return tuple(
        Group(ground_words(((low, high),), plan.site.beds), low, high) for low, high in pairwise(sorted(cuts))
    )


@dataclass(frozen=True)
class Happening:
    """One round of an action, with where it was written and on which beds."""

    occurrence: Occurrence
    where: tuple[Interval, ...]

    @property
    def action(self) -> Any:
        """The action of the plan."""
        return self.occurrence.action

    def on(self, group: Group) -> bool:
        """Whether it happens on a group of beds."""
        return meet(self.where, group.interval)


def happenings(plan: Plan, actions: tuple[Any, ...], start: Date, end: Date) -> tuple[Happening, ...]:
    """Every round of every action of a strategy, in order of date."""
    beds = plan.site.beds
    found = [
        Happening(occurrence, ground_of(occurrence, grounds))
        for action in actions
        for grounds in [grounds_of(action, beds)]
        for occurrence in occurrences(action, start, end)
    ]
    return tuple(sorted(found, key=lambda one: one.occurrence.dates))


def edges(plan: Plan, happening: tuple[Happening, ...], start: Date, end: Date, extra: set[Date]) -> list[Date]:
    """Boundaries of the spans: months, years of the plan, and every date on which something happens."""
    days = {start, end, *extra}
    month = Date(start.year, start.month, 1)
    while month < end:
        days.add(month)
        month = shift(month, 1)
    for year in range(1, end.year - start.year + 2):
        days.add(shift(start, 12 * year))
    for one in happening:
        days.update(one.occurrence.dates)
    if isinstance(plan.site.irrigation, Watering):
        for year in range(start.year - 1, end.year + 2):
            days.update((plan.site.irrigation.from_.in_year(year), plan.site.irrigation.to.in_year(year)))
    return sorted(day for day in days if start <= day <= end)


def digs(one: Happening) -> bool:
    """Whether the soil is dug or tilled on the last day of a round."""
    action = one.action
    if isinstance(action, Cover):
        return action.fate(len(action.cut) - 1) == "dug in"
    return isinstance(action, Dig) or (isinstance(action, Spread | Crop) and action.then == "dug in")


def tillage_of(count: int) -> str:
    """The row of tillage for a number of diggings a year."""
    return ("no_dig_factor", "dug_once_factor")[count] if count < 2 else "dug_often_factor"


STATED = {
    "no-dig": "no_dig_factor",
    "dug once a year": "dug_once_factor",
    "tilled repeatedly": "dug_often_factor",
}


def grounds(plan: Plan, happening: tuple[Happening, ...], group: Group, days: list[Date], start: Date) -> list[Ground]:
    """The state of the ground of a group in each span between ``days``.

    A month in which a crop or cover stands on any day counts as planted, and under cover as watered, as a whole:
    a bed does not dry out between two crops.  Several diggings on one day count once.
    """
    here = [one for one in happening if one.on(group)]
    crop = _during([one for one in here if isinstance(one.action, Crop | Cover)], days)
    film_off = _during([one for one in here if isinstance(one.action, Uncover)], days)
    weeds, sheet = (_during(_idle(here, kind, dated=True), days) for kind in ("weeds", "sheet"))
    else_weeds, else_sheet = (_during(_idle(here, kind, dated=False), days) for kind in ("weeds", "sheet"))
    dug = {one.occurrence.last for one in here if digs(one) and one.occurrence.last >= start}
    years = Counter(plan_year(day, start) for day in dug)
    sheltered = plan.site.shelter != "open ground" and not isinstance(plan.site.climate, FactorClimate)
    months = [(day.year, day.month) for day in days[:-1]]
    crop_months = {month for month, stands in zip(months, crop, strict=True) if stands}
    made = []
    for span, month in enumerate(months):
        empty = not crop[span] and not weeds[span] and not sheet[span]
        under_sheet = sheet[span] or (empty and else_sheet[span])
        green = month in crop_months or weeds[span] or (empty and else_weeds[span])
        covered = sheltered and not film_off[span]
        year = plan_year(days[span], start)
        till = STATED[plan.site.tillage] if plan.site.tillage else tillage_of(years[year])
        watered = _watered(plan, days[span], covered and month in crop_months)
        made.append(Ground(green, watered, covered, under_sheet, till))
    return made


def _idle(here: list[Happening], kind: str, *, dated: bool) -> list[Happening]:
    """Rounds of idle ground of one kind: with dates of their own, or whenever nothing else stands."""
    idle = [one for one in here if isinstance(one.action, Idle) and one.action.as_ == kind]
    return [one for one in idle if (one.action.from_ is not None) == dated]


def _during(rounds: list[Happening], days: list[Date]) -> list[bool]:
    """Whether any of the rounds is under way in each span between ``days``."""
    marks = [False] * (len(days) - 1)
    for one in rounds:
        for span in range(max(bisect_right(days, one.occurrence.first) - 1, 0), len(marks)):
            if days[span] >= one.occurrence.last:
                break
            marks[span] = True
    return marks


def _watered(plan: Plan, day: Date, by_habit: bool) -> bool:
    """Under cover what grows is watered; a stated season of watering holds instead, crop or not."""
    irrigation = plan.site.irrigation
    if irrigation is None:
        return by_habit
    if irrigation == "none":
        return False
    begin, stop = irrigation.from_.in_year(day.year), irrigation.to.in_year(day.year)
    return begin <= day < stop if begin <= stop else day >= begin or day < stop
