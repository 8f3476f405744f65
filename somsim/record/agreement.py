"""Do the lines of a record hang together, with each other and with the plan: corrections, names, beds, dates, order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from somsim.errors import Problem, nearest
from somsim.library import Library, read_library
from somsim.plan.fields import quoted
from somsim.plan.model import Plan
from somsim.record.events import Cleared, CutDone, Event, Followed, Harvested, Planted, Sown, SpreadDone, Withdrawn
from somsim.record.rounds import beds_of, rounds

TABLES: dict[type[Event], str] = {
    Sown: "covers",
    CutDone: "covers",
    SpreadDone: "materials",
    Planted: "crops",
    Cleared: "crops",
    Harvested: "crops",
}
ONE = {"covers": "cover", "materials": "material", "crops": "crop"}


def disagreements(lines: Sequence[Event], plan: Plan, rows: Sequence[str]) -> tuple[list[Event], list[Problem]]:
    """The events that stand once corrections are taken in, and everything that cannot be."""
    library = read_library()
    standing, problems = _standing(lines, rows)
    for event in standing:
        problems += _alone(event, plan, library, rows)
    if not problems:
        for wrong in rounds(standing, plan.site.beds)[1]:
            problems.append(_problem(wrong.event, "what", wrong.message, rows, wrong.hint))
    return standing, problems


def _problem(event: Event, column: str, said: str, rows: Sequence[str], hint: str | None = None) -> Problem:
    place = event.place_of(column)
    return Problem(said, place, rows[place.line - 1] if 0 < place.line <= len(rows) else None, hint)


def _standing(lines: Sequence[Event], rows: Sequence[str]) -> tuple[list[Event], list[Problem]]:
    by_number = {event.line: event for event in lines}
    gone: dict[int, int] = {}
    problems = []
    for event in lines:
        number = event.corrects
        if number is None:
            continue
        if number not in by_number or number >= event.line:
            said = f"there is no line {number} before this one to correct"
            problems.append(_problem(event, "corrects", said, rows, "the number in the column line"))
        elif number in gone:
            said = f"line {number} was corrected by line {gone[number]} already"
            problems.append(_problem(event, "corrects", said, rows, f"correct line {gone[number]} instead"))
        else:
            gone[number] = event.line
    kept = [event for event in lines if event.line not in gone and not isinstance(event, Withdrawn)]
    return kept, problems


def _alone(event: Event, plan: Plan, library: Library, rows: Sequence[str]) -> Iterator[Problem]:
    if event.date < plan.start and not isinstance(event, Sown | Planted):
        hint = "what was done before goes under before: in the plan"
        yield _problem(event, "date", f"{event.date} is before the first day of the plan, {plan.start}", rows, hint)
    if event.date >= plan.end:
        said = f"{event.date} is after the last day of the plan"
        yield _problem(event, "date", said, rows, "make the horizon of the plan longer")
    try:
        beds_of(event, plan.site.beds)
    except KeyError as error:
        hint = f"beds are numbered 1 to {plan.site.beds.number}"
        yield _problem(event, "beds", f'no bed "{error.args[0]}"', rows, hint)
    yield from _unknown_name(event, plan, library, rows)


def _unknown_name(event: Event, plan: Plan, library: Library, rows: Sequence[str]) -> Iterator[Problem]:
    name = getattr(event, "name", None)
    if isinstance(event, Followed):
        if name not in plan.strategies:
            yield _no_such("strategy", str(name), list(plan.strategies), event, rows)
        return
    table = next((table for kind, table in TABLES.items() if isinstance(event, kind)), None)
    if table is None or name is None:
        return
    planned = planned_names(plan, table)
    if name in getattr(plan, table) or name in planned or library.find(table, name) is not None:
        return
    known = [*planned, *getattr(plan, table), *(entry.name for entry in library.tables[table].values())]
    yield _no_such(ONE[table], name, known, event, rows)


def _no_such(kind: str, name: str, known: list[str], event: Event, rows: Sequence[str]) -> Problem:
    near = nearest(name, known)
    hint = f"nearest: {', '.join(near)}" if near else f"one of: {', '.join(known[:12])}"
    return _problem(event, "name", f"no {kind} {quoted(name)} in the plan or the library", rows, hint)


def planned_names(plan: Plan, table: str) -> list[str]:
    """The names that actions of a plan have in a table: those of mixes too."""
    verb, key = {"covers": ("cover", "name"), "materials": ("spread", "material"), "crops": ("crop", "name")}[table]
    actions = [action for strategy in plan.strategies for action in plan.actions(strategy)]
    return list(dict.fromkeys(getattr(action, key) for action in actions if action.action == verb))
