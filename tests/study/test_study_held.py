"""Limits held against strategies: which ones, when they are passed, and the most that would not have passed.

250 and 500 kg of nitrogen a hectare in 12 and 24 months, and 170 kg of livestock manure nitrogen, are printed by
Farming and Water Scotland, "Nutrient value of slurry and manure in nitrate vulnerable zones".
"""

from __future__ import annotations

import datetime

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from study_plans import PLAIN, study

from somsim.study.compare import Study
from somsim.study.held import LoadHeld

SPREAD = "spread: {material: %s, %s, on: %s, every: year, then: left on surface}"
NO_PATHS = "{count: 4, length: 15 m, width: 1.2 m}"
PER_MM = 600 * 0.60 * 0.0125 * 10.0  # kg N/ha for each mm of plain compost: 45, worked arithmetic
SOIL = "{texture: sandy loam, carbon: 1.5 %%, bulk_density: 1.35 g/cm3, %s}"
OLSEN = "phosphorus: {test: olsen, value: %s}"


def compost(amount: str = "depth: 5 mm", on: str = "20 Apr", material: str = "plain compost") -> str:
    return SPREAD % (material, amount, on)


def held(*actions: str, extra: str = "", **site: str) -> Study:
    return study({"a": list(actions)}, extra=PLAIN + extra, beds=site.pop("beds", NO_PATHS), **site)


def by_name(made: Study) -> dict[str, LoadHeld]:
    return {one.rule.name: one for one in made.limits.loads}


def test_without_names_the_typical_three_are_held() -> None:
    found = by_name(held(compost()))
    assert {name: (round(one.rule.level * 1e4), one.rule.days) for name, one in found.items()} == {
        "nitrogen in all organic manure on any field": (250, 365),
        "nitrogen in compost on any field, two-year option": (500, 730),
    }
    assert not any(one.rule.named for one in found.values())
    manure = by_name(held(compost(material="aged cattle manure", amount="mass_per_area: 20 t/ha")))
    assert "nitrogen in livestock manure, farm average" in manure
    assert "nitrogen in compost on any field, two-year option" not in manure


def test_a_dressing_every_other_year_passes_the_year_and_keeps_to_the_two_year_option() -> None:
    """8 mm every second year are 360 kg in 12 months and in 24: over 250, under 500.  Manure has no option."""
    by_turns = compost("depth: 8 mm").replace("every: year", "every: 2 years")
    field, option = by_name(held(by_turns)).values()
    assert field.passed and not option.passed
    assert field.option == option.rule.name
    manure = compost(material="aged cattle manure", amount="dry_mass: 1 t/ha")
    assert by_name(held(by_turns, manure))["nitrogen in all organic manure on any field"].option is None
    assert all(one.option is None for one in by_name(held(compost("depth: 12 mm"))).values())


def test_two_years_of_compost_add_up_in_the_two_year_option() -> None:
    """5 mm a year: 225 kg in 12 months, 450 in 24.  6 mm: 270 and 540, both over; from the first and second spring."""
    five, six = by_name(held(compost())), by_name(held(compost("depth: 6 mm")))
    one_year, two_years = list(five.values())
    assert one_year.most.best * 1e4 == pytest.approx(5 * PER_MM, rel=1e-12)
    assert two_years.most.best * 1e4 == pytest.approx(10 * PER_MM, rel=1e-12)
    assert not one_year.passed and not two_years.passed and one_year.parts == ()
    first, second = six.values()
    assert (first.since, second.since) == (datetime.date(2027, 4, 20), datetime.date(2028, 4, 20))
    assert first.over is not None and first.over.best * 1e4 == pytest.approx(20.0)
    assert first.parts[0].middle == pytest.approx(0.250 / PER_MM, rel=1e-9)  # 5.56 mm


@settings(max_examples=8, deadline=None)
@given(
    st.integers(min_value=6, max_value=60),
    st.sampled_from([NO_PATHS, "{count: 3, length: 9 m, width: 1 m, paths: 0.5 m}"]),
)
def test_the_largest_amount_put_back_just_does_not_pass(depth: int, beds: str) -> None:
    named = "limits: [field_nitrogen]\n"
    (found,) = held(compost(f"depth: {depth} mm"), extra=named, beds=beds).limits.loads
    if not found.passed:
        assert found.parts == ()
        return
    again = found.parts[0].middle * 1000
    (back,) = held(compost(f"depth: {again:.12f} mm"), extra=named, beds=beds).limits.loads
    assert back.most.best == pytest.approx(found.rule.level, rel=1e-6)


