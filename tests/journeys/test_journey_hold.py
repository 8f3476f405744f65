"""A grower who wants to hold today's level: asked from the shell, and the answer's own plan asked again."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ENTRY = "from somsim.cli.main import run; run()"
CONFIGS = Path(__file__).parent.parent.parent / "configs"
GROWER = CONFIGS / "holding-level.yaml"
ASKED = ("--strategy", "nothing but crops", "--with", "our own heap", "--draws", "32")


def typed(folder: Path, *words: str) -> str:
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", ENTRY, *words],
        cwd=folder,
        env={**os.environ, "COLUMNS": "80", "PYTHONPATH": str(CONFIGS.parent)},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=300,
    )
    assert (done.returncode, done.stderr) == (0, "")
    return done.stdout


def test_hold_at_todays_level(tmp_path: Path) -> None:
    said = " ".join(typed(tmp_path, "reach", str(GROWER), "--target", "today", *ASKED, "--write", "held.yaml").split())
    assert "Today's 3.9 %" in said
    assert "is held with" in said
    assert "of our own heap, beside what this strategy does" in said
    assert "By family of long-run rates: uppsala rates" in said

    # The plan that was written holds the level in the middle world, at the date and thirty years on.  Of 32 worlds the
    # start is a range too, and the middle of the levels is not the level of the middle world: 4 %.
    years = json.loads(typed(tmp_path, "project", "held.yaml", "--draws", "32", "--json"))["years"]
    percent = [year["percent"]["p50"] for year in years]
    assert percent[20] == pytest.approx(percent[0], rel=0.04)
    assert percent[50] == pytest.approx(percent[0], rel=0.04)

    # Asked again, the strategy in the written plan needs what it spreads already.
    again = json.loads(typed(tmp_path, "reach", "held.yaml", "--target", "today", "--by", "2046", *ASKED, "--json"))
    first = json.loads(typed(tmp_path, "reach", str(GROWER), "--target", "today", *ASKED, "--json"))
    before, after = (found["answers"][0]["to_reach"]["p50"] for found in (first, again))
    assert after == pytest.approx(before, rel=1e-3)
