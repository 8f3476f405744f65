"""`somsim settle` from the command line; and that a seed is one answer to the bit, on one and on many threads."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from command_line import ENTRY, PLAN, CommandLine


@pytest.fixture
def somsim(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> CommandLine:
    return CommandLine(monkeypatch, capsys, tmp_path)


def test_help_names_every_option(somsim: CommandLine) -> None:
    ended = somsim("settle", "--help")
    assert ended.code == 0
    options = {"--out", "--points", "--seed", "--units", "--json", "--more"}
    assert set(re.findall(r"(--[a-z-]+)", ended.out)) >= options


def test_it_says_what_to_measure_and_what_decides_and_keeps_it(somsim: CommandLine) -> None:
    ended = somsim("settle", "plan.yaml", "--points", "64")
    assert (ended.code, ended.err) == (0, "")
    for words in ("What to measure next, best first", "have garden compost analysed", "decided by", "alone:"):
        assert words in " ".join(ended.out.split())
    folder = somsim.folder / "results" / "plan-settle"
    assert {"decides.png", "decides.svg", "decides.csv", "measure.csv"} <= {item.name for item in folder.iterdir()}
    told = json.loads(somsim("settle", "plan.yaml", "--points", "64", "--json").out)
    assert told["points"] == 64 and told["measurements"] and told["decided"]


def test_points_that_are_no_power_of_two_are_refused(somsim: CommandLine) -> None:
    ended = somsim("settle", "plan.yaml", "--points", "100")
    assert ended.code == 2
    assert "100 is no power of two; 64 or 128 is" in " ".join(ended.err.replace("│", " ").split())
    assert not (somsim.folder / "results").exists()


def process(folder: Path, threads: str, *words: str) -> bytes:
    names = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
    surroundings = os.environ | dict.fromkeys(names, threads) | {"SOURCE_DATE_EPOCH": "1700000000", "COLUMNS": "80"}
    call = [sys.executable, "-c", ENTRY, *words]
    done = subprocess.run(call, cwd=folder, env=surroundings, stdin=subprocess.DEVNULL, capture_output=True)
    assert done.returncode == 0, done.stderr.decode()
    return done.stdout


def written(folder: Path) -> dict[str, bytes]:
    return {str(item.relative_to(folder)): item.read_bytes() for item in folder.rglob("*") if item.is_file()}


@pytest.mark.parametrize(
    "words", [("compare", "plan.yaml", "--draws", "300"), ("settle", "plan.yaml", "--points", "64")], ids=lambda w: w[0]
)
def test_a_seed_is_one_answer_to_the_bit_on_one_and_on_many_threads(tmp_path: Path, words: tuple[str, ...]) -> None:
    runs = []
    for threads in ("1", "4"):
        folder = tmp_path / threads
        folder.mkdir()
        (folder / "plan.yaml").write_text(PLAN, encoding="utf-8")
        runs.append((process(folder, threads, *words, "--seed", "7", "--json"), written(folder / "results")))
    assert runs[0][0] == runs[1][0]  # JSON
    assert runs[0][1].keys() == runs[1][1].keys()
    differ = [name for name in runs[0][1] if runs[0][1][name] != runs[1][1][name]]
    assert differ == []  # CSV, NetCDF, pictures, and the time of writing that was asked for
    told = {name for name, content in runs[0][1].items() if b"14 November 2023" in content or b"2023-11-14" in content}
    assert told <= {"plan/report.html"}  # the one place that says when it was written
