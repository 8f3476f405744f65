"""`somsim calibrate`, `compare --calibrated` and `somsim detect` from the shell."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command_line import PLAN, CommandLine

TESTED = PLAN + "measured:\n  - {date: 2029-02-20, depth: 20 cm, organic_matter: 3.4 %, method: loss on ignition}\n"


@pytest.fixture
def somsim(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> CommandLine:
    made = CommandLine(monkeypatch, capsys, tmp_path)
    (tmp_path / "tested.yaml").write_text(TESTED, encoding="utf-8")
    return made


def test_what_was_expected_found_and_learned(somsim: CommandLine) -> None:
    ended = somsim("calibrate", "tested.yaml", "--strategy", "compost", "--draws", "64")
    assert (ended.code, ended.err) == (0, "")
    said = " ".join(ended.out.split())
    assert "Of 2,048 possible worlds, one soil test leaves the belief of" in said
    assert "20 February 2029, organic matter: 3.40 % found" in said
    assert "The soil at the start (3 %) is taken as exact" in said
    assert "uppsala rates of long-run decay" in said
    found = json.loads(somsim("calibrate", "tested.yaml", "--strategy", "compost", "--draws", "64", "--json").out)
    assert found["tests"][0]["found"] == pytest.approx(0.034)
    assert found["believed"] <= found["worlds"]


def test_the_answer_says_that_it_is_calibrated(somsim: CommandLine, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("somsim.api.Comparison.save", lambda self, folder, *_: Path(folder))
    words = ("compare", "tested.yaml", "--calibrated", "--strategy", "compost", "--draws", "64")
    assert somsim(*words).out.startswith("Calibrated by 1 soil test: the belief of ")


def test_a_test_in_the_record_is_one_in_the_plan(somsim: CommandLine) -> None:
    somsim("record", "plan.yaml", "followed", "compost", "date=2027-03-01")
    somsim(
        "record", "plan.yaml", "tested", "date=2029-02-20", "depth=20 cm", "organic_matter=3.4 %",
        "method=loss on ignition",
    )  # fmt: skip
    found = json.loads(somsim("calibrate", "plan.yaml", "--draws", "64", "--json").out)
    assert (found["strategy"], found["tests"][0]["found"]) == ("compost", pytest.approx(0.034))


def test_whether_a_test_could_see_it(somsim: CommandLine) -> None:
    ended = somsim("detect", "plan.yaml", "--draws", "32")
    assert (ended.code, ended.err) == (0, "")
    assert '"compost" beside "rye"' in ended.out
    assert "How to sample so that two years can be compared" in ended.out
    found = json.loads(somsim("detect", "plan.yaml", "--draws", "32", "--cores", "25", "--tests", "5", "--json").out)
    assert (found["cores"], found["tests"], len(found["pairs"])) == (25, 5, 1)


def test_the_charts(somsim: CommandLine) -> None:
    somsim("calibrate", "tested.yaml", "--strategy", "compost", "--draws", "16", "--out", "a")
    somsim("detect", "plan.yaml", "--draws", "16", "--out", "b")
    for name, words in (("a/before-and-after", "before the tests"), ("b/detectability", "smallest that is seen")):
        assert (somsim.folder / f"{name}.png").read_bytes()[1:4] == b"PNG"
        assert words in (somsim.folder / f"{name}.svg").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("calibrate", "plan.yaml", "--strategy", "rye"), "no soil test is given"),
        (("calibrate", "tested.yaml"), "which strategy?"),
        (("calibrate", "tested.yaml", "--strategy", "ryes"), 'no strategy "ryes"'),
        (("detect", "plan.yaml", "--cores", "3", "--tests", "4"), "--tests 4 is more than --cores 3"),
    ],
)
def test_what_cannot_be(somsim: CommandLine, words: tuple[str, ...], said: str) -> None:
    ended = somsim(*words)
    assert (ended.code, ended.out) == (2, "")
    assert said in ended.err
