"""Harvests in kilograms, against worked arithmetic on the library's yields and on yields of the plan."""

import pytest
from money_plans import CROP, SPREAD, run

from somsim.outcomes.food import harvest, harvests, without_yield


def test_a_harvest_is_the_librarys_yield_each_year() -> None:
    # Cucumbers, best value 12 kg/m2.
    assert harvest(run(CROP))[:, 0, 0] == pytest.approx([0, 12, 24, 36, 48])


def test_a_yield_of_ones_own_takes_its_place() -> None:
    assert harvest(run(CROP, extra="crops: {cucumber: {crop_yield: 9 kg/m2}}\n"))[-1, 0, 0] == pytest.approx(36)


def test_what_is_picked_after_the_plan_is_not_in_it() -> None:
    # 1 May to 30 September are 153 days; on 1 July 61 of them are over.
    assert harvest(run(CROP, start="2026-01-01", horizon="6 months"))[-1, 0, 0] == pytest.approx(12 * 61 / 153)


def test_only_beds_that_grow_it_have_a_harvest() -> None:
    made = run(CROP.replace("every: year", "every: year, beds: 1"), SPREAD)
    assert harvest(made)[-1, :, 0] == pytest.approx([48, 0])
    assert [one.share for one in harvests(made)] == [0.25] * 4


def test_a_crop_without_a_yield_is_named() -> None:
    own = "crops: {skirret: {residue: soft_green, dry_residue: 0.2 kg/m2}}\n"
    made = run(CROP.replace("cucumber", "skirret"), extra=own)
    assert without_yield(made) == ("skirret",) and not harvest(made).any()
    assert without_yield(run(CROP)) == ()
