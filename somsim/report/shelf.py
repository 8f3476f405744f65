"""The library, shown: its tables, the rows of one, and all that is known about one row."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from somsim.errors import InputError, Problem, nearest
from somsim.library import Entry, Library, Value
from somsim.plan.days import MONTHS
from somsim.report.terminal import heading, say
from somsim.report.words import short

WORDS = {
    "constants": "numbers of the model itself",
    "residues": "kinds of residue and how they decay",
    "materials": "composts, manures, mulches",
    "covers": "green manures and cover crops",
    "crops": "vegetables: yield, leftovers, roots",
    "roots": "published root to shoot ratios",
    "climates": "twelve monthly normals each",
    "soils": "textures",
    "tasks": "hours of work",
    "limits": "legal and usual limits",
    "cautions": "what to watch",
    "composting": "heaps and what they lose",
}


def chosen_table(known: Library, table: str) -> str:
    """A table by its name.

    Raises
    ------
    InputError
        when there is none of that name.
    """
    if table in known.tables:
        return table
    near = nearest(table, known.tables)
    hint = (f"nearest: {near[0]}; " if near else "") + "all: " + ", ".join(known.tables)
    raise InputError([Problem(f'no table "{table}" in the library', hint=hint)], "nothing was shown.")


def chosen_entry(known: Library, table: str, name: str) -> Entry:
    """A row of a table by id, name or alias.

    Raises
    ------
    InputError
        when there is none of that name.
    """
    entry = known.find(table, name)
    if entry is not None:
        return entry
    words = [word for one in known.tables[table].values() for word in one.words()]
    near = nearest(name, words)
    hint = (f"nearest: {', '.join(near)}; " if near else "") + f"all: somsim library {table}"
    raise InputError([Problem(f'nothing called "{name}" in {table}', hint=hint)], "nothing was shown.")


def show_tables(known: Library, console: Console) -> None:
    """Print the tables with what is in them."""
    table = Table(box=None, pad_edge=False, show_header=False, padding=(0, 1))
    for name, entries in known.tables.items():
        table.add_row(name, str(len(entries)), WORDS.get(name, ""))
    console.print(table)
    say(console, 'One of them: somsim library materials.  One row: somsim library materials "garden compost"')


def show_table(known: Library, table: str, console: Console) -> None:
    """Print the rows of a table with their kind and other names."""
    shown = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1))
    for column in ("name", "kind", "also called, or note"):
        shown.add_column(column, overflow="fold")
    for entry in known.tables[table].values():
        more = "; ".join(entry.aliases) or entry.about.get("note", "")
        shown.add_row(Text(entry.name), Text(entry.kind), Text(more))
    console.print(shown)


def show_entry(known: Library, entry: Entry, console: Console) -> None:
    """Print everything known about one row."""
    say(console, f"{entry.name} ({entry.kind})", style="bold")
    if entry.aliases:
        say(console, f"also called: {'; '.join(entry.aliases)}")
    for column, text in entry.about.items():
        if text:
            say(console, f"{column.replace('_', ' ')}: {text}")
    if entry.values:
        console.print()
        console.print(_values(known, entry))
    for months in entry.months.values():
        cells = "  ".join(f"{name} {short(v, 3)}" for name, v in zip(MONTHS, months.printed, strict=True))
        heading(console, f"{months.quantity}, {months.unit}, each within {short(months.within)} ({months.known})")
        say(console, cells)
    if entry.prices:
        heading(console, "Prices: old guesses, put your own in the plan")
        for price in entry.prices.values():
            span = f"{short(price.best)} ({short(price.low)} to {short(price.high)}) {price.unit}"
            say(console, f"{price.quantity}: {span}, {price.known}")


def _values(known: Library, entry: Entry) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1))
    for column in ("what", "value", "known", "source and note"):
        table.add_column(column, overflow="fold")
    for value in entry.values.values():
        source = known.sources[value.source]
        credit = ", ".join(part for part in (source.authors, source.year) if part) or source.title
        note = "; ".join(part for part in (credit, value.note) if part)
        table.add_row(value.quantity.replace("_", " "), printed(value), value.known, Text(note))
    return table


def printed(value: Value) -> str:
    """A value as its source prints it: "60 (45 to 70) %"."""
    best, low, high = value.printed
    if low is None or high is None or low == high:
        return f"{best:g} {value.unit}"
    return f"{best:g} ({low:g} to {high:g}) {value.unit}"


def as_json(known: Library, table: str | None, name: str | None) -> Any:
    """The tables, one table or one row as plain dictionaries."""
    if table is None:
        return {one: known.names(one) for one in known.tables}
    here = chosen_table(known, table)
    entries = [chosen_entry(known, here, name)] if name is not None else list(known.tables[here].values())
    found = [_entry(entry) for entry in entries]
    return found[0] if name is not None else found


def _entry(entry: Entry) -> dict[str, Any]:
    return {
        "id": entry.id,
        "name": entry.name,
        "kind": entry.kind,
        "aliases": list(entry.aliases),
        "about": dict(entry.about),
        "values": {key: asdict(value) for key, value in entry.values.items()},
        "months": {key: asdict(value) for key, value in entry.months.items()},
        "prices": {key: asdict(value) for key, value in entry.prices.items()},
    }
