"""Reading the library: CSV tables and sources, every row checked, all mistakes told at once.

A table of things is ``<table>.csv`` (id, name, kind, aliases and more columns of text); its numbers are in
``<table>_values.csv``, its prices in ``<thing>_prices.csv``. Climates keep twelve months in one row; what a
cover leaves by its sowing day is in ``sowing_dates.csv``.
"""

from __future__ import annotations

import csv
import math
import tomllib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import TypeVar

from somsim.errors import InputError, Place, Problem
from somsim.library.entries import Entry, Library, MonthValues, Price, Source, Sowing, Value, plain

__all__ = ["Entry", "Library", "MonthValues", "Price", "Source", "Sowing", "Value", "read_folder", "read_library"]

TABLES = (
    "constants",
    "residues",
    "materials",
    "covers",
    "cut_rules",
    "crops",
    "roots",
    "climates",
    "soils",
    "tasks",
    "limits",
    "cautions",
    "benefits",
    "composting",
    "measurements",
    "doubts",
)
PRICES = {
    "constants": "constant_prices.csv",
    "materials": "material_prices.csv",
    "covers": "cover_prices.csv",
    "crops": "crop_prices.csv",
    "tasks": "task_prices.csv",
}
KNOWN = ("read", "remembered", "judged", "derived")
Number = TypeVar("Number", Value, MonthValues, Price)
MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


@dataclass(frozen=True)
class Row:
    """One line of a CSV file: its cells by column, and where it stands."""

    file: str
    line: int
    cells: Mapping[str, str]

    def __getitem__(self, column: str) -> str:
        """Return a cell, empty when the file has no such column."""
        return self.cells.get(column, "")

    def problem(self, message: str) -> Problem:
        """Return a problem that points at this line."""
        text = ",".join(self.cells.values())
        return Problem(message, place=Place(self.file, self.line, 1), source_line=text)


@dataclass(frozen=True)
class Checks:
    """What rows are checked against, and the problems found so far."""

    units: Mapping[str, tuple[str, float]]
    sources: Mapping[str, Source]
    problems: list[Problem] = field(default_factory=list)

    def origin(self, row: Row) -> None:
        """Check the two columns that say where a number comes from."""
        if row["known"] not in KNOWN:
            allowed = ", ".join(KNOWN)
            self.problems.append(row.problem(f'known is "{row["known"]}"; it must be one of {allowed}'))
        if row["source"] not in self.sources:
            self.problems.append(row.problem(f'no source "{row["source"]}" in any sources*.toml'))

    def unit(self, row: Row) -> tuple[str, float]:
        """Return dimension and factor of the row's unit; an unknown one is a problem and counts as 1."""
        if row["unit"] not in self.units:
            self.problems.append(row.problem(f'no unit "{row["unit"]}" in units.csv'))
        return self.units.get(row["unit"], ("", 1.0))

    def number(self, row: Row, column: str) -> float | None:
        """Return the number in a cell, None when the cell is empty; anything else is a problem."""
        text = row[column]
        if not text:
            return None
        try:
            number = float(text)
        except ValueError:
            number = math.nan
        if not math.isfinite(number):
            self.problems.append(row.problem(f'{column} is "{text}", which is not a number'))
            return 0.0
        return number

    def bounds(self, row: Row) -> tuple[float, float | None, float | None]:
        """Return best, low and high as printed; best must be there and lie between the other two."""
        best, low, high = (self.number(row, column) for column in ("best", "low", "high"))
        if best is None:
            self.problems.append(row.problem("best is empty"))
            best = 0.0
        elif not (best if low is None else low) <= best <= (best if high is None else high):
            self.problems.append(row.problem(f"best {best:g} is not between low {low} and high {high}"))
        return best, low, high


def rows_of(path: Path) -> Iterator[Row]:
    """Yield the rows of a CSV file with surrounding blanks taken off; nothing when there is no file."""
    if not path.exists():
        return
    with path.open(encoding="utf-8", newline="") as file:
        reader = csv.reader(file)
        columns = next(reader, [])
        for texts in reader:
            row = Row(path.name, reader.line_num, dict(zip(columns, map(str.strip, texts), strict=False)))
            if len(texts) != len(columns):
                count = f"{len(texts)} cells under {len(columns)} columns"
                raise InputError([row.problem(f"{count}; a comma inside a cell needs quotes")])
            yield row


