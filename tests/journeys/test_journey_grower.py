"""A grower at a keyboard: the installed command, an empty folder, and what stands there afterwards."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest
import xarray

import somsim

COMMAND = Path(sys.executable).with_name("somsim")
CONFIGS = Path(__file__).parent.parent.parent / "configs"


def typed(folder: Path, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [COMMAND, *words],
        cwd=folder,
        env={**os.environ, "COLUMNS": "80"},
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=180,
    )


def cells(text: str, label: str) -> list[float]:
    """The middle figures in a row of the printed table."""
    row = next(line for line in text.splitlines() if line.startswith(label))
    return [float(word) for word in row[24:].split()]


def test_a_new_plan_is_changed_checked_and_compared(tmp_path: Path) -> None:
    begun = typed(tmp_path, "new", "mine.yaml")
    assert (begun.returncode, begun.stderr) == (0, "")
    plan = tmp_path / "mine.yaml"
    text = plan.read_text(encoding="utf-8")
    assert text.count("depth: 4 mm") == 1
    plan.write_text(text.replace("depth: 4 mm", "depth: 6 mm"), encoding="utf-8")
    assert "the plan holds" in typed(tmp_path, "check", "mine.yaml").stdout

    answer = typed(tmp_path, "compare", "mine.yaml", "--draws", "32")
    assert (answer.returncode, answer.stderr) == (0, "")
    assert "6.0 mm a year of garden compost" in " ".join(answer.stdout.split())
    results = tmp_path / "results" / "mine"
    assert " ".join(answer.stdout.split()).endswith("results/mine")
    assert "depth: 6 mm" in (results / "plan.yaml").read_text(encoding="utf-8")

    summary = pd.read_csv(results / "summary.csv")
    printed = cells(answer.stdout, "the same, kg/m2")
    written = summary[summary.quantity == "organic matter in the layer"].p50.tolist()
    assert printed == pytest.approx(written, abs=0.051)  # one decimal is printed
    with xarray.open_dataset(results / "results.nc", engine="h5netcdf") as data:
        assert data.sizes["strategy"] == len(printed)
        assert data.sizes["draw"] == 32
    for name in ("organic-matter", "carbon", "equivalence"):
        assert (results / f"{name}.png").read_bytes().startswith(b"\x89PNG")
        assert "</svg>" in (results / f"{name}.svg").read_text(encoding="utf-8")
    assert not [path.name for path in results.parent.iterdir() if path != results]


def test_a_mistake_is_told_mended_and_runs(tmp_path: Path) -> None:
    assert typed(tmp_path, "new", "mine.yaml").returncode == 0
    plan = tmp_path / "mine.yaml"
    right = plan.read_text(encoding="utf-8")
    plan.write_text(right.replace("cereal rye", "cereal rie").replace("4 mm", "4"), encoding="utf-8")
    wrong = typed(tmp_path, "check", "mine.yaml")
    assert (wrong.returncode, wrong.stdout) == (2, "")
    assert wrong.stderr.endswith("2 mistakes; nothing was run.\n")
    place = re.search(r"^mine\.yaml:(\d+):(\d+)\n.*\n.*cereal rie.*\n  nearest: ([^,;]+)", wrong.stderr, re.M)
    assert place is not None
    lines = plan.read_text(encoding="utf-8").splitlines()
    assert lines[int(place[1]) - 1][int(place[2]) - 1 :].startswith("cereal rie")
    mended = "\n".join(lines).replace("cereal rie", place[3]).replace("depth: 4,", "depth: 4 mm,")
    plan.write_text(mended, encoding="utf-8")
    year_by_year = typed(tmp_path, "project", "mine.yaml", "--strategy", "rye in winter", "--draws", "8")
    assert (year_by_year.returncode, year_by_year.stderr) == (0, "")
    assert "2037-03-01" in year_by_year.stdout


def test_too_much_compost_is_the_first_thing_said(tmp_path: Path) -> None:
    assert typed(tmp_path, "new", "deep.yaml", "--from", "hillside-deep-compost").returncode == 0
    answer = typed(tmp_path, "compare", "deep.yaml", "--draws", "16", "--out", "here")
    assert answer.returncode == 0
    paragraphs = answer.stdout.split("\n")
    blank = next(number for number, line in enumerate(paragraphs) if not line.strip())
    assert paragraphs[blank + 1].startswith('OVER A LIMIT: "deep compost" spreads')
    assert "250 kg/ha" in " ".join(answer.stdout.split())
    assert (tmp_path / "here" / "summary.csv").exists()
    assert not (tmp_path / "results").exists()


def test_the_same_from_python(tmp_path: Path) -> None:
    answer = somsim.compare(somsim.read_plan(CONFIGS / "starter.yaml"), draws=16)
    folder = answer.save(tmp_path / "mine")
    written = pd.read_csv(folder / "summary.csv")
    assert written.quantity.tolist() == answer.table.quantity.tolist()
    assert written.p50.tolist() == pytest.approx(answer.table.p50.tolist(), rel=1e-5)  # six digits are written
    assert list(answer.dataset.strategy.values) == ["compost every spring", "rye in winter"]
    assert answer.chart().to_dict()["$schema"]
    typed_answer = typed(tmp_path, "compare", str(CONFIGS / "starter.yaml"), "--draws", "16", "--out", "typed")
    assert typed_answer.returncode == 0
    assert (tmp_path / "typed" / "summary.csv").read_bytes() == (folder / "summary.csv").read_bytes()
