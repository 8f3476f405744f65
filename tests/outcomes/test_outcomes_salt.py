"""For how long compost lies where no rain reaches the soil; days counted on a calendar."""

from __future__ import annotations

import numpy as np
import pytest

from somsim.outcomes.salt import salt_years
from somsim.plan import parse_plan
from somsim.simulate import Trajectory, simulate
from somsim.study.rewriting import worlds

PLAN = """
title: salt
start: 2026-10-01
horizon: 3 years
site:
  climate: {climate}
  shelter: {shelter}
  beds: {{count: 2, length: 10 m, width: 1.2 m}}
  soil: {{texture: sandy loam, carbon: 1.5 %, bulk_density: 1.35 g/cm3}}
strategies:
  a:
{actions}
"""
SPREAD = "    - spread: {material: garden compost, depth: 5 mm, on: 20 Apr, every: year, then: left on surface%s}\n"
COVER = "    - cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: left on surface}\n"
OFF = "    - uncover: {from: 20 Oct, to: 20 Mar, every: year%s}\n"


def run(actions: str, *, climate: str = "south-east-england", shelter: str = "unheated tunnel") -> Trajectory:
    made = parse_plan(PLAN.format(climate=climate, shelter=shelter, actions=actions))
    return simulate(worlds(made, 2, 1)[0], "a")


def test_it_is_counted_from_the_first_compost_to_each_recorded_day() -> None:
    """20 April 2027 to 1 October 2027, 2028 and 2029: 164, 530 and 895 days."""
    found = salt_years(run(SPREAD % ""))[:, 0, 0]
    assert found == pytest.approx(np.array([0, 164, 530, 895]) / 365.25, abs=1e-12)


def test_rain_ends_it_and_the_longest_time_stays() -> None:
    """Each year from 20 April to 20 October, 183 days; on the first 1 October only 164 of them are over."""
    found = salt_years(run(SPREAD % "" + OFF % ""))[:, 0, 0]
    assert found == pytest.approx(np.array([0, 164, 183, 183]) / 365.25, abs=1e-12)


def test_each_group_of_beds_has_its_own() -> None:
    made = run(SPREAD % "" + OFF % ", beds: 1")
    longest = sorted(round(float(one) * 365.25) for one in salt_years(made)[-1, :, 0])
    assert longest == [183, 895]


@pytest.mark.parametrize("actions", [COVER, SPREAD.replace("garden compost", "straw") % ""])
def test_plants_and_straw_bring_no_salt(actions: str) -> None:
    assert not salt_years(run(actions)).any()


def test_on_open_ground_rain_falls() -> None:
    assert not salt_years(run(SPREAD % "", shelter="open ground")).any()


def test_a_tunnel_with_a_climate_factor_is_a_tunnel() -> None:
    assert salt_years(run(SPREAD % "", climate="{factor: 1.1 ratio}"))[-1, 0, 0] > 2.0
