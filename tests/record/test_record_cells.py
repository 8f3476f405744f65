"""Lines as cells: held against the csv module of the standard library, which reads what spreadsheets write."""

import csv

import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.errors import InputError, Place
from somsim.record.cells import columns, header_of, join, split

HERE = Place("r.csv", 3, 1)
WORDS = st.text(st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp")), max_size=12)


@given(st.lists(WORDS.map(str.strip), min_size=1, max_size=8))
def test_what_is_joined_is_split_again_as_the_standard_library_does(cells: list[str]) -> None:
    line = join(cells)
    if line:
        assert [str(cell) for cell in split(line, HERE)] == [cell.strip() for cell in next(csv.reader([line]))]
    assert [str(cell) for cell in split(line, HERE)] == cells


@given(st.lists(st.text("ab, ;\"x", max_size=6).map(str.strip), min_size=2, max_size=5))
def test_places_point_at_the_cells(cells: list[str]) -> None:
    line = join(cells)
    for cell in split(line, HERE):
        at = cell.place.column - 1
        if cell and '"' not in cell:
            assert line[at : at + len(cell)] == cell


@pytest.mark.parametrize("line", ['a,"b', 'a,"b"c,d', 'a"b,c'])
def test_a_broken_quote_is_refused(line: str) -> None:
    with pytest.raises(ValueError, match="a quote is not closed"):
        split(line, HERE)


def test_the_columns_are_those_of_the_kinds_and_end_with_the_number() -> None:
    known = columns()
    assert len(set(known)) == len(known)
    assert {"date", "what", "fresh", "area", "depth", "corrects"} <= set(known)
    assert known[-1] == "line"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("date;what;line", "parted by ;"),
        ("date,what,lin", 'no column "lin" in a record'),
        ("date,what,line,date", 'the column "date" stands twice'),
        ("date,line", 'the column "what" is missing'),
        ('date,"what', "a quote is not closed"),
    ],
)
def test_a_header_that_cannot_be(line: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        header_of(line, "r.csv")
