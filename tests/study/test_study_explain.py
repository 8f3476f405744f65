"""A plan as understood: dates and amounts as a person works them out, and every number with where it came from."""

from __future__ import annotations

import datetime

import pytest
from study_plans import PLAIN, plan

from somsim.plan import parse_plan
from somsim.study.explain import explain_plan
from somsim.study.starting import demonstrations

LEY = "cover: {name: ley, sow: 1 Mar, cut: 1 Sep, every: year, then: carted off}"
BROWN = "spread: {material: plain compost, depth: 5 mm, on: 1 Sep, every: year, then: dug in}"


def test_events_are_dated_and_weighed() -> None:
    """Worked arithmetic: 5 mm x 600 kg/m3 x 60 % x 20 % is 0.36 kg C/m2; 4 t/ha x 45 % is 0.18."""
    made = explain_plan(plan({"a": [BROWN], "b": [LEY]}, extra=PLAIN))
    brown, ley = made.strategies
    assert [event.date for event in brown.events] == [datetime.date(2027, 9, 1), datetime.date(2028, 9, 1)]
    assert [event.carbon for event in brown.events] == pytest.approx([0.36, 0.36])
    assert brown.events[0].what == "plain compost, dug in"
    taken = [event for event in ley.events if "carted off" in event.what]
    assert [event.carbon for event in taken] == pytest.approx([0.18, 0.18])


def test_the_start_is_what_was_typed() -> None:
    """Worked arithmetic: 20 cm of 1.35 g/cm3 weigh 270 kg/m2."""
    made = explain_plan(plan({"a": [BROWN]}, extra=PLAIN))
    assert made.layer_mass == pytest.approx(270.0)
    assert 0.026 * 270 * 0.4 < made.start_carbon < 0.026 * 270 * 0.6


def test_a_factor_is_the_same_in_all_months() -> None:
    steady = ["input: {name: chaff, carbon: 1 t C/ha/yr, residue: straw}"]
    made = explain_plan(plan({"a": steady}, climate="{factor: 1.3}"))
    assert made.strategies[0].factor == pytest.approx([1.3] * 12)


def test_the_north_is_warm_in_july() -> None:
    north, south = (explain_plan(plan({"a": [BROWN]}, extra=PLAIN, climate=name)).strategies[0].factor
                    for name in ("netherlands", "canterbury-nz"))
    assert north[6] > 2 * north[0]
    assert south[0] > south[6]


def test_numbers_of_the_plan_and_of_the_library_are_told_apart() -> None:
    made = explain_plan(plan({"a": [BROWN]}, extra=PLAIN))
    known = {one.name: one.known for one in made.numbers}
    assert "plan" in known.values()
    assert {"read", "remembered", "judged", "derived", "plan"} >= set(known.values())
    assert len(known) == len(made.numbers)


def test_a_heap_is_told_with_its_ratio_and_its_volume() -> None:
    """Worked arithmetic: 100 kg at 30 % dry, 40 % C and 2 % N, and 50 kg at 80 % dry, 45 % C and 0.5 % N: 30 kg C and
    0.8 kg N of 70 kg dry, C:N 37.5, 80 of 150 kg water.  Composting takes 45 % of the dry matter, 50 % of the carbon,
    25 % of the nitrogen (from memory): 38.5 kg, at 55 % dry and 650 kg/m3 (given) 70 kg and 0.1077 m3, C:N 25."""
    extra = """materials:
  wet: {like: grass hay, dry_matter: 30 %, carbon: 40 %, nitrogen: 2 %}
  dry: {like: straw, dry_matter: 80 %, carbon: 45 %, nitrogen: 0.5 %}
  our heap: {heap: [{feedstock: wet, mass: 100 kg}, {feedstock: dry, mass: 50 kg}], dry_matter: 55 %,
    bulk_density: 650 kg/m3}
"""
    spread = "spread: {material: our heap, depth: 2 mm, on: 1 Sep, every: year, then: dug in}"
    (made,) = explain_plan(plan({"a": [spread]}, extra=extra)).heaps
    assert made.name == "our heap"
    assert (made.fresh, made.carbon_to_nitrogen, made.moisture) == pytest.approx((150.0, 37.5, 80 / 150))
    assert (made.mass, made.volume, made.finished_carbon_to_nitrogen) == pytest.approx((70.0, 70 / 650, 25.0))


@pytest.mark.parametrize("name", list(demonstrations()))
def test_every_demonstration_can_be_explained(name: str) -> None:
    text = demonstrations()[name].read_text(encoding="utf-8")
    made = explain_plan(parse_plan(text))
    assert all(one.events or one.rounds == 0 for one in made.strategies)
    assert all(0.0 < factor < 10.0 for one in made.strategies for factor in one.factor)
