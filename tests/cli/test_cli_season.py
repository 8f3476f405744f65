"""`somsim season`: what it prints and writes, with and without a browser to print with."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from browser import program
from command_line import CommandLine

from somsim.report import pdf

FILES = ["orders.csv", "season.html", "season.ics", "tasks.csv", "weeks.csv"]


@pytest.fixture
def somsim(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> CommandLine:
    return CommandLine(monkeypatch, capsys, tmp_path)


@pytest.fixture
def no_browser(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pdf, "NAMES", ("no-such-browser",))


@pytest.mark.usefixtures("no_browser")
def test_a_year_is_printed_and_written(somsim: CommandLine, tmp_path: Path) -> None:
    ended = somsim("season", "plan.yaml", "--strategy", "compost", "--year", "2028", "--draws", "4")
    assert (ended.code, ended.err) == (0, "")
    assert "1 March 2028 to 28 February 2029: year 2 of the plan." in ended.out
    assert "Mon 1 May 2028: Spread garden compost with shovel and barrow" in ended.out
    assert "Page, tables and calendar: results/plan-season" in ended.out
    assert "No PDF, because Chromium is not here: open season.html in any browser and print it." in ended.out
    folder = tmp_path / "results" / "plan-season"
    assert sorted(path.name for path in folder.iterdir() if path.name != ".somsim") == FILES


@pytest.mark.usefixtures("no_browser")
def test_machines_get_json_alone(somsim: CommandLine) -> None:
    ended = somsim("season", "plan.yaml", "--strategy", "rye", "--year", "1", "--draws", "4", "--json")
    found = json.loads(ended.out)
    assert found["first_day"] == "2027-03-01"
    ids = [task["id"] for task in found["tasks"]]
    assert ids == ["1-cut-cereal-rye-1", "1-dig-1", "1-sow-cereal-rye-1"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--year", "2035", "--strategy", "rye"), "year 2035 is not in the plan, which goes from 2027-03-01"),
        (("--year", "0", "--strategy", "rye"), "year 0 is not in the plan"),
        (("--strategy", "ray"), 'no strategy "ray" in the plan'),
        ((), "which strategy? the plan has several"),
    ],
)
def test_what_is_not_in_the_plan_is_refused(somsim: CommandLine, words: tuple[str, ...], said: str) -> None:
    ended = somsim("season", "plan.yaml", *words)
    assert (ended.code, ended.out) == (2, "")
    assert said in ended.err
    assert somsim.files() == ["plan.yaml"]


@pytest.mark.browser
@pytest.mark.parametrize(("units", "box"), [("metric", (595, 842)), ("us", (612, 792))])
def test_the_page_is_one_sheet_of_the_right_paper(
    somsim: CommandLine, tmp_path: Path, units: str, box: tuple[int, int]
) -> None:
    """A4 is 210 x 297 mm (ISO 216), Letter 8.5 x 11 in; a point is 1/72 in."""
    program()
    somsim("season", "plan.yaml", "--strategy", "compost", "--year", "1", "--draws", "4", "--units", units)
    made = (tmp_path / "results" / "plan-season" / "season.pdf").read_bytes()
    assert made.startswith(b"%PDF") and len(re.findall(rb"/Type ?/Page\b", made)) == 1
    size = re.search(rb"/MediaBox ?\[0 0 ([0-9.]+) ([0-9.]+)\]", made)
    assert size is not None
    assert (float(size[1]), float(size[2])) == pytest.approx(box, abs=1.0)
