import copy
import pickle

import pytest

from somsim.errors import SHOWN_WIDTH, InputError, Place, Problem, nearest, render


def test_each_mistake_shows_its_line_and_points_at_the_column() -> None:
    line = "        - spread: {material: gardn compost}"
    place = Place("a.yaml", 31, line.index("gardn") + 1)
    problem = Problem('no material "gardn compost"', place, line, "nearest: garden compost")
    assert render([problem, Problem("two", Place("a.yaml", 4, 1), "x: 1")]) == (
        "a.yaml:31:30\n"
        "  31 |         - spread: {material: gardn compost}\n"
        '     |                              ^ no material "gardn compost"\n'
        "  nearest: garden compost\n"
        "a.yaml:4:1\n"
        "  4 | x: 1\n"
        "    | ^ two\n"
        "2 mistakes; nothing was run."
    )


def test_a_mistake_may_lack_its_line_or_its_place() -> None:
    assert render([Problem("m", Place("a", 2, 3))], "no.") == "a:2:3\n  m\n1 mistake; no."
    assert render([Problem("m")]) == "m\n1 mistake; nothing was run."


def test_wide_characters_and_accents_keep_the_mark_under_its_word() -> None:
    shown = render([Problem("m", Place("a", 1, 5), "畑畑e\u0301x")]).splitlines()
    # On the screen: two columns for each of the first two signs, one for the accented e, then the x.
    assert shown[2] == "    |      ^ m"


@pytest.mark.parametrize("column", [1, 500, 1000])
def test_a_long_line_is_cut_round_the_mistake(column: int) -> None:
    line = "".join(chr(ord("a") + n % 26) for n in range(1000))
    shown = render([Problem("m", Place("a", 1, column), line)]).splitlines()
    assert len(shown[1]) <= SHOWN_WIDTH + len("  1 | ......")
    assert shown[1][shown[2].index("^")] == line[column - 1]


@pytest.mark.parametrize("column", [-3, 0, 99])
def test_a_place_beyond_its_line_is_still_told(column: int) -> None:
    assert "^ m" in render([Problem("m", Place("a", 1, column), "short")])


def test_nothing_typed_can_move_the_cursor_or_turn_the_writing_round() -> None:
    shown = render([Problem("\x1b[2J", Place("\x1b", 1, 1), "\u202eabc\r", "\x07")])
    assert not set(shown) & set("\x1b\u202e\r\x07")


def test_places_take_no_part_in_comparing() -> None:
    assert Place("a", 1, 2) == Place("b", 3, 4)


def test_an_error_survives_copying_and_pickling() -> None:
    error = InputError([Problem("m", Place("a", 1, 1), "x", "h")], "nothing was written.")
    for twin in (pickle.loads(pickle.dumps(error)), copy.copy(error)):
        assert str(twin) == str(error)
        assert twin.problems == error.problems


def test_an_error_without_a_mistake_is_refused() -> None:
    with pytest.raises(ValueError, match="at least one"):
        InputError([])


def test_nearest_minds_neither_case_nor_a_letter_lost() -> None:
    assert nearest("Gardn Compost", ["leaf mould", "garden compost"]) == ["garden compost"]
    assert nearest("xyzzy", ["garden compost"]) == []
    assert len(nearest("rye", ["rye", "rye 2", "rye 3", "rye 4"], count=2)) == 2
