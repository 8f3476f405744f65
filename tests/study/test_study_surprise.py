"""Soil tests that are likely one by one and not together: the prior predictive check against a closed form."""

from types import SimpleNamespace

import numpy as np
import pytest
from scipy import stats

from somsim.study.surprise import surprise_together


def test_a_sure_model_leaves_the_chi_square_of_the_errors():
    """One level in every world and two independent normal errors: the chance is that of a chi-square with 2 degrees of
    freedom, exp(-r2 / 2) (any text on statistics).  Tolerance: three standard errors of 1,024 cases, 0.047 at most.
    """
    for off in (0.5, 1.0, 2.0):
        expected = [
            SimpleNamespace(found=0.02 * (1.0 + 0.05 * off), expected=np.full(4096, 0.02), error=np.full(4096, 0.05))
            for _ in range(2)
        ]
        chance = surprise_together(expected, seed=1)
        assert chance == pytest.approx(stats.chi2.sf(2.0 * off**2, 2), abs=0.047)


def test_tests_that_contradict_each_other_are_unlikely_though_each_is_likely():
    levels = 0.02 * np.exp(0.3 * np.random.default_rng(2).standard_normal(4096))
    error = np.full(4096, 0.03)

    def of(first: float, second: float) -> float:
        pair = [SimpleNamespace(found=found, expected=levels, error=error) for found in (first, second)]
        return surprise_together(pair, seed=1)

    assert of(0.026, 0.026) > 0.3
    assert of(0.026, 0.017) < 0.005
