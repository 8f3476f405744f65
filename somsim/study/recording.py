"""A plan and its record together: what commands start from, and what is added to a record."""

from __future__ import annotations

import csv
import datetime
from collections.abc import Mapping, Sequence
from pathlib import Path

from somsim.errors import InputError, Problem
from somsim.plan import Plan, read_plan
from somsim.record import Facts, Record, append, as_recorded, read_record
from somsim.record.cells import columns
from somsim.record.events import Event, Followed
from somsim.record.intended import filled_in, intended_lines, not_yet
from somsim.record.reading import record_path, text_of
from somsim.study.garden import with_garden
from somsim.study.project import chosen


def facts_of(
    path: Path, *, as_of: datetime.date | None = None, plan_only: bool = False, skip_damaged: bool = False
) -> tuple[Plan, Facts | None]:
    """Read a plan, and take its record in where there is one beside it.

    Returns the plan to run, and the facts in it; None when there is no record, or ``plan_only``.

    Raises
    ------
    InputError
        for mistakes in either, or an ``as_of`` without a record.
    """
    return taken_in(read_plan(path), path, as_of=as_of, plan_only=plan_only, skip_damaged=skip_damaged)


def taken_in(
    plan: Plan,
    path: Path,
    *,
    as_of: datetime.date | None = None,
    plan_only: bool = False,
    skip_damaged: bool = False,
) -> tuple[Plan, Facts | None]:
    """Take in the record beside a plan that was read already; see `facts_of`."""
    beside = record_path(path)
    if plan_only or not beside.exists():
        if as_of is not None and not plan_only:
            hint = f"it would be {beside}; `somsim record {path} ...` begins one"
            raise InputError([Problem("--as-of: this plan has no record", hint=hint)])
        return plan, None
    facts = with_garden(as_recorded(plan, read_record(beside, plan, skip_damaged=skip_damaged), as_of))
    return facts.plan, facts


def followed_in(record: Record | None, plan: Plan, strategy: str | None = None) -> str:
    """The strategy that the beds are worked by: the one asked for, the one followed last, or the only one.

    Raises
    ------
    InputError
        when there are several and none is followed.
    """
    said = [event.name for event in record.events if isinstance(event, Followed)] if record is not None else []
    return chosen(plan, strategy or (said[-1] if said else None))


def record_of(path: Path, plan: Plan, *, skip_damaged: bool = False) -> Record | None:
    """The record beside a plan, or None."""
    beside = record_path(path)
    return read_record(beside, plan, skip_damaged=skip_damaged) if beside.exists() else None


def add_lines(path: Path, rows: Sequence[Mapping[str, str]]) -> tuple[Event, ...]:
    """Add lines to the record of a plan; what was not typed is taken from the strategy followed, where it says it.

    Raises
    ------
    InputError
        with every mistake; nothing is added then.
    """
    plan = read_plan(path)
    record = record_of(path, plan)
    try:
        followed: str | None = followed_in(record, plan)
    except InputError:
        followed = None
    whole = [filled_in(dict(row), plan, followed) for row in rows]
    return append(record_path(path), whole, plan)


def add_as_intended(path: Path, until: datetime.date, strategy: str | None = None) -> tuple[Event, ...]:
    """Record everything that the followed strategy intended since the last recorded day, up to a day.

    Raises
    ------
    InputError
        when no strategy is followed, or there is nothing to add.
    """
    plan = read_plan(path)
    record = record_of(path, plan)
    name = followed_in(record, plan, strategy)
    done = [event.date for event in record.events if not isinstance(event, Followed)] if record is not None else []
    first = max(done) + datetime.timedelta(days=1) if done else plan.start
    lines = not_yet(intended_lines(plan, name, first, until), plan, name, record)
    if not lines:
        said = f'"{name}" intends nothing from {first} to {until}'
        raise InputError([Problem(said, hint="the record is complete up to there")], "nothing was saved.")
    return append(record_path(path), lines, plan)


def rows_from(path: Path) -> list[dict[str, str]]:
    """Lines to be added, from a CSV file with the columns of a record; its column line, if any, is left out.

    Raises
    ------
    InputError
        when it is no such file.
    """
    lines = text_of(path).splitlines()
    if len(lines) < 2:
        raise InputError([Problem(f"{path} holds no lines", hint=f"columns: {', '.join(columns())}")])
    table = csv.DictReader(lines, strict=True)
    unknown = [name for name in table.fieldnames or () if name.strip() not in columns()]
    if unknown:
        said = f'{path} has a column "{unknown[0]}" that no record has'
        raise InputError([Problem(said, hint=f"columns: {', '.join(columns())}")])
    rows, problems = [], []
    try:
        for row in table:
            if None in row or None in row.values():
                said = f"{path}, line {table.line_num}: not as many cells as there are columns"
                problems.append(Problem(said, hint="an amount with a comma in it goes between quotes"))
            else:
                rows.append({key.strip(): cell.strip() for key, cell in row.items() if cell.strip()})
    except csv.Error as error:
        problems.append(Problem(f"{path}, line {table.line_num}: {error}"))
    if problems:
        raise InputError(problems, "nothing was saved.")
    for row in rows:
        row.pop("line", None)
    return rows
