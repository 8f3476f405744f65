"""Lines of a record as cells with their places: CSV as a spreadsheet writes it, one line an event."""

from __future__ import annotations

import re
from collections.abc import Iterable

from somsim.errors import InputError, Place, Problem, nearest
from somsim.plan.text import Text
from somsim.record.events import KINDS

SAMPLE = ("fresh", "area", "dry_matter", "wet", "dry")
LISTED = ("beds", "fresh")  # several in one cell, with ; between them
LARGEST_FILE = 20_000_000  # bytes
FIRST = ("date", "beds", "what", "name")
LAST = ("hours", "cost", "income", "remark", "corrects", "line")
_CELL = re.compile(r'"((?:[^"]|"")*)"(?=,|$)|([^",]*)(?=,|$)')


def columns() -> tuple[str, ...]:
    """Every column of a record, in the order in which somsim writes them.

    >>> columns()[:4], columns()[-1]
    (('date', 'beds', 'what', 'name'), 'line')
    """
    from somsim.plan.measured import Measured

    found: dict[str, None] = dict.fromkeys(FIRST)
    for kind in dict.fromkeys(KINDS.values()):
        for key, field in kind.model_fields.items():
            if key == "sample":
                found |= dict.fromkeys(SAMPLE)
            elif key == "measured":
                found |= dict.fromkeys(name for name in Measured.model_fields if name != "date")
            elif field.alias is None:
                found[key] = None
    return (*(key for key in found if key not in LAST), *LAST)


def split(line: str, place: Place) -> list[Text]:
    """The cells of one line, each with the place where it begins.

    Raises
    ------
    ValueError
        when a quote is not closed, or something stands behind one.

    >>> split('2027-04-20,,"cut, twice"', Place("r", 1, 1))[2].place.column
    14
    """
    cells: list[Text] = []
    at = 0
    while True:
        found = _CELL.match(line, at)
        if found is None:
            raise ValueError("a quote is not closed, or words stand behind one")
        quoted, plain = found.groups()
        text = plain if quoted is None else quoted.replace('""', '"')
        lead = len(text) - len(text.lstrip()) + (quoted is not None)
        cells.append(Text(text.strip(), Place(place.file, place.line, at + 1 + lead)))
        at = found.end()
        if at >= len(line):
            return cells
        at += 1
        if at == len(line):
            return [*cells, Text("", Place(place.file, place.line, at + 1))]


def join(cells: Iterable[str]) -> str:
    """One line of CSV from cells.

    >>> join(["a", "x, y"])
    'a,"x, y"'
    """
    return ",".join('"' + cell.replace('"', '""') + '"' if re.search('[",;]', cell) else cell for cell in cells)


def header_of(line: str, file: str) -> list[str]:
    """The columns a record has, checked.

    Raises
    ------
    InputError
        for a column that no line uses, stands twice, or is missing.
    """
    place, known = Place(file, 1, 1), columns()
    if line.count(";") > line.count(","):
        hint = "save it as CSV with commas, UTF-8"
        raise InputError([Problem("the columns are parted by ; here", place, line, hint)])
    try:
        cells = split(line, place)
    except ValueError as error:
        raise InputError([Problem(str(error), place, line)]) from None
    problems = []
    for number, cell in enumerate(cells):
        if cell not in known:
            near = nearest(cell, known)
            hint = (f"nearest: {near[0]}; " if near else "") + "columns: " + ", ".join(known)
            problems.append(Problem(f'no column "{cell}" in a record', cell.place, line, hint))
        elif cell in cells[:number]:
            problems.append(Problem(f'the column "{cell}" stands twice', cell.place, line, "keep one of them"))
    for needed in ("date", "what", "line"):
        if needed not in cells:
            problems.append(Problem(f'the column "{needed}" is missing', place, line, "columns: " + ", ".join(known)))
    if problems:
        raise InputError(problems)
    return [str(cell) for cell in cells]
