"""The other commands: what they print, what they refuse, and how they end."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path

import pytest
from command_line import CONFIGS, CommandLine

from somsim.version import VERSION

COMMANDS = {
    "compare": ("--out", "--draws", "--seed", "--engine", "--units", "--json"),
    "project": ("--strategy", "--draws", "--seed", "--engine", "--units", "--json"),
    "season": ("--strategy", "--year", "--ahead", "--out", "--draws", "--seed", "--units", "--json"),
    "check": ("--explain", "--units", "--json"),
    "new": ("--from",),
    "library": ("--json",),
}


@pytest.fixture
def somsim(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> CommandLine:
    return CommandLine(monkeypatch, capsys, tmp_path)


def test_the_version_is_told(somsim: CommandLine) -> None:
    assert somsim("--version").out == f"somsim {VERSION}\n"


@pytest.mark.parametrize("help_option", ["--help", "-h"])
def test_help_names_every_command(somsim: CommandLine, help_option: str) -> None:
    ended = somsim(help_option)
    assert ended.code == 0
    assert all(f" {name} " in ended.out for name in COMMANDS)


@pytest.mark.parametrize("command", COMMANDS)
def test_help_of_a_command_names_its_options(somsim: CommandLine, command: str) -> None:
    ended = somsim(command, "--help")
    assert ended.code == 0
    assert set(re.findall(r"(--[a-z-]+)", ended.out)) >= {*COMMANDS[command], "--help"}


ODD = [
    ["weigh"],
    ["compare"],
    ["compare", ""],
    ["compare", "."],
    ["compare", "none.yaml"],
    ["compare", "none\n.yaml"],
    ["compare", "none\udcff.yaml"],
    ["compare", "plan.yaml", "again.yaml"],
    ["compare", "plan.yaml", "--draws", "1"],
    ["compare", "plan.yaml", "--draws", "65537"],
    ["compare", "plan.yaml", "--draws", "many"],
    ["compare", "plan.yaml", "--seed", "-1"],
    ["compare", "plan.yaml", "--engine", "steam"],
    ["compare", "plan.yaml", "--units", "imperial"],
    ["compare", "plan.yaml", "--unknown"],
    ["project", "plan.yaml"],
    ["project", "plan.yaml", "--strategy", "compots"],
    ["project", "plan.yaml", "--strategy", ""],
    ["check", "none.yaml"],
    ["check", "."],
    ["check", "/dev/null"],
    ["new"],
    ["new", ""],
    ["new", "."],
    ["new", "plan.yaml"],
    ["new", "none/a.yaml"],
    ["new", "plan.yaml/a.yaml"],
    ["new", "a.yaml", "--from", "hilside"],
    ["new", "a.yaml", "--from", "../configs/hillside"],
    ["library", "matrials"],
    ["library", "materials", "gardn compost"],
    ["library", "materials", "[bold]"],
    ["library", "materials", "garden compost", "more"],
]


@pytest.mark.parametrize("words", ODD, ids=lambda words: " ".join(words)[:40].encode("ascii", "replace").decode())
def test_what_cannot_be_is_told_on_the_other_stream_and_nothing_is_written(
    somsim: CommandLine, words: list[str]
) -> None:
    ended = somsim(*words)
    assert ended.code == 2
    assert ended.out == ""
    assert ended.err.strip()
    assert "Traceback" not in ended.err
    assert somsim.files() == ["plan.yaml"]


def test_without_a_command_the_help_is_shown(somsim: CommandLine) -> None:
    ended = somsim()
    assert ended.code == 2
    assert "Usage: " in ended.out


def test_what_the_system_refuses_has_failed(somsim: CommandLine) -> None:
    ended = somsim("new", "a" * 300 + ".yaml")
    assert (ended.code, ended.out) == (1, "")
    assert ended.err.endswith(": File name too long\n")
    assert somsim.files() == ["plan.yaml"]


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_a_file_that_may_not_be_read_is_told(somsim: CommandLine) -> None:
    somsim.plan.chmod(0)
    ended = somsim("check", "plan.yaml")
    assert ended.code == 2
    assert "plan.yaml" in ended.err


def test_the_nearest_names_are_told(somsim: CommandLine) -> None:
    assert "nearest: materials" in somsim("library", "matrials").err
    assert "nearest: garden compost" in somsim("library", "materials", "gardn compost").err
    assert "nearest: compost" in somsim("project", "plan.yaml", "--strategy", "compots").err
    assert "nearest: hillside" in somsim("new", "a.yaml", "--from", "hilside").err
    assert '--strategy with one of: "compost", "rye"' in somsim("project", "plan.yaml").err


def test_check_says_that_the_plan_holds(somsim: CommandLine) -> None:
    ended = somsim("check", "plan.yaml")
    assert (ended.code, ended.err) == (0, "")
    assert ended.out == "Two beds: the plan holds. 2 strategies, 1 March 2027 to 1 March 2029, 24 m2 of bed.\n"


def test_check_explains_dates_amounts_and_sources(somsim: CommandLine) -> None:
    out = somsim("check", "plan.yaml", "--explain").out
    assert re.search(r"2027-05-01 +garden compost, left on surface", out)
    assert "climate factor: jan" in out
    assert "from memory" in out and "your plan" in out
    told = json.loads(somsim("check", "plan.yaml", "--json").out)
    assert told["bed_area"] == pytest.approx(24.0)


def test_project_goes_year_by_year(somsim: CommandLine) -> None:
    ended = somsim("project", "plan.yaml", "--strategy", "rye", "--draws", "8")
    assert (ended.code, ended.err) == (0, "")
    assert [line.split()[0] for line in ended.out.splitlines() if re.search(r"\d{4}-\d\d-\d\d", line)] == [
        "start", "1", "2",
    ]  # fmt: skip
    told = json.loads(somsim("project", "plan.yaml", "--strategy", "rye", "--draws", "8", "--json").out)
    assert [year["year"] for year in told["years"]] == [0, 1, 2]
    assert somsim.files() == ["plan.yaml"]


def test_the_library_is_shown_by_table_and_row(somsim: CommandLine) -> None:
    assert "materials" in somsim("library").out
    assert "leaf mould" in somsim("library", "materials").out
    row = somsim("library", "materials", "green waste compost")
    assert (row.code, row.err) == (0, "")
    assert row.out.startswith("garden compost (compost)")
    assert json.loads(somsim("library", "--json").out)["crops"]
    assert json.loads(somsim("library", "covers", "rye and vetch", "--json").out)["id"] == "rye_and_vetch"


@pytest.mark.parametrize("name", sorted(path.stem for path in CONFIGS.glob("*.yaml")))
def test_every_demonstration_can_be_started_from_and_holds(somsim: CommandLine, name: str) -> None:
    assert somsim("new", "mine.yaml", "--from", name).code == 0
    assert (somsim.folder / "mine.yaml").read_bytes() == (CONFIGS / f"{name}.yaml").read_bytes()
    ended = somsim("check", "mine.yaml")
    assert (ended.code, ended.err) == (0, "")
    assert "the plan holds" in ended.out


def test_new_never_writes_over_a_file(somsim: CommandLine) -> None:
    before = somsim.plan.read_bytes()
    ended = somsim("new", "plan.yaml")
    assert (ended.code, ended.out) == (2, "")
    assert "plan.yaml is there already" in ended.err
    assert somsim.plan.read_bytes() == before
