"""Quantiles, means and chances over weighted draws."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from somsim.draws import chance, mean, quantile

SHARES = [0.0, 0.1, 0.25, 0.5, 0.9, 1.0]
VALUES = arrays(float, (3, 9), elements=st.floats(-100.0, 100.0))


@given(VALUES, st.floats(0.01, 100.0))
def test_equal_weights_are_no_weights_whatever_their_size(values, weight):
    # numpy's linear interpolation is type 7 of Hyndman & Fan (1996), which the weighted form must fall back to.
    plain = np.quantile(values, SHARES, axis=1)
    assert quantile(values, SHARES) == pytest.approx(plain, abs=1e-9)
    assert quantile(values, SHARES, np.full(9, weight)) == pytest.approx(plain, abs=1e-9)


@given(VALUES, st.sets(st.integers(0, 8), min_size=1, max_size=8))
def test_draws_without_weight_might_as_well_not_be_there(values, dropped):
    kept = [number for number in range(9) if number not in dropped]
    weights = np.array([float(number in kept) for number in range(9)])
    found = quantile(values, SHARES, weights)
    assert found == pytest.approx(np.quantile(values[:, kept], SHARES, axis=1), abs=1e-9)


@given(VALUES, arrays(float, 9, elements=st.floats(0.0, 5.0)).filter(lambda w: w.sum() > 0.1))
def test_quantiles_rise_and_stay_among_the_values_that_weigh(values, weights):
    found = quantile(values, SHARES, weights)
    assert np.all(np.diff(found, axis=0) >= -1e-9)
    weighing = values[:, weights > 0.0]
    assert np.all(found >= weighing.min(axis=1) - 1e-9)
    assert np.all(found <= weighing.max(axis=1) + 1e-9)


def test_a_hand_worked_weighted_quantile():
    # Mid-ranks of weights 1, 2, 1 are 0.5, 2 and 3.5: on the way from first to last they stand at 0, 1/2 and 1.
    found = quantile([4.0, 1.0, 2.0], [0.25, 0.5, 0.75], weights=[1.0, 1.0, 2.0])
    assert found.tolist() == pytest.approx([1.5, 2.0, 3.0])


def test_shares_come_first_and_the_axis_of_draws_goes():
    assert quantile(np.zeros((4, 9, 2)), [0.1, 0.9], np.arange(9.0), axis=1).shape == (2, 4, 2)


def test_a_single_draw_is_every_quantile():
    assert quantile([[3.0], [5.0]], [0.1, 0.9], weights=[1.0]).tolist() == [[3.0, 5.0], [3.0, 5.0]]


def test_mean_and_chance_by_hand():
    assert float(mean([1.0, 2.0, 6.0])) == pytest.approx(3.0)
    assert float(mean([1.0, 2.0, 6.0], [2.0, 1.0, 1.0])) == pytest.approx(2.5)
    assert chance([True, False, False, False]) == 0.25
    assert chance([True, False], [3.0, 1.0]) == 0.75
