"""Do the dates of a plan hang together: order within an action, the horizon, and what stands where."""

from __future__ import annotations

import datetime
from bisect import bisect_left
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from somsim.plan.actions import Cover, Crop, Dig, Idle, Spread, called
from somsim.plan.beds import Finding, where_is
from somsim.plan.model import shift
from somsim.plan.occurrences import Interval, Occurrence, occurrences
from somsim.plan.site import Beds
from somsim.plan.text import Source

ENOUGH = 200  # findings; a plan with more is wrong as a whole
SHOWN = 70  # characters of the other line that a clash shows
DAY = datetime.timedelta(days=1)

Date = datetime.date


@dataclass(frozen=True)
class Diary:
    """What the dates of a plan are judged by: its span, its beds, and the actions of each strategy."""

    start: Date
    end: Date
    beds: Beds
    strategies: tuple[tuple[Any, ...], ...]
    before: tuple[Any, ...] = ()


@dataclass(frozen=True)
class Course:
    """All rounds of one action, and where they happen."""

    action: Any
    rounds: tuple[Occurrence, ...]
    where: tuple[Interval, ...]


def date_findings(diary: Diary, source: Source) -> list[Finding]:
    """Every date that cannot be, and every pair of actions that would stand in one bed at once."""
    found: list[Finding] = []
    courses: dict[int, Course] = {}
    for actions in diary.strategies:
        for action in actions:
            if id(action) not in courses:  # what is always done is looked at once
                courses[id(action)] = _course(action, diary, diary.end)
                found += _order(courses[id(action)], diary)
    told: set[tuple[int, int]] = set()
    for actions in diary.strategies:
        if len(found) >= ENOUGH:
            break
        found += _clashes([courses[id(action)] for action in actions], source, told)
    return found + _before(diary, source, told)


def _course(action: Any, diary: Diary, end: Date) -> Course:
    return Course(action, tuple(occurrences(action, diary.start, end)), where_is(action, diary.beds))


def _before(diary: Diary, source: Source, told: set[tuple[int, int]]) -> list[Finding]:
    """What was done before the start: told as one year that came back, whatever the horizon."""
    found: list[Finding] = []
    yearly = []
    for action in diary.before:
        dated = action.anchor is not None and action.every != 1
        key = "every" if action.every is not None else "first_year" if action.first_year else "last_year"
        if dated or action.first_year or action.last_year:
            said = "before: tells what came back each year until the start"
            place = action.place if dated and action.every is None else action.place_of(key)
            found.append(Finding(place, said, "days without a year, and every: year"))
        else:
            course = _course(action, diary, shift(diary.start, 12))
            found += _wrong_order(course)
            yearly.append(course)
    return found + _clashes(yearly, source, told)


def _order(course: Course, diary: Diary) -> Iterator[Finding]:
    action, anchor = course.action, course.action.anchor
    last_day = diary.end - DAY
    place = action.place_of("sow" if isinstance(action, Cover) else "on" if hasattr(action, "on") else "from")
    if anchor is not None and anchor.year is not None:
        day = anchor.in_year(anchor.year)
        if day >= diary.end:
            yield Finding(place, f"{day} is after the last day of the plan, {last_day}", "make the horizon longer, or change the date")
        elif not course.rounds:
            hint = "what was done before the start goes under before:"
            yield Finding(place, f"{day} is before the first day of the plan, {diary.start}", hint)
    elif not course.rounds:
        said = f"this never happens between {diary.start} and {last_day}"
        yield Finding(place, said, "make the horizon longer, or change first_year and last_year")
    yield from _wrong_order(course)


def _wrong_order(course: Course) -> Iterator[Finding]:
    for round_ in course.rounds:
        found = list(_round_order(course.action, round_))
        yield from found
        if found:
            return


def _round_order(action: Any, round_: Occurrence) -> Iterator[Finding]:
    if isinstance(action, Cover):
        yield from _cuts_in_order(action, round_)
    elif len(round_.dates) == 2 and round_.last <= round_.first and action.anchor is not None:
        begin = f"from ({round_.first})"
        said = "is the same day as" if round_.last == round_.first else "comes before"
        yield Finding(action.place_of("to"), f"to ({round_.last}) {said} {begin}")


def _cuts_in_order(action: Cover, round_: Occurrence) -> Iterator[Finding]:
    sown, *cuts = round_.dates
    for number, (date, cut) in enumerate(zip(cuts, action.cut, strict=True), start=1):
        if date <= sown:
            said = "is on the day of sowing" if date == sown else "comes before sowing"
            yield Finding(cut.place, f"cut {number} ({cut.on.text}) {said} ({action.sow.text})")
        elif number > 1 and date <= cuts[number - 2]:
            earlier = action.cut[number - 2].on.text
            said = "is the same day as" if date == cuts[number - 2] else "comes before"
            hint = None if cut.on.year else f"if it is meant a year later: {cut.on.day} {_month(cut)} year 2"
            yield Finding(cut.place, f"cut {number} ({cut.on.text}) {said} cut {number - 1} ({earlier})", hint)


