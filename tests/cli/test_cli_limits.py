"""A nitrate zone, from the shell: the limit is passed, and the answer says when, by how much and what would do."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from command_line import CONFIGS, CommandLine


@pytest.fixture
def somsim(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> CommandLine:
    monkeypatch.setattr("somsim.api.Comparison.save", lambda self, folder, *how: Path(folder))
    return CommandLine(monkeypatch, capsys, tmp_path)


def test_a_nitrate_zone_limit_is_reached(somsim: CommandLine) -> None:
    ended = somsim("compare", str(CONFIGS / "hillside-deep-compost.yaml"), "--draws", "32")
    text = " ".join(ended.out.split())
    assert ended.code == 0  # passing a limit is an answer
    assert "Nitrogen in all organic manure on any field: 250 kg/ha in any 12 months" in text
    assert re.search(r"deep compost: \d+ \(\d+ to \d+\) kg/ha, OVER IT by \d+ \(\d+ to \d+\)", text)
    assert "first on 20 April 2027" in text
    assert "Largest that would not pass in the middle world: garden compost, 7" in text


def test_the_same_for_machines(somsim: CommandLine) -> None:
    ended = somsim("compare", str(CONFIGS / "hillside-deep-compost.yaml"), "--draws", "32", "--json")
    told = json.loads(ended.out)
    held = next(
        one for one in told["limits"]["loads"] if one["strategy"] == "deep compost" and one["rule"]["days"] == 365
    )
    assert held["passed"] and held["since"] == "2027-04-20"
    assert held["most"]["p50"] > held["rule"]["level"] == pytest.approx(0.025)  # 250 kg/ha
    assert {"nutrients", "benefits", "cautions"} <= set(told)
