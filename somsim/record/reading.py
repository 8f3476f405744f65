"""Reading a record: each line by itself, then what the lines say together; every mistake is told at once."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from pydantic import BaseModel, ValidationError

from somsim.errors import InputError, Place, Problem, nearest
from somsim.plan.fields import quoted
from somsim.plan.measured import Measured
from somsim.plan.model import Plan
from somsim.plan.text import Items, Text
from somsim.plan.text import Record as Group
from somsim.record.agreement import disagreements
from somsim.record.cells import LARGEST_FILE, LISTED, SAMPLE, header_of, split
from somsim.record.events import KINDS, Event

MOST_TOLD = 200  # mistakes in one message


@dataclass(frozen=True)
class Record:
    """What a file of events says: all lines, those that stand after corrections, and those that were left out.

    ``damaged`` are the numbers of lines of the file that could not be read and were left out on request.
    """

    path: Path
    lines: tuple[Event, ...]
    events: tuple[Event, ...]
    damaged: tuple[int, ...] = ()

    @property
    def last(self) -> datetime.date | None:
        """The latest day that anything is recorded for."""
        return max((event.date for event in self.events), default=None)


def record_path(plan: Path) -> Path:
    """Where the record of a plan stands: beside it.

    >>> record_path(Path("beds/hillside.yaml")).as_posix()
    'beds/hillside.record.csv'
    """
    return plan.with_name(f"{plan.stem}.record.csv")


def read_record(path: Path, plan: Plan, *, skip_damaged: bool = False) -> Record:
    """Read a record and hold it against its plan.

    Parameters
    ----------
    path : Path, the CSV file
    plan : Plan, whose names, beds and start the lines are held against
    skip_damaged : leave out lines that cannot be read, instead of raising; what they say together is still checked

    Raises
    ------
    InputError
        with every mistake, each by its line.
    """
    text = text_of(path)
    try:
        return parse_record(text, path, plan, skip_damaged=skip_damaged)
    except InputError as error:
        hint = "a line is never changed: a further one corrects it; --skip-damaged leaves unreadable ones out"
        raise InputError([*error.problems, Problem(f"{path} can't be used as it is", hint=hint)]) from None


def text_of(path: Path) -> str:
    """The text of a record file.

    Raises
    ------
    InputError
        when it is no readable UTF-8 file.
    """
    try:
        if path.is_dir():
            raise InputError([Problem(f"{path} is a folder, not a record")])
        if path.stat().st_size > LARGEST_FILE:
            raise InputError([Problem(f"{path} is larger than 20 MB", hint="a record has one line an event")])
        return path.read_text(encoding="utf-8-sig")
    except FileNotFoundError:
        hint = "`somsim record PLAN sown ...` begins one"
        raise InputError([Problem(f"there is no record {path}", hint=hint)]) from None
    except UnicodeDecodeError:
        raise InputError([Problem(f"{path} is not UTF-8 text", hint="save it as CSV, UTF-8")]) from None
    except OSError as error:
        raise InputError([Problem(f"{path} can't be read: {error.strerror}")]) from None


def parse_record(text: str, path: Path, plan: Plan, *, skip_damaged: bool = False) -> Record:
    """Read a record given as text; see `read_record`."""
    rows = text.splitlines()
    if not rows:
        raise InputError([Problem(f"{path} is empty", hint="`somsim record PLAN sown ...` begins a record")])
    header = header_of(rows[0], str(path))
    lines: list[Event] = []
    problems: list[Problem] = []
    damaged: list[int] = []
    for number, row in enumerate(rows[1:], start=2):
        if not row.replace(",", "").strip():
            continue
        found = _event(row, number, header, str(path))
        if isinstance(found, Event):
            found = _numbered(found, number - 1, row) or found
        if isinstance(found, Event):
            lines.append(found)
        elif skip_damaged:
            damaged.append(number)
        else:
            problems += found
    standing, clashes = disagreements(lines, plan, rows)
    if problems or clashes:
        told = sorted([*problems, *clashes], key=lambda problem: problem.place.line if problem.place else 0)
        raise InputError(told[:MOST_TOLD])
    return Record(path, tuple(lines), tuple(standing), tuple(damaged))


def _numbered(event: Event, expected: int, row: str) -> list[Problem] | None:
    """A line that does not have its own number: lines were lost, moved or written twice."""
    if event.line == expected:
        return None
    said = f"this is line {event.line} of the record, where line {expected} belongs"
    return [Problem(said, event.place_of("line"), row, "was a line deleted, moved, or written twice?")]


def _event(row: str, number: int, header: list[str], file: str) -> Event | list[Problem]:
    place = Place(file, number, 1)
    try:
        cells = split(row, place)
    except ValueError as error:
        return [Problem(f"line is damaged: {error}", place, row)]
    if len(cells) != len(header):
        said = f"line is damaged: {len(cells)} cells, but there are {len(header)} columns"
        return [Problem(said, place, row, "an amount with a comma in it goes between quotes")]
    typed = {key: cell for key, cell in zip(header, cells, strict=True) if cell}
    what = str(typed.get("what", ""))
    kind = KINDS.get(what)
    if kind is None:
        near = nearest(what, KINDS)
        hint = (f"nearest: {near[0]}; " if near else "") + "one of: " + ", ".join(KINDS)
        said = f"{quoted(what)} is nothing a record knows" if what else "what was done is missing"
        return [Problem(said, typed.get("what", cells[header.index("what")]).place, row, hint)]
    try:
        return kind.model_validate(_tree(typed, kind, place))
    except ValidationError as error:
        return list(_problems(error, typed, kind, place, row))


def _tree(typed: dict[str, Text], kind: type[Event], place: Place) -> Group:
    """The cells of a line as a group of keys; those of a sample and of a soil test in groups of their own."""
    tree = Group(place)
    inner = _inner(kind)
    for key, cell in typed.items():
        value = _several(cell) if key in LISTED else cell
        holder = inner.get(key)
        if holder is None:
            tree[key] = value
        else:
            group = tree.setdefault(holder, Group(cell.place))
            assert isinstance(group, Group)
            group[key] = value
    if "measured" in kind.model_fields:
        group = tree.setdefault("measured", Group(place))
        assert isinstance(group, Group)
        if "date" in typed:
            group["date"] = typed["date"]
        if "beds" in typed:
            group["beds"] = tree["beds"]
    return tree


@cache
def _inner(kind: type[Event]) -> dict[str, str]:
    """Which columns of a kind belong to a group: {"fresh": "sample", ...}."""
    found: dict[str, str] = {}
    if "sample" in kind.model_fields:
        found |= dict.fromkeys(SAMPLE, "sample")
    if "measured" in kind.model_fields:
        found |= {key: "measured" for key in Measured.model_fields if key not in Event.model_fields}
    return found


def _several(cell: Text) -> Items:
    """The parts of a cell, parted by semicolons, each at its place."""
    parts = Items(cell.place)
    at = 0
    for part in cell.split(";"):
        lead = len(part) - len(part.lstrip())
        parts.append(Text(part.strip(), Place(cell.place.file, cell.place.line, cell.place.column + at + lead)))
        at += len(part) + 1
    return parts


def _problems(
    error: ValidationError, typed: dict[str, Text], kind: type[Event], place: Place, row: str
) -> Iterator[Problem]:
    told = set()
    for detail in error.errors(include_url=False):
        column = next((str(step) for step in reversed(detail["loc"]) if str(step) in typed), None)
        cause = detail.get("ctx", {}).get("error")
        key = getattr(cause, "key", None)
        where = typed[key].place if key in typed else typed[column].place if column else place
        if detail["type"] == "missing":
            missing = str(detail["loc"][-1])
            said, hint = f"{missing} is missing", _described(kind, missing)
        elif detail["type"] == "extra_forbidden":
            used = ", ".join(key for key in columns_of(kind))
            said, hint = f'the column {detail["loc"][-1]} does not go with "{typed["what"]}"', f"columns: {used}"
        elif cause is not None:
            said, hint = str(cause), getattr(cause, "hint", None)
        else:
            choices = detail.get("ctx", {}).get("expected", "")
            said = f"{quoted(typed[column] if column else '')} is no choice for {column}"
            hint = "one of: " + choices.replace("'", "").replace(" or ", ", ") if choices else None
        if (where.column, said) not in told:
            told.add((where.column, said))
            yield Problem(said, where, row, hint)


def columns_of(kind: type[Event]) -> list[str]:
    """The columns that a kind of event uses, besides what and line.

    >>> from somsim.record.events import Planted
    >>> columns_of(Planted)
    ['date', 'name', 'beds', 'hours', 'cost', 'remark', 'corrects']
    """
    own = [key for key in kind.model_fields if key not in Event.model_fields and key not in ("sample", "measured")]
    common = [key for key in Event.model_fields if key not in ("line", "what", "date")]
    return ["date", *own, *_inner(kind), *common]


def _described(kind: type[BaseModel], key: str) -> str | None:
    for model in (kind, Measured):
        field = model.model_fields.get(key)
        if field is not None and field.description:
            return f"{key}: {field.description}"
    return None
