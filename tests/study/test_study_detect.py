"""Could a soil test see it: growing differences against errors that shrink with cores and samples."""

import pytest

from somsim.errors import InputError
from somsim.plan import parse_plan
from somsim.study.detect import detect_study

PLAN = """
title: A bed
start: 2026-10-01
horizon: 6 years
site:
  climate: south-east-england
  shelter: open ground
  beds: {count: 2, length: 10 m, width: 1.2 m}
  soil: {texture: sandy loam, carbon: 1.6 %, bulk_density: 1.35 g/cm3, depth: 20 cm}
strategies:
  much compost:
    - spread: {material: garden compost, depth: 8 mm, on: 20 Apr, every: year, then: dug in}
  nothing:
    - idle: {as: bare}
  as good as nothing:
    - spread: {material: garden compost, depth: 0.1 mm, on: 20 Apr, every: year, then: dug in}
"""


@pytest.fixture(scope="module")
def found():
    return detect_study(parse_plan(PLAN.lstrip(), "bed.yaml"), cores=25, draws=64)


def test_a_large_difference_is_seen_sooner_or_later_and_a_small_one_never(found):
    pairs = {(pair.first, pair.second): pair for pair in found.pairs}
    large = pairs["much compost", "nothing"]
    chances = [one.chance for one in large.visible]
    assert chances[0] < 0.2
    assert chances[-1] == 1.0
    assert chances == sorted(chances)
    assert large.soonest is not None
    assert pairs["nothing", "as good as nothing"].soonest is None


def test_more_cores_and_more_samples_never_see_it_later(found):
    needs = {(need.cores, need.tests): need.years for need in found.pairs[0].needs}
    singles = [needs[cores, 1] for cores in (5, 10, 15, 25, 50, 100)]
    assert singles == sorted(singles, reverse=True)
    assert needs[25, 5] <= needs[25, 1]


def test_the_error_is_that_of_carbon_by_combustion(found):
    # worked arithmetic on the judged best values: 12 % between cores, 25 cores, 3 % in the laboratory
    assert found.error == pytest.approx((0.12**2 / 25 + 0.03**2) ** 0.5, rel=0.1)
    assert found.method == "carbon"


def test_one_strategy_has_no_difference_and_no_more_samples_than_cores():
    alone = parse_plan(PLAN.lstrip().split("  nothing:")[0], "bed.yaml")
    with pytest.raises(InputError, match="a difference needs two"):
        detect_study(alone)
    with pytest.raises(ValueError, match="tests: from 1 to the number of cores"):
        detect_study(parse_plan(PLAN.lstrip(), "bed.yaml"), cores=3, tests=4)
