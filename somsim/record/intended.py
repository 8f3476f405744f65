"""What a strategy intended, as lines of a record: for days on which all went as planned, and for what was not typed."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from typing import Any

from somsim.plan.actions import AMOUNTS, Cover, Crop, Dig, Idle, Input, Spread, Uncover
from somsim.plan.model import Plan
from somsim.plan.occurrences import Occurrence, ground_of, grounds_of, occurrences
from somsim.record.matching import NEAR, nearest_pairs
from somsim.record.reading import Record

Cells = dict[str, str]


def intended_lines(plan: Plan, strategy: str, first: datetime.date, last: datetime.date) -> list[Cells]:
    """The lines that a strategy would have put into the record from one day to another, both included.

    From the first day of the plan on, what was under way on it begins with the day on which it was sown or planted.

    Raises
    ------
    KeyError
        when the plan has no such strategy.
    """
    found = [
        (date, number, cells)
        for action in plan.actions(strategy)
        if not isinstance(action, Input) and action.anchor is not None
        for one in occurrences(action, plan.start, plan.end)
        for number, (date, cells) in enumerate(_lines(action, one, _beds_of(action, one, plan)))
        if first <= date <= last or (first <= plan.start and date < plan.start)
    ]
    order = {"cut": 0, "cleared": 0, "sheet lifted": 0, "film on": 0}
    found.sort(key=lambda line: (line[0], order.get(line[2]["what"], 1)))
    return [{"date": date.isoformat(), **cells} for date, _, cells in found]


def _beds_of(action: Any, one: Occurrence, plan: Plan) -> Cells:
    """The beds of one round, as the action names them or, where beds take turns, by number."""
    if action.beds is not None and action.in_turn is None:
        return {"beds": "; ".join(action.beds)}
    if action.in_turn is None and action.share is None:
        return {}
    count = plan.site.beds.number
    ground = ground_of(one, grounds_of(action, plan.site.beds))
    here = [bed for bed in range(count) if any(low < (bed + 0.5) / count < high for low, high in ground)]
    return {"beds": "; ".join(str(bed + 1) for bed in here)}


def _lines(action: Any, one: Occurrence, beds: Cells) -> Iterator[tuple[datetime.date, Cells]]:
    if isinstance(action, Spread):
        key = next(key for key in AMOUNTS if getattr(action, key) is not None)
        said = {"what": "spread", "name": action.material, "then": action.then, key: getattr(action, key).text}
        yield one.first, said | beds
    elif isinstance(action, Cover):
        yield one.first, {"what": "sown", "name": action.name} | beds
        for number, date in enumerate(one.dates[1:]):
            grows_on = {"grows_on": "yes"} if number < len(action.cut) - 1 else {}
            yield date, {"what": "cut", "name": action.name, "then": action.fate(number)} | grows_on | beds
    elif isinstance(action, Crop):
        yield one.first, {"what": "planted", "name": action.name} | beds
        yield one.last, {"what": "cleared", "name": action.name, "then": action.then} | beds
    elif isinstance(action, Dig):
        yield one.first, {"what": "dug"} | beds
    elif isinstance(action, Uncover):
        yield one.first, {"what": "film off"}
        yield one.last, {"what": "film on"}
    elif isinstance(action, Idle) and action.as_ == "sheet":
        yield one.first, {"what": "sheet laid"} | beds
        yield one.last, {"what": "sheet lifted"} | beds


def not_yet(lines: list[Cells], plan: Plan, strategy: str, record: Record | None) -> list[Cells]:
    """Of intended lines, those that the record does not have yet: each recorded day stands for the nearest intended."""
    if record is None:
        return lines
    intended: dict[tuple[str, str], set[datetime.date]] = {}
    for line in intended_lines(plan, strategy, plan.start, plan.end):
        intended.setdefault(_what(line), set()).add(datetime.date.fromisoformat(line["date"]))
    there = {
        (*what, day)
        for what, days in intended.items()
        for _, day in nearest_pairs(
            sorted({e.date for e in record.events if (e.what, getattr(e, "name", "")) == what}), sorted(days)
        )
    }
    return [line for line in lines if (*_what(line), datetime.date.fromisoformat(line["date"])) not in there]


def _what(line: Cells) -> tuple[str, str]:
    return line.get("what", ""), line.get("name", "")


def filled_in(cells: Cells, plan: Plan, followed: str | None) -> Cells:
    """A line with what was not typed taken from the nearest intended one of the same thing: its fate, its amount.

    The followed strategy is asked first, then the others in their order.  Only ``then`` and how much is spread are
    taken over; what was typed is never changed.
    """
    try:
        date = datetime.date.fromisoformat(cells.get("date", ""))
    except ValueError:
        return cells
    order = sorted(plan.strategies, key=lambda name: name != followed)
    found = (
        [line for line in intended_lines(plan, name, date - NEAR, date + NEAR) if _what(line) == _what(cells)]
        for name in order
    )
    same = next((lines for lines in found if lines), [])
    if not same:
        return cells
    near = min(same, key=lambda line: abs(datetime.date.fromisoformat(line["date"]) - date))
    added = {"then": near["then"]} if "then" in near and not cells.get("then") else {}
    if cells.get("what") == "spread" and not any(cells.get(key) for key in AMOUNTS):
        added |= {key: near[key] for key in AMOUNTS if key in near}
    return {**cells, **added}
