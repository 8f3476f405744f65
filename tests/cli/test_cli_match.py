"""`somsim match` from the command line: what it prints, what it refuses, and how it ends."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from command_line import CommandLine

PAIR = ("--cover", "rye", "--compost", "compost", "--draws", "4")


@pytest.fixture
def somsim(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> CommandLine:
    return CommandLine(monkeypatch, capsys, tmp_path)


def words(text: str) -> str:
    return " ".join(text.split())


def test_help_names_every_option(somsim: CommandLine) -> None:
    ended = somsim("match", "--help")
    assert ended.code == 0
    options = {"--cover", "--compost", "--by", "--plant", "--draws", "--seed", "--units", "--json"}
    assert set(re.findall(r"(--[a-z]+)", ended.out)) >= options


@pytest.mark.parametrize(
    ("by", "said"),
    [
        ("crops", "crops ("),
        ("cuts", "of each crop, every further cut smaller than the one before"),
        ("years", "of the cover as it is grown, from the first year on"),
        ("area", "m2 ("),
    ],
)
def test_that_it_cannot_be_is_an_answer(somsim: CommandLine, by: str, said: str) -> None:
    ended = somsim("match", "plan.yaml", *PAIR, "--by", by)
    assert (ended.code, ended.err) == (0, "")
    text = words(ended.out)
    assert said in text
    assert "NOT POSSIBLE: " in text
    assert "The other way: the cereal rye as it is grown equals" in text
    assert "The nearest thing that can: the cereal rye as it is grown and, beside it," in text
    assert "by volume not measured (press the cut into a bucket and give pressed_volume)" in text


def test_a_little_compost_can_be_matched(somsim: CommandLine) -> None:
    text = somsim.plan.read_text(encoding="utf-8").replace("4 mm", "0.2 mm")
    somsim.plan.write_text(text, encoding="utf-8")
    said = words(somsim("match", "plan.yaml", *PAIR).out)
    assert "1 crop is enough, and that fits. Put into the plan and run, it is enough" in said
    assert "The nearest thing" not in said


def test_machines_get_the_same_in_base_units(somsim: CommandLine) -> None:
    found = json.loads(somsim("match", "plan.yaml", *PAIR, "--json").out)
    assert found["number"]["possible"] is False
    assert found["number"]["fits"] == 1
    assert found["compost"]["yearly"]["best"] == pytest.approx(0.004)
    assert found["compost_equal_to_the_cover"]["error_when_run"] < 1e-6
    assert found["compost_beside_the_cover"]["yearly"]["unit"] == "m a year"


def test_american_units(somsim: CommandLine) -> None:
    text = words(somsim("match", "plan.yaml", *PAIR, "--by", "area", "--units", "us").out)
    assert '"compost" spreads 0.16 in of garden compost a year' in text
    assert "lb C/ft2" in text
    assert re.search(r"To leave as much takes \d+ ft2", text)
    assert "m2" not in text.replace("NOT POSSIBLE: there are 24 m2 of beds", "")


@pytest.mark.parametrize(
    "asked",
    [
        [],
        ["--cover", "rye"],
        ["--cover", "rye", "--compost", "rye"],
        ["--cover", "compost", "--compost", "compost"],
        ["--cover", "ry", "--compost", "compost"],
        ["--cover", "rye", "--compost", "compost", "--by", "months"],
        ["--cover", "rye", "--compost", "compost", "--plant", "clover"],
        ["--cover", "rye", "--compost", "compost", "--draws", "1"],
    ],
    ids=lambda asked: " ".join(asked) or "nothing",
)
def test_what_cannot_be_is_told_on_the_other_stream(somsim: CommandLine, asked: list[str]) -> None:
    ended = somsim("match", "plan.yaml", *asked)
    assert (ended.code, ended.out) == (2, "")
    assert ended.err
    assert "Traceback" not in ended.err
    assert somsim.files() == ["plan.yaml"]
