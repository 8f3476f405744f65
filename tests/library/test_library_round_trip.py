"""The library written back as tables and read again is the same library, whatever its words and numbers."""

import csv
import shutil
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import somsim.library
from somsim.library import reading
from somsim.library.entries import Entry, Library

SHIPPED = Path(somsim.library.__file__).parent
LIBRARY = reading.read_library()
UNITS = reading.read_units(SHIPPED / "units.csv")
NUMBERS = ["id", "quantity", "best", "low", "high", "unit", "known", "source", "note"]


def write_rows(path: Path, columns: list[str], rows: list[list[object]]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file)
        writer.writerow(columns)
        writer.writerows(["" if cell is None else cell for cell in row] for row in rows)


def write_table(folder: Path, table: str, entries: list[Entry]) -> None:
    columns = list(entries[0].about)
    write_rows(
        folder / f"{table}.csv",
        ["id", "name", "kind", "aliases", *columns],
        [[one.id, one.name, one.kind, "; ".join(one.aliases), *(one.about[c] for c in columns)] for one in entries],
    )
    values = [value for one in entries for value in one.values.values()]
    write_rows(
        folder / f"{table}_values.csv",
        NUMBERS,
        [[v.id, v.quantity, *map(repr_or_none, v.printed), v.unit, v.known, v.source, v.note] for v in values],
    )
    months = [value for one in entries for value in one.months.values()]
    write_rows(
        folder / f"{table}_months.csv",
        ["id", "quantity", *reading.MONTHS, "within", "unit", "known", "source", "note"],
        [
            [
                m.id,
                m.quantity,
                *map(repr, m.printed),
                repr(m.within / UNITS[m.unit][1]),
                m.unit,
                m.known,
                m.source,
                m.note,
            ]
            for m in months
        ],
    )
    prices = [value for one in entries for value in one.prices.values()]
    if table in reading.PRICES:
        write_rows(
            folder / reading.PRICES[table],
            ["id", "quantity", "best", "low", "high", "unit", "year", "known", "source", "note"],
            [
                [p.id, p.quantity, repr(p.best), repr(p.low), repr(p.high), p.unit, p.year, p.known, p.source, p.note]
                for p in prices
            ],
        )


def repr_or_none(number: float | None) -> str | None:
    return None if number is None else repr(number)


def write_library(folder: Path, library: Library) -> None:
    for name in ("units.csv", "units_kept.csv"):
        shutil.copy(SHIPPED / name, folder / name)
    for path in SHIPPED.glob("sources*.toml"):
        shutil.copy(path, folder / path.name)
    for table, entries in library.tables.items():
        write_table(folder, table, list(entries.values()))
    write_rows(
        folder / "sowing_dates.csv",
        ["crop", "cover", "date", *NUMBERS[1:]],
        [
            [
                one.crop,
                one.cover,
                one.day,
                one.quantity,
                *[repr(one.best)] * 3,
                "kg/m2",
                one.known,
                one.source,
                one.note,
            ]
            for one in library.sowings
        ],
    )


def test_the_shipped_library_comes_back_as_it_was(tmp_path: Path) -> None:
    write_library(tmp_path, LIBRARY)
    again = reading.read_folder(tmp_path)
    assert again.sources == LIBRARY.sources
    assert again.sowings == LIBRARY.sowings
    for table, entries in LIBRARY.tables.items():
        assert list(again.tables[table]) == list(entries)
        for name, entry in entries.items():
            back = again.tables[table][name]
            assert (back.words(), back.about, back.values, back.prices) == (
                entry.words(), entry.about, entry.values, entry.prices,
            )  # fmt: skip
            assert set(back.months) == set(entry.months)
            for quantity, months in entry.months.items():
                # Within is kept in base units only: there and back is one rounding.
                assert back.months[quantity].within == pytest.approx(months.within, rel=1e-12)
                assert back.months[quantity].values == months.values


# Letters, accents, commas, quotes and signs; a semicolon parts aliases, and blanks at the ends are taken off.
WORDS = st.text("abcXYZéß ,\"'+-/()%:#", min_size=1, max_size=20).map(str.strip).filter(bool)
NUMBER = st.floats(-1e6, 1e6, allow_subnormal=False)


@st.composite
def tables(draw: st.DrawFn) -> dict[str, tuple[str, tuple[str, ...], dict[str, tuple[list[float], str, str]]]]:
    """Entries by id: name, aliases, and values by quantity: low, best, high; unit; note."""
    names = draw(st.lists(WORDS, min_size=2, max_size=12, unique_by=reading.plain))
    count = draw(st.integers(1, len(names) // 2))
    found = {}
    for number in range(count):
        values = draw(
            st.dictionaries(
                st.sampled_from(["nitrogen", "depth", "dry_matter"]),
                st.tuples(st.lists(NUMBER, min_size=3, max_size=3).map(sorted), st.sampled_from(sorted(UNITS)), WORDS),
            )
        )
        found[f"thing_{number}"] = (names[number], tuple(names[count + number : count + number + 1]), values)
    return found


@settings(max_examples=50, deadline=None)
@given(made=tables())
def test_any_words_and_numbers_come_back(made: dict, tmp_path_factory: pytest.TempPathFactory) -> None:
    folder = tmp_path_factory.mktemp("tables")
    for name in ("units.csv", "units_kept.csv"):
        shutil.copy(SHIPPED / name, folder / name)
    (folder / "sources.toml").write_text('[memory]\ntitle = "from memory"\n', encoding="utf-8")
    write_rows(
        folder / "soils.csv",
        ["id", "name", "kind", "aliases"],
        [[key, name, "", "; ".join(aliases)] for key, (name, aliases, _) in made.items()],
    )
    write_rows(
        folder / "soils_values.csv",
        NUMBERS,
        [
            [key, quantity, *(repr(ends[place]) for place in (1, 0, 2)), unit, "remembered", "memory", note]
            for key, (_, _, values) in made.items()
            for quantity, (ends, unit, note) in values.items()
        ],
    )
    library = reading.read_folder(folder, ("soils",))
    for key, (name, aliases, values) in made.items():
        entry = library.tables["soils"][key]
        assert (entry.name, entry.aliases) == (name, aliases)
        for word in (name, *aliases):
            assert (
                library.find("soils", f"  {word.upper()} " if word.upper().casefold() == word.casefold() else word)
                == entry
            )
        assert set(entry.values) == set(values)
        for quantity, (ends, unit, note) in values.items():
            value, (dimension, scale) = entry.value(quantity), UNITS[unit]
            assert (value.low, value.best, value.high) == tuple(end * scale for end in ends)
            assert (value.unit, value.dimension, value.note) == (unit, dimension, note)
