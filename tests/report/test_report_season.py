"""A season on the screen, the page, in tables and in the calendar: the same figures everywhere, metric and US."""

from __future__ import annotations

import csv
import datetime
import io
import re
from functools import cache
from html.parser import HTMLParser

import pytest
from rich.console import Console

from somsim.plan import parse_plan
from somsim.report.season import show_season, strip_lines
from somsim.report.season_lines import order_lines, task_lines, wait_words
from somsim.report.season_page import page
from somsim.report.season_tables import as_json, orders_csv, tasks_csv, weeks_csv
from somsim.study.season import season_study
from somsim.study.season_types import Season, Wait
from somsim.units import factor

PLAN = """title: 'Beds & <b>"more"</b>'
start: 2026-10-01
horizon: 3 years
site:
  climate: south-east-england
  shelter: open ground
  beds: {count: 4, length: 15 m, width: 1.2 m, paths: 0.4 m, names: [shed, hedge, pond, <i>gate</i>]}
  soil: {texture: sandy loam, organic_matter: 2.6 %, method: loss on ignition, bulk_density: 1.35 g/cm3}
money: {currency: EUR, wage: 15 per hour, prices: {garden compost: 35 per m3, rye and vetch seed: 6 per kg}}
hours_available: {per_week: 4 h}
strategies:
  "</script>one":
    - spread: {material: garden compost, volume: 0.9 m3, on: 20 Apr, every: year, then: left on surface, beds: 1 to 2}
    - spread: {material: straw, mass: 200 kg, on: 25 Apr, every: year, then: left on surface, beds: 4}
    - cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: dug in, in_turn: 1 of 2}
    - crop: {name: cabbage, from: 10 May, to: 10 Sep, every: year, then: carted off}
    - idle: {as: sheet, from: 12 Sep, to: 1 Oct, every: year, beds: 4}
"""
US = {"yd3": "m3", "ft3": "m3", "lb": "kg", "oz": "kg", "short ton": "kg", "ft2": "m2", "ft": "m"}
METRIC = {"m3": "m3", "l": "m3", "kg": "kg", "g": "kg", "t": "kg", "m2": "m2", "m": "m"}
KINDS = {"m3": "volume", "kg": "mass", "m2": "area", "m": "length"}
NUMBER = r"([0-9]+(?:\.[0-9]+)?)"


@cache
def season(year: int = 1) -> Season:
    return season_study(parse_plan(PLAN), None, year, draws=16)


def screen(width: int, system: str = "metric") -> str:
    out = io.StringIO()
    show_season(season(), Console(file=out, width=width), system)  # type: ignore[arg-type]
    return out.getvalue()


def amounts(text: str, units: dict[str, str]) -> list[float]:
    """Every amount with a unit, in base units."""
    words = "|".join(sorted(map(re.escape, units), key=len, reverse=True))
    return [
        float(number) * factor(unit, KINDS[units[unit]])
        for number, unit in re.findall(rf"{NUMBER} ({words})(?![\w/])", text)
    ]


@pytest.mark.parametrize("width", [60, 80, 120])
def test_the_screen_keeps_its_width(width: int) -> None:
    assert max(len(line) for line in screen(width).splitlines()) <= width


def test_metric_and_us_say_the_same() -> None:
    # Two digits of each: they may differ by half a unit of the second, which is 5 % of a 10 at most, on both sides.
    for task in season().tasks:
        ours, theirs = (task_lines(task, season(), system).much for system in ("metric", "us"))  # type: ignore[arg-type]
        ours, theirs = (re.sub(r"[^,]* on each [^,]*", "", text) for text in (ours, theirs))  # a metre is no foot
        assert amounts(ours, METRIC) == pytest.approx(amounts(theirs, US), rel=0.11)
    for order in season().orders:
        ours, theirs = (order_lines(order, season(), system).much for system in ("metric", "us"))  # type: ignore[arg-type]
        assert amounts(ours, METRIC) == pytest.approx(amounts(theirs, US), rel=0.11)
        assert len(amounts(ours, METRIC)) >= 1


def test_a_metre_of_bed_and_a_foot_of_bed_are_of_one_layer() -> None:
    spread = next(one for one in season().tasks if one.kind == "spread")
    metric, us = (task_lines(spread, season(), system).much for system in ("metric", "us"))  # type: ignore[arg-type]
    litres = float(re.search(rf"{NUMBER} l on each m of bed", metric)[1])  # type: ignore[index]
    feet = float(re.search(rf"{NUMBER} ft3 on each ft of bed", us)[1])  # type: ignore[index]
    assert litres * 1e-3 * 0.3048 == pytest.approx(feet * 0.3048**3, rel=0.06)


