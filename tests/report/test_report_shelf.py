"""The library on a screen and as JSON: every table and every row can be shown."""

from __future__ import annotations

import io
import json

import pytest
from rich.cells import cell_len
from rich.console import Console

from somsim.errors import InputError
from somsim.library import read_library
from somsim.report.shelf import WORDS, as_json, chosen_entry, chosen_table, show_entry, show_table, show_tables

KNOWN = read_library()


def shown(show, *arguments, width: int = 80) -> str:
    console = Console(file=io.StringIO(), width=width, markup=False, highlight=False, emoji=False)
    show(*arguments, console)
    text = console.file.getvalue()
    assert not [line for line in text.splitlines() if cell_len(line) > width]
    return str(text)


def test_every_table_is_listed_with_what_is_in_it() -> None:
    text = shown(show_tables, KNOWN)
    for name, entries in KNOWN.tables.items():
        assert f"{name} " in text
        assert f" {len(entries)} " in text
        assert WORDS[name]


@pytest.mark.parametrize("table", list(KNOWN.tables))
def test_every_row_can_be_shown(table: str) -> None:
    listed = shown(show_table, KNOWN, table, width=200)
    for entry in KNOWN.tables[table].values():
        assert entry.name.split()[0] in listed
        assert entry.name in shown(show_entry, KNOWN, entry, width=120)


def test_a_value_is_shown_with_its_range_how_it_is_known_and_its_source() -> None:
    """The figures are those of `library/materials_values.csv`, as their source prints them."""
    text = shown(show_entry, KNOWN, chosen_entry(KNOWN, "materials", "green waste compost"), width=120)
    line = next(line for line in text.splitlines() if line.startswith("nitrogen ") and "first" not in line)
    assert "1.3 (0.9 to 2.2) %" in line
    assert "remembered" in line


def test_what_is_not_there_is_told_with_the_nearest() -> None:
    with pytest.raises(InputError, match="nearest: materials"):
        chosen_table(KNOWN, "material")
    with pytest.raises(InputError, match="nearest: garden compost"):
        chosen_entry(KNOWN, "materials", "gardn compost")


def test_as_json_it_is_whole() -> None:
    assert set(as_json(KNOWN, None, None)) == set(KNOWN.tables)
    for table in KNOWN.tables:
        assert len(json.loads(json.dumps(as_json(KNOWN, table, None), allow_nan=False))) == len(KNOWN.tables[table])
    row = as_json(KNOWN, "materials", "garden compost")
    assert row["values"]["nitrogen"]["best"] == pytest.approx(0.013)  # base units: a share
