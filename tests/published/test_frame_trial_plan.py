"""The Ultuna frame trial, through a plan file.

Parameters: Andren & Katterer (1997), Ecological Applications 7:1226-1236, Table 1 (remembered): fresh residue 0.8
and humus 0.006 a year, 3.0 t C/ha of fresh residue at the start for every treatment; input, humification coefficient,
climate factor and humus at the start by treatment.

What is compared: total carbon after 1, 20, 35, 42 and 100 years, worked arithmetic by the closed form of the
two-pool chain from those published parameters; none of it is printed in the paper.

Tolerance 0.01 t C/ha.  A plan counts days against a year of 365.25 days, so an anniversary may come up to half a day
early or late, and after 1 year (366 days in 1956) three quarters of a day late: 0.002 yr of at most 3.4 t C/ha/yr
is 0.007 t C/ha.
"""

from functools import cache

import numpy as np
import pytest

from somsim.draws import best_values
from somsim.library import read_library
from somsim.plan import parse_plan
from somsim.simulate import simulate
from somsim.timeline import figures, setting

YEARS = (1, 20, 35, 42, 100)
# treatment: (input t C/ha/yr, humification coefficient, climate factor, humus t C/ha, total t C/ha after YEARS)
TRIAL = {
    "bare fallow": (0.0, 0.13, 1.32, 39.6, (40.584, 34.134, 30.311, 28.676, 18.114)),
    "nitrogen and straw": (2.85, 0.13, 1.00, 41.1, (44.493, 46.932, 48.514, 49.205, 53.939)),
    "straw": (2.48, 0.13, 1.22, 40.5, (43.277, 43.576, 43.888, 44.023, 44.909)),
    "neither": (0.57, 0.13, 1.17, 39.9, (41.430, 36.937, 34.361, 33.249, 25.863)),
    "nitrogen": (0.91, 0.13, 1.07, 40.2, (42.091, 38.863, 37.084, 36.311, 31.081)),
    "farmyard manure": (2.72, 0.25, 1.10, 39.9, (43.355, 50.777, 55.994, 58.257, 73.480)),
    "sewage sludge": (2.96, 0.34, 0.97, 41.4, (45.454, 59.418, 69.225, 73.517, 103.088)),
}
PLAN = """
title: One treatment of the frame trial
start: 1956-01-01
horizon: 100 years
site:
  climate: {{factor: {factor} ratio}}
  shelter: open ground
  tillage: dug once a year
  beds: {{area: 4 m2}}
  soil: {{residue: 3.0 t C/ha, humus: {humus} t C/ha, humus_decay: 0.006 per year, bulk_density: 1.44 g/cm3}}
residues:
  straw: {{decay: 0.8 per year, humified: {humified}}}
strategies:
  treatment:
    - {action}
"""


@cache
def carbon_after(treatment, engine):
    """t C/ha in the layer at each anniversary."""
    brought, humified, factor, humus, _ = TRIAL[treatment]
    action = f"input: {{name: {treatment}, residue: straw, carbon: {brought} t C/ha/yr}}"
    text = PLAN.format(
        factor=factor,
        humus=humus,
        humified=f"{100 * humified:g} %",
        action=action if brought else "idle: {as: bare}",
    )
    made = figures(parse_plan(text), read_library())
    run = simulate(setting(made, best_values(made.unknowns)), "treatment", engine=engine)
    assert len(run.timeline.times) == 101
    return 10.0 * np.sum(run.stocks.residue + run.stocks.humus, axis=(1, 2))


@pytest.mark.parametrize("engine", ["exact", "ivp"])
@pytest.mark.parametrize("treatment", TRIAL)
def test_a_plan_that_states_the_trials_parameters_gives_the_closed_forms_carbon(treatment, engine):
    found = carbon_after(treatment, engine)[list(YEARS)]
    assert found == pytest.approx(TRIAL[treatment][-1], abs=0.01)


@pytest.mark.parametrize("treatment", TRIAL)
def test_the_stepwise_engine_says_what_the_exact_one_says(treatment):
    """Relative 1e-8: the stepwise engine runs at a relative tolerance of 1e-10 in each span."""
    assert carbon_after(treatment, "ivp") == pytest.approx(carbon_after(treatment, "exact"), rel=1e-8)
