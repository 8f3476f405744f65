"""`somsim compare --open` and `--pdf`, as somebody types them."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PLAN = ROOT / "configs" / "hillside.yaml"


def run(folder: Path, *words: str, **surroundings: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "somsim.cli.main", "compare", str(PLAN), "--draws", "2", "--out", "out", *words],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), **surroundings},
        capture_output=True,
        text=True,
        check=False,
    )


def test_the_report_is_opened_in_the_browser_that_is_set(tmp_path: Path) -> None:
    browser = tmp_path / "browser"
    browser.write_text(f'#!/bin/sh\necho "$1" > {tmp_path}/opened\n')
    browser.chmod(0o755)
    done = run(tmp_path, "--open", BROWSER=str(browser))
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "opened").read_text().strip() == (tmp_path / "out" / "report.html").as_uri()
    assert "Report, charts, tables and data: out" in done.stdout


def test_without_chromium_all_but_the_pdf_is_there_and_it_says_how_to_get_one(tmp_path: Path) -> None:
    (tmp_path / "nothing").mkdir()
    done = run(tmp_path, "--pdf", PATH=str(tmp_path / "nothing"))
    assert done.returncode == 1
    assert "apt install chromium" in done.stderr and "print it to a file" in done.stderr
    names = {item.name for item in (tmp_path / "out").iterdir()}
    assert "report.html" in names and "report.pdf" not in names


@pytest.mark.browser
def test_a_pdf_is_written_beside_the_report_and_the_day_is_the_stated_one(tmp_path: Path) -> None:
    from browser import program

    program()
    done = run(tmp_path, "--pdf", "--units", "us", SOURCE_DATE_EPOCH="86400")
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "out" / "report.pdf").read_bytes().startswith(b"%PDF-")
    page = (tmp_path / "out" / "report.html").read_text(encoding="utf-8")
    assert "2 January 1970" in page and "lb/ft2" in page
