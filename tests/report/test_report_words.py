"""Numbers as people read them."""

from __future__ import annotations

import datetime
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.report.words import date_in_words, fixed, in_hundred, months_in_words, scale, short
from somsim.study.equivalence import Spread

SIZES = st.floats(-1e6, 1e6, allow_nan=False)


@given(SIZES, st.integers(1, 4))
def test_a_short_number_is_near_the_number(value: float, digits: int) -> None:
    """Rounded to so many digits, it is off by half a unit of the last digit at the most."""
    assert float(short(value, digits)) == pytest.approx(value, rel=0.5001 * 10.0 ** (1 - digits), abs=1e-9)
    assert "e" not in short(value, digits)


@pytest.mark.parametrize("value", [0.0, -0.0, -1e-12])
def test_nought_has_no_sign(value: float) -> None:
    assert short(value) == "0"
    assert fixed(value, 2) == "0.00"


@pytest.mark.parametrize(
    ("chance", "expected"),
    [
        (0.0, "in none"),
        (1e-6, "in under 1 of 100"),
        (0.0049, "in under 1 of 100"),
        (0.0051, "in 1 of 100"),
        (0.5, "in 50 of 100"),
        (0.9949, "in 99 of 100"),
        (0.9951, "in over 99 of 100"),
        (1.0, "in all"),
    ],
)
def test_a_chance_is_certain_only_when_it_is(chance: float, expected: str) -> None:
    assert in_hundred(chance) == expected


@pytest.mark.parametrize(
    ("months", "expected"),
    [(1, "1 month"), (6, "half a year"), (18, "18 months"), (12, "1 year"), (24, "2 years"), (360, "30 years")],
)
def test_time_is_told_in_months_or_years(months: int, expected: str) -> None:
    assert months_in_words(months) == expected


def test_a_date_is_told_as_it_is_spoken() -> None:
    assert date_in_words(datetime.date(2026, 10, 1)) == "1 October 2026"
    assert date_in_words(datetime.date(2027, 1, 20)) == "20 January 2027"


@pytest.mark.parametrize(
    ("kind", "times"),
    [
        ("mass_per_area", 0.3048**2 / 0.45359237),  # lb/ft2 in a kg/m2
        ("length", 1.0 / 0.0254),  # inches in a m
        ("ground_load", 1.0 / (0.45359237 / 4046.8564224)),  # lb/acre in a kg/m2
    ],
)
def test_us_units_are_the_metric_times_the_legal_factor(kind: str, times: float) -> None:
    """Foot, pound and acre of the international agreement of 1959, exact by definition."""
    assert scale(kind, "us").times == pytest.approx(times, rel=1e-9)


def test_metric_scales_are_what_they_say() -> None:
    assert scale("length").one(0.0051, 2) == "5.1 mm"
    assert scale("ground_load").one(0.025, 3) == "250 kg/ha"
    assert scale("mass_per_area").one(2.43, 3) == "2.43 kg/m2"


@pytest.mark.parametrize(
    ("spread", "expected"),
    [
        (Spread(2.0, 0.912, 2.04, 3.88), "2.0 (0.9 to 3.9)"),
        (Spread(0.0, -0.2047, 0.0012, 0.1164), "0.0012 (-0.20 to 0.12)"),  # not four digits of an uncertain end
        (Spread(0.0, -0.31, 0.0, 0.42), "0 (-0.31 to 0.42)"),  # not "0 to 0"
        (Spread(1.0, 1.0, 1.0, 1.0), "1.0"),
        (Spread(0.0, -0.04, 12.3, 20.0), "12 (0 to 20)"),
    ],
)
def test_a_range_has_digits_that_mean_something(spread: Spread, expected: str) -> None:
    assert scale("mass_per_area").range(spread) == expected


@given(st.tuples(SIZES, SIZES, SIZES))
def test_a_range_never_has_a_sign_without_a_number(ends: tuple[float, float, float]) -> None:
    low, middle, high = sorted(ends)
    text = scale("mass_per_area").range(Spread(middle, low, middle, high))
    assert not [word for word in text.strip("()").replace("(", "").split() if word != "to" and math.isnan(float(word))]
    assert "-0 " not in text + " " and "-0.0 " not in text + " "
