"""A season ties with the comparison of the same strategy and year, whatever the plan; its dates, ids, waits and years.

Prices and hours are worked arithmetic on the library's figures; the plans are invented.
"""

from __future__ import annotations

import datetime
from collections import defaultdict

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from study_plans import plan, plan_text

from somsim.draws import best_values
from somsim.errors import InputError
from somsim.library import read_library
from somsim.outcomes.work import hours_of_work
from somsim.plan import Plan, parse_plan
from somsim.simulate import simulate
from somsim.study.compare import compare_study
from somsim.study.season import season_study, year_asked
from somsim.study.season_orders import packets
from somsim.study.season_types import Season, Task
from somsim.timeline import figures, setting

Day = datetime.date
DRAWS = 4
ROUNDING = 1e-12
MONEY = """money: {{currency: EUR, wage: 15 per hour, delivery: 50 per load, load: {load} m3{hired},
  prices: {{garden compost: {compost}, rye and vetch seed: 6 per kg, buckwheat seed: 4 per kg, straw: 0.2 per kg}}}}
hours_available: {{per_week: 2 h}}
"""
AMOUNT = st.sampled_from(["depth: 5 mm", "volume: 0.7 m3", "mass: 300 kg", "dry_mass: 4 t/ha", "depth: 2 to 6 mm"])
WHERE = st.sampled_from(["", ", beds: 1 to 2", ", in_turn: 1 of 2", ", in_turn: 2 of 4", ", beds: 3"])
FATE = st.sampled_from(["left on surface", "dug in"])


@st.composite
def gardens(draw: st.DrawFn) -> str:
    """A plan with one strategy of a few actions that never stand in each other's way."""
    spread = "spread: {{material: {what}, {much}, on: {on}, every: year, then: {fate}{where}}}"
    actions = [
        spread.format(what=what, much=draw(AMOUNT), on=day, fate=draw(FATE), where=draw(WHERE))
        for what, day in draw(
            st.lists(
                st.sampled_from([("garden compost", "21 Apr"), ("straw", "22 Apr"), ("garden compost", "23 Apr")]),
                unique=True,
                max_size=3,
            )
        )
    ]
    after = draw(st.sampled_from(["left on surface", "dug in", "carted off", "to the heap"]))
    actions += [
        f"cover: {{name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: {after}{draw(WHERE)}}}",
        f"crop: {{name: cabbage, from: 1 May, to: 10 Aug, every: year, then: {draw(FATE)}{draw(WHERE)}}}",
    ]
    actions += draw(
        st.lists(
            st.sampled_from(
                [
                    "dig: {on: 25 Apr, every: year}",
                    "idle: {as: sheet, from: 15 Aug, to: 20 Sep, every: year}",
                    "cover: {name: buckwheat, sow: 12 Aug, cut: 30 Sep, every: 2 years, then: dug in, "
                    "dry_tops: 2 t/ha, beds: 4}",
                ]
            ),
            unique=True,
            max_size=1,
        )
    )
    hired = draw(st.sampled_from(["", ", hired: {dig: 40 per hour, spread: 20 per hour}"]))
    price = draw(st.sampled_from(["35 per m3", "30 to 40 per m3", "0.06 per kg"]))
    extra = MONEY.format(load=draw(st.sampled_from(["0.2", "3"])), hired=hired, compost=price)
    start = draw(st.sampled_from(["2026-10-01", "2026-01-01", "2026-04-22"]))
    return plan_text({"one": actions}, start=start, horizon="3 years", extra=extra)


@settings(max_examples=12, deadline=None)
@given(text=gardens(), year=st.integers(1, 3))
def test_orders_tasks_and_costs_tie_with_the_comparison(text: str, year: int) -> None:
    made = parse_plan(text)
    season = season_study(made, "one", year, draws=DRAWS)
    choice = compare_study(made, draws=DRAWS).decision.choices[0]
    assert choice.cost is not None
    _costs_tie(season, choice.cost, year)
    _orders_tie(season, choice.cost.likely.things, year)
    _hours_tie(season, made, year)


