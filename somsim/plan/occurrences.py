"""When and where actions really happen: from "20 Apr, every: year" to dates and parts of the beds."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator
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


def grounds_of(action: Any, beds: Beds) -> tuple[tuple[Interval, ...], ...]:
    """Where the rounds of an action happen, one after the other: in one place, or in turn in several.

    Raises
    ------
    KeyError
        with the word, for a bed that does not exist.
    UnevenTurns
        where whole beds cannot be shared out evenly.
    """
    turn = action.in_turn
    if turn is None:
        return (intervals(action, beds),)
    parts = _parts(intervals(action, beds), beds, turn.parts)
    return tuple(
        _joined([piece for part in turn.parts_in(number) for piece in parts[part]]) for number in range(turn.parts)
    )


def ground_of(round_: Occurrence, grounds: tuple[tuple[Interval, ...], ...]) -> tuple[Interval, ...]:
    """Where one round happens, of the ``grounds`` of its action: the first of them in year 1 of the plan."""
    step = round_.action.every or 1
    return grounds[((round_.year - 1) // step) % len(grounds)]


class UnevenTurns(ValueError):
    """Beds that cannot be shared out evenly: how many there are."""

    def __init__(self, beds: int) -> None:
        """Keep the number."""
        super().__init__(f"{beds} beds")
        self.beds = beds


def _parts(whole: tuple[Interval, ...], beds: Beds, parts: int) -> list[list[Interval]]:
    """Equal parts of some beds, in order of the row: of whole beds, or of one piece of ground as it lies."""
    if beds.number == 1:
        return [[(number / parts, (number + 1) / parts)] for number in range(parts)]
    row = [place for low, high in whole for place in range(round(low * beds.number), round(high * beds.number))]
    if len(row) % parts:
        raise UnevenTurns(len(row))
    size = len(row) // parts
    return [
        [(place / beds.number, (place + 1) / beds.number) for place in row[number * size : (number + 1) * size]]
        for number in range(parts)
    ]


def _joined(pieces: list[Interval]) -> tuple[Interval, ...]:
    """Pieces of the row in order, neighbours joined."""
    joined: list[Interval] = []
    for low, high in sorted(pieces):
        if joined and joined[-1][1] == low:
            joined[-1] = (joined[-1][0], high)
        else:
            joined.append((low, high))
    return tuple(joined)


def ground_words(where: tuple[Interval, ...], beds: Beds) -> str:
    """What parts of the row of beds are called: "all beds", "bed 3", "beds 1 to 2 and 5".

    >>> ground_words(((0.0, 0.5),), Beds.model_validate({"area": "60 m2"}))
    '0 to 50 % of the beds'
    """
    if where == ((0.0, 1.0),):
        return "all beds"
    ends = [(low * beds.number + 1, high * beds.number) for low, high in where]
    if all(abs(edge - round(edge)) < SAME_EDGE for pair in ends for edge in pair):
        rows = [(round(first), round(last)) for first, last in ends]
        words = [f"{first}" if first == last else f"{first} to {last}" for first, last in rows]
        return f"bed {words[0]}" if len(words) == 1 and rows[0][0] == rows[0][1] else f"beds {_and(words)}"
    return _and([f"{100 * low:.3g} to {100 * high:.3g} %" for low, high in where]) + " of the beds"


def _and(words: list[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]


def united(grounds: Iterable[tuple[Interval, ...]]) -> float:
    """Share of the row of beds that some parts of it take up together, what is in several of them once.

    >>> united([((0.0, 0.5),), ((0.25, 0.75),)])
    0.75
    """
    total, reached = 0.0, 0.0
    for low, high in sorted(interval for where in grounds for interval in where):
        total += max(high - max(low, reached), 0.0)
        reached = max(reached, high)
    return total


def meet(one: tuple[Interval, ...], other: tuple[Interval, ...]) -> bool:
    """Whether two parts of the row of beds have ground in common.

    >>> meet(((0.0, 0.5),), ((0.5, 1.0),))
    False
    """
    return any(max(a, c) < min(b, d) for a, b in one for c, d in other)
