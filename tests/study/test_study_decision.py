"""What is decided by: figures side by side, who is beaten, time without rain, and prices that turn the answer."""

from __future__ import annotations

import numpy as np
import pytest
from study_plans import COVER, SPREAD, plan_text, study

from somsim.plan import parse_plan
from somsim.study.compare import Study, compare_study
from somsim.study.decision import Choice

AREA = 72.0  # 4 beds of 15 m x 1.2 m
GROUND = 96.0  # with 0.4 m of path to each 1.2 m of bed
SALAD = "crop: {name: winter salad leaf, from: 5 Oct, to: 10 Apr, every: year, then: left on surface}"
SUMMER = "crop: {name: cucumber, from: 1 May, to: 30 Sep, every: year, then: carted off}"
PRICES = "garden compost: 35 per m3, cucumber: 1.5 per kg, winter salad leaf: 9 per kg, rye and vetch seed: 6 per kg"


def money(prices: str = PRICES, more: str = "wage: 15 per hour, discount: 3 %/yr") -> str:
    return f"money: {{currency: EUR, {more}, prices: {{{prices}}}}}\n"


def choice(found: Study, name: str) -> Choice:
    return next(one for one in found.decision.choices if one.strategy == name)


THREE = {"salad": (SPREAD, SALAD, SUMMER), "cover": (COVER, SUMMER), "nothing": ("idle: {as: weeds}", SUMMER)}


@pytest.fixture(scope="module")
def three() -> Study:
    return study(THREE, extra=money())


def test_hours_food_and_phosphorus_are_means_of_the_years(three: Study) -> None:
    # Library, best values: cucumber 12 kg and 1.1 h/m2, salad leaf 2 kg and 0.9 h/m2; spreading 5 mm at 1.3 h/m3.
    one = choice(three, "salad")
    years = 1096 / 365.25  # 2026-10-01 to 2029-10-01
    assert one.harvest.best == pytest.approx(AREA * 3 * 14 / years)
    assert one.portions.best == pytest.approx(one.harvest.best / 0.08)
    assert one.hours.best == pytest.approx(AREA * 3 * (1.1 + 0.9 + 0.005 * 1.3) / years)
    # 5 mm x 600 kg/m3 x 60 % dry x 0.22 % P, on three quarters of the ground.
    assert one.phosphorus.best == pytest.approx(1e4 * AREA / GROUND * 3 * 0.005 * 600 * 0.6 * 0.0022 / years, rel=1e-6)
    assert sum(spread.best for months in one.by_month.values() for spread in months) == pytest.approx(one.hours.best)


def test_money_has_every_line_and_what_is_left_over(three: Study) -> None:
    for one in three.decision.choices:
        assert one.cost is not None
        lines = {name: spread.best for name, spread in one.cost.lines.items()}
        assert one.cost.costs.best == pytest.approx(sum(lines.values()) - lines["sales"])
        assert one.cost.result.best == pytest.approx(lines["sales"] - one.cost.costs.best)
        assert one.cost.per_area.best == pytest.approx(one.cost.costs.best / AREA)
    assert choice(three, "cover").cost.per_lasting is not None  # type: ignore[union-attr]  # it has one, above
    assert choice(three, "nothing").cost.per_lasting is None  # type: ignore[union-attr]  # it feeds nothing


def test_each_kg_of_lasting_carbon_costs_what_feeds_the_soil(three: Study) -> None:
    one, answer = choice(three, "salad"), next(one for one in three.answers if one.name == "salad")
    assert one.cost is not None and one.cost.per_lasting is not None
    # 3 x 72 m2 x 5 mm at 35 per m3 and 1.3 h/m3 at 15, over the carbon that is there from compost.
    spent = 3 * AREA * 0.005 * (35 + 1.3 * 15)
    assert one.cost.per_lasting.best == pytest.approx(
        spent / (answer.from_source["garden compost"].best * AREA), rel=1e-3
    )


def test_differences_between_strategies_tie_to_the_cent(three: Study) -> None:
    books = {one.strategy: one.cost for one in three.decision.choices}
    assert len(three.decision.pairs) == 2
    for pair in three.decision.pairs:
        more, less = books[pair.more], books[pair.less]
        assert more is not None and less is not None
        assert round(100 * pair.difference.best) == int(more.likely.present[0]) - int(less.likely.present[0])


def test_chances_of_leaving_most_share_the_worlds_out(three: Study) -> None:
    chances = [one.cost.chance_of_most for one in three.decision.choices if one.cost is not None]
    assert sum(chance or 0.0 for chance in chances) == pytest.approx(1.0)
    twice = study({"one": (SPREAD,), "same": (SPREAD,), "idle": (COVER, SPREAD)}, extra=money()).decision.choices
    assert [one.cost.chance_of_most for one in twice if one.cost is not None] == [0.5, 0.5, 0.0]
    missing = study({"one": (SPREAD,), "cover": (COVER,)}, extra=money("garden compost: 35 per m3")).decision.choices
    assert [one.cost.chance_of_most for one in missing if one.cost is not None] == [None, None]


