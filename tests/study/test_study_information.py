"""What a reading is worth: closed forms of the normal case, and a brute-force calculation on the model itself."""

from __future__ import annotations

from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from study_plans import plan

from somsim.draws import Draws
from somsim.library import read_library
from somsim.study.information import choice, normal_scores, worth
from somsim.study.questions import ask
from somsim.timeline import figures, setting

NORMAL = NormalDist()


def lead(mean: float, spread: float, error: float, count: int = 8192, seed: int = 1):
    """Two strategies whose difference is normal, and a reading of it with an error: levels and readings."""
    random = np.random.default_rng(seed)
    difference = mean + spread * random.standard_normal(count)
    reading = difference + error * random.standard_normal(count)
    return np.stack([difference, np.zeros(count)]), reading[np.newaxis]


@pytest.mark.parametrize(("mean", "spread", "error"), [(0.5, 1.0, 0.5), (0.2, 1.0, 2.0), (1.0, 1.0, 0.0)])
def test_a_normal_lead_has_the_worth_of_the_closed_form(mean, spread, error):
    # Raiffa & Schlaifer (1961), Applied Statistical Decision Theory, ch. 5: after the reading the mean is normal about
    # the old one with s' = s^2 / sqrt(s^2 + e^2); worth = s' (phi(u) - u Phi(-u)), u = mean / s'; the choice changes
    # with chance Phi(-u); the spread shrinks by 1 - e / sqrt(s^2 + e^2).
    levels, reading = lead(mean, spread, error)
    found = worth(reading, levels, levels[:1])
    after = spread**2 / np.hypot(spread, error)
    u = mean / after
    # 8,192 random draws: three standard errors are 0.015 for a chance, about 0.015 for the others.
    assert found.changes == pytest.approx(NORMAL.cdf(-u), abs=0.015)
    assert found.saved == pytest.approx(after * (NORMAL.pdf(u) - u * NORMAL.cdf(-u)), abs=0.015)
    assert found.narrowed[0] == pytest.approx(1.0 - error / np.hypot(spread, error), abs=0.015)


def test_knowing_everything_is_worth_the_regret():
    levels, reading = lead(0.5, 1.0, 0.0)
    now = choice(levels)
    assert now.chosen == 0
    assert now.wrong == pytest.approx(NORMAL.cdf(-0.5), abs=0.015)
    assert worth(reading, levels, levels).saved == pytest.approx(now.regret, rel=0.01)


def test_a_reading_of_something_else_is_worth_nothing():
    levels, _ = lead(0.5, 1.0, 0.0, count=512)
    noise = np.random.default_rng(7).standard_normal((4, 512))
    found = worth(noise, levels, levels[:1])
    # Nineteen terms explain 4 % of 512 draws of anything: what is left after the adjustment is chance alone.
    assert found.narrowed[0] < 0.02
    assert found.changes < 0.02


def test_weights_count_as_so_many_draws_alike():
    levels, reading = lead(0.3, 1.0, 0.7, count=400)
    often = np.random.default_rng(3).integers(0, 4, 400)
    told = worth(reading, levels, levels[:1], often.astype(float))
    plain = worth(np.repeat(reading, often, 1), np.repeat(levels, often, 1), np.repeat(levels[:1], often, 1))
    # The ranks are the same; only how many draws the adjustment counts differs (weights tell less than draws alike).
    assert told.narrowed[0] == pytest.approx(plain.narrowed[0], abs=0.01)
    assert told.changes == pytest.approx(plain.changes, abs=0.02)


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 3), st.integers(2, 4))
def test_what_is_saved_lies_between_nothing_and_the_regret(seed, readings, rows):
    random = np.random.default_rng(seed)
    levels = random.standard_normal((rows, 256)) @ np.diag(random.random(256) + 0.5)
    found = worth(random.standard_normal((readings, 256)) + levels[0], levels, levels)
    assert 0.0 <= found.saved <= 1.05 * choice(levels).regret + 1e-12
    assert 0.0 <= found.changes <= 1.0
    assert ((found.narrowed >= 0.0) & (found.narrowed <= 1.0)).all()


def test_scores_are_those_of_the_ranks():
    assert normal_scores(np.array([5.0, 1.0, 3.0])) == pytest.approx(
        [NORMAL.inv_cdf(share) for share in (5 / 6, 1 / 6, 3 / 6)]
    )


CLOSE = {
    "compost": ["spread: {material: garden compost, depth: 2 mm, on: 20 Apr, every: year, then: dug in}"],
    "manure": ["spread: {material: cattle manure, mass_per_area: 2.4 kg/m2, on: 20 Apr, every: year, then: dug in}"],
}
CARBON = "materials/garden_compost/carbon"
ERROR = 0.1  # coefficient of variation of the reading


def test_brute_force_on_the_model_finds_the_same_worth():
    # Worlds for the truth and others to learn in: for each of 1,024 readings the 8,192 other worlds are weighed by how
    # likely they make it (Bayes; the reading's error is log-normal), and the best choice is made anew.
    known = figures(plan(CLOSE), read_library())
    many = {}
    for name, count, seed in (("truth", 1024, 5), ("others", 8192, 6), ("ours", 4096, 7)):
        draws = Draws(count, seed, known.unknowns)
        many[name] = ask(setting(known, draws)).levels, draws.of(CARBON), draws
    truth, others = many["truth"], many["others"]
    reading = np.log(truth[1]) + ERROR * np.random.default_rng(8).standard_normal(1024)
    likely = np.exp(-0.5 * ((reading[:, np.newaxis] - np.log(others[1])) / ERROR) ** 2)
    likely /= likely.sum(axis=1, keepdims=True)
    expected = likely @ others[0].T  # reading, strategy
    chosen = int(others[0].mean(axis=1).argmax())
    best = expected.argmax(axis=1)
    saved = float(np.mean(expected.max(axis=1) - expected[:, chosen]))
    lead_others = others[0][0] - others[0][1]
    second = likely @ lead_others**2 - (likely @ lead_others) ** 2
    narrowed = 1.0 - np.sqrt(second.mean() / lead_others.var())

    levels, carbon, draws = many["ours"]
    ours = worth((carbon * np.exp(ERROR * draws.score("a reading")))[np.newaxis], levels, levels[:1] - levels[1:])
    assert saved > 0.005 and 0.05 < np.mean(best != chosen) < 0.5  # a case that is worth calculating
    # 1,024 readings: three standard errors of a chance near 0.2 are 0.04; of the mean saved about 12 %.
    assert ours.changes == pytest.approx(np.mean(best != chosen), abs=0.04)
    assert ours.saved == pytest.approx(saved, rel=0.12)
    assert ours.narrowed[0] == pytest.approx(narrowed, abs=0.02)
