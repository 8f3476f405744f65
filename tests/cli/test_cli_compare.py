"""`somsim compare`: what it prints is what it found, and what it writes is whole."""

from __future__ import annotations

import json
from pathlib import Path

import pandas as pd
import pytest
from command_line import CommandLine

from somsim.api import compare, read_plan

FILES = {
    "organic-matter.png", "organic-matter.svg", "carbon.png", "carbon.svg",
    "difference.png", "difference.svg", "equivalence.png", "equivalence.svg",
    "summary.csv", "yearly.csv", "hours.csv", "results.nc", "plan.yaml",
}  # fmt: skip


@pytest.fixture
def somsim(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> CommandLine:
    return CommandLine(monkeypatch, capsys, tmp_path)


@pytest.fixture
def unsaved(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave out the charts and files, which other tests look at."""
    monkeypatch.setattr("somsim.api.Comparison.save", lambda self, folder, *how: Path(folder))


def test_it_prints_the_answer_and_writes_a_folder_named_after_the_plan(somsim: CommandLine) -> None:
    ended = somsim("compare", "plan.yaml", "--draws", "16")
    assert (ended.code, ended.err) == (0, "")
    assert ended.out.startswith("Two beds")
    assert "results/plan" in ended.out
    written = {path.name for path in (somsim.folder / "results" / "plan").iterdir()}
    assert written >= FILES
    table = pd.read_csv(somsim.folder / "results" / "plan" / "summary.csv")
    row = table[(table.strategy == "compost") & (table.quantity == "organic matter in the layer")].iloc[0]
    expected = compare(read_plan(somsim.plan), draws=16).study.answers[0].organic_matter
    assert row.p50 == pytest.approx(expected.p50, rel=1e-5)  # six digits are written
    assert "\x1b" not in ended.out


@pytest.mark.usefixtures("unsaved")
def test_json_says_what_the_study_says(somsim: CommandLine) -> None:
    ended = somsim("compare", "plan.yaml", "--draws", "16", "--seed", "3", "--json")
    told = json.loads(ended.out)
    study = compare(read_plan(somsim.plan), draws=16, seed=3).study
    assert ended.err == ""
    assert (told["draws"], told["seed"]) == (16, 3)
    assert [one["organic_matter"]["p50"] for one in told["strategies"]] == [
        answer.organic_matter.p50 for answer in study.answers
    ]
    assert told["pairs"][0]["difference"]["p90"] == study.pairs[0].difference.p90


@pytest.mark.usefixtures("unsaved")
def test_the_other_engine_prints_the_same(somsim: CommandLine) -> None:
    exact, steps = (somsim("compare", "plan.yaml", "--draws", "4", "--engine", name) for name in ("exact", "ivp"))
    assert exact.out == steps.out


@pytest.mark.usefixtures("unsaved")
def test_the_same_seed_prints_the_same_and_another_seed_does_not(somsim: CommandLine) -> None:
    one, again, other = (somsim("compare", "plan.yaml", "--draws", "8", "--seed", seed).out for seed in "112")
    assert one == again
    assert one != other


@pytest.mark.usefixtures("unsaved")
def test_us_units_say_the_same_in_other_units(somsim: CommandLine) -> None:
    ended = somsim("compare", "plan.yaml", "--draws", "8", "--units", "us")
    assert "lb/ft2" in ended.out
    assert "kg" not in ended.out.split("What to watch")[0]


def test_a_folder_that_is_not_ours_is_left_alone(somsim: CommandLine) -> None:
    (somsim.folder / "photos").mkdir()
    (somsim.folder / "photos" / "bed.jpg").write_bytes(b"x")
    before = somsim.files()
    ended = somsim("compare", "plan.yaml", "--draws", "4", "--out", "photos")
    assert (ended.code, ended.out) == (2, "")
    assert "did not write" in ended.err
    assert somsim.files() == before


def test_a_file_in_place_of_the_folder_is_left_alone(somsim: CommandLine) -> None:
    ended = somsim("compare", "plan.yaml", "--draws", "4", "--out", "plan.yaml")
    assert ended.code == 2
    assert "is a file, not a folder" in ended.err
    assert somsim.files() == ["plan.yaml"]


def test_a_mistake_in_the_plan_writes_nothing(somsim: CommandLine) -> None:
    somsim.plan.write_text(somsim.plan.read_text().replace("garden compost", "gardn compost"))
    ended = somsim("compare", "plan.yaml")
    assert (ended.code, ended.out) == (2, "")
    assert "plan.yaml:11:26" in ended.err
    assert "nearest: garden compost" in ended.err
    assert ended.err.endswith("1 mistake; nothing was run.\n")
    assert somsim.files() == ["plan.yaml"]
