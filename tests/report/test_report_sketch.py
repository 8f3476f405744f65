"""The sketch of the curves: who is highest is highest, it fits, and needs no letter that a terminal may lack."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from somsim.report.page.section import letter
from somsim.report.series import spread
from somsim.report.sketch import ROWS, sketch
from somsim.study.compare import Study


def field(study: Study, width: int) -> Iterator[str]:
    """The drawn lines, without what stands at their left."""
    for line in list(sketch(study, width))[1 : ROWS + 1]:
        yield line.partition("|")[2]


@pytest.mark.parametrize("width", [40, 80, 120])
def test_it_fits(hostile: Study, width: int) -> None:
    drawn = list(sketch(hostile, width))
    assert all(len(line) <= width or line.strip()[1:3] == "  " for line in drawn[1:])  # names may be longer
    assert max(len(line) for line in drawn[1 : ROWS + 3]) <= width


def test_at_the_end_the_letters_stand_in_the_order_of_the_levels(hostile: Study) -> None:
    levels = spread(hostile, "organic_matter")[1][:, -1]
    order = [letter(int(number)) for number in sorted(range(4), key=lambda number: -levels[number])]
    last = [line[69:70] if len(line) > 69 else "" for line in field(hostile, 200)]
    columns = max(len(line) for line in field(hostile, 200))
    last = [line[columns - 1 :] for line in field(hostile, 200)]
    seen = [mark for mark in "".join(last) if mark.strip()]
    assert [mark for mark in seen if mark != "+"] == [mark for mark in order if mark in seen]
    assert seen[0] in (order[0], "+")


def test_all_but_the_names_is_ascii(hostile: Study) -> None:
    drawn = list(sketch(hostile, 80))
    assert "".join(drawn[: ROWS + 3]).isascii()


def test_curves_that_never_move_are_drawn_in_the_middle(crowd: Study) -> None:
    drawn = list(field(crowd, 80))
    assert any("+" in line or "A" in line for line in drawn)
    assert "several of them" in list(sketch(crowd, 80))[-1]
