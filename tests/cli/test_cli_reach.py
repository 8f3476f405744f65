"""`somsim reach` from the command line: what it prints, what it refuses, and how it ends."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from command_line import CommandLine


@pytest.fixture
def somsim(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> CommandLine:
    return CommandLine(monkeypatch, capsys, tmp_path)


def words(text: str) -> str:
    return " ".join(text.split())


def test_help_names_every_option(somsim: CommandLine) -> None:
    ended = somsim("reach", "--help")
    assert ended.code == 0
    options = {"--target", "--by", "--with", "--strategy", "--write", "--draws", "--seed", "--units", "--json"}
    assert set(re.findall(r"(--[a-z-]+)", ended.out)) >= options


def test_an_answer_for_each_strategy_in_sentences(somsim: CommandLine) -> None:
    ended = somsim("reach", "plan.yaml", "--target", "3.2 %", "--by", "2033", "--draws", "4")
    assert (ended.code, ended.err) == (0, "")
    said = words(ended.out)
    assert "to be at 3.2 % by 1 March 2033, 6 years from the start; 4 possible worlds" in said
    assert said.count("3.2 % is reached with") == 2
    assert said.count("in place of what this strategy spreads of it") == 1
    assert said.count("By family of long-run rates: uppsala") >= 2
    assert said.count("As it is planned now it leads to") == 2


def test_that_a_level_cannot_be_reached_is_an_answer(somsim: CommandLine) -> None:
    ended = somsim("reach", "plan.yaml", "--target", "80 %", "--strategy", "rye", "--draws", "4")
    assert ended.code == 0
    said = words(ended.out)
    assert "80 % cannot be reached by then with garden compost: garden compost brings its own ash" in said
    assert "that is the ceiling within the limit" in said


def test_machines_get_the_same_in_base_units(somsim: CommandLine) -> None:
    ended = somsim("reach", "plan.yaml", "--target", "3.2%", "--strategy", "compost", "--draws", "4", "--json")
    (answer,) = json.loads(ended.out)["answers"]
    assert answer["reachable"] is True
    assert answer["to_reach"]["unit"] == "m a year"
    assert 0.0 < answer["to_reach"]["p10"] < answer["to_reach"]["p90"] < 1.0
    assert answer["target"]["unit"] == "percent"
    nitrogen = [one["limit"] for one in answer["limits"] if one["nutrient"] == "nitrogen"]
    assert {"value": 0.025, "unit": "kg/m2 of ground", "months": 12}.items() <= nitrogen[0].items()
    assert [level["years"] for level in answer["today"]] == [10, 30, 100]


def test_a_target_in_mass_and_american_units(somsim: CommandLine) -> None:
    ended = somsim("reach", "plan.yaml", "--target", "1.8 lb/ft2", "--units", "us", "--strategy", "rye", "--draws", "4")
    assert ended.code == 0
    assert re.search(r"1\.8 lb/ft2 is reached with [\d.]+ in a year", words(ended.out))
    assert "lb/acre of nitrogen" in words(ended.out)


def test_the_same_seed_gives_the_same_answer(somsim: CommandLine) -> None:
    ask = ("reach", "plan.yaml", "--target", "3.2 %", "--strategy", "rye", "--draws", "8", "--seed")
    one, again, other = (somsim(*ask, seed).out for seed in ("1", "1", "2"))
    assert one == again != other


def test_the_plan_of_the_answer_is_written_and_runs(somsim: CommandLine) -> None:
    ask = ("reach", "plan.yaml", "--target", "3.2 %", "--strategy", "compost", "--draws", "4")
    assert somsim(*ask, "--write", "answer.yaml").code == 0
    assert somsim("check", "answer.yaml").code == 0
    again = somsim(*ask, "--write", "answer.yaml")
    assert again.code == 2
    assert "answer.yaml is there already" in again.err


@pytest.mark.parametrize(
    "asked",
    [
        [],
        ["--target", "soon"],
        ["--target", "4 %", "--by", "1999"],
        ["--target", "4 %", "--with", "gardn"],
        ["--target", "4 %", "--strategy", "compots"],
        ["--target", "4 %", "--draws", "1"],
        ["--target", "4 %", "--write", "answer.yaml"],
    ],
    ids=lambda asked: " ".join(asked) or "nothing",
)
def test_what_cannot_be_is_told_on_the_other_stream(somsim: CommandLine, asked: list[str]) -> None:
    if "--write" in asked:
        asked = [*asked, "--draws", "2"]
    ended = somsim("reach", "plan.yaml", *asked)
    assert (ended.code, ended.out) == (2, "")
    assert ended.err
    assert "Traceback" not in ended.err
    assert somsim.files() == ["plan.yaml"]
