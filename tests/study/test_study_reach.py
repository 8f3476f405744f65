"""How much reaches a level: every amount is put back into a plan and run."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from study_plans import COVER, PLAIN, SOIL, SPREAD, plan

from somsim.draws import best_values
from somsim.errors import InputError
from somsim.library import read_library
from somsim.plan import Plan, parse_plan, read_plan, write_plan
from somsim.simulate import simulate
from somsim.study.drift import STEP, come_to_rest, years_until
from somsim.study.inverse import Layer, amount_for, layer_of
from somsim.study.limits import nitrogen_load
from somsim.study.reach import HOLDING, Reach, reach_study, write_answer
from somsim.study.rewriting import amount_in, rewritten, worlds
from somsim.timeline import figures, setting

SAME = 1e-6  # relative: what an inverse answer is held to
HUMUS_DECAY = 0.006
STEADY = {  # the climate of the reference, no tillage factor, one number for everything
    "climate": "{factor: 1 ratio}",
    "soil": f"{{humus: 40 t C/ha, residue: 0 t C/ha, bulk_density: 1.3 g/cm3, humus_decay: {HUMUS_DECAY} per year}}",
    "site": "tillage: dug once a year",
    "start": "2027-01-01",
    "extra": PLAIN,
}
QUICK = (  # humus that decays so fast that a level has to be held
    "{texture: sandy loam, organic_matter: 2.6 %, method: loss on ignition, bulk_density: 1.35 g/cm3, depth: 20 cm,"
    " humus_decay: 0.03 per year}"
)
BROWN = "spread: {material: plain compost, depth: 5 mm, on: 1 Jan, every: year, then: dug in}"


def reach(strategies: dict[str, list[str]], target: str, draws: int = 8, **more: str) -> Reach:
    asked = {name: more.pop(name) for name in ("by", "material") if name in more}
    (found,) = reach_study(plan(strategies, **more), target, draws=draws, **asked).answers
    return found


def layer_with(found: Reach, first: float, then: float) -> Layer:
    """The layer with the best values when so much is spread until the date, and so much after it, as plan text."""
    answer = found.answer
    *rest, before, after = answer.strategies[found.strategy]
    key = found.to_reach.key
    changed = [
        before.model_copy(update={key: amount_in(key, first)}),
        after.model_copy(update={key: amount_in(key, then)}),
    ]
    made = parse_plan(write_plan(rewritten(answer, {found.strategy: [*rest, *changed]})))
    known = figures(made, read_library())
    return layer_of(simulate(setting(known, best_values(known.unknowns)), found.strategy))


def left(decay: float, humified: float, years: float) -> tuple[float, float]:
    """Residue and humus left of one unit of residue (two pools, first order)."""
    residue = math.exp(-decay * years)
    return residue, humified * decay * (math.exp(-HUMUS_DECAY * years) - residue) / (decay - HUMUS_DECAY)


def test_the_amount_is_the_one_worked_out_by_hand() -> None:
    """Worked arithmetic: ten yearly layers of 600 kg/m3, 60 % dry, 20 % carbon and 40 % organic, decay 0.4, h 0.45.

    Spread on 1 January and dug in; on the tenth anniversary they are 10, 9 ... 1 years old, but for leap days: a year
    is 365.25 days here, and the ages are whole days.  5e-4 is a day in a few years.
    """
    found = reach({"brown": [BROWN]}, "9 kg/m2", horizon="10 years", **STEADY)
    known = figures(plan({"brown": [BROWN]}, **STEADY), read_library()).unknowns
    factor = known["constants/organic_matter_per_carbon/value"].best
    per_mm = 0.001 * 600 * 0.60 * 0.20
    ages = [left(0.4, 0.45, age) for age in range(1, 11)]
    each = per_mm * sum(2.0 * residue + factor * humus for residue, humus in ages)
    bare = 4.0 * factor * math.exp(-10 * HUMUS_DECAY)
    assert 1000 * found.to_reach.amount.best == pytest.approx((9.0 - bare) / each, rel=5e-4)
    assert found.without.best == pytest.approx(bare, rel=1e-4)


@pytest.mark.parametrize("target", ["3.4 %", "8.5 kg/m2", "today"])
def test_the_answers_put_back_into_a_plan_reach_and_hold(target: str) -> None:
    found = reach({"brown": [SPREAD]}, target, soil=QUICK)
    layer = layer_with(found, found.to_reach.amount.best, found.to_hold.amount.best)
    level = layer.level(found.aim.percent)[:, 0]
    assert found.to_reach.amount.best > 0.0
    assert level[found.years] == pytest.approx(found.target.best, rel=SAME)
    assert found.to_hold.amount.best > 0.0
    assert level[found.years + HOLDING] == pytest.approx(found.target.best, rel=SAME)


@settings(max_examples=6, deadline=None)
@given(
    percent=st.floats(2.7, 4.5),
    years=st.integers(1, 8),
    then=st.sampled_from(["dug in", "left on surface"]),
    material=st.sampled_from(["garden compost", "composted cattle manure", "leaf mould", "straw"]),
    beds=st.sampled_from(["", ", beds: 2 to 3", ", share: 30 %"]),
    others=st.lists(st.sampled_from([SPREAD, COVER]), unique=True),
)
def test_over_random_plans(percent: float, years: int, then: str, material: str, beds: str, others: list[str]) -> None:
    """Some of these cannot be reached, or need nothing: then that is so in the run as well."""
    own = f"spread: {{material: {material}, depth: 1 mm, on: 20 Apr, every: year, then: {then}{beds}}}"
    found = reach({"a": [own, *others]}, f"{percent:.6f} %", draws=2, material=material, horizon=f"{years} years")
    amount = found.to_reach.amount.best
    level = layer_with(found, amount, 0.0).percent[years, 0]
    if amount >= found.to_reach.most:
        assert level < found.target.best
    elif amount <= 0.0:
        assert level >= found.target.best * (1.0 - SAME)
    else:
        assert level == pytest.approx(found.target.best, rel=SAME)


@settings(max_examples=6, deadline=None)
@given(first=st.floats(0.0, 0.02), then=st.floats(0.0, 0.02), years=st.integers(1, 5))
def test_organic_and_mineral_mass_are_linear_in_what_is_spread(first: float, then: float, years: int) -> None:
    """Without, with a unit before, and with a unit after the date: any two amounts lie in the plane through them."""
    found = cached(years)
    bare, before, after, both = (
        layer_with(found, *pair) for pair in ((0.0, 0.0), (0.01, 0.0), (0.0, 0.01), (first, then))
    )
    for name in ("organic", "mineral"):
        none, one, two, whole = (getattr(layer, name) for layer in (bare, before, after, both))
        plane = none + first / 0.01 * (one - none) + then / 0.01 * (two - none)
        assert whole == pytest.approx(plane, rel=1e-9)


@lru_cache
def cached(years: int) -> Reach:
    return reach({"brown": [SPREAD]}, "3 %", draws=2, horizon=f"{years} years")


def test_the_middle_amount_is_enough_in_half_of_the_worlds_and_the_larger_one_in_nine_of_ten() -> None:
    found = reach({"brown": [SPREAD]}, "3.2 %", draws=64)
    for amount, share in ((found.to_reach.amount.p50, 0.5), (found.to_reach.amount.p90, 0.9)):
        *rest, before, after = found.answer.strategies["brown"]
        made = rewritten(
            found.answer, {"brown": [*rest, before.model_copy(update={"depth": amount_in("depth", amount)}), after]}
        )
        level = layer_of(simulate(worlds(made, 64, 1)[1], "brown")).percent[found.years]
        assert np.mean(level >= 3.2) == pytest.approx(share, abs=1.5 / 64)  # a world more or less, by interpolation


def test_beyond_its_own_ash_no_amount_does_it() -> None:
    found = reach({"brown": [BROWN]}, "60 %", **STEADY)
    assert not found.reachable
    assert found.to_reach.possible == 0.0
    assert found.to_reach.amount.best == found.to_reach.most
    # Half a metre of compost a year, the most that is spread: at most 40 % of it was organic to begin with.
    assert found.ceiling is not None
    assert layer_with(found, 0.5, 0.0).percent[found.years, 0] < found.ceiling.best < 40.0


def test_nothing_is_needed_for_a_level_below_the_one_without() -> None:
    found = reach({"brown": [SPREAD]}, "1 %")
    assert found.to_reach.amount.best == found.to_reach.amount.p90 == 0.0
    assert found.to_reach.none == 1.0
    assert found.without.best > 1.0


def test_the_most_within_the_nitrogen_limit_spreads_just_that() -> None:
    """Limit 250 kg/ha of ground (Scottish nitrate zone rules, in the library); three quarters of it is bed here."""
    always = "spread: {material: composted cattle manure, depth: 1 mm, on: 1 Nov, every: year, then: left on surface}"
    found = reach({"brown": [SPREAD, always]}, "4 %", material="garden compost")
    (room,) = found.rooms
    *rest, before, after = found.answer.strategies["brown"]
    most = before.model_copy(update={"depth": amount_in("depth", room.amount.best)})
    both = worlds(rewritten(found.answer, {"brown": [*rest, most, after]}), 2, 1)
    ran = [simulate(shared, "brown") for shared in both]
    assert nitrogen_load(ran[0], ran[1]).most.best == pytest.approx(250.0, rel=1e-9)
    assert layer_of(ran[0]).percent[found.years, 0] == pytest.approx(room.level.best, rel=SAME)
    assert found.over_limit


def test_a_phosphorus_limit_of_the_plan_and_an_olsen_test_limit_the_amount() -> None:
    """Worked: 10 kg P/ha of ground, three quarters of it bed, in 600 kg/m3 x 60 % dry of the library's phosphorus.
    Olsen: from 44 to 45 mg/l at 400 kg P2O5/ha for 10 mg/l (RB209, from memory) is 40 kg P2O5/ha in all years."""
    soil = SOIL.removesuffix("}") + ", phosphorus: {test: olsen, value: 44 mg/l}}"
    own = "limits: [{phosphorus: 10 kg/ha}]\n"
    found = reach({"brown": [SPREAD]}, "4 %", material="garden compost", soil=soil, extra=own)
    rooms = {room.nutrient: room for room in found.rooms}
    assert set(rooms) == {"phosphorus", "phosphorus by Olsen"} and found.over_limit
    material = read_library().find("materials", "garden compost")
    assert material is not None
    brings = material.value("bulk_density").best * material.value("dry_matter").best * material.value("phosphorus").best
    assert rooms["phosphorus"].amount.best == pytest.approx(0.001 / 0.75 / brings, rel=1e-6)
    yearly = 0.004 * 0.4364 / found.years / brings
    assert rooms["phosphorus by Olsen"].amount.best == pytest.approx(yearly, rel=1e-3)


def test_holding_today_is_reaching_today() -> None:
    found = reach({"brown": [SPREAD]}, "today")
    assert found.target == found.start
    assert found.target.best == pytest.approx(2.6, rel=1e-9)


def test_where_it_leads_is_what_a_run_of_a_century_gives() -> None:
    found = reach({"green": [COVER]}, "3 %")
    asked = plan({"green": [COVER]})
    long = rewritten(asked, asked.strategies, 103)
    layer = layer_of(simulate(worlds(long, 2, 1)[0], "green"))
    assert [one.years for one in found.today.levels] == [10, 30, 100]
    for one in found.today.levels:
        assert one.mass.best == pytest.approx(layer.mass[one.years, 0], rel=1e-9)
        assert one.percent.best == pytest.approx(layer.percent[one.years, 0], rel=1e-9)


def test_the_level_it_comes_to_rest_at_is_there_after_three_centuries() -> None:
    """A rate of 0.03 a year leaves e^-9 of the way (1.2e-4); leap days shift a little too: 1e-3."""
    site = STEADY | {"soil": STEADY["soil"].replace("0.006", "0.03")}
    found = reach({"brown": [BROWN]}, "9 kg/m2", **site)
    assert found.today.steady is not None
    asked = plan({"brown": [BROWN]}, **site)
    long = rewritten(asked, asked.strategies, 300)
    layer = layer_of(simulate(worlds(long, 2, 1)[0], "brown"))
    assert found.today.steady.mass.best == pytest.approx(layer.mass[-1, 0], rel=1e-3)
    assert found.today.steady.half_way.best == pytest.approx(math.log(2) / 0.03, rel=0.02)
    assert set(found.today.steady.half_way_by_family) == set(found.today.steady.by_family)


def test_aitkens_process_finds_the_end_of_one_exponential() -> None:
    years = np.arange(101.0)
    level = 5.0 + 3.0 * np.exp(-0.02 * years)
    layer = Layer(level[:, None, None], np.ones((101, 1, 1)), np.ones((1, 1)))
    end, half = come_to_rest(layer)
    assert end[0] == pytest.approx(5.0, rel=1e-9)
    assert half[0] == pytest.approx(math.log(2.0) / 0.02, rel=1e-9)
    rising = Layer((years**2)[:, None, None], np.ones((101, 1, 1)), np.ones((1, 1)))
    assert np.isnan(come_to_rest(rising)[0][0])
    assert STEP % 4 == 0  # leap years fall alike into every step


def test_a_warming_climate_never_comes_to_rest() -> None:
    found = reach({"a": [SPREAD]}, "3 %", site="warming: 0.3 deg C/decade")
    assert found.today.steady is None


def test_half_of_the_gain_is_gone_when_the_answer_says() -> None:
    found = reach({"brown": [SPREAD]}, "4 %", soil=QUICK)
    amount, half = found.to_reach.amount.best, found.after_stop.half
    assert half is not None and 1.0 < half.best < 99.0
    years = found.years + round(half.best)
    *rest, before, after = found.answer.strategies["brown"]
    nothing = after.model_copy(update={"depth": amount_in("depth", 0.0)})
    masses = []
    for depth in (amount, 0.0):
        spread = before.model_copy(update={"depth": amount_in("depth", depth)})
        made = rewritten(found.answer, {"brown": [*rest, spread, nothing]}, years + 1)
        masses.append(layer_of(simulate(worlds(made, 2, 1)[0], "brown")).mass[:, 0])
    gain = masses[0] - masses[1]
    assert gain[years] / gain[found.years] == pytest.approx(0.5, abs=0.01)  # a whole year near the crossing


def test_a_level_that_never_falls_far_enough_counts_as_a_century() -> None:
    assert years_until(np.array([[2.0, 1.0], [1.5, 0.5]]), np.array([1.0, 1.0])).tolist() == [100.0, 0.0]


def test_a_strategy_that_spreads_nothing_gets_a_day() -> None:
    found = reach({"weeds": ["idle: {as: weeds}"]}, "3 %")
    before = found.answer.strategies["weeds"][-2]
    assert (before.on.text, before.then, before.material) == ("1 Oct", "left on surface", "garden compost")
    assert not found.instead


def test_without_a_name_every_strategy_is_answered() -> None:
    found = reach_study(plan({"a": [SPREAD], "b": [COVER]}), "3 %", draws=2)
    assert [one.strategy for one in found.answers] == ["a", "b"]
    assert [one.instead for one in found.answers] == [True, False]


def test_one_date_in_full_is_counted_in_whole_years() -> None:
    found = reach({"a": [SPREAD]}, "3 %", draws=2, by="2031-09-30")
    assert (found.years, found.date.isoformat()) == (4, "2030-10-01")


def test_amounts_where_one_world_cannot() -> None:
    ones = np.ones((1, 1, 2))
    bare, unit = Layer(5 * ones, 195 * ones, np.ones((1, 1))), Layer(ones * [1.0, 0.01], ones, np.ones((1, 1)))
    found = amount_for(np.array([4.0, 4.0]), bare, unit, percent=True, most=100.0)
    assert found[0] == pytest.approx(3.0 / 0.92, rel=1e-12)  # (5 + a) / (200 + 2 a) = 0.04: worked arithmetic
    assert found[1] == np.inf


def test_the_plan_of_the_answer_can_be_written(tmp_path) -> None:  # type: ignore[no-untyped-def]
    asked: Plan = plan({"a": [SPREAD], "b": [COVER]})
    found = reach_study(asked, "3 %", strategy="a", draws=2)
    write_answer(found, tmp_path / "answer.yaml")
    assert read_plan(tmp_path / "answer.yaml") == found.answers[0].answer
    with pytest.raises(InputError, match="is there already"):
        write_answer(found, tmp_path / "answer.yaml")
    with pytest.raises(InputError, match="several"):
        write_answer(reach_study(asked, "3 %", draws=2), tmp_path / "other.yaml")


def test_a_material_whose_nitrogen_nobody_knows_has_no_room() -> None:
    chaff = "materials:\n  chaff: {residue: straw, bulk_density: 80 kg/m3, dry_matter: 90 %, carbon: 44 %}\n"
    found = reach({"a": ["idle: {as: weeds}"]}, "3 %", material="chaff", extra=chaff, draws=2)
    assert found.rooms == () and found.unknown == ("nitrogen",)
    assert not found.over_limit
