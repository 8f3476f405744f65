"""Past projections beside the soil tests that came: ranks, scores, and no look into what was not yet known."""

import numpy as np
import pytest
from scipy import stats

from somsim.plan import parse_plan
from somsim.record.cells import columns, join
from somsim.record.facts import as_recorded
from somsim.record.reading import Path, parse_record
from somsim.study.hindsight import crps, hindsight

PLAN = """
title: A bed
start: 2026-10-01
horizon: 12 years
site:
  climate: south-east-england
  shelter: open ground
  beds: {count: 2, length: 10 m, width: 1.2 m}
  soil: {texture: sandy loam, organic_matter: 2.6 %, method: loss on ignition, bulk_density: 1.35 g/cm3, depth: 20 cm}
strategies:
  compost:
    - spread: {material: garden compost, depth: 8 mm, on: 20 Apr, every: year, then: dug in}
"""
BED = parse_plan(PLAN.lstrip(), "bed.yaml")


def facts_with(*tests, spread="8 mm"):
    lines = [
        {"date": f"{year}-04-20", "what": "spread", "name": "garden compost", "depth": spread, "then": "dug in"}
        for year in range(2027, 2033)
    ]
    lines += [
        {"date": date, "what": "tested", "depth": "20 cm", "organic_matter": found, "method": "loss on ignition"}
        for date, found in tests
    ]
    rows = [{**line, "line": str(n)} for n, line in enumerate(lines, start=1)]
    text = "\n".join([join(columns()), *(join(row.get(name, "") for name in columns()) for row in rows)])
    return as_recorded(BED, parse_record(text, Path("r.csv"), BED))


def test_the_score_is_the_published_one_for_a_normal_forecast():
    """Gneiting & Raftery (2007), eq. 5: the closed form for a normal distribution; 20,000 evenly spread forecasts."""
    sample = stats.norm.ppf((np.arange(20_000) + 0.5) / 20_000, 2.6, 0.2)
    z = (2.9 - 2.6) / 0.2
    closed = 0.2 * (z * (2 * stats.norm.cdf(z) - 1) + 2 * stats.norm.pdf(z) - 1 / np.sqrt(np.pi))
    assert crps(sample, 2.9) == pytest.approx(closed, rel=1e-3)


def test_each_test_is_held_against_what_was_foretold_a_year_before():
    likely, low = hindsight(facts_with(("2029-10-01", "3 %"), ("2031-10-01", "1.2 %")))
    assert str(likely.as_of) == "2028-10-01"
    assert likely.inside
    assert not low.inside
    assert low.rank < 0.01
    assert low.score > likely.score
    assert likely.foretold.p10 < 0.03 < likely.foretold.p90


def test_what_happened_after_the_day_of_the_forecast_is_not_known_to_it():
    plain = hindsight(facts_with(("2027-06-01", "2.7 %")))[0]
    heavy = hindsight(facts_with(("2027-06-01", "2.7 %"), spread="40 mm"))[0]
    assert plain.foretold == heavy.foretold


def test_without_a_test_nothing_is_scored():
    assert hindsight(facts_with()) == ()
