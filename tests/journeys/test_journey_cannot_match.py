"""A grower asks how many green manures would do what the bought compost does, and is told that none will."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ENTRY = "from somsim.cli.main import run; run()"
CONFIGS = Path(__file__).parent.parent.parent / "configs"
PLAN = CONFIGS / "hillside.yaml"
ASKED = ("match", str(PLAN), "--cover", "winter green manure", "--compost", "bought compost", "--draws", "32")
LINE = "    - cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: left on surface,\n"


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


def test_cannot_match_and_what_can(tmp_path: Path) -> None:
    said = " ".join(typed(tmp_path, *ASKED).split())
    assert "NOT POSSIBLE: only one crop fits into a year between what else stands there" in said
    assert "The nearest thing that can: the rye and vetch as it is grown and, beside it," in said

    # The grower believes it, types the nearest thing into the plan by hand, and compares: the carbon still there of
    # cover and compost together is that of the compost alone, by best values, to the digits that were typed.
    beside = json.loads(typed(tmp_path, *ASKED, "--json"))["compost_beside_the_cover"]["yearly"]["best"]
    text = PLAN.read_text(encoding="utf-8")
    assert text.count(LINE) == 1
    spread = f"    - spread: {{material: garden compost, depth: {1000 * beside:.6f} mm, on: 20 Apr, every: year,\n"
    changed = text.replace(LINE, spread + "               then: left on surface}\n" + LINE)
    (tmp_path / "mixed.yaml").write_text(changed, encoding="utf-8")
    found = json.loads(typed(tmp_path, "compare", "mixed.yaml", "--draws", "2", "--json"))
    left = {one["name"]: one["from_source"] for one in found["strategies"]}
    mixed, bought = left["winter green manure"], left["bought compost"]
    together = sum(mixed[name]["best"] for name in ("garden compost", "rye and vetch: tops", "rye and vetch: roots"))
    assert together == pytest.approx(bought["garden compost"]["best"], rel=1e-5)
