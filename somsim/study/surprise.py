"""Can the model and several soil tests be right together? A prior predictive check."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from somsim.estimate.soil_test import log_likelihood
from somsim.simulate import Array
from somsim.study.soil_tests import Expected

CASES, WORLDS = 1024, 8192  # results made up from so many worlds, judged by at most so many others


def surprise_together(expected: Sequence[Expected], seed: int) -> float:
    """Chance, before the tests, of results that fit together no better than those found: Box (1980).

    J. R. Stat. Soc. A 143:383 (from memory): the share of results made up from the model, errors of the tests
    included, whose predictive density is at most that of what was found.  One test after another may be likely enough
    while all together are not: high, then low, where nothing that was done lowers the soil so fast.

    Parameters
    ----------
    expected : one for each test, over the same worlds (draw,), at least 2
    seed : of the errors made up

    Returns
    -------
    float, 0 to 1, in steps of one in the number of cases
    """
    levels = np.stack([one.expected for one in expected])
    errors = np.stack([np.broadcast_to(one.error, one.expected.shape) for one in expected])
    cases: int = min(CASES, levels.shape[1] // 2)
    random = np.random.Generator(np.random.PCG64(seed)).standard_normal((len(expected), cases))
    made_up = levels[:, :cases] * (1.0 + errors[:, :cases] * random)
    others = slice(cases, cases + WORLDS)
    found = _density(np.array([one.found for one in expected]), levels[:, others], errors[:, others])
    likely = [_density(made_up[:, case], levels[:, others], errors[:, others]) for case in range(cases)]
    as_badly = sum(1 for one in likely if one <= found)
    return float((1 + as_badly) / (1 + cases))


def _density(results: Array, levels: Array, errors: Array) -> float:
    """Logarithm of the mean density of results (test,) over worlds, of levels and errors (test, draw)."""
    logs = np.zeros(levels.shape[1])
    for result, level, error in zip(results, levels, errors, strict=True):
        logs = logs + log_likelihood(float(result), level, error)
    most = float(logs.max())
    return most + float(np.log(np.mean(np.exp(logs - most))))
