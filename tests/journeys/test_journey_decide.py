"""Two growers under cover: what a green manure costs beside compost; and no prices, only hours and food."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import pytest

CONFIGS = Path(__file__).parents[2] / "configs"
COMMAND = Path(sys.executable).parent / "somsim"
COSTS = ("material", "delivery", "seed", "hired work", "own hours")
MONEY = ("EUR", "costs a year", "left over", "sales", "wage", "break")


def typed(folder: Path, *words: str) -> str:
    done = subprocess.run([COMMAND, *words], cwd=folder, capture_output=True, text=True, timeout=300, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def rows(file: Path) -> list[dict[str, str]]:
    with file.open(encoding="utf-8", newline="") as opened:
        return list(csv.DictReader(opened))


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("decide")
    plan = (CONFIGS / "tunnel-costs.yaml").read_text(encoding="utf-8")
    (made / "priced.yaml").write_text(plan, encoding="utf-8")
    before, rest = plan.split("money:", 1)
    after = rest.split("hours_available:", 1)[1]
    (made / "unpriced.yaml").write_text(f"{before}hours_available:{after}", encoding="utf-8")
    return made


def test_cover_against_compost_under_cover(folder: Path) -> None:
    told = " ".join(typed(folder, "compare", "priced.yaml", "--draws", "32").split())
    assert '"compost and winter salad" has' in told and "garden compost may cost up to" in told
    assert "winter salad leaf must bring" in told
    assert "One crop of rye and vetch" in told and "salt: years of" in told


def test_the_money_of_the_files_ties_to_the_cent(folder: Path) -> None:
    """Worked: 36 m2 x 5 mm x 35 = 6.30; one load is 45.00; 36 m2 x 14 g/m2 (library) x 6 = 3.02."""
    typed(folder, "compare", "priced.yaml", "--draws", "8", "--out", "again")
    table = rows(folder / "again" / "costs.csv")
    money = {(row["strategy"], row["year"], row["line"]): round(100 * float(row["best"])) for row in table}
    salad, cover = "compost and winter salad", "winter green manure"
    first = "2026-10-01"
    assert [money[salad, first, line] for line in ("material", "delivery", "seed")] == [630, 4500, 0]
    assert [money[cover, first, line] for line in ("material", "delivery", "seed")] == [0, 0, 302]
    years = sorted({year for _, year, _ in money if year.startswith("20")})
    assert len(years) == 5
    for strategy in (salad, cover, "compost and green manure"):
        for year in [*years, "all years"]:
            parts = [money[strategy, year, line] for line in COSTS]
            assert sum(parts) == money[strategy, year, "costs"]
            assert money[strategy, year, "sales"] - money[strategy, year, "costs"] == money[strategy, year, "left over"]
        for line in (*COSTS, "sales", "left over"):
            assert sum(money[strategy, year, line] for year in years) == money[strategy, "all years", line]


def test_without_prices_there_are_hours_and_food_and_no_money(folder: Path) -> None:
    told = typed(folder, "compare", "unpriced.yaml", "--draws", "32")
    assert not [word for word in MONEY if word in told]
    plain = " ".join(told.split())
    assert "own hours a year" in plain and "harvest a year, kg" in plain and "in portions of 80 g" in plain
    assert '"compost and winter salad" DOES NOT FIT into your hours' in plain
    results = folder / "results" / "unpriced"
    assert (results / "hours.csv").exists() and not (results / "costs.csv").exists()
    answer = json.loads(typed(folder, "compare", "unpriced.yaml", "--draws", "32", "--json"))
    assert all(one["money"] is None for one in answer["decision"]["strategies"])
    assert all(one["own_hours"]["p50"] > 0.0 for one in answer["decision"]["strategies"])
