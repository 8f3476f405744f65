"""One green manure in mm of compost, against decay formulas worked by hand."""

from __future__ import annotations

import datetime
import math

import pytest
from study_plans import COVER, PLAIN, SPREAD, study

from somsim.plan.model import shift
from somsim.study.equivalence import Equivalence, Spread, spread_of

HUMUS_DECAY = 0.006
STEADY = {  # the climate of the reference, no tillage factor, one number for everything
    "climate": "{factor: 1 ratio}",
    "soil": f"{{carbon_stock: 40 t C/ha, bulk_density: 1.3 g/cm3, humus_decay: {HUMUS_DECAY} per year}}",
    "site": "tillage: dug once a year",
    "start": "2027-01-01",
    "extra": PLAIN,
}
LEY = "cover: {name: ley, sow: 1 Mar, cut: 1 Sep, every: year, then: dug in}"
BROWN = "spread: {material: plain compost, depth: 5 mm, on: 1 Sep, every: year, then: dug in}"
TOPS = 0.4 * 0.45  # kg C/m2: 4 t/ha of tops, 45 % carbon
PER_MM = 0.001 * 600 * 0.60 * 0.20  # kg C/m2: 1 mm x 600 kg/m3 x 60 % dry x 20 % carbon


def left(decay: float, humified: float, years: float) -> float:
    """What is left of one unit of residue: itself and the humus made of it (two pools, first order)."""
    residue = math.exp(-decay * years)
    humus = humified * decay * (math.exp(-HUMUS_DECAY * years) - residue) / (decay - HUMUS_DECAY)
    return residue + humus


def ley(**other: str) -> Equivalence:
    made = study({"green": [LEY], "brown": [BROWN]}, **(STEADY | other))
    (one,) = made.equivalences
    return one


@pytest.mark.parametrize("months", [6, 12, 36, 120, 360])
def test_what_lasts_is_the_closed_form_of_both(months: int) -> None:
    """Worked arithmetic: both decay from the day of the cut, and nothing else differs.  Rounding alone remains."""
    cut = datetime.date(2027, 9, 1)
    years = (shift(cut, months) - cut).days / 365.25
    expected = TOPS * left(2.0, 0.12, years) / (PER_MM * left(0.4, 0.45, years))
    assert ley().lasting[months].best == pytest.approx(expected, rel=1e-9)


def test_by_carbon_on_the_day_is_carbon_over_carbon() -> None:
    """Worked arithmetic: 0.18 kg C of tops over 0.072 kg C in each mm."""
    assert ley().on_the_day.best == pytest.approx(2.5, rel=1e-12)
    assert ley().carbon.best == pytest.approx(0.18, rel=1e-12)


def test_one_number_for_everything_leaves_nothing_uncertain() -> None:
    assert ley().at_horizon.exact
    assert ley().on_the_day.exact


def test_the_horizon_of_the_plan_is_one_of_the_times() -> None:
    one = ley(horizon="30 months")
    assert one.horizon == 30
    assert one.at_horizon == one.lasting[30]


def test_the_soil_at_the_start_has_no_say() -> None:
    """The model is linear: what is left of one addition does not depend on what else is there."""
    rich = "{carbon_stock: 90 t C/ha, bulk_density: 1.1 g/cm3, humus_decay: 0.006 per year}"
    for month, spread in ley().lasting.items():
        assert ley(soil=rich).lasting[month].best == pytest.approx(spread.best, rel=1e-12)


def test_both_engines_say_the_same() -> None:
    plan = {"green": [COVER], "brown": [SPREAD]}
    one, other = (study(plan, engine=engine, draws=4).equivalences[0] for engine in ("exact", "ivp"))
    assert other.at_horizon.p50 == pytest.approx(one.at_horizon.p50, rel=1e-7)


def test_carted_off_tops_leave_the_roots_and_no_volume() -> None:
    away = COVER.replace("left on surface}", "carted off, pressed_volume: 4 l/m2}")
    (kept,) = study({"a": [COVER], "b": [SPREAD]}).equivalences
    (carted,) = study({"a": [away], "b": [SPREAD]}).equivalences
    assert not carted.tops_kept
    assert carted.volume is None
    assert 0.0 < carted.on_the_day.p50 < kept.on_the_day.p50


def test_a_measured_volume_goes_through_the_loss_of_a_heap() -> None:
    """4 l/m2 pressed are 4 mm; the library's volume loss takes its share, and more than none and less than all."""
    measured = COVER.replace("surface}", "surface, pressed_volume: 4 l/m2}")
    made = study({"a": [measured], "b": [SPREAD]})
    volume = made.equivalences[0].volume
    lost = made.figures.unknowns["composting/volume_loss/value"]
    assert volume is not None
    assert volume.best == pytest.approx(4.0 * (1.0 - lost.best), rel=1e-12)
    assert 4.0 * (1.0 - lost.high) <= volume.p10 < volume.p90 <= 4.0 * (1.0 - lost.low)


@pytest.mark.parametrize(
    ("crops", "rounds"),
    [
        ([], 11),  # 1096 days over 92
        # Before the first tomatoes 170 days, between two crops of them 253, after the last 83: 1 + 2 + 2 + 0.
        (["crop: {name: tomato, from: 20 Jun, to: 10 Oct, every: year, then: carted off}"], 5),
        # 151 days are left in each of three springs: 1 + 1 + 1.
        (["crop: {name: tomato, from: 20 Jun, to: 20 Jan, every: year, then: carted off}"], 3),
    ],
)
def test_rounds_are_those_that_fit_between_the_other_crops(crops: list[str], rounds: int) -> None:
    """Counted by hand over the three years of the plan: a ley from 1 March to 1 June takes 92 days."""
    short = "cover: {name: ley, sow: 1 Mar, cut: 1 Jun, every: year, then: left on surface}"
    (one,) = study({"a": [short, *crops]}, **STEADY).equivalences
    assert one.rounds_a_year * 1096 / 365.25 == pytest.approx(rounds)


def test_a_round_needs_warmth_and_light_and_not_only_days() -> None:
    """Mustard from August to November: the winter has the days for more rounds, but not the growing weather."""
    mustard = "cover: {name: white mustard, sow: 15 Aug, cut: 15 Nov, every: year, then: left on surface}"
    crop = "crop: {name: onion, from: 1 Apr, to: 10 Aug, every: year, then: carted off}"
    (one,) = study({"a": [mustard, crop]}).equivalences
    assert one.rounds_a_year == pytest.approx(1.0, abs=0.2)


def test_a_cover_that_brings_nothing_is_worth_nothing() -> None:
    nothing = LEY.replace("dug in}", "dug in, dry_tops: 0 t/ha}")
    (one,) = study({"a": [nothing], "b": [BROWN]}, **STEADY).equivalences
    assert one.at_horizon == Spread(0.0, 0.0, 0.0, 0.0)


def test_a_spread_keeps_its_order() -> None:
    made = spread_of(5.0, [4.0, 1.0, 3.0, 2.0, 0.0, 5.0, 6.0, 8.0, 9.0, 7.0, 10.0])
    assert (made.p10, made.p50, made.p90) == pytest.approx((1.0, 5.0, 9.0), abs=1.0)
    assert made.best == 5.0
    assert not made.exact
    assert spread_of(7.02, [7.02, 7.02 + 1e-15, 7.02 - 1e-15]).exact
