"""A garden's own cuts beside the published mass: the conjugate normal case, worked by other means."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.estimate.garden import coming_cut

MASSES = st.floats(0.1, 10.0)
SPREAD = {"published_sd": 0.3, "shared": 0.5}


def test_nothing_weighed_leaves_the_published_mass_and_spread() -> None:
    found = coming_cut([], [], [], **SPREAD)
    assert found.factor == 1.0
    assert found.log_sd == pytest.approx(0.3)


@given(MASSES, MASSES, st.floats(0.0, 0.4))
def test_one_cut_is_the_regression_of_two_normal_numbers(weighed: float, expected: float, error: float) -> None:
    # worked arithmetic: two jointly normal numbers, the second given the first, from their covariance matrix
    covariance = np.array([[0.3**2 + error**2, 0.045], [0.045, 0.3**2]])
    found = coming_cut([weighed], [expected], [error], **SPREAD)
    slope = covariance[0, 1] / covariance[0, 0]
    assert math.log(found.factor) == pytest.approx(slope * math.log(weighed / expected), abs=1e-12)
    assert found.log_sd**2 == pytest.approx(covariance[1, 1] - slope * covariance[0, 1], rel=1e-12)


def test_many_years_leave_the_gardens_own_mean_and_the_luck_of_the_year() -> None:
    found = coming_cut([6.0] * 4000, [4.0] * 4000, [0.05] * 4000, **SPREAD)
    assert found.factor == pytest.approx(1.5, rel=1e-3)
    assert found.log_sd == pytest.approx(math.sqrt(0.045), rel=1e-3)


@given(st.lists(MASSES, min_size=1, max_size=6))
def test_each_further_weighing_narrows_the_range_and_the_factor_lies_between(weighed: list[float]) -> None:
    spreads = [coming_cut(weighed[:n], [1.0] * n, [0.1] * n, **SPREAD).log_sd for n in range(len(weighed) + 1)]
    assert all(later < earlier for earlier, later in pairwise(spreads))
    factor = coming_cut(weighed, [1.0] * len(weighed), [0.1] * len(weighed), **SPREAD).factor
    own = math.exp(np.mean(np.log(weighed)))
    assert min(1.0, own) - 1e-12 <= factor <= max(1.0, own) + 1e-12


def test_a_certain_mass_is_not_moved() -> None:
    assert coming_cut([5.0], [4.0], [0.1], published_sd=0.0, shared=0.5).factor == 1.0


@pytest.mark.parametrize(("weighed", "shared"), [(0.0, 0.5), (1.0, 1.5)])
def test_what_cannot_be_is_refused(weighed: float, shared: float) -> None:
    with pytest.raises(ValueError, match=r"above 0|from 0 to 1"):
        coming_cut([weighed], [1.0], [0.1], published_sd=0.3, shared=shared)
