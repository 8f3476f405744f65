"""What it costs and brings, as sentences, as a table, in files and for machines."""

from __future__ import annotations

import csv
import io
import json
import math
import re
from decimal import Decimal

import pandas as pd
import pytest
from conftest import HEAD

from somsim.plan import parse_plan
from somsim.report import decision
from somsim.report.costs import ALL_YEARS, as_json, costs_table, hours_table, summary_rows
from somsim.study.compare import Study, compare_study

BODY = """  "salad & <compost>":
    - spread: {material: garden compost, depth: 5 mm, on: 20 Apr, every: year, then: left on surface}
    - crop: {name: winter salad leaf, from: 5 Oct, to: 10 Apr, every: year, then: left on surface}
  cover:
    - cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: carted off, dry_tops: 4 t/ha}
  idle:
    - idle: {as: weeds}
"""
MONEY = """money: {currency: EUR, wage: 15 per hour, discount: 3 %/yr, prices: {garden compost: 30 to 40 per m3,
  winter salad leaf: 9 to 14 per kg, rye and vetch seed: 6 per kg}}
hours_available: {per_week: 2 h}
"""


def made(extra: str = "", draws: int = 16) -> Study:
    text = HEAD.format(horizon="3 years").lstrip() + BODY + extra
    return compare_study(parse_plan(text), draws=draws)


@pytest.fixture(scope="module")
def priced() -> Study:
    return made(MONEY)


@pytest.fixture(scope="module")
def plain() -> Study:
    return made()


def rows(found: Study, system: str = "metric") -> dict[str, list[str]]:
    choices = found.decision.choices
    return {label.strip(): list(cells) for label, cells in decision.decision_rows(found.decision, choices, system)}  # type: ignore[arg-type]  # one of the two systems


HEAP = """materials:
  our heap: {heap: [{feedstock: rye and vetch, mass: 300 kg}, {feedstock: straw, mass: 60 kg}]}
"""
FED = """  a heap:
    - spread: {material: our heap, depth: 3 mm, on: 20 Apr, every: year, then: left on surface}
  heap and compost:
    - spread: {material: our heap, depth: 3 mm, on: 20 Apr, every: year, then: left on surface}
    - spread: {material: garden compost, depth: 3 mm, on: 25 Apr, every: year, then: left on surface}
"""


def test_phosphorus_that_nobody_knows_is_not_nought() -> None:
    found = compare_study(parse_plan(HEAP + HEAD.format(horizon="3 years").lstrip() + BODY + FED), draws=8)
    salad, cover, idle, heap, both = rows(found)["phosphorus spread a year, kg/ha"]
    assert heap == "not known"
    assert both.startswith("over ") and float(both.split()[1]) > 0.0
    assert (cover, idle) == ("0", "0") and not salad.startswith("over")
    notes = list(decision.notes_of(found.decision))
    assert "No published phosphorus of: our heap. It is not known, which is not nought." in notes
    # With phosphorus that is not known, nobody is beaten by it.
    assert not any("a heap" in name for choice in found.decision.choices[:3] for name, _ in choice.beaten_by)


def test_sentences_tell_the_difference_the_prices_and_the_weeks(priced: Study) -> None:
    text = "\n".join(decision.sentences_of(priced))
    assert re.search(r'"(salad & <compost>|cover|idle)" has [\d.]+ EUR more left over than|cannot be told apart', text)
    assert re.search(r"winter salad leaf must bring [\d.]+ \([-\d.]+ to [\d.]+\) EUR/kg, [\d.]+ EUR/m2 a year", text)
    assert re.search(r'"salad & <compost>" DOES NOT FIT into your hours: \d+ of \d+ weeks are too full', text)
    assert '"cover" DOES NOT FIT' not in text and '"idle" DOES NOT FIT' not in text


def test_the_table_has_a_cell_for_each_strategy_and_no_money_without_prices(priced: Study, plain: Study) -> None:
    with_money, without = rows(priced), rows(plain)
    assert all(len(cells) == 3 for cells in [*with_money.values(), *without.values()])
    assert {"costs a year, EUR", "left over a year, EUR", "sales a year, EUR"} <= set(with_money)
    assert not any("EUR" in label or "cost" in label for label in without)
    assert {"own hours a year", "harvest a year, kg", "beaten on everything by"} <= set(without)
    assert without["salt: years of compost without rain"][1:] == ["none", "none"]
    assert with_money["fits your hours"][0].startswith("NO, ") and with_money["fits your hours"][1:] == ["yes", "yes"]


