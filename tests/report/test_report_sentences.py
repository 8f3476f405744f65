"""The answer read aloud: who leaves more, by how much, how surely; limits first; crops that fit."""

from __future__ import annotations

import datetime
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.report import sentences
from somsim.study.compare import Pair, Study
from somsim.study.equivalence import Spread
from somsim.study.limits import NitrogenLoad

LOAD = NitrogenLoad(
    "deep", Spread(506.0, 340.0, 520.0, 772.0), 250.0, "nvz", datetime.date(2027, 4, 20), 1.0
)


def pair(low: float, middle: float, high: float, chance: float) -> Pair:
    return Pair("compost", "rye", Spread(middle, low, middle, high), chance)


def test_a_clear_difference() -> None:
    assert sentences.pair_sentence(pair(0.9, 2.04, 3.9, 0.99)) == (
        '"compost" leaves 2.0 kg more organic matter in each m2 of bed than "rye" (0.9 to 3.9); '
        "it leaves more in 99 of 100 worlds."
    )


def test_a_difference_below_nought_is_turned_round() -> None:
    assert sentences.pair_sentence(pair(-3.9, -2.04, -0.9, 0.01)) == sentences.pair_sentence(
        Pair("rye", "compost", Spread(2.04, 0.9, 2.04, 3.9), 0.99)
    )


def test_in_us_units_it_is_the_same_difference() -> None:
    """2.04 kg/m2 are 0.418 lb/ft2 (0.3048^2 / 0.45359237 = 0.2048)."""
    assert "leaves 0.42 lb more organic matter in each ft2 of bed" in sentences.pair_sentence(
        pair(0.9, 2.04, 3.9, 0.99), "us"
    )


@pytest.mark.parametrize("chance", [0.3, 0.5, 0.7])
def test_what_cannot_be_told_apart(chance: float) -> None:
    assert sentences.pair_sentence(pair(-0.2047, 0.001, 0.1164, chance)) == (
        '"compost" and "rye" cannot be told apart: the first may leave 0.20 kg/m2 less or 0.12 more.'
    )


@pytest.mark.parametrize("chance", [0.0, 0.4, 1.0])
def test_the_same_is_called_the_same(chance: float) -> None:
    """Rounding alone decides on which side of nought a difference of nothing falls."""
    assert sentences.pair_sentence(pair(0.0, 0.0, 1e-15, chance)) == '"compost" and "rye" leave the same.'


@given(st.tuples(*[st.floats(-9, 9)] * 3), st.floats(0, 1))
def test_every_pair_makes_a_sentence(ends: tuple[float, float, float], chance: float) -> None:
    low, middle, high = sorted(ends)
    made = sentences.pair_sentence(pair(low, middle, high, chance))
    assert made.endswith(".")
    assert not any(bad in made for bad in ("in none worlds", "nan", "inf", " -0 ", "e-"))


def test_a_limit_says_how_much_since_when_and_what_would_do(crowd: Study) -> None:
    """250 of 520 is 48 %."""
    answers = (replace(crowd.answers[0], nitrogen=LOAD),)
    (line,) = sentences.limit_passed(replace(crowd, answers=answers))
    assert line == (
        'OVER A LIMIT: "deep" spreads 520 kg/ha of nitrogen in twelve months (340 to 772) from 20 April 2027, '
        "paths counted. The usual limit is 250 kg/ha; 48 % of that amount would keep to it. "
        "Your own country's rules decide."
    )


def test_a_limit_in_us_units(crowd: Study) -> None:
    """250 kg/ha is 223 lb/acre: 250 / 0.45359237 x 0.40468564224."""
    answers = (replace(crowd.answers[0], nitrogen=LOAD),)
    (line,) = sentences.limit_passed(replace(crowd, answers=answers), "us")
    assert "The usual limit is 223 lb/acre" in line


def test_limits_passed_come_first_and_perhaps_passed_last(crowd: Study) -> None:
    perhaps = replace(LOAD, strategy="thin", most=Spread(170.0, 110.0, 170.0, 260.0), chance=0.14)
    answers = (replace(crowd.answers[0], nitrogen=LOAD), replace(crowd.answers[1], nitrogen=perhaps))
    lines = sentences.answer(replace(crowd, answers=answers))
    assert lines[0].startswith('OVER A LIMIT: "deep"')
    assert lines[-1].startswith(
        '"thin" may pass the usual nitrogen limit of 250 kg/ha: it does in 14 of 100 worlds.'
    )
    assert [line for line in lines if "imit" in line] == [lines[0], lines[-1]]


def test_a_limit_that_is_hardly_ever_passed_is_no_sentence(crowd: Study) -> None:
    rare = replace(LOAD, most=Spread(100.0, 80.0, 100.0, 200.0), chance=0.09, since=None)
    assert sentences.limit_perhaps_passed(replace(crowd, answers=(replace(crowd.answers[0], nitrogen=rare),))) == []


def test_worth_is_told_three_ways_and_a_missing_volume_is_said(hostile: Study) -> None:
    measured, unmeasured = (sentences.worth(one, hostile) for one in hostile.equivalences)
    for lines in (measured, unmeasured):
        assert [line.split(":")[0].strip() for line in lines[1:4]] == [
            "by what lasts 3 years",
            "by carbon on the day",
            "by volume",
        ]
    assert " mm (" in measured[3]
    assert "not measured" in unmeasured[3]


@pytest.mark.parametrize(
    ("kept", "rounds", "verdict"),
    [
        (0.2, 1, "not possible, at most 1 a year fits between the other crops."),
        (0.2, 2, "not possible, at most 2 a year fit between the other crops."),
        (50.0, 1, "that fits into a year."),
        (0.0, 1, "is not possible: a crop of rye and vetch leaves next to nothing."),
    ],
)
def test_a_match_is_a_number_of_crops_or_says_why_not(
    hostile: Study, kept: float, rounds: int, verdict: str
) -> None:
    one = replace(hostile.equivalences[0], draws=np.full(16, kept), rounds_a_year=rounds)
    lines = sentences.match(one, hostile)
    assert lines
    assert all(line.endswith(verdict) for line in lines)


def test_a_crop_that_may_leave_nothing_has_no_upper_end(hostile: Study) -> None:
    """Worked arithmetic: 5 mm over 2 mm is 2.5; in a quarter of the worlds no number of crops is enough."""
    one = replace(hostile.equivalences[0], draws=np.array([2.0] * 12 + [0.0] * 4))
    lines = sentences.match(one, hostile)
    assert any("would take 2.5 crops of rye and vetch a year (2.5 or more)" in line for line in lines)


def test_a_match_counts_depth_over_worth(hostile: Study) -> None:
    """Worked arithmetic: 5 mm a year of compost, and crops worth 2 mm each, are 2.5 crops."""
    one = replace(hostile.equivalences[0], draws=np.full(16, 2.0))
    lines = sentences.match(one, hostile)
    assert any("would take 2.5 crops of rye and vetch a year (2.5 to 2.5)" in line for line in lines)


def test_the_opening_says_how_long_from_when_in_how_many_worlds(hostile: Study) -> None:
    assert sentences.opening(hostile).startswith("3 years from 1 October 2026, in 16 possible worlds.")
