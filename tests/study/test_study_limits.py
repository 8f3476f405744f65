"""Nitrogen spread in twelve months on the whole ground, worked by hand.

The limit of 250 kg of nitrogen in organic manure on a hectare in any twelve months is published by Farming and Water
Scotland, "Nutrient value of slurry and manure in nitrate vulnerable zones".
"""

from __future__ import annotations

import datetime

import pytest
from study_plans import PLAIN, SPREAD, study

from somsim.study.held import LoadHeld

PLAIN_SPREAD = "spread: {material: plain compost, depth: 15 mm, on: 20 Apr, every: year, then: left on surface}"
NO_PATHS = "{count: 4, length: 15 m, width: 1.2 m}"
ON_BEDS = 0.015 * 600 * 0.60 * 0.0125  # kg/m2: 15 mm x 600 kg/m3 x 60 % dry x 1.25 % nitrogen


def load(*actions: str, **site: str) -> LoadHeld:
    """The limit on all organic manure in twelve months; kg/m2 of ground."""
    made = study({"a": list(actions)}, extra=PLAIN, **site)
    held = made.limits.loads[0]
    assert held.rule.name == "nitrogen in all organic manure on any field"
    assert made.answers[0].nitrogen.most.best == pytest.approx(1e4 * held.most.best, rel=1e-12)
    return held


def test_fifteen_mm_are_675_kg_on_the_beds() -> None:
    """Worked arithmetic on the figures of the plan: exact but for rounding."""
    assert pytest.approx(0.0675) == ON_BEDS
    assert load(PLAIN_SPREAD, beds=NO_PATHS).most.best == pytest.approx(ON_BEDS, rel=1e-12)


def test_paths_count_as_ground() -> None:
    """Beds of 1.2 m with 0.4 m of path: three quarters of 675."""
    made = load(PLAIN_SPREAD)
    assert made.most.best == pytest.approx(0.75 * ON_BEDS, rel=1e-12)
    assert made.passed
    assert made.chance == 1.0
    assert made.since == datetime.date(2027, 4, 20)
    assert made.rule.level == pytest.approx(0.025)  # published, see above; exact


def test_a_year_rolls_over_new_year() -> None:
    """October and the following April fall in one year of twelve months, April and the next April do not."""
    autumn = PLAIN_SPREAD.replace("15 mm", "5 mm").replace("20 Apr", "20 Oct")
    spring = PLAIN_SPREAD.replace("15 mm", "3 mm")
    third = 0.75 * ON_BEDS / 3.0
    assert load(autumn).most.best == pytest.approx(third)
    assert load(autumn, spring).most.best == pytest.approx(third * 1.6)


def test_the_limit_is_passed_on_the_day_when_the_year_adds_up() -> None:
    """Each alone is 225 kg/ha on beds without paths; the second, half a year later, passes 250."""
    autumn, spring = (PLAIN_SPREAD.replace("15 mm", "5 mm").replace("20 Apr", day) for day in ("20 Oct", "20 Apr"))
    assert load(autumn, beds=NO_PATHS).since is None
    assert load(autumn, spring, beds=NO_PATHS).since == datetime.date(2027, 4, 20)


def test_every_third_year_is_not_spread_thin() -> None:
    """The limit is for each twelve months: a mean over years would be under it."""
    assert load(PLAIN_SPREAD.replace("every: year", "every: 3 years")).most == load(PLAIN_SPREAD).most


def test_on_a_quarter_of_the_beds_it_is_a_quarter() -> None:
    one_bed = PLAIN_SPREAD.replace("every: year", "every: year, beds: 1")
    assert load(one_bed).most.best == pytest.approx(0.25 * load(PLAIN_SPREAD).most.best, rel=1e-12)


def test_nothing_spread_is_nothing() -> None:
    made = study({"a": ["idle: {as: weeds}"]}, extra=PLAIN)
    assert made.limits.loads == ()
    assert made.answers[0].nitrogen.most.p90 == 0.0


def test_between_yes_and_no_the_chance_says_how_often() -> None:
    """5 mm of a compost known only by the library's ranges: near the limit, over it in some worlds."""
    made = study({"a": [SPREAD]}, draws=64).limits.loads[0]
    assert 0.0 < made.chance < 0.5
    assert not made.passed
    assert made.most.p10 < made.most.p50 < made.rule.level < made.most.p90 * 1.5