def _month(cut: Any) -> str:
    return str(cut.on.text.split()[1])


def _clashes(courses: list[Course], source: Source, told: set[tuple[int, int]]) -> list[Finding]:
    """What cannot be on the same ground at the same time; each pair of actions is told once."""
    found: list[Finding] = []
    for here in _by_ground(courses):
        if len(found) >= ENOUGH:
            break
        for pair, finding in (*_standing(here, source), *_left_alone(here, source), *_digging(here, source)):
            if pair not in told:
                told.add(pair)
                found.append(finding)
    return found


def _by_ground(courses: list[Course]) -> Iterator[list[Course]]:
    """The actions on each part of the beds that is treated alike, from the first bed on."""
    edges = sorted({edge for course in courses for interval in course.where for edge in interval})
    cells: list[list[Course]] = [[] for _ in edges[1:]]
    for course in courses:
        for low, high in course.where:
            for cell in range(bisect_left(edges, low), bisect_left(edges, high)):
                cells[cell].append(course)
    return iter(cells)


Clash = tuple[tuple[int, int], Finding]


def _rounds(courses: Iterable[Course]) -> list[Occurrence]:
    rounds = [round_ for course in courses for round_ in course.rounds if round_.last > round_.first]
    return sorted(rounds, key=lambda round_: (round_.first, round_.last))


def _standing(here: list[Course], source: Source) -> Iterator[Clash]:
    """Two things in one bed: each round is held against the one that stands longest so far."""
    standing: Occurrence | None = None
    for round_ in _rounds(course for course in here if _takes_ground(course.action)):
        if standing is not None and round_.first < standing.last:
            yield _clash(standing, round_, source)
        if standing is None or round_.last > standing.last:
            standing = round_


def _takes_ground(action: Any) -> bool:
    if isinstance(action, Cover):
        return action.undersown == "no"
    return isinstance(action, Crop) or (isinstance(action, Idle) and action.from_ is not None)


def _clash(earlier: Occurrence, later: Occurrence, source: Source) -> Clash:
    one, other = earlier.action, later.action
    pair = (id(one), id(other))
    place = other.place_of("sow" if isinstance(other, Cover) else "from")
    if one is other:
        said = f"{called(one)} still stands (until {earlier.last}) when its next round begins ({later.first})"
        return pair, Finding(place, said, "end it earlier, or let it come back less often: every: 2 years")
    said = f"{called(other)} begins on {later.first}, while {called(one)} stands until {earlier.last}"
    hint = _other_line(one, source)
    if isinstance(other, Cover) and isinstance(one, Crop):
        hint += "; a cover sown under a crop has undersown: yes"
    return pair, Finding(place, said, hint)


def _other_line(action: Any, source: Source) -> str:
    line = source.line_at(action.place).strip()
    shown = line if len(line) <= SHOWN else line[:SHOWN] + "..."
    return f"the other is line {action.place.line}: {shown}"


def _left_alone(here: list[Course], source: Source) -> Iterator[Clash]:
    """Two answers to what becomes of ground on which nothing stands."""
    idle = [course.action for course in here if isinstance(course.action, Idle) and not course.action.from_]
    for other in idle[1:]:
        said = f"{called(other)} and {called(idle[0])} at once, whenever nothing else stands"
        place = other.place_of("as")
        yield (id(idle[0]), id(other)), Finding(place, said, _other_line(idle[0], source))


def _digging(here: list[Course], source: Source) -> Iterator[Clash]:
    """Soil that is dug while something grows in it: digging, and whatever is dug in."""
    plants = _rounds(course for course in here if isinstance(course.action, Crop | Cover))
    digging = sorted(
        (round_ for course in here if _digs(course.action) for round_ in course.rounds),
        key=lambda round_: round_.last,
    )
    standing: Occurrence | None = None
    number = 0
    for dig in digging:
        while number < len(plants) and plants[number].first < dig.last:
            if standing is None or plants[number].last > standing.last:
                standing = plants[number]
            number += 1
        if standing is not None and dig.last < standing.last and standing.action is not dig.action:
            yield _dug(dig, standing, source)


def _digs(action: Any) -> bool:
    if isinstance(action, Cover):
        return action.fate(len(action.cut) - 1) == "dug in"
    return isinstance(action, Dig) or (isinstance(action, Spread | Crop) and action.then == "dug in")


def _dug(dig: Occurrence, standing: Occurrence, source: Source) -> Clash:
    what = "digging" if isinstance(dig.action, Dig) else f"{called(dig.action)} is dug in"
    said = f"{what} on {dig.last}, while {called(standing.action)} stands until {standing.last}"
    place = dig.action.place_of("on" if isinstance(dig.action, Dig) else "then")
    return (id(dig.action), id(standing.action)), Finding(place, said, _other_line(standing.action, source))
