"""Five years with a plan: each autumn what was done is written down, and the answer starts from there."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

ENTRY = "from somsim.cli.main import run; run()"
REPOSITORY = Path(__file__).parent.parent.parent
PLAN = """
title: A bed by the wall
start: 2026-09-01
horizon: 10 years
site:
  climate: ireland-east
  shelter: open ground
  beds: {count: 4, length: 10 m, width: 1.2 m}
  soil: {texture: loam, organic_matter: 4 %, method: loss on ignition, bulk_density: 1.2 g/cm3, depth: 20 cm}
strategies:
  cover:
    - cover: {name: rye and vetch, sow: 15 Sep, cut: 5 May, every: year, then: left on surface}
    - crop: {name: cabbage, from: 20 May, to: 10 Sep, every: year, then: carted off}
  compost:
    - spread: {material: garden compost, depth: 5 mm, on: 15 May, every: year, then: left on surface}
    - crop: {name: cabbage, from: 20 May, to: 10 Sep, every: year, then: carted off}
"""
FACTS = """always:
  - cover: {name: rye and vetch, sow: 2026-09-18, cut: 2027-05-03, then: left on surface,
            sample: {fresh: [1.0 kg, 1.3 kg, 1.1 kg], area: 0.5 m2, dry_matter: 18 %}}
  - cover: {name: rye and vetch, sow: 2027-09-15, cut: 2028-05-05, then: left on surface}
  - crop: {name: cabbage, from: 2027-05-20, to: 2027-09-10, then: carted off}
  - crop: {name: cabbage, from: 2028-05-20, to: 2028-09-10, then: carted off}
"""


def typed(folder: Path, *words: str) -> str:
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", ENTRY, *words],
        cwd=folder,
        env={**os.environ, "COLUMNS": "80", "PYTHONPATH": str(REPOSITORY)},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=300,
    )
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def years(folder: Path, plan: str, *more: str) -> list[dict[str, dict[str, float]]]:
    said = typed(folder, "project", plan, "--strategy", "cover", "--draws", "64", "--json", *more)
    found: list[dict[str, dict[str, float]]] = json.loads(said)["years"]
    return found


def width(year: dict[str, dict[str, float]], start: dict[str, dict[str, float]]) -> float:
    """How far the level at the end lies apart, of 8 in 10 worlds, once the start is taken off."""
    return (year["organic_matter"]["p90"] - year["organic_matter"]["p10"]) / start["organic_matter"]["p50"]


def test_five_years(tmp_path: Path) -> None:
    (tmp_path / "bed.yaml").write_text(PLAN.lstrip(), encoding="utf-8")
    before = years(tmp_path, "bed.yaml")

    typed(tmp_path, "record", "bed.yaml", "followed", "cover", "date=2026-09-01")
    typed(tmp_path, "record", "bed.yaml", "sown", "rye and vetch", "date=2026-09-18")
    typed(
        tmp_path, "record", "bed.yaml", "cut", "rye and vetch", "date=2027-05-03",
        "fresh=1.0 kg; 1.3 kg; 1.1 kg", "area=0.5 m2", "dry_matter=18 %",
    )  # fmt: skip
    typed(tmp_path, "record", "bed.yaml", "--as-intended-until", "2028-09-10")

    # As of the second autumn: the same facts typed as a plan give the same first two years.
    facts = PLAN.replace("strategies:", FACTS + "strategies:").replace("every: year", "every: year, first_year: 3")
    (tmp_path / "typed.yaml").write_text(facts.lstrip(), encoding="utf-8")
    recorded = years(tmp_path, "bed.yaml", "--as-of", "2028-09-10")
    by_hand = years(tmp_path, "typed.yaml")
    for number in (0, 1, 2):
        assert recorded[number] == by_hand[number]

    # The third year: the cover was sown and never cut for want of time, and ran to waste in June.
    typed(tmp_path, "record", "bed.yaml", "sown", "rye and vetch", "date=2028-09-15")
    typed(tmp_path, "record", "bed.yaml", "cut", "rye and vetch", "date=2029-06-20", "then=carted off")
    shown = " ".join(typed(tmp_path, "record", "bed.yaml").split())
    assert 'taken as not done: planting "cabbage" (2029-05-20).' in shown

    # The fourth: no cabbage, and twice the usual weight of cover.
    typed(tmp_path, "record", "bed.yaml", "sown", "rye and vetch", "date=2029-09-20")
    typed(
        tmp_path, "record", "bed.yaml", "cut", "rye and vetch", "date=2030-05-08",
        "fresh=2.6 kg; 2.9 kg; 3.1 kg", "area=0.5 m2", "dry_matter=16 %",
    )  # fmt: skip
    typed(tmp_path, "record", "bed.yaml", "--as-intended-until", "2031-08-31")
    # Each autumn the past is what happened, whatever the strategy, and the level ten years on is surer than at first.
    after = years(tmp_path, "bed.yaml")
    assert after[5]["organic_matter"] != before[5]["organic_matter"]
    said = json.loads(typed(tmp_path, "compare", "bed.yaml", "--draws", "64", "--json"))
    assert said["record"]["until"] == "2031-05-20"
