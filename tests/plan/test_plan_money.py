"""Prices, hours and tools as a plan writes them: what is read, what is refused (see configs/bad too), written back."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.errors import InputError
from somsim.plan import parse_plan, write_plan
from somsim.plan.fields import FieldError
from somsim.plan.money import BOUGHT, DRIVEN, WORKED, WeekHours, read_price

PLAN = """
title: Two beds
start: 2026-10-01
horizon: 4 years
site:
  climate: south-east-england
  shelter: open ground
  beds: {count: 2, length: 10 m, width: 1.2 m}
  soil: {texture: sandy loam, carbon: 1.5 %, bulk_density: 1.35 g/cm3}
strategies:
  compost:
    - spread: {material: garden compost, depth: 5 mm, on: 20 Apr, every: year, then: left on surface}
  mix:
    - cover: {name: my mix, mix: {cereal rye: 60 %, hairy vetch: 40 %}, sow: 5 Oct, cut: 1 May, every: year,
              then: left on surface}
"""


@pytest.mark.parametrize(
    ("text", "kinds", "best", "per"),
    [
        ("35 per m3", BOUGHT, 35.0, "volume"),
        ("30 to 40 per m3", BOUGHT, 35.0, "volume"),
        ("0.7 per kg", BOUGHT, 0.7, "mass"),
        ("7 per 10 kg", BOUGHT, 0.7, "mass"),
        ("5 per 40 l", BOUGHT, 125.0, "volume"),  # 40 l is 0.04 m3
        ("30 per yd3", BOUGHT, 30 / 0.764554857984, "volume"),  # a cubic yard is 0.764554857984 m3, exact by definition
        ("2 per lb", BOUGHT, 2 / 0.45359237, "mass"),  # a pound is 0.45359237 kg, exact by definition
        ("15 per hour", WORKED, 15.0, "time"),
        ("60 per load", DRIVEN, 60.0, "load"),
        ("90 per 2 loads", DRIVEN, 45.0, "load"),
        ("0 per m3", BOUGHT, 0.0, "volume"),
    ],
)
def test_a_price_is_for_one_of_something(text: str, kinds: tuple[str, ...], best: float, per: str) -> None:
    read = read_price(text, kinds)
    assert (read.best, read.per, read.text) == (pytest.approx(best, rel=1e-12), per, text)


@pytest.mark.parametrize(
    "text", ["35", "35 EUR", "EUR 35 per m3", "1,5 per kg", "35 per", "35 per hectare", "nan per m3"]
)
def test_what_is_no_price_is_refused(text: str) -> None:
    with pytest.raises(FieldError):
        read_price(text, BOUGHT)


@given(low=st.integers(0, 500), more=st.integers(0, 500), unit=st.sampled_from(["m3", "40 l", "kg", "yd3", "t"]))
def test_a_range_of_prices_keeps_its_order_and_its_middle(low: int, more: int, unit: str) -> None:
    read = read_price(f"{low} to {low + more} per {unit}", BOUGHT)
    assert read.low <= read.best <= read.high
    assert read.best == pytest.approx((read.low + read.high) / 2)


MONEY = (
    "money: {currency: EUR, wage: 15 per hour, delivery: 60 per load, load: 8 m3, discount: 3 %/yr,"
    " hired: {dig: 40 per hour}, prices: {garden compost: 30 to 40 per m3, my mix seed: 4 per kg}}\n"
    "hours_available: {per_week: 4 4 6 8 10 10 10 10 8 6 4 4 h}\ntools: {spread: loader, cut: two-wheel tractor}\n"
)


def test_money_hours_and_tools_are_read_and_written_back() -> None:
    plan = parse_plan(PLAN + MONEY)
    assert plan.money is not None and plan.tools is not None and plan.hours_available is not None
    assert plan.money.prices["garden compost"].best == 35.0
    assert plan.hours_available.per_week.months == (4, 4, 6, 8, 10, 10, 10, 10, 8, 6, 4, 4)
    assert (plan.tools.spread, plan.tools.sow) == ("loader", None)
    assert parse_plan(write_plan(plan)) == plan


@pytest.mark.parametrize(("text", "first"), [("10 h", 10.0), ("90 min", 1.5), ("0 h", 0.0)])
def test_one_figure_of_hours_is_for_all_months(text: str, first: float) -> None:
    plan = parse_plan(PLAN + f"hours_available: {{per_week: {text}}}\n")
    assert plan.hours_available is not None
    assert plan.hours_available.per_week == WeekHours((first,) * 12, text)


def prices(line: str) -> str:
    return PLAN + f"money: {{currency: EUR, prices: {{{line}}}}}\n"


@pytest.mark.parametrize("name", ["Garden compost", "cucumber", "cereal rye seed", "my mix seed", "yard waste compost"])
def test_materials_crops_and_seed_can_be_priced_by_any_of_their_names(name: str) -> None:
    parse_plan(prices(f"{name}: 2 per kg"))


@pytest.mark.parametrize("name", ["seed", "my mix", "garden compost seed", "rye and vetch"])
def test_what_is_neither_has_no_price(name: str) -> None:
    with pytest.raises(InputError, match="no price can be given"):
        parse_plan(prices(f"{name}: 2 per kg"))


def test_a_plan_without_money_says_nothing_of_it() -> None:
    plan = parse_plan(PLAN)
    assert plan.money is None and plan.hours_available is None and plan.tools is None
    assert "money" not in write_plan(plan)
