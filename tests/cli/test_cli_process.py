"""What only a process of its own shows: pipes that close, Ctrl-C, terminals without our letters."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from command_line import ENTRY, PLAN, process

FOREIGN = PLAN.replace("Two beds", "Zwei Beete für Łucja 🌱").replace("compost:", '"zarūrāt 🌱":', 1)
STOPPED_IN_THE_MIDDLE = """
import os, signal, somsim.study.compare as study
once = study.simulate
def stopped(*arguments, **options):
    os.kill(os.getpid(), signal.SIGINT)
    return once(*arguments, **options)
study.simulate = stopped
"""
STOPPED_WHILE_WRITING = """
import os, signal, somsim.report.save as save
def stopped(study, folder, *how):
    return save.write_folder(folder, {"a.csv": b"new", "b.csv": lambda path: os.kill(os.getpid(), signal.SIGINT)})
save.save = stopped
"""
NOT_STOPPED = """
import somsim.report.save as save
save.save = lambda study, folder, *how: save.write_folder(folder, {"a.csv": b"old"})
"""
ASCII = {"PYTHONIOENCODING": "ascii", "LC_ALL": "C"}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "plan.yaml").write_text(PLAN, encoding="utf-8")
    (tmp_path / "foreign.yaml").write_text(FOREIGN, encoding="utf-8")
    return tmp_path


def left(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.rglob("*") if path.is_file())


@pytest.mark.parametrize("before", [STOPPED_IN_THE_MIDDLE, STOPPED_WHILE_WRITING], ids=["running", "writing"])
def test_ctrl_c_leaves_nothing_behind(folder: Path, before: str) -> None:
    ended = process(folder, "compare", "plan.yaml", "--draws", "4", before=before)
    assert ended.returncode == 130
    assert ended.stdout == b""
    assert ended.stderr == b"stopped; no half-written results are left\n"
    assert left(folder) == ["foreign.yaml", "plan.yaml"]


def test_ctrl_c_while_writing_leaves_the_results_of_before(folder: Path) -> None:
    assert process(folder, "compare", "plan.yaml", "--draws", "4", before=NOT_STOPPED).returncode == 0
    before = {path: path.read_bytes() for path in (folder / "results").rglob("*") if path.is_file()}
    assert before[folder / "results" / "plan" / "a.csv"] == b"old"
    assert process(folder, "compare", "plan.yaml", "--draws", "8", before=STOPPED_WHILE_WRITING).returncode == 130
    assert {path: path.read_bytes() for path in (folder / "results").rglob("*") if path.is_file()} == before


@pytest.mark.parametrize("words", [["library", "--json"], ["library", "cautions"]])
def test_a_pipe_that_closes_is_no_mistake(folder: Path, words: list[str]) -> None:
    """The reader is gone before the first line: what `| head -0` does."""
    wait = "import sys; sys.stdin.read()"  # until the pipe is closed
    with subprocess.Popen(
        [sys.executable, "-c", f"{wait}\n{ENTRY}", *words],
        cwd=folder,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    ) as running:
        assert running.stdin is not None and running.stdout is not None and running.stderr is not None
        running.stdout.close()
        running.stdin.close()
        assert running.stderr.read() == b""
        assert running.wait(60) != 0


@pytest.mark.parametrize(
    "words", [["check", "foreign.yaml", "--explain"], ["project", "foreign.yaml", "--strategy", "rye", "--draws", "4"]]
)
def test_a_terminal_without_our_letters_shows_others(folder: Path, words: list[str]) -> None:
    ended = process(folder, *words, environment=ASCII)
    assert (ended.returncode, ended.stderr) == (0, b"")
    assert "Zwei Beete f?r ?ucja ?" in ended.stdout.decode("ascii")


def test_without_our_letters_json_is_still_whole(folder: Path) -> None:
    ended = process(folder, "check", "foreign.yaml", "--json", environment=ASCII)
    assert json.loads(ended.stdout.decode("ascii"))["title"] == "Zwei Beete für Łucja 🌱"


def test_a_mistake_in_foreign_letters_is_told_without_them(folder: Path) -> None:
    text = FOREIGN.replace("cereal rye", "żyto 🌱")
    (folder / "foreign.yaml").write_text(text, encoding="utf-8")
    ended = process(folder, "check", "foreign.yaml", environment=ASCII)
    assert ended.returncode == 2
    assert b"1 mistake; nothing was run." in ended.stderr


def test_piped_or_told_not_to_there_is_no_colour(folder: Path) -> None:
    ended = process(folder, "library", "materials", "straw", environment={"NO_COLOR": "1", "TERM": "xterm-256color"})
    assert ended.returncode == 0
    assert b"\x1b" not in ended.stdout


def test_nothing_heavy_is_loaded_for_help_and_a_version(folder: Path) -> None:
    """A command that only speaks should not wait for libraries that calculate."""
    watch = (
        "import atexit, sys\n"
        "heavy = {'numpy', 'scipy', 'pandas', 'xarray', 'altair', 'ruamel.yaml'}\n"
        "atexit.register(lambda: print(sorted(heavy & set(sys.modules)), file=sys.stderr))"
    )
    assert process(folder, "--help", before=watch).stderr == b"[]\n"
    assert process(folder, "compare", "--help", before=watch).stderr == b"[]\n"
