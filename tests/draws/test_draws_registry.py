"""The dimension that each uncertain value of the library has for good."""

import csv
from importlib.resources import files
from statistics import NormalDist

import numpy as np

from somsim.draws import Draws, Unknown
from somsim.draws.draws import FAMILY
from somsim.draws.unknowns import LIBRARY_DIMENSIONS, registry
from somsim.library import read_library
from somsim.timeline.figures import LibraryKey, library_unknowns
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
    found = library_unknowns(LibraryKey(library, id(library)))
    ranges = [
        found[f"{table}/{entry.id}/{quantity}"]
        for table, entries in library.tables.items()
        for entry in entries.values()
        for quantity, value in entry.values.items()
        if value.low < value.high
    ]
    assert len(ranges) > 500  # a walk over an empty library would pass
    assert [one.name for one in ranges if (one.scored_as or one.name) not in known] == []


def test_the_family_has_the_first_dimension():
    assert registry()[FAMILY] == 0


def test_a_new_name_comes_after_all_others_and_moves_none():
    known = dict(registry())
    gone = sorted(known)[len(known) // 2]
    del known[gone]
    assert missing_rows(known) == {gone: max(known.values()) + 1}
    assert missing_rows(dict(registry())) == {}


def _typed(*names: str) -> Draws:
    unknowns = {name: Unknown(name, name, 1.0, 2.0, 3.0, "", "plan", "1 to 3") for name in names}
    return Draws(64, 5, unknowns)


def test_a_value_typed_in_a_plan_has_numbers_of_its_own_whatever_else_the_plan_holds():
    names = [f"plan/cover {number}/dry_tops" for number in range(200)]
    alone = [_typed(name).of(name) for name in names]
    together = _typed(*names)
    assert all(np.array_equal(one, together.of(name)) for one, name in zip(alone, names, strict=True))
    assert len({one.tobytes() for one in alone}) == len(names)


def test_a_value_typed_in_a_plan_is_spread_evenly_and_apart_from_its_neighbours():
    draws = _typed("plan/a/dry_tops", "plan/b/dry_tops")
    one, other = draws.score("plan/a/dry_tops"), draws.score("plan/b/dry_tops")
    # One draw in each of the 64 equal parts of the distribution.
    parts = np.floor(64 * np.array([NormalDist().cdf(value) for value in one])).astype(int)
    assert sorted(parts.tolist()) == list(range(64))
    # Independent columns of 64 correlate by less than four standard errors of 1/8.
    assert abs(np.corrcoef(one, other)[0, 1]) < 0.5