def test_without_money_nothing_has_a_currency() -> None:
    found = study(THREE).decision
    assert found.currency is None and found.pairs == () and found.break_evens == ()
    assert all(one.cost is None and one.hours.best > 0.0 for one in found.choices)


def test_a_strategy_without_every_price_is_not_compared_in_money() -> None:
    found = study(THREE, extra=money(PRICES.replace(", rye and vetch seed: 6 per kg", ""))).decision
    assert {name for pair in found.pairs for name in (pair.more, pair.less)} == {"salad", "nothing"}


@pytest.mark.parametrize("thing", ["garden compost", "winter salad leaf"])
@pytest.mark.parametrize("other", ["cover", "nothing"])
def test_a_break_even_price_put_into_the_plan_makes_the_two_alike(three: Study, thing: str, other: str) -> None:
    even = next(one for one in three.decision.break_evens if (one.thing, one.other) == (thing, other))
    assert even.price.best > 0.0
    before = {"garden compost": "35 per m3", "winter salad leaf": "9 per kg"}[thing]
    after = f"{even.price.best:.9f} per {even.per}"
    text = plan_text(THREE, extra=money(PRICES.replace(f"{thing}: {before}", f"{thing}: {after}")))
    found = compare_study(parse_plan(text), draws=2).decision
    left = {one.strategy: one.cost.likely.present[0] for one in found.choices if one.cost is not None}
    assert abs(left["salad"] - left[other]) <= 12  # cents: three years, two strategies, two lines each rounded


def test_break_even_is_told_for_what_has_no_price_yet() -> None:
    found = study(THREE, extra=money(PRICES.replace("garden compost: 35 per m3, ", ""))).decision
    salad = [one for one in found.break_evens if one.thing == "garden compost"]
    assert {one.other for one in salad} == {"cover", "nothing"}
    priced = study(THREE, extra=money()).decision.break_evens
    known = {one.other: one.price for one in priced if one.thing == "garden compost"}
    assert all(one.price.best == pytest.approx(known[one.other].best, abs=0.1) for one in salad)


def test_a_break_even_for_each_square_metre_is_the_crops_money(three: Study) -> None:
    one = next(one for one in three.decision.break_evens if one.table == "crops")
    assert one.per_area is not None and one.per_area.best == pytest.approx(2.0 * one.price.best)  # 2 kg/m2 a year


def test_two_that_are_alike_do_not_beat_each_other() -> None:
    found = study({"one": (SPREAD,), "same": (SPREAD,)})
    assert choice(found, "one").beaten_by == choice(found, "same").beaten_by == ()


def test_who_is_worse_in_everything_is_beaten_and_by_how_many_worlds() -> None:
    # Digging takes hours, and the residue decays faster: neither brings anything here.
    found = study({"still": (SUMMER,), "dug": (SUMMER, "dig: {on: 1 Apr, every: year}")})
    assert choice(found, "dug").beaten_by == (("still", 1.0),)
    assert choice(found, "still").beaten_by == ()


def test_nobody_wins_by_work_that_has_no_figure() -> None:
    still = (SUMMER, "idle: {as: weeds}")
    found = study({"weeds": still, "dug": (SUMMER, "dig: {on: 1 Apr, every: year}")})
    assert choice(found, "weeds").unknown_hours and choice(found, "dug").beaten_by == ()


def test_compost_under_cover_counts_until_rain_reaches_the_soil() -> None:
    off = "uncover: {from: 20 Oct, to: 20 Mar, every: year}"
    found = study(
        {"dry": (SPREAD,), "rained on": (SPREAD, off), "none": ("dig: {on: 1 Apr, every: year}",)},
        shelter="unheated tunnel",
    )
    # From 20 April 2027 to the end on 1 October 2029; each year from 20 April to 20 October; never.
    assert choice(found, "dry").salt_years == pytest.approx(895 / 365.25, abs=0.01)
    assert choice(found, "rained on").salt_years == pytest.approx(183 / 365.25, abs=0.01)
    assert choice(found, "none").salt_years == 0.0
    assert choice(study({"dry": (SPREAD,)}), "dry").salt_years == 0.0  # open ground


def test_the_usual_tools_are_named_only_where_they_are_used_and_not_chosen() -> None:
    assert study({"a": (SPREAD,)}).decision.tools == {"spread": "barrow"}
    assert study({"a": (SPREAD,)}, extra="tools: {spread: barrow}\n").decision.tools == {}


def test_the_same_worlds_hold_for_all_strategies(three: Study) -> None:
    ones = [one.cost.ledger for one in three.decision.choices if one.cost is not None]
    # All grow the same cucumbers, so the sales of the two that grow nothing else are alike in every world.
    cover, nothing = (next(one for one in ones if one.strategy == name) for name in ("cover", "nothing"))
    assert np.array_equal(cover.cents[-1], nothing.cents[-1])