def test_a_named_limit_replaces_the_typical_ones_and_counts_only_what_it_names() -> None:
    own = "limits: [{nitrogen: 100 kg/ha, of: manure}, {phosphorus: 30 kg/ha}, compost_nitrogen]\n"
    manure = compost(material="aged cattle manure", amount="dry_mass: 5 t/ha")
    both = by_name(held(compost("depth: 3 mm"), manure, extra=own))
    assert set(both) == {
        "your limit on nitrogen in livestock manure",
        "your limit on phosphorus in all that is spread",
        "nitrogen in compost on any field, two-year option",
    }
    assert all(one.rule.named for one in both.values())
    # Worked: 3 mm of plain compost is 6 x 135 / 6 = 135 kg N a year; it is no manure, and the manure is no compost.
    assert both["nitrogen in compost on any field, two-year option"].most.best * 1e4 == pytest.approx(2 * 3 * PER_MM)
    # The library's manure: 2.4 % nitrogen in 5 t/ha of dry matter is 120 kg.
    assert both["your limit on nitrogen in livestock manure"].most.best * 1e4 == pytest.approx(120.0)
    assert both["your limit on phosphorus in all that is spread"].most.best * 1e4 > 3 * 600 * 0.6 * 0.002 * 10


def test_what_cannot_be_held_is_said() -> None:
    made = held(compost(), extra="limits: [composting_exemption, phosphorus_olsen, crop_nitrogen_leafy]\n")
    assert made.limits.not_worked_out == (
        "composting without a permit",
        "phosphorus by Olsen (give soil: phosphorus: with its test)",
        "nitrogen for lettuce, onion, courgette and leafy vegetables",
    )
    assert made.limits.loads == ()


def test_olsen_rises_to_the_level_to_stop_at() -> None:
    """Index 3, 26 to 45 mg/l, is the target for vegetables (RB209, from memory).  Worked: 10 mm a year bring 72 kg
    P/ha, 165 kg P2O5/ha, which lift the test by 4.1 mg/l: from 40 it passes 45 in the second year."""
    made = held(compost("depth: 10 mm"), soil=SOIL % (OLSEN % "40 mg/l"))
    (level,) = made.limits.levels
    assert (level.level, level.unit, level.now.best) == (45.0, "mg/l", 40.0)
    assert level.end is not None
    assert level.end.best == pytest.approx(40 + 3 * 72 / 0.4364 / 40, rel=1e-3)
    assert level.since == datetime.date(2028, 10, 1)
    assert level.passed
    (low,) = held("idle: {as: weeds}", soil=SOIL % (OLSEN % "20 to 24 mg/l")).limits.levels
    assert not low.passed and low.since is None and low.now.p10 < low.now.p90
    (high,) = held("idle: {as: weeds}", soil=SOIL % (OLSEN % "60 mg/l")).limits.levels
    assert high.passed and high.since == datetime.date(2026, 10, 1)


def test_another_test_has_no_published_rise_and_its_own_levels() -> None:
    """Mehlich-3: over 69 excessive in New Jersey (Rutgers), over 150 a concern in Delaware (Sims et al. 2002)."""
    made = held(compost("depth: 10 mm"), soil=SOIL % "phosphorus: {test: mehlich-3, value: 100 ppm}")
    assert {one.level: one.passed for one in made.limits.levels} == {69.0: True, 150.0: False}
    assert all(one.end is None for one in made.limits.levels)
    named = held(
        compost(),
        soil=SOIL % "phosphorus: {test: mehlich-3, value: 100 ppm}",
        extra="limits: [phosphorus_mehlich3_delaware]\n",
    )
    assert [one.level for one in named.limits.levels] == [150.0]
    (bray,) = held(compost(), soil=SOIL % "phosphorus: {test: bray-1, value: 20 mg/kg}").limits.levels
    assert (bray.level, bray.passed) == (25.0, False)