def read_units(path: Path) -> dict[str, tuple[str, float]]:
    """Return each spelling's dimension and factor to the base unit.

    A spelling may belong to several dimensions ("deg C" is a temperature and a difference); the first is
    kept. Spellings with an offset, or whose dimensions disagree on the factor, are not for library rows.
    """
    found: dict[str, tuple[str, float]] = {}
    refused: set[str] = set()
    for row in rows_of(path):
        if not row["factor"]:  # a spelling that is there only to be refused with a reason
            continue
        spelling, scale = row["spelling"], float(row["factor"])
        if float(row["offset"] or 0) != 0 or found.get(spelling, ("", scale))[1] != scale:
            refused.add(spelling)
        found.setdefault(spelling, (row["dimension"], scale))
    return {spelling: unit for spelling, unit in found.items() if spelling not in refused}


def read_kept_units(path: Path) -> dict[str, tuple[str, float]]:
    """Return the spellings whose numbers stay as printed (salt readings, counts of germs)."""
    return {row["spelling"]: ("as printed", 1.0) for row in rows_of(path)}


def read_sources(folder: Path) -> dict[str, Source]:
    """Return all sources of all files called sources*.toml."""
    sources: dict[str, Source] = {}
    for path in sorted(folder.glob("sources*.toml")):
        for key, row in tomllib.loads(path.read_text(encoding="utf-8")).items():
            if key in sources:
                raise InputError([Problem(f'source "{key}" is in two files; the second is {path.name}')])
            texts = [str(row.get(name, "")) for name in ("title", "authors", "year", "where")]
            sources[key] = Source(key, *texts)
    return sources


@dataclass(frozen=True)
class Quantity:
    """A row that holds a quantity of a thing: what all kinds of numbers say of themselves, whatever the number."""

    row: Row
    words: Mapping[str, str]

    @property
    def key(self) -> tuple[str, str]:
        """Which thing, and which quantity of it."""
        return self.words["id"], self.words["quantity"]


def quantities(table: str, path: Path, checks: Checks, unnamed: str = "") -> Iterator[Quantity]:
    """Yield the rows of a file of numbers, checked for where they come from and for standing there once.

    ``unnamed`` is the quantity where the file names none; without it such a row is a problem.
    """
    seen: set[tuple[str, str]] = set()
    for row in rows_of(path):
        checks.origin(row)
        words = {name: row[name] for name in ("id", "unit", "known", "source", "note")}
        made = Quantity(row, {**words, "table": table, "quantity": row["quantity"] or unnamed})
        if not made.words["quantity"]:
            checks.problems.append(row.problem("quantity is empty"))
        elif made.key in seen:
            checks.problems.append(row.problem(f'quantity "{made.words["quantity"]}" stands twice'))
        seen.add(made.key)
        yield made


def by_id(found: Iterable[tuple[Quantity, Number]]) -> dict[str, dict[str, Number]]:
    """Return numbers by id and quantity."""
    made: dict[str, dict[str, Number]] = {}
    for one, number in found:
        thing, quantity = one.key
        made.setdefault(thing, {})[quantity] = number
    return made


def read_values(table: str, folder: Path, checks: Checks) -> dict[str, dict[str, Value]]:
    """Return the values of a table by id and quantity, in base units."""

    def value(one: Quantity) -> Value:
        dimension, scale = checks.unit(one.row)
        best, low, high = printed = checks.bounds(one.row)
        return Value(
            **one.words,
            best=best * scale,
            low=(best if low is None else low) * scale,
            high=(best if high is None else high) * scale,
            dimension=dimension,
            printed=printed,
        )

    return by_id((one, value(one)) for one in quantities(table, folder / f"{table}_values.csv", checks))


def read_months(table: str, folder: Path, checks: Checks) -> dict[str, dict[str, MonthValues]]:
    """Return the monthly values of a table by id and quantity, in base units."""

    def months(one: Quantity) -> MonthValues:
        dimension, scale = checks.unit(one.row)
        printed = tuple(checks.number(one.row, month) for month in MONTHS)
        if None in printed:
            checks.problems.append(one.row.problem("a month is empty"))
        numbers = tuple(number or 0.0 for number in printed)
        return MonthValues(
            **one.words,
            values=tuple(number * scale for number in numbers),
            within=(checks.number(one.row, "within") or 0.0) * scale,
            dimension=dimension,
            printed=numbers,
        )

    return by_id((one, months(one)) for one in quantities(table, folder / f"{table}_months.csv", checks))


