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
from somsim.study.held import LoadHeld
from somsim.study.limits import Rule

FIELD = Rule("nitrogen in all organic manure", "nitrogen", "all", 365, 0.025, "nvz", "read", named=False)
DEEP = Spread(0.0506, 0.0340, 0.0520, 0.0772)
LOAD = LoadHeld("deep", FIELD, DEEP, DEEP, datetime.date(2027, 4, 20), 1.0, ())


def with_loads(made: Study, *loads: LoadHeld) -> Study:
    """A comparison whose strategies pass these limits; one after the other, those of one name together."""
    held: dict[str, list[LoadHeld]] = {}
    for load in loads:
        held.setdefault(load.strategy, []).append(load)
    answers = zip(made.answers, held.values(), strict=False)
    return replace(made, answers=tuple(replace(answer, held=tuple(own)) for answer, own in answers))


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
    """250 of 520 is 48 %, 250 of 772 is 32 %."""
    (line,) = sentences.limit_passed(with_loads(crowd, LOAD))
    assert line == (
        'OVER A LIMIT: "deep" spreads 520 kg/ha of nitrogen in any 12 months (340 to 772), first on 20 April 2027, '
        "paths counted. The usual limit on nitrogen is 250 kg/ha; 48 % of that amount would keep to it in the middle "
        "world, 32 % in 9 of 10. Your own country's rules decide."
    )


def test_the_limit_told_is_the_one_that_the_plan_names(crowd: Study) -> None:
    own = Rule("your limit", "phosphorus", "manure", 730, 0.003, "30 kg/ha", "plan", named=True)
    (line,) = sentences.limit_passed(with_loads(crowd, replace(LOAD, rule=own)))
    assert "of phosphorus in any 24 months" in line
    assert "Your own limit on phosphorus from livestock manure is 30.0 kg/ha" in line
    perhaps = replace(LOAD, rule=own, most=Spread(0.002, 0.001, 0.002, 0.004), chance=0.2)
    (line,) = sentences.limit_perhaps_passed(with_loads(crowd, perhaps))
    assert "your own limit on phosphorus from livestock manure of 30.0 kg/ha in 24 months" in line
    named = replace(LOAD, rule=replace(FIELD, named=True))
    assert "Your plan's limit on nitrogen is 250 kg/ha" in sentences.limit_passed(with_loads(crowd, named))[0]


def test_of_several_limits_the_worst_is_told_and_one_with_an_option_last(crowd: Study) -> None:
    allowed = replace(LOAD, option="compost")
    (line,) = sentences.limit_passed(with_loads(crowd, allowed))
    assert "It keeps to the two-year option for compost, where that is open to you." in line
    worse = replace(LOAD, rule=replace(FIELD, nutrient="phosphorus", level=0.05))
    (line,) = sentences.limit_passed(with_loads(crowd, allowed, worse))
    assert "of phosphorus" in line and "option" not in line


def test_a_limit_in_us_units(crowd: Study) -> None:
    """250 kg/ha is 223 lb/acre: 250 / 0.45359237 x 0.40468564224."""
    (line,) = sentences.limit_passed(with_loads(crowd, LOAD), "us")
    assert "The usual limit on nitrogen is 223 lb/acre" in line


def test_limits_passed_come_first_and_perhaps_passed_last(crowd: Study) -> None:
    perhaps = replace(LOAD, strategy="thin", most=Spread(0.017, 0.011, 0.017, 0.026), chance=0.14)
    lines = sentences.answer(with_loads(crowd, LOAD, perhaps))
    assert lines[0].startswith('OVER A LIMIT: "deep"')
    assert lines[-1].startswith(
        '"thin" may pass the usual limit on nitrogen of 250 kg/ha: it does in 14 of 100 worlds.'
    )
    assert [line for line in lines if "imit" in line] == [lines[0], lines[-1]]


def test_a_limit_that_is_hardly_ever_passed_is_no_sentence(crowd: Study) -> None:
    rare = replace(LOAD, most=Spread(0.010, 0.008, 0.010, 0.020), chance=0.09, since=None)
    assert sentences.limit_perhaps_passed(with_loads(crowd, rare)) == []


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
