"""When and where actions really happen: from "20 Apr, every: year" to dates and parts of the beds."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from somsim.plan.actions import Cover, Crop, Dig, Idle, Input, Spread, Uncover
from somsim.plan.model import shift
from somsim.plan.site import Beds

Interval = tuple[float, float]
SAME_EDGE = 1e-9  # beds: a share this close to the edge of a bed ends there, whatever its last binary digit


@dataclass(frozen=True)
class Occurrence:
    """One round of an action.  ``dates``: its day; or from and to; or sowing and every cut.

    ``year`` is the year of the plan it is counted in, from 1; below 1 it began before the plan.
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
        steady = _steady(action, start, end)
        if steady.first < steady.last:
            yield steady
        return
    if anchor.year is not None:
        date = anchor.in_year(anchor.year)
        yield Occurrence(action, plan_year(date, start), _dates(action, date))
        return
    # One calendar year further for each year of the plan: so a plan that starts on 29 February has no year
    # with two rounds or none.
    zero = anchor.on_or_after(start).year - 1
    step = action.every or 1
    year = action.first_year or 1 - step * _rounds_back(_dates(action, anchor.in_year(zero)), step)
    while year <= (action.last_year or year) and anchor.in_year(zero + year) < end:
        yield Occurrence(action, year, _dates(action, anchor.in_year(zero + year)))
        year += step


def _rounds_back(dates: tuple[datetime.date, ...], step: int) -> int:
    """How many rounds before the first one can still stand on the first day."""
    if len(dates) == 1:
        return 0
    years = max(dates).year - dates[0].year + 1
    return -(-years // step)


def _steady(action: Any, start: datetime.date, end: datetime.date) -> Occurrence:
    begin = shift(start, 12 * ((action.first_year or 1) - 1))
    stop = shift(start, 12 * action.last_year) if action.last_year else end
    if isinstance(action, Idle):
        begin = max(begin, action.since or begin)
        stop = min(stop, action.until + datetime.timedelta(days=1)) if action.until else stop
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
    """The year of the plan that a date falls in: 1 in the first twelve months.

    >>> plan_year(datetime.date(2027, 9, 30), datetime.date(2026, 10, 1))
    1
    """
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
        edge = action.share.best * beds.number
        whole = round(edge)
        return ((0.0, (whole if abs(edge - whole) < SAME_EDGE else edge) / beds.number),)
    if action.beds is None:
        return ((0.0, 1.0),)
    joined: list[list[int]] = []
    for row in sorted((beds.row(word) for word in action.beds), key=lambda row: row.start):
        if joined and row.start <= joined[-1][1]:
            joined[-1][1] = max(joined[-1][1], row.stop)
        else:
            joined.append([row.start, row.stop])
    return tuple((first / beds.number, stop / beds.number) for first, stop in joined)


def meet(one: tuple[Interval, ...], other: tuple[Interval, ...]) -> bool:
    """Whether two parts of the row of beds have ground in common.

    >>> meet(((0.0, 0.5),), ((0.5, 1.0),))
    False
    """
    return any(max(a, c) < min(b, d) for a, b in one for c, d in other)
