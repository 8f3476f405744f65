"""The library against print.

Sources: those named in the `source` column of `printed*.csv`, where each number that was read in a
publication was typed a second time, with the unit as printed. Rows `for: library` must equal the library
row, exactly in the same unit, within 1 % where the library had to convert and round. An empty cell was not
printed. Rows `for: check` are other publications on the same quantity: they must lie within the library's
range, give or take 1 % for rounding to two digits, or have no row in the library. Yields by sowing date are
a table of their own and must be equal.
"""

import csv
from pathlib import Path

import pytest

import somsim.library
from somsim.library.entries import Price, Value
from somsim.library.reading import read_kept_units, read_library, read_units

HERE = Path(__file__).parent
TABLES = Path(somsim.library.__file__).parent
LIBRARY = read_library()
UNITS = read_kept_units(TABLES / "units_kept.csv") | read_units(TABLES / "units.csv")
BOUNDS = ("best", "low", "high")
PRINTED = [
    row
    for path in sorted(HERE.glob("printed*.csv"))
    for row in csv.DictReader(path.read_text(encoding="utf-8").splitlines())
]

CHECKS = [row for row in PRINTED if row["for"] == "check"]
BY_DATE = {
    (row["crop"], f"{row['quantity']} {row['date']}"): row
    for row in csv.DictReader((TABLES / "sowing_dates.csv").read_text(encoding="utf-8").splitlines())
}


def name(row: dict[str, str]) -> str:
    return f"{row['table']} {row['id']} {row['quantity']}"


def known_as(known: str) -> set[str]:
    found: set[str] = set()
    for table, entries in LIBRARY.tables.items():
        for entry in entries.values():
            rows: list[Value | Price] = [*entry.values.values(), *entry.prices.values()]
            found |= {f"{table} {entry.id} {row.quantity}" for row in rows if row.known == known}
            found |= {f"{table} {entry.id} {m.quantity}" for m in entry.months.values() if m.known == known}
    return found


def of_the_library(row: dict[str, str]) -> Value | Price | None:
    entry = LIBRARY.tables[row["table"]].get(row["id"])
    if entry is None:
        return None
    return entry.values.get(row["quantity"]) or entry.prices.get(row["quantity"])


@pytest.mark.parametrize("row", [row for row in PRINTED if row["for"] == "library"], ids=name)
def test_library_value_is_the_printed_one(row: dict[str, str]) -> None:
    held = of_the_library(row)
    assert held is not None
    assert held.known == "read"
    assert held.source == row["source"]
    same = row["unit"] == held.unit
    scale = 1.0 if isinstance(held, Price) else UNITS[row["unit"]][1]
    for bound in BOUNDS:
        if row[bound]:
            printed = float(row[bound]) * scale
            assert getattr(held, bound) == pytest.approx(printed, rel=1e-9 if same else 0.01)


@pytest.mark.parametrize("row", [row for row in CHECKS if row["table"] != "sowing_dates"], ids=name)
def test_other_publications_lie_within_the_range(row: dict[str, str]) -> None:
    assert row["source"] in LIBRARY.sources
    held = of_the_library(row)
    if isinstance(held, Value):
        numbers = [float(row[bound]) * UNITS[row["unit"]][1] for bound in BOUNDS if row[bound]]
        assert numbers
        slack = 0.01 * max(abs(held.low), abs(held.high))
        assert held.low - slack <= min(numbers) <= max(numbers) <= held.high + slack


def test_yields_by_sowing_date_are_the_printed_ones() -> None:
    printed = {(row["id"], row["quantity"]): row for row in CHECKS if row["table"] == "sowing_dates"}
    assert set(printed) == set(BY_DATE)
    for key, row in printed.items():
        assert float(BY_DATE[key]["best"]) == float(row["best"]), key
        assert (BY_DATE[key]["unit"], BY_DATE[key]["source"]) == (row["unit"], row["source"]), key


def test_each_row_says_what_it_is_for() -> None:
    assert {row["for"] for row in PRINTED} == {"library", "check"}


def test_every_read_value_is_typed_a_second_time() -> None:
    typed = [name(row) for row in PRINTED if row["for"] == "library"]
    assert len(typed) == len(set(typed))
    assert set(typed) == known_as("read")


def test_every_judged_value_is_listed_deliberately() -> None:
    listed = (HERE.parent / "library" / "judged_rows.txt").read_text(encoding="utf-8").splitlines()
    assert listed == sorted(known_as("judged"))