def _costs_tie(season: Season, cost: object, year: int) -> None:
    """To the cent, with the best values and in every quantile."""
    for number, name in enumerate(("material", "delivery", "seed", "hired work", "own hours")):
        likely, many = (getattr(cost, book).cents[number, year - 1] / 100.0 for book in ("likely", "ledger"))
        told = season.costs[name]
        assert told.best == likely[0]
        assert [told.p10, told.p50, told.p90] == np.quantile(many, [0.1, 0.5, 0.9]).tolist()


def _orders_tie(season: Season, things: dict[tuple[str, str], object], year: int) -> None:
    """What is ordered is what was bought; loads are those that are paid for; seed is what is paid for."""
    ordered: dict[str, list[float]] = defaultdict(lambda: [0.0, 0.0])
    loads = 0
    for order in season.orders:
        if order.kind == "material":
            assert order.volume is not None and order.mass is not None
            ordered[order.name][0] += order.volume.best
            ordered[order.name][1] += order.mass.best
            loads += order.packs[0].count
    for (table, name), thing in things.items():
        if table == "materials":
            amount = ordered[name][0 if thing.per == "volume" else 1]  # type: ignore[attr-defined]
            assert amount == pytest.approx(thing.quantity[year - 1, 0], rel=ROUNDING)  # type: ignore[attr-defined]
    assert 50.0 * loads == season.costs["delivery"].best
    prices = {"rye and vetch": 6.0, "buckwheat": 4.0}
    seed = sum(prices[one.name] * one.mass.best for one in season.orders if one.kind == "seed" and one.mass)
    assert seed == pytest.approx(season.costs["seed"].best, abs=0.005 + ROUNDING)


def _hours_tie(season: Season, made: Plan, year: int) -> None:
    """Hours of the tasks together are those that the outcome of the comparison has in that year."""
    known = figures(made, read_library())
    best = simulate(setting(known, best_values(known.unknowns)), "one")
    share = np.array([group.share for group in best.timeline.groups])
    by_year = (hours_of_work(best)[..., 0] * share).sum(axis=1) * made.site.beds.bed_area
    told = sum(task.hours.best for task in season.tasks if task.hours is not None)
    assert told == pytest.approx(by_year[year] - by_year[year - 1], rel=ROUNDING)
    assert told == pytest.approx(season.hours.best + season.hired.best, rel=ROUNDING)
    hired = sum(task.hours.best for task in season.tasks if task.hours is not None and task.hired)
    assert hired == pytest.approx(season.hired.best, rel=ROUNDING)


SPREAD = "spread: {{material: {material}, depth: 5 mm, on: {on}, every: year, then: {then}}}"
RYE = "cover: {{name: cereal rye, sow: 5 Oct, cut: {cut}, every: year, then: dug in, stage: {stage}, dry_tops: 4 t/ha}}"


def of(*actions: str, year: int = 1, **site: str) -> Season:
    return season_study(plan({"one": actions}, **site), "one", year, draws=2)


def task(season: Season, kind: str) -> Task:
    return next(one for one in season.tasks if one.kind == kind)


@pytest.mark.parametrize(
    ("start", "asked", "number"),
    [
        ("2026-10-01", 2027, 1),  # 273 days of 2027 lie in the first year
        ("2026-10-01", 2028, 2),
        ("2026-10-01", 2026, 1),
        ("2026-03-01", 2027, 2),
        ("2026-03-01", 3, 3),
    ],
)
def test_a_calendar_year_is_the_year_of_the_plan_that_has_most_of_it(start: str, asked: int, number: int) -> None:
    assert year_asked(plan({"one": ["idle: {as: bare}"]}, start=start), asked, None)[0] == number


