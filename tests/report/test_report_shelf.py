"""The library on a screen and as JSON: every table and every row can be shown."""

from __future__ import annotations

import io
import json

import pytest
from rich.cells import cell_len
from rich.console import Console

from somsim.errors import InputError
from somsim.library import read_library
from somsim.report.shelf import (
    NOT_USED,
    WORDS,
    as_json,
    chosen_entry,
    chosen_table,
    credited,
    in_groups,
    show_entry,
    show_table,
    show_tables,
)

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


def test_a_cover_tells_what_each_figure_is_used_for() -> None:
    page = shown(show_entry, KNOWN, chosen_entry(KNOWN, "covers", "rye and vetch"), width=120)
    parts = page.split("How much grows: used where you give no dry_tops and no sample")
    assert len(parts) == 2
    assert "usual season: mid September to late April" in parts[0]
    assert "cut, it decays as: soft green in leaf, stemmy green in flower, straw ripe" in parts[0]
    # Lawson et al. (2015): 4.1 t/ha; the ends of the range from memory, as the row says.
    assert "4.1 (2.5 to 7) t/ha" in parts[1].split("How dry")[0]
    used, not_used = parts[1].split(NOT_USED)
    assert "seed rate" in used.split("Seed: used for what it costs")[1]
    assert "carbon to nitrogen, in leaf" in not_used


def test_a_cover_tells_its_flowering_and_its_printed_row() -> None:
    vetch = shown(show_entry, KNOWN, chosen_entry(KNOWN, "covers", "hairy vetch"), width=120)
    assert "in flower by: 31 May" in vetch and "by sowing day" not in vetch
    # Handboek Bodem & Bemesting (Netherlands), read: typed a second time in tests/published/dutch_sowings.py.
    mustard = " ".join(shown(show_entry, KNOWN, chosen_entry(KNOWN, "covers", "white mustard"), width=120).split())
    assert "15 Jul 1800, 1 Aug 1250, 15 Aug 750, 1 Sep 500, 15 Sep 350, 1 Oct 250" in mustard


def test_every_figure_of_every_cover_stands_under_one_heading() -> None:
    for entry in KNOWN.tables["covers"].values():
        listed = [value.quantity for _, values in in_groups(entry) for value in values]
        assert sorted(listed) == sorted(entry.values)


def test_a_source_is_named_unless_the_column_beside_it_says_it_all() -> None:
    rye = chosen_entry(KNOWN, "covers", "rye and vetch")
    assert credited(KNOWN, rye.value("dry_tops")).startswith("Lawson, Cogger, Bary, Fortuna, 2015; ")
    assert credited(KNOWN, rye.value("nitrogen_vegetative")) == ""  # from memory, no range published
    assert credited(KNOWN, rye.value("seed_rate")) == "rye 10 and vetch 4 g/m2"


GROWERS_SAY = {
    "covers": {
        "fall rye": "cereal rye",
        "Hungarian rye": "cereal rye",
        "hairy vetch": "hairy vetch",
        "crimson clover": "crimson clover",
        "Austrian winter peas": "winter field pea",
        "tick beans": "winter field bean",
        "daikon": "fodder radish",
        "alfalfa": "lucerne",
        "black oats": "oats",
        "sudangrass": "sorghum-sudangrass",
    },
    "materials": {
        "horse muck": "fresh horse manure with bedding",
        "well-rotted manure": "aged cattle manure",
        "cow muck": "aged cattle manure",
        "wood chips": "wood chip",
        "grass cuttings": "fresh lawn clippings",
        "mushroom compost": "spent mushroom compost",
        "leaf mold": "leaf mould",
        "council compost": "garden compost",
        "worm casts": "vermicompost",
        "dead leaves": "autumn leaves",
    },
    "crops": {"bell pepper": "sweet pepper", "calabrese": "broccoli", "salad greens": "winter salad leaf"},
}


@pytest.mark.parametrize(("table", "word"), [(table, word) for table, words in GROWERS_SAY.items() for word in words])
def test_what_growers_say_is_found(table: str, word: str) -> None:
    assert chosen_entry(KNOWN, table, word).name == GROWERS_SAY[table][word]


def test_a_crop_that_is_not_there_gets_no_crop_that_is_not_it() -> None:
    with pytest.raises(InputError, match=r'nothing called "courgette" in crops\n  all: somsim library crops'):
        chosen_entry(KNOWN, "crops", "courgette")
