"""The dimension that each uncertain value of the library has for good."""

import csv
from importlib.resources import files

from somsim.draws.draws import FAMILY
from somsim.draws.unknowns import LIBRARY_DIMENSIONS, PLAN_DIMENSIONS, dimensions, registry
from somsim.library import read_library
from somsim.timeline.registering import missing_rows, wanted_names


def test_every_uncertain_value_of_the_library_has_a_row_and_no_row_is_left_over():
    assert set(registry()) == set(wanted_names())


def test_no_name_and_no_dimension_stands_twice_in_the_file():
    text = files("somsim").joinpath("library/unknowns.csv").read_text(encoding="utf-8")
    rows = [(row["name"], int(row["dimension"])) for row in csv.DictReader(text.splitlines())]
    assert len({name for name, _ in rows}) == len(rows)
    # Appended only: the dimensions are 0, 1, 2 ... in the order of the file.
    assert [dimension for _, dimension in rows] == list(range(len(rows)))
    assert len(rows) <= LIBRARY_DIMENSIONS


def test_every_range_in_the_library_is_drawn_from_a_registered_score():
    library, known = read_library(), registry()
    ranges = [
        f"{table}/{entry.id}/{quantity}"
        for table, entries in library.tables.items()
        for entry in entries.values()
        for quantity, value in entry.values.items()
        if value.low < value.high
    ]
    assert len(ranges) > 500  # a walk over an empty library would pass
    assert [name for name in ranges if name not in known] == []


def test_the_family_has_the_first_dimension():
    assert registry()[FAMILY] == 0


def test_a_new_name_comes_after_all_others_and_moves_none():
    known = dict(registry())
    gone = sorted(known)[len(known) // 2]
    del known[gone]
    assert missing_rows(known) == {gone: max(known.values()) + 1}
    assert missing_rows(dict(registry())) == {}


def test_a_plan_has_dimensions_of_its_own_that_do_not_depend_on_what_else_it_holds():
    one = dimensions(["plan/strategies/a/cover rye/dry_tops"])
    both = dimensions(["plan/strategies/a/cover rye/dry_tops", "plan/site/soil/organic_matter"])
    assert both | one == both
    assert len(set(both.values())) == 2
    assert all(LIBRARY_DIMENSIONS <= place < LIBRARY_DIMENSIONS + PLAN_DIMENSIONS for place in both.values())


def test_many_names_of_a_plan_never_share_a_dimension():
    found = dimensions(f"plan/strategies/{number}/dry_tops" for number in range(1500))
    assert len(set(found.values())) == 1500
