"""What stands in the beds when: the year of each strategy, as it comes round."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from somsim.plan.actions import AMOUNTS, Cover, Crop, Dig, Idle, Spread, Uncover
from somsim.plan.model import Plan, shift
from somsim.timeline.ground import Group, Happening, groups, happenings

Date = datetime.date
Kind = Literal["crop", "cover", "weeds", "sheet", "bare", "film off"]
GROUND: dict[str, str] = {"weeds": "weeds", "sheet": "under a sheet", "bare": "bare ground"}
UNDER_WAY = 1  # day: shorter gaps between two crops are the turn of a hand


@dataclass(frozen=True)
class Standing:
    """What is on the beds from one day to another of a year of the plan; ``last`` is the day it ends.

    ``begin`` and ``end`` are the same as shares of that year, 0 to 1; ``carries_on`` it stood before, or stands after.
    """

    what: str
    kind: Kind
    first: Date
    last: Date
    begin: float
    end: float

    @property
    def carries_on(self) -> tuple[bool, bool]:
        """Whether it stood before the year began, and whether it stands on after its end."""
        return self.begin <= 0.0, self.end >= 1.0


@dataclass(frozen=True)
class Deed:
    """Something done on one day: a spreading, a cut, digging; ``place`` is its share of the year, 0 to 1."""

    what: str
    date: Date
    place: float


@dataclass(frozen=True)
class Round:
    """A year of some beds, and the years of the plan, from 1, that are like it."""

    beds: str
    years: tuple[int, ...]
    begin: Date
    standing: tuple[Standing, ...]
    deeds: tuple[Deed, ...]


@dataclass(frozen=True)
class Calendar:
    """One strategy: for each group of beds, every kind of year it has."""

    strategy: str
    rounds: tuple[Round, ...]


def calendars(plan: Plan, strategies: Iterable[str]) -> tuple[Calendar, ...]:
    """Lay out the years of some strategies; years alike are told once, with their numbers."""
    parts = groups(plan)
    years = _years(plan)
    made = []
    for name in strategies:
        found = happenings(plan, plan.actions(name), plan.start, plan.end)
        rounds = [one for part in parts for one in _alike(part, found, years, plan)]
        made.append(Calendar(name, tuple(rounds)))
    return tuple(made)


def _years(plan: Plan) -> list[tuple[Date, Date]]:
    """First day of each year of the plan and the day after its last; the last one may be short."""
    found, number = [], 0
    while shift(plan.start, 12 * number) < plan.end:
        found.append((shift(plan.start, 12 * number), shift(plan.start, 12 * (number + 1))))
        number += 1
    return found


def _alike(part: Group, found: Sequence[Happening], years: list[tuple[Date, Date]], plan: Plan) -> Iterable[Round]:
    """Every kind of year of one group of beds, in the order in which it first comes."""
    here = [one for one in found if one.on(part)]
    kinds: dict[object, tuple[list[int], Round]] = {}
    for number, (begin, end) in enumerate(years, start=1):
        standing = _standing(here, begin, min(end, plan.end), end)
        deeds = tuple(_deeds(here, begin, min(end, plan.end), end))
        pattern = (
            tuple((one.what, f"{one.first:%m%d}", f"{one.last:%m%d}", one.carries_on) for one in standing),
            tuple((one.what, f"{one.date:%m%d}") for one in deeds),
        )
        kinds.setdefault(pattern, ([], Round(part.label, (), begin, standing, deeds)))[0].append(number)
    for numbers, one in kinds.values():
        yield Round(one.beds, tuple(numbers), one.begin, one.standing, one.deeds)


def _standing(here: Sequence[Happening], begin: Date, end: Date, whole: Date) -> tuple[Standing, ...]:
    made: list[Standing] = []
    days = (whole - begin).days

    def put(what: str, kind: Kind, first: Date, last: Date) -> None:
        low, high = max(first, begin), min(last, end)
        if low < high:
            made.append(Standing(what, kind, first, last, (low - begin).days / days, (high - begin).days / days))

    for one in here:
        action, first, last = one.action, one.occurrence.first, one.occurrence.last
        if isinstance(action, Crop):
            put(action.name, "crop", first, last)
        elif isinstance(action, Cover):
            put(action.name, "cover", first, last)
        elif isinstance(action, Idle) and action.from_ is not None:
            put(GROUND[action.as_], action.as_, first, last)
        elif isinstance(action, Uncover):
            put("film off", "film off", first, last)
    lasting = [one for one in here if isinstance(one.action, Idle) and one.action.from_ is None]
    for first, last in _gaps(made, begin, end):
        for one in lasting:
            low, high = max(first, one.occurrence.first), min(last, one.occurrence.last)
            put(GROUND[one.action.as_], one.action.as_, low, high)
    for first, last in _gaps(made, begin, end):
        put(GROUND["bare"], "bare", first, last)
    return tuple(sorted(made, key=lambda one: (one.begin, one.end)))


def _gaps(made: Sequence[Standing], begin: Date, end: Date) -> list[tuple[Date, Date]]:
    """Times within a year in which nothing stands."""
    found, since = [], begin
    for one in sorted((one for one in made if one.kind != "film off"), key=lambda one: one.first):
        if (one.first - since).days > UNDER_WAY:
            found.append((since, one.first))
        since = max(since, one.last)
    if (end - since).days > UNDER_WAY:
        found.append((since, end))
    return found


def _deeds(here: Sequence[Happening], begin: Date, end: Date, whole: Date) -> Iterable[Deed]:
    days = (whole - begin).days
    found = []
    for one in here:
        for what, day in _done(one):
            if begin <= day < end:
                found.append(Deed(what, day, (day - begin).days / days))
    return sorted(found, key=lambda deed: (deed.date, deed.what))


def _done(one: Happening) -> Iterable[tuple[str, Date]]:
    action, dates = one.action, one.occurrence.dates
    if isinstance(action, Spread):
        yield f"{action.material}, {_amount(action)}, {action.then}", dates[0]
    elif isinstance(action, Dig):
        yield "digging", dates[0]
    elif isinstance(action, Cover):
        for number, day in enumerate(dates[1:]):
            yield f"cut of {action.name}, {action.fate(number)}", day


def _amount(action: Spread) -> str:
    name = next(name for name in AMOUNTS if getattr(action, name) is not None)
    text = str(getattr(action, name).text)
    return f"{text} of the heap" if name == "heap_share" else f"{text} dry" if name == "dry_mass" else text