def read_prices(table: str, folder: Path, checks: Checks) -> dict[str, dict[str, Price]]:
    """Return the prices of a table by id and quantity ("price" where the file names none)."""
    if table not in PRICES:
        return {}

    def price(one: Quantity) -> Price:
        best, low, high = checks.bounds(one.row)
        return Price(
            **one.words,
            best=best,
            low=best if low is None else low,
            high=best if high is None else high,
            year=one.row["year"],
        )

    return by_id((one, price(one)) for one in quantities(table, folder / PRICES[table], checks, unnamed="price"))


def read_table(table: str, folder: Path, checks: Checks) -> dict[str, Entry]:
    """Return the entries of one table by id, each with its values, monthly values and prices."""
    values = read_values(table, folder, checks)
    months = read_months(table, folder, checks)
    prices = read_prices(table, folder, checks)
    entries: dict[str, Entry] = {}
    called: dict[str, str] = {}
    for row in rows_of(folder / f"{table}.csv"):
        entry = Entry(
            table=table,
            id=row["id"],
            name=row["name"],
            kind=row["kind"],
            aliases=tuple(word.strip() for word in row["aliases"].split(";") if word.strip()),
            about={c: text for c, text in row.cells.items() if c not in ("id", "name", "kind", "aliases")},
            values=values.get(row["id"], {}),
            months=months.get(row["id"], {}),
            prices=prices.get(row["id"], {}),
        )
        checks.problems.extend(row.problem(message) for message in entry_mistakes(entry, entries, called))
        if "known" in row.cells:  # rows that are words alone, such as cautions, say it themselves
            checks.origin(row)
        called.update({plain(word): entry.id for word in entry.words()})
        entries[entry.id] = entry
    for orphan in sorted({*values, *months, *prices} - set(entries)):
        checks.problems.append(Problem(f'{table}.csv does not list "{orphan}", which has numbers'))
    if not entries:
        checks.problems.append(Problem(f"{table}.csv is missing or empty"))
    return entries


def read_sowings(folder: Path, checks: Checks, covers: Mapping[str, Entry]) -> tuple[Sowing, ...]:
    """Return what is printed by sowing day, in base units; a cover that is not in the library is a problem."""
    found = []
    for row in rows_of(folder / "sowing_dates.csv"):
        checks.origin(row)
        _, scale = checks.unit(row)
        best, _, _ = checks.bounds(row)
        if row["cover"] and row["cover"] not in covers:
            checks.problems.append(row.problem(f'no cover "{row["cover"]}" in covers.csv'))
        words = (row["crop"], row["cover"], row["date"], row["quantity"])
        found.append(Sowing(*words, best * scale, row["known"], row["source"], row["note"]))
    return tuple(found)


def entry_mistakes(entry: Entry, before: Mapping[str, Entry], called: Mapping[str, str]) -> list[str]:
    """Return what is wrong with an entry, given the entries above it and what they are called."""
    mistakes = [f"{column} is empty" for column in ("id", "name") if not getattr(entry, column)]
    if entry.id in before:
        mistakes.append(f'id "{entry.id}" stands twice')
    clashes = {plain(word): called[plain(word)] for word in entry.words() if plain(word) in called}
    mistakes += [f'"{word}" already means {other}' for word, other in clashes.items() if other != entry.id]
    return mistakes


def read_folder(folder: Path, tables: Sequence[str] = TABLES) -> Library:
    """Return the library kept in a folder, or raise InputError with every bad row."""
    units = read_kept_units(folder / "units_kept.csv") | read_units(folder / "units.csv")
    checks = Checks(units, read_sources(folder))
    read = {table: read_table(table, folder, checks) for table in tables}
    sowings = read_sowings(folder, checks, read.get("covers", {}))
    if checks.problems:
        raise InputError(checks.problems)
    return Library(read, checks.sources, sowings)


@cache
def read_library() -> Library:
    """Return the library that comes with somsim.

    >>> read_library().tables["constants"]["humus_rate"].value("value").best
    0.006
    """
    return read_folder(Path(__file__).parent)
