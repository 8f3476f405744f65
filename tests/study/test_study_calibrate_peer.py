"""Calibration by weighing against an independent sampler of the same posterior (emcee): means and spreads agree.

emcee (Foreman-Mackey et al. 2013, PASP 125:306) walks over the standard normal scores behind the unknowns, within the
uppsala family; it shares the model with us and neither the draws nor the weights.  Tolerances: means to a tenth of the
posterior's standard deviation, spreads to a tenth, with chains of over 50 autocorrelation times.
"""

import numpy as np
import pytest

from somsim.draws import Draws
from somsim.draws.draws import FAMILY
from somsim.estimate.soil_test import effective_size
from somsim.library import read_library
from somsim.plan import parse_plan
from somsim.study.soil_tests import expected_tests
from somsim.timeline import figures, setting

PLAN = """
title: A trial plot
start: 2026-10-01
horizon: 20 years
site:
  climate: {factor: 1.1 ratio}
  shelter: open ground
  beds: {area: 100 m2}
  soil: {residue: 3 t C/ha, humus: 40 t C/ha, bulk_density: 1.35 g/cm3, depth: 20 cm,
         humus_decay: 0.004 to 0.010 per year}
materials:
  mixed manure: {like: cattle farmyard manure, decay: 0.5 to 1.2 per year, humified: 15 to 45 %, carbon: 38 %,
                 organic_matter: 70 %, dry_matter: 25 %, bulk_density: 700 kg/m3}
strategies:
  manure:
    - spread: {material: mixed manure, dry_mass: 6 t/ha, on: 1 Nov, every: year, then: dug in}
measured:
  - {date: 2036-10-01, depth: 20 cm, carbon: 1.72 %, cores: 25, laboratory_error: 3 %}
  - {date: 2044-10-01, depth: 20 cm, carbon: 1.88 %, cores: 25, laboratory_error: 3 %}
"""
UPPSALA = 3.0  # a family score this far up is in that family


def posterior_of(plan, names, known, scores):
    """Logarithm of prior times likelihood of rows of scores (row, name)."""
    given = {name: np.ascontiguousarray(scores[:, n]) for n, name in enumerate(names)}
    given[FAMILY] = np.full(len(scores), UPPSALA)
    draws = Draws(len(scores), 1, known.unknowns, given=given)
    seen = expected_tests(setting(known, draws), "manure", plan.measured)
    return sum(one.log_likelihood for one in seen) - 0.5 * np.square(scores).sum(axis=1)


def moving(plan, known, asked):
    """The scores that move the likelihood at all."""
    names = sorted({known.unknowns[name].scored_as or name for name in asked if known.unknowns[name].is_range})
    rows = np.vstack([np.zeros(len(names)), np.eye(len(names))])
    at = posterior_of(plan, names, known, rows) + 0.5 * np.square(rows).sum(axis=1)
    return [name for name, value in zip(names, at[1:], strict=True) if abs(value - at[0]) > 1e-9]


@pytest.mark.slow
def test_means_and_spreads_are_those_of_an_independent_sampler():
    emcee = pytest.importorskip("emcee")
    plan = parse_plan(PLAN.lstrip(), "plot.yaml")
    known = figures(plan, read_library())
    draws = Draws(32_768, 1, known.unknowns)
    shared = setting(known, draws)
    seen = expected_tests(shared, "manure", plan.measured)
    names = moving(plan, known, draws.asked)
    assert 3 <= len(names) <= 8, names
    logs = sum(one.log_likelihood for one in seen)
    weights = np.where(shared.isohumic, 0.0, np.exp(logs - logs.max()))
    weights /= weights.sum()
    assert effective_size(weights) > 400.0  # fewer, and the means would be off by more than is asked for
    scores = np.stack([draws.score(name) for name in names], axis=1)
    mean = weights @ scores
    spread = np.sqrt(weights @ np.square(scores - mean))

    walkers = 40
    sampler = emcee.EnsembleSampler(
        walkers,
        len(names),
        lambda rows: posterior_of(plan, names, known, rows),
        vectorize=True,
        moves=[(emcee.moves.DEMove(), 0.8), (emcee.moves.DESnookerMove(), 0.2)],
    )
    sampler.random_state = np.random.RandomState(7).get_state()
    sampler.run_mcmc(np.random.RandomState(8).normal(size=(walkers, len(names))), 2200)
    burnt = sampler.get_chain(discard=200)
    assert burnt.shape[0] > 50.0 * sampler.get_autocorr_time(discard=200, quiet=True).max()
    flat = burnt.reshape(-1, len(names))
    assert np.all(np.abs(flat.mean(axis=0) - mean) < 0.1 * flat.std(axis=0))
    assert np.all(np.abs(flat.std(axis=0) / spread - 1.0) < 0.1)
