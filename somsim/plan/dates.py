"""Do the dates of a plan hang together: order within an action, the horizon, and what stands where."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import Any

from somsim.errors import Place, Problem
from somsim.plan.actions import Cover, Crop, Dig, Idle
from somsim.plan.mistakes import at
from somsim.plan.model import Plan
from somsim.plan.occurrences import Interval, Occurrence, intervals, meet, occurrences
from somsim.plan.text import Source

Finding = tuple[Place | None, str, str | None]


def date_problems(plan: Plan, source: Source) -> list[Problem]:
    """Every date that cannot be, and every pair of things that would stand in one bed at once."""
    found: dict[tuple[int, int, str], Finding] = {}
    for finding in _all_findings(plan, source):
        place = finding[0]
        key = (place.line if place else 0, place.column if place else 0, finding[1])
        found.setdefault(key, finding)
    return [at(place, message, source, hint) for place, message, hint in found.values()]


def _all_findings(plan: Plan, source: Source) -> Iterator[Finding]:
    lists = [plan.actions(name) for name in plan.strategies]
    if plan.before:
        lists.append(plan.before)
        yield from _before(plan.before)
    for actions in lists:
        for action in actions:
            yield from _order(plan, action)
        yield from _clashes(plan, actions, source)


def _before(actions: tuple[Any, ...]) -> Iterator[Finding]:
    for action in actions:
        if (action.anchor is not None and action.every != 1) or action.first_year or action.last_year:
            yield action.place, "what was done before is told as it came back each year", "every: year"


def _order(plan: Plan, action: Any) -> Iterator[Finding]:
    rounds = occurrences(action, plan.start, plan.end)
    anchor = action.anchor
    if anchor is not None and anchor.year is not None:
        day = anchor.in_year(anchor.year)
        if day >= plan.end:
            yield action.place, f"{day} is after the end of the plan, {plan.end}", None
        elif not rounds:
            yield action.place, f"{day} is before the start of the plan, {plan.start}", None
    elif not rounds:
        yield action.place, f"this never happens between {plan.start} and {plan.end}", None
    for round_ in rounds[:1]:
        if isinstance(action, Cover):
            yield from _cuts_in_order(action, round_)
        elif len(round_.dates) == 2 and round_.last <= round_.first:
            yield action.place, f"it ends on {round_.last}, before it begins on {round_.first}", None


def _cuts_in_order(action: Cover, round_: Occurrence) -> Iterator[Finding]:
    sown, *cuts = round_.dates
    for number, date in enumerate(cuts, start=1):
        place = action.cut[number - 1].place
        place = place if place.line else action.place
        said = action.cut[number - 1].on.text
        if date <= sown:
            yield place, f"cut {number} ({said}) is not after sowing ({action.sow.text})", None
        elif number > 1 and date <= cuts[number - 2]:
            earlier = action.cut[number - 2].on.text
            hint = 'write "year 2" behind a day that is meant a year later: 20 May year 2'
            yield place, f"cut {number} ({said}) comes before cut {number - 1} ({earlier})", hint


Standing = tuple[datetime.date, datetime.date, Any, tuple[Interval, ...]]


def _standing(plan: Plan, actions: tuple[Any, ...]) -> list[Standing]:
    found: list[Standing] = []
    for action in actions:
        takes_ground = isinstance(action, Crop) or (isinstance(action, Cover) and action.undersown == "no")
        if takes_ground or (isinstance(action, Idle) and action.from_ is not None):
            try:
                where = intervals(action, plan.site.beds)
            except KeyError:
                continue
            found.extend(
                (round_.first, round_.last, action, where)
                for round_ in occurrences(action, plan.start, plan.end)
            )
    return sorted(found, key=lambda item: (item[0], item[1]))


def _clashes(plan: Plan, actions: tuple[Any, ...], source: Source) -> Iterator[Finding]:
    standing = _standing(plan, actions)
    for number, (_, last, action, where) in enumerate(standing):
        for later_first, _, later, later_where in standing[number + 1 :]:
            if later_first >= last:
                break
            if meet(where, later_where):
                yield _clash(action, last, later, later_first)
    yield from _digs(plan, actions, standing)


def _called(action: Any) -> str:
    return f"ground {action.as_}" if isinstance(action, Idle) else f'"{action.name}"'


def _clash(action: Any, last: datetime.date, later: Any, first: datetime.date) -> Finding:
    if action is later:
        message = f"{_called(action)} still stands (until {last}) when its next round begins ({first})"
        return later.place, message, "shorten it, or let it come back less often: every: 2 years"
    message = f"{_called(later)} begins on {first}, while {_called(action)} stands until {last}"
    where = f"the other one is on line {action.place.line}" if action.place.line else None
    also = "; a cover may grow under a crop: undersown: yes" if isinstance(later, Cover) else ""
    return later.place, message, (where + also) if where else None


def _digs(plan: Plan, actions: tuple[Any, ...], standing: list[Standing]) -> Iterator[Finding]:
    for action in actions:
        if not isinstance(action, Dig):
            continue
        try:
            where = intervals(action, plan.site.beds)
        except KeyError:
            continue
        for round_ in occurrences(action, plan.start, plan.end):
            for first, last, stands, ground in standing:
                if first < round_.first < last and meet(where, ground) and not isinstance(stands, Idle):
                    message = f"digging on {round_.first} while {_called(stands)} stands until {last}"
                    yield action.place, message, f"the other one is on line {stands.place.line}"
                    return