def test_us_units_are_the_same_figures(priced: Study) -> None:
    kg, pounds = rows(priced)["harvest a year, kg"][0], rows(priced, "us")["harvest a year, lb"][0]
    first = [float(re.split(r"\s", cell)[0]) for cell in (kg, pounds)]
    assert first[1] / first[0] == pytest.approx(2.2046, rel=0.01)  # a pound is 0.45359237 kg; three digits are shown
    text = "\n".join(decision.sentences_of(priced, "us"))
    assert "EUR/lb" in text and "EUR/yd3" in text and "EUR/kg" not in text


def test_notes_say_what_is_missing_guessed_and_usual(plain: Study) -> None:
    said = "\n".join(decision.notes_of(plain.decision))
    assert "keeping weeds down on ground left idle" in said and "barrow (spread)" in said and "shears (cut)" in said
    pounds = "\n".join(decision.notes_of(made("money: {currency: GBP}\n", draws=2).decision))
    assert "Old guesses of the library" in pounds and "garden compost, seed of rye and vetch" in pounds
    assert "Not counted as sold, because the plan has no price: winter salad leaf." in pounds
    euros = "\n".join(decision.notes_of(made("money: {currency: EUR}\n", draws=2).decision))
    assert "cover costs more than shown: no price is given for seed of rye and vetch." in euros


def test_costs_add_up_to_the_cent_in_the_file(priced: Study) -> None:
    text = costs_table(priced.decision).to_csv(index=False)
    table = list(csv.DictReader(io.StringIO(text)))
    assert all(re.fullmatch(r"-?\d+\.\d\d", row[name]) for row in table for name in ("best", "p10", "p50", "p90"))
    best = {(row["strategy"], row["year"], row["line"]): Decimal(row["best"]) for row in table}
    strategies = [one.strategy for one in priced.decision.choices]
    years = sorted({row["year"] for row in table} - {ALL_YEARS})
    lines = ["material", "delivery", "seed", "hired work", "own hours"]
    assert len(years) == 3
    for strategy in strategies:
        for year in [*years, ALL_YEARS]:
            costs = sum(best[strategy, year, line] for line in lines)
            assert costs == best[strategy, year, "costs"]
            assert best[strategy, year, "sales"] - costs == best[strategy, year, "left over"]
        for line in [*lines, "sales", "costs", "left over", "left over, later years for less"]:
            assert sum(best[strategy, year, line] for year in years) == best[strategy, ALL_YEARS, line]
    for pair in priced.decision.pairs:
        line = f"left over, more than in {pair.less}"
        for year in [*years, ALL_YEARS]:
            difference = best[pair.more, year, "left over"] - best[pair.less, year, "left over"]
            assert best[pair.more, year, line] == difference


def test_hours_by_job_and_month_are_the_hours_of_the_year(priced: Study) -> None:
    table = hours_table(priced.decision)
    assert set(table["month"]) >= {"January", "December"} and set(table["unit"]) == {"h/year"}
    for one in priced.decision.choices:
        of_this = table[table["strategy"] == one.strategy]
        assert of_this["best"].sum() == pytest.approx(one.hours.best)
    assert "sow" in set(table[table["strategy"] == "cover"]["job"])


def test_the_summary_has_money_only_where_there_are_prices(priced: Study, plain: Study) -> None:
    with_money, without = (list(summary_rows(one.decision)) for one in (priced, plain))
    assert any(unit == "EUR/year" for _, _, unit, _ in with_money)
    assert not any("EUR" in unit or "None" in unit for _, _, unit, _ in without)
    assert len({(strategy, quantity) for strategy, quantity, _, _ in with_money}) == len(with_money)


def test_machines_get_all_of_it_and_nothing_that_is_not_a_number(priced: Study, plain: Study) -> None:
    for study in (priced, plain):
        text = json.dumps(as_json(study.decision), allow_nan=False)
        again = json.loads(text)
        assert [one["name"] for one in again["strategies"]] == [one.strategy for one in study.decision.choices]
    told = as_json(priced.decision)
    assert told["currency"] == "EUR" and told["strategies"][0]["money"]["costs"]["unit"] == "EUR/yr"
    assert told["strategies"][0]["hours_available"]["too_full"][0]["available"] == 2.0
    assert as_json(plain.decision)["strategies"][0]["money"] is None


def test_no_figure_of_the_tables_is_empty_or_not_a_number(priced: Study) -> None:
    for table in (hours_table(priced.decision), costs_table(priced.decision)):
        numbers = table[["best", "p10", "p50", "p90"]].map(float)
        assert isinstance(table, pd.DataFrame)
        assert all(math.isfinite(value) for value in numbers.to_numpy().ravel())
