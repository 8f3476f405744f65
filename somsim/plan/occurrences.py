"""When the actions of a plan really happen: from "20 Apr, every: year" to dates."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from somsim.plan.actions import Cover, Crop, Dig, Idle, Input, Spread, Uncover
from somsim.plan.model import shift
from somsim.plan.site import Beds

BEFORE = 12  # rounds looked back for something already standing on the first day

Interval = tuple[float, float]


@dataclass(frozen=True)
class Occurrence:
    """One round of an action.  ``dates``: its day; or from and to; or sowing and every cut.

    ``year`` is the year of the plan it is counted in, from 1; below 1 it began before the plan and still stood.
    """

    action: Any
    year: int
    dates: tuple[datetime.date, ...]

    @property
    def first(self) -> datetime.date:
        """The first day."""
        return self.dates[0]

    @property
    def last(self) -> datetime.date:
        """The last day: of cutting, clearing or lifting."""
        return self.dates[-1]


def occurrences(action: Any, start: datetime.date, end: datetime.date) -> list[Occurrence]:
    """Every round of an action between two dates, and one that was under way on the first of them."""
    return [
        round_
        for round_ in _rounds(action, start, end)
        if round_.first < end and (round_.first >= start or round_.last > start)
    ]


def _rounds(action: Any, start: datetime.date, end: datetime.date) -> Iterator[Occurrence]:
    anchor = action.anchor
    if isinstance(action, Input) or anchor is None:
        yield _steady(action, start, end)
        return
    if anchor.year is not None:
        year = plan_year(anchor.in_year(anchor.year), start)
        yield Occurrence(action, year, _dates(action, anchor.in_year(anchor.year)))
        return
    step = action.every or 1
    first = action.first_year or 1
    last = action.last_year or 10**6
    year = first if action.first_year else first - step * BEFORE
    while year <= last:
        begin = shift(start, 12 * (year - 1))
        if begin >= end:
            return
        yield Occurrence(action, year, _dates(action, anchor.on_or_after(begin)))
        year += step


def _steady(action: Any, start: datetime.date, end: datetime.date) -> Occurrence:
    begin = shift(start, 12 * ((action.first_year or 1) - 1))
    stop = shift(start, 12 * action.last_year) if action.last_year else end
    return Occurrence(action, action.first_year or 1, (begin, min(stop, end)))


def _dates(action: Any, first: datetime.date) -> tuple[datetime.date, ...]:
    if isinstance(action, Cover):
        return (first, *(cut.on.on_or_after(first) for cut in action.cut))
    if isinstance(action, Crop | Idle | Uncover):
        assert action.to is not None
        return (first, action.to.on_or_after(first))
    assert isinstance(action, Spread | Dig)
    return (first,)


def plan_year(date: datetime.date, start: datetime.date) -> int:
    """The year of the plan that a date falls in: 1 in the first twelve months."""
    year = date.year - start.year
    return year + 1 if date >= shift(start, 12 * year) else year


def intervals(action: Any, beds: Beds) -> tuple[Interval, ...]:
    """Where an action happens, as parts of the row of beds from 0 to 1; neighbours are joined.

    A share is counted from the first bed on.

    Raises
    ------
    KeyError
        with the word, for a bed that does not exist.
    """
    if action.share is not None:
        return ((0.0, action.share.best),)
    if action.beds is None:
        return ((0.0, 1.0),)
    places = set()
    for word in action.beds:
        position = beds.position(word)
        if position is None:
            raise KeyError(word)
        places.add(position)
    joined: list[Interval] = []
    for position in sorted(places):
        low, high = position / beds.number, (position + 1) / beds.number
        if joined and joined[-1][1] == low:
            joined[-1] = (joined[-1][0], high)
        else:
            joined.append((low, high))
    return tuple(joined)


def meet(one: tuple[Interval, ...], other: tuple[Interval, ...]) -> bool:
    """Whether two parts of the row of beds have ground in common."""
    return any(max(a, c) < min(b, d) for a, b in one for c, d in other)
