"""A grower's way: no prices, only hours and food; then prices; then a mistake in one of them."""

from __future__ import annotations

import json
from pathlib import Path

import pandas as pd
import pytest
from command_line import CommandLine

PLAN = """title: Two beds
start: 2027-03-01
horizon: 2 years
site:
  climate: netherlands
  shelter: open ground
  beds: {count: 2, length: 10 m, width: 1.2 m}
  soil: {texture: loam, organic_matter: 3 %, method: loss on ignition, bulk_density: 1.3 g/cm3}
hours_available: {per_week: 2 h}
always:
  - crop: {name: cabbage, from: 20 May, to: 10 Oct, every: year, then: carted off}
strategies:
  compost:
    - spread: {material: garden compost, depth: 4 mm, on: 1 May, every: year, then: left on surface}
  digging:
    - dig: {on: 1 May, every: year}
"""
MONEY = "money: {currency: EUR, prices: {garden compost: 35 per m3}}\n"


@pytest.fixture
def somsim(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> CommandLine:
    return CommandLine(monkeypatch, capsys, tmp_path)


def write(somsim: CommandLine, text: str) -> Path:
    path = somsim.folder / "costs.yaml"
    path.write_text(text, encoding="utf-8")
    return path


def test_no_prices_only_hours_and_food(somsim: CommandLine) -> None:
    path = write(somsim, PLAN)
    ended = somsim("compare", str(path), "--draws", "8", "--out", str(somsim.folder / "out"))
    assert (ended.code, ended.err) == (0, "")
    assert "What it costs and brings" in ended.out and "own hours a year" in ended.out
    assert "in portions of 80 g" in ended.out and "fits your hours" in ended.out
    assert "costs a year" not in ended.out and "EUR" not in ended.out
    files = {item.name for item in (somsim.folder / "out").iterdir()}
    assert "hours.csv" in files and "costs.csv" not in files


def test_with_prices_there_is_a_file_of_costs(somsim: CommandLine) -> None:
    path = write(somsim, PLAN + MONEY)
    ended = somsim("compare", str(path), "--draws", "8", "--json", "--out", str(somsim.folder / "out"))
    assert (ended.code, ended.err) == (0, "")
    told = json.loads(ended.out)["decision"]
    assert told["currency"] == "EUR"
    table = pd.read_csv(somsim.folder / "out" / "costs.csv")
    bought = table[(table["strategy"] == "compost") & (table["line"] == "material") & (table["year"] == "all years")]
    assert float(bought["best"].iloc[0]) == 6.72  # 24 m2 x 4 mm x 2 years at 35 a m3


def test_a_price_for_nothing_known_is_told_with_its_place(somsim: CommandLine) -> None:
    path = write(somsim, PLAN + MONEY.replace("garden compost", "gardn compost"))
    ended = somsim("check", str(path))
    assert ended.code == 2 and "no price can be given" in ended.err and "nearest: garden compost" in ended.err