def test_without_a_year_it_is_the_one_that_runs() -> None:
    made = plan({"one": ["idle: {as: bare}"]})
    assert year_asked(made, None, Day(2028, 2, 29))[:2] == (2, Day(2027, 10, 1))
    assert year_asked(made, None, Day(2020, 1, 1))[0] == year_asked(made, None, None)[0] == 1


@pytest.mark.parametrize("asked", [0, 4, 2025, 2040, -1])
def test_a_year_out_of_the_plan_is_refused(asked: int) -> None:
    with pytest.raises(InputError) as told:
        year_asked(plan({"one": ["idle: {as: bare}"]}), asked, None)
    assert str(told.value) == (
        f"year {asked} is not in the plan, which goes from 2026-10-01 to 2029-09-30\n"
        "  --year with a year of the plan, 1 to 3, or a calendar year, such as 2029\n"
        "1 mistake; nothing was run."
    )


def test_ids_stay_when_dates_and_amounts_change() -> None:
    before, after = (
        of(SPREAD.format(material="garden compost", on=on, then="dug in"), RYE.format(cut=cut, stage="flower"))
        for on, cut in (("20 Apr", "10 Apr"), ("28 Apr", "15 Apr"))
    )
    assert [one.id for one in before.tasks] == [one.id for one in after.tasks]
    assert task(before, "spread").id == "1-spread-garden-compost-1"
    assert len({one.id for one in before.tasks}) == len(before.tasks)


def test_tasks_of_one_day_stand_in_the_order_of_work() -> None:
    crop = "crop: {name: cabbage, from: 20 Apr, to: 30 Sep, every: year, then: dug in}"
    compost = SPREAD.format(material="garden compost", on="20 Apr", then="dug in")
    made = of(compost, RYE.format(cut="20 Apr", stage="flower"), crop)
    kinds = [one.kind for one in made.tasks if one.first == Day(2027, 4, 20)]
    assert kinds == ["cut", "spread", "dig", "plant", "grow"]
    assert task(made, "dig").fate == "cereal rye and garden compost"


def test_half_a_year_of_a_crop_has_its_share_of_the_hours() -> None:
    # 100 days from 1 October: a crop that stands for the first 50 of them, and 50 before, has half of its hours here.
    crop = "crop: {name: cabbage, from: 12 Aug, to: 19 Nov, every: year, then: dug in}"
    whole = 240.0 * 0.15  # m2, h/m2 of the library
    second = of(crop, year=2, beds="{count: 4, length: 60 m, width: 1 m}")
    growing = [one.hours.best for one in second.tasks if one.kind == "grow" and one.hours is not None]
    assert growing == pytest.approx([0.5 * whole, 0.5 * whole])


def test_a_late_cereal_dug_in_makes_small_seed_wait() -> None:
    # PNW 636: 2 to 4 weeks after a late cereal; Diver (2008): 30 to 40 days after rye.  The longer one is told.
    crop = "crop: {name: cabbage, from: 1 Jul, to: 30 Sep, every: year, then: dug in}"
    wait = task(of(RYE.format(cut="25 May", stage="flower"), crop), "cut").waits_after[0]
    assert (wait.what, wait.days, wait.until) == ("small seed", 40, Day(2027, 7, 4))
    assert (wait.after, wait.next_day, wait.kept) == ("cabbage", Day(2027, 7, 1), None)
    late = crop.replace("1 Jul", "5 Jul")
    assert task(of(RYE.format(cut="25 May", stage="flower"), late), "cut").waits_after[0].kept is True


def test_raw_manure_makes_the_harvest_wait() -> None:
    # The organic rule of the United States (7 CFR 205.203): 120 days where the eaten part touches the soil.
    crop = "crop: {name: carrot, from: 10 May, to: 20 Oct, every: year, then: dug in}"
    wait = task(of(SPREAD.format(material="cattle manure", on="20 Apr", then="dug in"), crop), "spread").waits_after[-1]
    assert (wait.what, wait.days, wait.until) == ("harvest of carrot", 120, Day(2027, 8, 18))


