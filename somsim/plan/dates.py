"""Do the dates of a plan hang together: order within an action, the horizon, and what stands where."""

from __future__ import annotations

import datetime
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain, pairwise
from typing import Any

from somsim.errors import Place
from somsim.plan.actions import Cover, Crop, Dig, Idle, Spread, called
from somsim.plan.beds import Finding, where_is
from somsim.plan.model import shift
from somsim.plan.occurrences import Interval, Occurrence, ground_of, ground_words, occurrences
from somsim.plan.site import Beds
from somsim.plan.text import Source

ENOUGH = 200  # findings; a plan with more is wrong as a whole
MOST_ROUNDS = 300_000  # of all actions: thousands of actions for centuries take minutes to look through
MOST_COMPARED = 1_000_000  # rounds on separately treated parts of the beds
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
    if _rounds_to_come(diary) > MOST_ROUNDS:
        return [_too_many(source, f"{MOST_ROUNDS:,} rounds of all actions together")]
    for actions in diary.strategies:
        for action in actions:
            if id(action) not in courses:  # what is always done is looked at once
                courses[id(action)] = _course(action, diary, diary.end)
                found += _order(courses[id(action)], diary)
    told: set[tuple[int, int]] = set()
    listed = [
        [one for action in actions for one in _in_turn(courses[id(action)], diary.beds)] for actions in diary.strategies
    ]
    if sum(_compared(actions) for actions in listed) > MOST_COMPARED:
        return [*found, _too_many(source, f"{MOST_COMPARED:,} rounds on separate parts of the beds")]
    for together in listed:
        if len(found) < ENOUGH:
            found += _clashes(together, diary.beds, source, told)
    return found + _before(diary, source, told)


def _rounds_to_come(diary: Diary) -> float:
    unique = {id(action): action for actions in diary.strategies for action in actions}
    years = (diary.end - diary.start).days / 365.25
    return sum(years / (action.every or years) for action in unique.values())


def _compared(courses: list[Course]) -> int:
    """How many rounds there are on all parts of the beds, without going through them."""
    edges = _edges(courses)
    return sum(
        len(course.rounds) * (bisect_left(edges, high) - bisect_left(edges, low))
        for course in courses
        for low, high in course.where
    )


def _too_many(source: Source, most: str) -> Finding:
    said = f"this plan is too large to be looked through: at most {most}"
    return Finding(Place(source.name, 1, 1), said, "fewer strategies or actions, or a shorter horizon")


def _course(action: Any, diary: Diary, end: Date) -> Course:
    grounds = where_is(action, diary.beds)
    return Course(action, tuple(occurrences(action, diary.start, end)), grounds[0])


def _in_turn(course: Course, beds: Beds) -> list[Course]:
    """The rounds of an action by the ground they are on: one course, or one for each turn."""
    if course.action.in_turn is None:
        return [course]
    grounds = where_is(course.action, beds)
    by_ground: dict[tuple[Interval, ...], list[Occurrence]] = defaultdict(list)
    for round_ in course.rounds:
        by_ground[ground_of(round_, grounds)].append(round_)
    return [Course(course.action, tuple(rounds), where) for where, rounds in by_ground.items()]


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
        elif action.in_turn is not None:
            said = "before: tells what came back each year on the same beds, so no beds take turns in it"
            found.append(Finding(action.place_of("in_turn"), said, "leave in_turn out, and name beds or a share"))
        else:
            course = _course(action, diary, shift(diary.start, 12))
            found += _wrong_order(course)
            yearly.append(course)
    return found + _clashes(yearly, diary.beds, source, told)


def _order(course: Course, diary: Diary) -> Iterator[Finding]:
    action, anchor = course.action, course.action.anchor
    last_day = diary.end - DAY
    place = action.place_of("sow" if isinstance(action, Cover) else "on" if hasattr(action, "on") else "from")
    if anchor is not None and anchor.year is not None:
        day = anchor.in_year(anchor.year)
        if day >= diary.end:
            said = f"{day} is after the last day of the plan, {last_day}"
            yield Finding(place, said, "make the horizon longer, or change the date")
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
            yield Finding(
                cut.place, f"cut {number} ({cut.on.text}) {said} cut {number - 1} ({earlier})", hint
            )


def _month(cut: Any) -> str:
    return str(cut.on.text.split()[1])


def _clashes(courses: list[Course], beds: Beds, source: Source, told: set[tuple[int, int]]) -> list[Finding]:
    """What cannot be on the same ground at the same time; each pair of actions is told once."""
    found: list[Finding] = []
    for ground, here in _by_ground(courses):
        for clash in chain(_standing(here), _left_alone(here), _digging(here)):
            pair = (id(clash.earlier), id(clash.later))
            if pair not in told and len(found) < ENOUGH:
                told.add(pair)
                found.append(_clash_finding(clash, ground_words((ground,), beds), source))
        if len(found) >= ENOUGH:
            break
    return found


