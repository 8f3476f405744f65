"""From low, best and high to values: the quantiles a published range is taken for, and the bounds physics sets."""

from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.draws import value_at
from somsim.draws.distribution import FURTHEST, TAIL

RANGES = [(0.2, 0.4, 0.8), (1.3, 2.1, 2.8), (0.0, 1.0, 3.0), (-1.0, 0.0, 1.0), (-5.0, -2.0, 4.0)]


def test_the_tail_is_the_95_per_cent_point_of_the_normal_distribution():
    # Python's own inverse (Wichura 1988, Appl. Stat. 37:477), given there to 16 digits.
    assert pytest.approx(NormalDist().inv_cdf(0.95), rel=1e-14) == TAIL


@pytest.mark.parametrize(("low", "best", "high"), RANGES)
def test_five_fifty_and_ninety_five_per_cent_are_low_best_and_high(low, best, high):
    normal = NormalDist()
    scores = [normal.inv_cdf(share) for share in (0.05, 0.5, 0.95)]
    assert value_at(scores, low, best, high) == pytest.approx([low, best, high], abs=1e-12)


def test_twice_as_far_in_the_score_is_the_same_factor_again():
    # Worked: half to 0.2 at one tail, so a quarter to 0.1 at 1.5 tails is 0.4 x 0.5^1.5.
    assert float(value_at(-1.5 * TAIL, 0.2, 0.4, 0.8)) == pytest.approx(0.4 * 0.5**1.5, rel=1e-14)


def test_where_low_is_zero_the_line_is_straight_and_stops_at_the_bound():
    assert value_at([-0.5 * TAIL, -1.5 * TAIL], 0.0, 1.0, 3.0, lowest=0.0).tolist() == [0.5, 0.0]


@given(
    st.lists(st.floats(0.001, 1000.0), min_size=3, max_size=3),
    st.lists(st.floats(-50.0, 50.0), min_size=2, max_size=2),
)
def test_values_rise_with_the_score_and_end_where_scores_are_cut(numbers, scores):
    low, best, high = sorted(numbers)
    lesser, greater = value_at(sorted(scores), low, best, high)
    assert lesser <= greater
    least, most = value_at([-FURTHEST, FURTHEST], low, best, high)
    assert least <= lesser and greater <= most


@given(st.floats(-10.0, 10.0), st.floats(0.5, 0.9))
def test_a_bound_is_never_passed(score, highest):
    assert 0.1 <= float(value_at(score, 0.05, 0.4, 0.9, lowest=0.1, highest=highest)) <= highest


def test_a_value_without_a_range_has_none():
    assert np.all(value_at([-3.0, 0.0, 3.0], 0.7, 0.7, 0.7) == 0.7)


@pytest.mark.parametrize(
    ("low", "best", "high"), [(2.0, 1.0, 3.0), (1.0, 4.0, 3.0), (float("nan"), 1.0, 2.0)]
)
def test_a_range_out_of_order_is_refused(low, best, high):
    with pytest.raises(ValueError, match="not in order"):
        value_at(0.0, low, best, high)