def test_barrows_a_bed_are_the_volume_of_a_bed_in_barrows() -> None:
    # Worked arithmetic: 0.9 m3 on two beds is 450 l a bed, 5.3 barrows of 85 l; 1.5 % of it on each of 15 m is 30 l.
    spread = next(one for one in season().tasks if one.kind == "spread")
    words = task_lines(spread, season(), "metric")
    assert words.much.startswith("5.3 barrows a bed, 0.45 m3 a bed, 30 l on each m of bed, 0.90 m3 in all")
    assert words.ground == "beds 1 to 2 (shed, hedge)"


def test_packs_are_worked_arithmetic() -> None:
    # 0.9 m3: 23 bags of 40 l hold 0.92 m3, 2 big bags of 0.8 m3, 1 bulk load of 8 m3.
    order = next(one for one in season().orders if one.name == "garden compost")
    assert [(pack.name, pack.count) for pack in order.packs] == [("shop bag", 23), ("big bag", 2), ("bulk load", 1)]
    assert "23 shop bags of 40 l, or 2 big bags of 0.80 m3, or 1 bulk load of 8.0 m3" in screen(400)


def test_what_the_plan_gives_by_weight_is_to_be_bought_by_weight() -> None:
    straw, compost = (next(one for one in season().orders if one.name == name) for name in ("straw", "garden compost"))
    assert "Go by the weight" in order_lines(straw, season(), "metric").rests_on
    assert "Go by the volume" in order_lines(compost, season(), "metric").rests_on


def test_every_letter_at_a_task_is_explained_below() -> None:
    tasks, below = " ".join(screen(100).split()).split("What to mind")
    used = {letter for group in re.findall(r"\[([a-z](?:, [a-z])*)\]", tasks) for letter in group.split(", ")}
    assert used == set(re.findall(r"\[([a-z])\] [A-Z]", below)) and used


def test_a_wait_that_the_plan_breaks_is_said() -> None:
    day = datetime.date(2027, 5, 1)
    assert wait_words(Wait("harvest of carrot", 120, day, "carrot", None, False)) == (
        "Harvest of carrot: not before Sat 1 May 2027 (120 days). The plan does not keep to this."
    )


def test_the_strip_has_a_row_for_beds_that_are_treated_alike() -> None:
    lines = strip_lines(season())
    assert [line for line in lines if line.startswith("bed")] == [
        "beds 1 to 2 (shed, hedge)",
        "bed 3 (pond)",
        "bed 4 (<i>gate</i>)",
    ]
    bars = [line for line in lines if len(line) >= 52 and " " not in line]
    assert len(bars) == 3 and all(len(bar) == 52 for bar in bars)
    # Rye and vetch from 5 October to 20 April: 197 of 365 days, so 28 of 52 weeks.
    assert abs(bars[0].count("A") - 28) <= 1 and bars[1].count("A") == 0


def test_tables_tie_with_the_season() -> None:
    tasks = list(csv.DictReader(io.StringIO(tasks_csv(season()).decode())))
    orders = list(csv.DictReader(io.StringIO(orders_csv(season()).decode())))
    weeks = list(csv.DictReader(io.StringIO(weeks_csv(season()).decode())))
    assert [row["id"] for row in tasks] == [task.id for task in season().tasks]
    best = sum(float(row["hours_best"]) for row in tasks if row["hours_best"])
    assert best == pytest.approx(season().hours.best, rel=1e-12)
    assert float(orders[-1]["area_m2"]) > 0.0 and len(orders) == len(season().orders)
    known = {row["id"] for row in tasks}
    assert all(set(row["tasks"].split("; ")) <= known for row in orders)
    assert sum(row["too_full"] == "yes" for row in weeks) == len(season().full_weeks) > 0
    assert as_json(season())["tasks"][0]["id"] == tasks[0]["id"]


class Tags(HTMLParser):
    """What stands on a page: tags, ids, and all of its text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.ids: list[str] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.ids += [value for name, value in attrs if name == "id" and value]

    def handle_data(self, data: str) -> None:
        self.text += data


@pytest.mark.parametrize(("system", "paper"), [("metric", "A4"), ("us", "letter")])
def test_the_page_stands_alone_and_takes_no_name_for_markup(system: str, paper: str) -> None:
    text = page(season(), system).decode()  # type: ignore[arg-type]
    found = Tags(text)
    assert f"size: {paper}" in text
    assert 'Beds & <b>"more"</b>: </script>one' in found.text
    assert not {"script", "b", "i", "link", "img"} & set(found.tags)
    assert len(found.ids) == len(set(found.ids))
    assert "http" not in text
    for task in season().tasks:
        assert task_lines(task, season(), system).title in found.text  # type: ignore[arg-type]


def test_a_year_without_any_work_is_a_page_too() -> None:
    quiet = parse_plan(PLAN.split("strategies:")[0] + "strategies:\n  rest:\n    - idle: {as: bare}\n")
    empty = season_study(quiet, None, 1, draws=2)
    assert "nothing stands" in page(empty, "metric").decode()
    out = io.StringIO()
    show_season(empty, Console(file=out, width=80))
    assert "Nothing has to be bought" in out.getvalue() and "Nothing has to be done" in out.getvalue()