def _edges(courses: list[Course]) -> list[float]:
    return sorted({edge for course in courses for interval in course.where for edge in interval})


def _by_ground(courses: list[Course]) -> Iterator[tuple[Interval, list[Course]]]:
    """The actions on each part of the beds that is treated alike, from the first bed on."""
    begin: dict[float, list[int]] = defaultdict(list)
    end: dict[float, list[int]] = defaultdict(list)
    for number, course in enumerate(courses):
        for low, high in course.where:
            begin[low].append(number)
            end[high].append(number)
    here: set[int] = set()
    for edge, next_edge in pairwise([*_edges(courses), 1.0]):
        here.difference_update(end[edge])
        here.update(begin[edge])
        if here:
            yield (edge, next_edge), [courses[number] for number in sorted(here)]


@dataclass(frozen=True)
class Clash:
    """Two actions that cannot both be: the later one, where it is told, what is said, and the earlier one."""

    earlier: Any
    later: Any
    key: str
    kind: str
    dates: tuple[Date, ...] = ()


def _rounds(courses: Iterable[Course]) -> list[Occurrence]:
    rounds = [round_ for course in courses for round_ in course.rounds if round_.last > round_.first]
    return sorted(rounds, key=lambda round_: (round_.first, round_.last))


def _standing(here: list[Course]) -> Iterator[Clash]:
    """Two things in one bed: each round is held against the one that stands longest so far."""
    standing: Occurrence | None = None
    for round_ in _rounds(course for course in here if _takes_ground(course.action)):
        if standing is not None and round_.first < standing.last:
            later = round_.action
            key = "sow" if isinstance(later, Cover) else "from"
            yield Clash(standing.action, later, key, "stands", (standing.last, round_.first))
        if standing is None or round_.last > standing.last:
            standing = round_


def _takes_ground(action: Any) -> bool:
    if isinstance(action, Cover):
        return action.undersown == "no"
    return isinstance(action, Crop) or (isinstance(action, Idle) and action.from_ is not None)


def _left_alone(here: list[Course]) -> Iterator[Clash]:
    """Two answers to what becomes of ground on which nothing stands."""
    idle = [course for course in here if isinstance(course.action, Idle) and not course.action.from_]
    periods = sorted((round_ for course in idle for round_ in course.rounds), key=lambda one: one.first)
    for one, other in pairwise(periods):
        if other.first < one.last:
            yield Clash(one.action, other.action, "as", "idle")


def _digging(here: list[Course]) -> Iterator[Clash]:
    """Soil that is dug while something grows in it: digging, and whatever is dug in."""
    plants = _rounds(course for course in here if isinstance(course.action, Crop | Cover))
    diggers = [course for course in here if _digs(course.action)] if plants else []
    standing: Occurrence | None = None
    number = 0
    for dig in sorted((one for course in diggers for one in course.rounds), key=lambda one: one.last):
        while number < len(plants) and plants[number].first < dig.last:
            if standing is None or plants[number].last > standing.last:
                standing = plants[number]
            number += 1
        if standing is not None and dig.last < standing.last and standing.action is not dig.action:
            key = "on" if isinstance(dig.action, Dig) else "then"
            yield Clash(standing.action, dig.action, key, "dug", (standing.last, dig.last))


def _digs(action: Any) -> bool:
    if isinstance(action, Cover):
        return action.fate(len(action.cut) - 1) == "dug in"
    return isinstance(action, Dig) or (isinstance(action, Spread | Crop) and action.then == "dug in")


def _clash_finding(clash: Clash, ground: str, source: Source) -> Finding:
    """What is said of a clash; where beds take turns also on which of them it is."""
    one, other = clash.earlier, clash.later
    where = f" on {ground}" if one.in_turn is not None or other.in_turn is not None else ""
    place, hint = other.place_of(clash.key), _other_line(one, source)
    if clash.kind == "idle":
        return Finding(place, f"{called(other)} and {called(one)} at once, whenever nothing else stands", hint)
    until, date = clash.dates
    if clash.kind == "dug":
        what = "digging" if isinstance(other, Dig) else f"{called(other)} is dug in"
        return Finding(place, f"{what} on {date}, while {called(one)} stands{where} until {until}", hint)
    if one is other:
        said = f"{called(one)} still stands{where} (until {until}) when its next round begins ({date})"
        return Finding(place, said, "end it earlier, or let it come back less often: every: 2 years")
    if isinstance(other, Cover) and isinstance(one, Crop):
        hint = f"a cover sown under a crop has undersown: yes; {hint}"
    return Finding(place, f"{called(other)} begins on {date}, while {called(one)} stands{where} until {until}", hint)


def _other_line(action: Any, source: Source) -> str:
    line = source.line_at(action.place).strip()
    shown = line if len(line) <= SHOWN else line[:SHOWN] + "..."
    return f"the other is line {action.place.line}: {shown}"