def test_a_cover_waits_for_warm_soil_and_a_free_bed() -> None:
    crop = "crop: {name: cabbage, from: 1 May, to: 30 Sep, every: year, then: carted off}"
    waits = task(of(RYE.format(cut="10 Apr", stage="flower"), crop, year=2), "sow").waits_for
    assert [(one.words, one.day) for one in waits] == [
        ("cabbage is cleared", Day(2027, 9, 30)),
        ("the soil is warm enough", None),
    ]
    assert waits[1].at_least == 4.0  # deg C, judged, for plants of the cool season
    assert waits[1].usual is not None and 9.0 < waits[1].usual < 13.0  # October in south-east England


def test_a_known_climate_factor_has_no_usual_warmth() -> None:
    waits = task(of(RYE.format(cut="10 Apr", stage="flower"), climate="{factor: 1 ratio}"), "sow").waits_for
    assert waits[-1].usual is None


def test_cautions_stand_at_the_task_they_belong_to() -> None:
    made = of(
        SPREAD.format(material="cattle manure", on="20 Apr", then="dug in"),
        "cover: {name: hairy vetch, sow: 5 Oct, cut: 10 Apr, every: year, then: dug in, dry_tops: 3 t/ha}",
        extra="tools: {dig: two-wheel tractor}\n",
    )
    assert {"raw_manure", "weedkiller", "lifting"} <= set(task(made, "spread").cautions)
    assert "toxic_feed" in task(made, "cut").cautions and "raw_manure" not in task(made, "cut").cautions
    assert task(made, "dig").cautions == ("machines",)
    assert task(made, "sow").cautions == ()
    order = next(one for one in made.orders if one.kind == "material")
    assert {"weedkiller", "raw_manure"} <= set(order.cautions) and "lifting" not in order.cautions
    assert "small_changes" in made.general and "raw_manure" not in made.general


def test_the_order_comes_so_many_days_ahead() -> None:
    made = plan({"one": [SPREAD.format(material="garden compost", on="20 Apr", then="dug in")]})
    order = season_study(made, "one", 1, draws=2, ahead=10).orders[0]
    assert (order.needed, order.order_by) == (Day(2027, 4, 20), Day(2027, 4, 10))


def test_home_made_compost_is_spread_and_not_ordered() -> None:
    extra = "materials:\n  our heap: {like: garden compost, heap: [{feedstock: straw, mass: 900 kg}]}\n"
    made = of(SPREAD.format(material="our heap", on="20 Apr", then="dug in"), extra=extra)
    assert task(made, "spread").what == "our heap" and made.orders == ()


@given(mass=st.floats(0.001, 400.0))
def test_packets_hold_the_seed_and_no_smallest_one_is_too_many(mass: float) -> None:
    sizes = (0.1, 0.25, 0.5, 1.0, 5.0, 25.0)
    found = packets(mass, sizes)
    held = sum(size * count for size, count in found)
    assert held >= mass * (1.0 - 1e-8)
    smallest = min(size for size, _ in found)
    assert held - smallest < mass


def test_weeks_are_those_of_the_comparison() -> None:
    extra = "hours_available: {per_week: 3 h}\n"
    actions = ("dig: {on: 10 Mar, every: year}",)
    made = plan({"one": actions}, extra=extra)
    season = season_study(made, "one", 2, draws=DRAWS)
    held = compare_study(made, draws=DRAWS).decision.choices[0].fit
    assert held is not None
    assert [week.monday for week in season.full_weeks] == [Day(2028, 3, 6)]
    ours, theirs = season.full_weeks[0], held.full[1]
    assert (ours.hours, ours.there, ours.chance) == (theirs.hours, theirs.available, theirs.chance)
    assert len(season.weeks) in (53, 54)
