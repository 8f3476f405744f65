"""The frame trial's own soil test as a grower's: it pulls the humification of manure to the published fit.

Found in 1998, 42 years after the start: 19.69 g C/kg in the plots with farmyard manure (Sessitsch et al. 2001, Appl.
Environ. Microbiol. 67:4215, table 1; read).  The start, the inputs and the climate factor are those of the published
parameter set (Andren & Katterer 1997, table 1; remembered), which fitted a humification coefficient of 0.25 to the
years up to 1991.  Compared: the published 0.25 lies between the 10th and the 90th of 100 of what is believed after the
test, which moves towards it from the library's best value and is narrower than before.
"""

import numpy as np

from somsim.draws import Draws, quantile
from somsim.estimate.soil_test import effective_size
from somsim.library import read_library
from somsim.plan import parse_plan
from somsim.study.soil_tests import expected_tests
from somsim.timeline import figures, setting

PUBLISHED = 0.25
PLAN = """
title: Farmyard manure in the frame trial
start: 1956-10-01
horizon: 50 years
site:
  climate: {factor: 1.10 ratio}
  shelter: open ground
  tillage: dug once a year
  beds: {area: 4 m2}
  soil: {residue: 3.0 t C/ha, humus: 39.9 t C/ha, humus_decay: 0.006 per year, bulk_density: 1.44 g/cm3}
strategies:
  manure:
    - input: {name: farmyard manure and roots, residue: manure, carbon: 2.72 t C/ha/yr}
measured:
  - {date: 1998-10-01, depth: 20 cm, carbon: 1.969 %, bulk_density: 1.44 g/cm3, cores: 20}
"""


def test_the_measured_stock_pulls_humification_to_the_published_fit() -> None:
    plan = parse_plan(PLAN.lstrip(), "frame.yaml")
    known = figures(plan, read_library())
    draws = Draws(8192, 4, known.unknowns)
    shared = setting(known, draws)
    (seen,) = expected_tests(shared, "manure", plan.measured or ())
    weights = np.where(shared.isohumic, 0.0, np.exp(seen.log_likelihood - seen.log_likelihood.max()))
    assert effective_size(weights) > 200.0
    humified = draws.of("residues/manure/humified")
    prior = quantile(humified, (0.1, 0.5, 0.9))
    low, middle, high = quantile(humified, (0.1, 0.5, 0.9), weights)
    assert low < PUBLISHED < high
    assert abs(middle - PUBLISHED) <= abs(prior[1] - PUBLISHED) + 0.005
    assert high - low < 0.8 * (prior[2] - prior[0])
