"""Soil tests: equal mass against the constructed example, errors, weights, and the smallest difference seen."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from somsim.estimate.soil_test import (
    added_thickness,
    effective_size,
    equal_mass_stock,
    log_likelihood,
    resampled,
    result_error,
    smallest_difference,
)

WEIGHTS = st.lists(st.floats(0.01, 10.0), min_size=1, max_size=40)


def test_equal_soil_mass_of_the_constructed_example() -> None:
    """Worked arithmetic on the formula of Ellert & Bettany (1995): 20 cm at 1.40 g/cm3 and 1.50 %, later at 1.25 g/cm3
    and 1.90 % over a subsoil of 1.45 g/cm3 and 1.00 %: 42.0 t/ha at first, then 47.5 to the same depth and 50.5 in the
    same mass, which reaches 2.07 cm deeper.
    """
    first, loosened = 0.20 * 1400.0, 0.20 * 1250.0
    assert 0.0150 * first * 10.0 == pytest.approx(42.0)
    assert 0.0190 * loosened * 10.0 == pytest.approx(47.5)
    stock = equal_mass_stock(0.0190, layer_mass=loosened, reference_mass=first, share_below=0.0100)
    assert float(stock) * 10.0 == pytest.approx(50.5, abs=1e-12)
    assert 100.0 * added_thickness(loosened, first, 1450.0) == pytest.approx(2.07, abs=0.005)


def test_more_cores_average_the_bed_and_more_tests_the_laboratory() -> None:
    one = {"between_cores": 0.12, "laboratory": 0.03}
    assert float(result_error(10**9, **one)) == pytest.approx(0.03, rel=1e-6)
    assert float(result_error(16, between_cores=0.12, laboratory=0.0)) == pytest.approx(0.03)
    assert float(result_error(16, tests=4, between_cores=0.0, laboratory=0.03)) == pytest.approx(0.015)


def test_the_density_is_the_normal_one() -> None:
    expected = np.array([0.018, 0.02, 0.025])
    np.testing.assert_allclose(
        log_likelihood(0.021, expected, 0.06), stats.norm.logpdf(0.021, expected, 0.06 * expected), rtol=1e-12
    )


@given(WEIGHTS)
def test_weights_are_worth_between_one_draw_and_all(weights: list[float]) -> None:
    assert 1.0 - 1e-9 <= effective_size(weights) <= len(weights) + 1e-9


@given(WEIGHTS, st.integers(1, 300))
def test_each_draw_is_kept_as_often_as_its_weight_says_to_within_one(weights: list[float], count: int) -> None:
    often = np.bincount(resampled(weights, count), minlength=len(weights))
    share = np.array(weights) / np.sum(weights)
    assert np.all(np.abs(often - count * share) < 1.0 + 1e-9)
    assert often.sum() == count


def test_the_smallest_difference_is_found_in_eight_of_ten_cases() -> None:
    """Against simulated pairs of tests, judged by the usual z test: 80 % power, to the error of 200,000 cases."""
    level, error = 2.6, 0.05
    apart = float(smallest_difference(level, error))
    random = np.random.default_rng(1)
    first, second = (random.normal(mean, error * level, 200_000) for mean in (level, level + apart))
    found = np.abs(second - first) > 1.959964 * np.sqrt(2.0) * error * level
    assert found.mean() == pytest.approx(0.80, abs=0.004)
