"""`somsim record` from the shell: a season in few words, what was intended beside it, and what is refused."""

from __future__ import annotations

import datetime
import json
from pathlib import Path

import pytest
from command_line import CommandLine

from somsim.cli.record import cells_of
from somsim.errors import InputError

SOWN = ("record", "plan.yaml", "sown", "cereal rye", "date=2027-10-10")
CUT = (
    "record", "plan.yaml", "cut", "cereal rye", "date=2028-05-02", "fresh=2.1 kg; 1.9 kg", "area=0.5 m2",
    "dry_matter=18 %", "hours=4 h",
)  # fmt: skip


@pytest.fixture
def somsim(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path) -> CommandLine:
    return CommandLine(monkeypatch, capsys, tmp_path)


def test_a_season_in_few_words(somsim: CommandLine) -> None:
    first = somsim("record", "plan.yaml", "followed", "rye", "date=2027-03-01")
    assert first.out == "line 1: 2027-03-01 followed rye\n"
    assert somsim(*SOWN).out == "line 2: 2027-10-10 sown cereal rye\n"
    cut = somsim(*CUT)
    # what becomes of the cut was not typed: it is the strategy's, and said
    assert cut.out == (
        "line 3: 2028-05-02 cut cereal rye: "
        "hours 4 h, then dug in, fresh 2.1 kg; 1.9 kg, area 0.5 m2, dry matter 18 %\n"
    )
    assert (cut.code, cut.err) == (0, "")
    shown = somsim("record", "plan.yaml")
    assert shown.code == 0
    assert "   3  2028-05-02 cut cereal rye: hours 4 h" in shown.out
    assert "Up to 2 May 2028 as recorded in plan.record.csv (3 lines)" in shown.out
    assert "2028-05-02 cereal rye: hoped 0.33 (" in " ".join(shown.out.split())
    assert "No weight fits both: check the line, or the plan." in " ".join(shown.out.split())


def test_the_answer_starts_from_what_is_recorded_and_says_so(somsim: CommandLine) -> None:
    somsim(*SOWN)
    somsim(*CUT)
    plain, taken = (
        json.loads(somsim("project", "plan.yaml", "--strategy", "rye", "--draws", "16", "--json", *more).out)
        for more in (("--plan-only",), ())
    )
    assert "record" not in plain
    assert taken["record"]["until"] == "2028-05-02"
    assert taken["years"][2]["added"]["p50"] > 1.5 * plain["years"][2]["added"]["p50"]
    told = somsim("project", "plan.yaml", "--strategy", "rye", "--draws", "16", "--as-of", "2027-12-31")
    assert told.out.startswith("Up to 31 December 2027 as recorded in plan.record.csv (1 lines)")
    assert "still stands: taken to be cut on 2028-05-05, as planned" in " ".join(told.out.split())


def test_all_that_was_intended_is_written_down_at_once(somsim: CommandLine) -> None:
    somsim("record", "plan.yaml", "followed", "rye", "date=2027-03-01")
    done = somsim("record", "plan.yaml", "--as-intended-until", "2028-06-01")
    assert done.out.splitlines() == [
        "line 2: 2026-10-12 sown cereal rye",  # it stood already when the plan began
        "line 3: 2027-05-05 cut cereal rye: then dug in",
        "line 4: 2027-10-12 sown cereal rye",
        "line 5: 2028-05-05 cut cereal rye: then dug in",
    ]
    again = somsim("record", "plan.yaml", "--as-intended-until", "2028-06-01")
    assert (again.code, again.out) == (2, "")
    assert '"rye" intends nothing' in again.err


def test_lines_come_from_a_file_all_or_none(somsim: CommandLine) -> None:
    lines = somsim.folder / "more.csv"
    lines.write_text("date,what,name,hours\n2027-10-10,sown,cereal rye,1 h\n2027-11-01,worked,fences,3 h\n")
    assert len(somsim("record", "plan.yaml", "--from", "more.csv").out.splitlines()) == 2
    lines.write_text("date,what,name,hours\n2027-12-01,worked,paths,1 h\n2027-12-32,worked,fences,3 h\n")
    before = (somsim.folder / "plan.record.csv").read_bytes()
    assert somsim("record", "plan.yaml", "--from", "more.csv").code == 2
    assert (somsim.folder / "plan.record.csv").read_bytes() == before


def test_json(somsim: CommandLine) -> None:
    added = json.loads(somsim(*SOWN, "beds=1", "--json").out)
    assert added == [{"line": 1, "date": "2027-10-10", "what": "sown", "name": "cereal rye", "beds": ["1"]}]
    shown = json.loads(somsim("record", "plan.yaml", "--strategy", "rye", "--json").out)
    assert (shown["until"], shown["lines"], len(shown["years"])) == ("2027-10-10", 1, 1)


REFUSED = {
    "nothing recorded": (("record", "plan.yaml"), "nothing is recorded in plan.record.csv"),
    "no column": ((*SOWN, "dpth=3 mm"), 'no column "dpth"'),
    "a column twice": ((*SOWN, "date=2027-10-11"), 'the column "date" is given twice'),
    "too many words": (("record", "plan.yaml", "sown", "cereal", "rye"), "3 words without a column"),
    "no event": (("record", "plan.yaml", "hours=3 h"), "what was done is missing"),
    "two ways at once": ((*SOWN, "--from", "x.csv"), "each say what to add"),
    "no such file": (("record", "plan.yaml", "--from", "x.csv"), "there is no record x.csv"),
    "no such day": (("record", "plan.yaml", "--as-intended-until", "31 Feb 2028"), "does not exist"),
    "which strategy": (("record", "plan.yaml", "--as-intended-until", "2028-03-01"), "which strategy?"),
    "no record to go by": (("project", "plan.yaml", "--as-of", "2028-01-01"), "this plan has no record"),
}


@pytest.mark.parametrize("case", list(REFUSED))
def test_what_cannot_be_is_told_and_nothing_is_written(somsim: CommandLine, case: str) -> None:
    words, said = REFUSED[case]
    ended = somsim(*words)
    assert (ended.code, ended.out) == (2, "")
    assert said in ended.err
    assert not (somsim.folder / "plan.record.csv").exists()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("date,what,name\n", "holds no lines"),
        ("date,wat\n2027-10-10,dug\n", 'has a column "wat"'),
        ("date,what\n2027-10-10,dug,1 h,3\n", "not as many cells"),
    ],
)
def test_a_file_of_lines_that_cannot_be_read(somsim: CommandLine, text: str, said: str) -> None:
    (somsim.folder / "more.csv").write_text(text)
    ended = somsim("record", "plan.yaml", "--from", "more.csv")
    assert ended.code == 2
    assert said in ended.err


def test_a_damaged_line_is_left_out_on_request(somsim: CommandLine) -> None:
    somsim(*SOWN)
    path = somsim.folder / "plan.record.csv"
    path.write_text(path.read_text() + "2027-11-01,,wor\n")
    refused = somsim("record", "plan.yaml", "--strategy", "rye")
    assert refused.code == 2
    assert "plan.record.csv:3:1" in refused.err
    assert "--skip-damaged" in refused.err
    shown = somsim("record", "plan.yaml", "--strategy", "rye", "--skip-damaged")
    assert shown.code == 0
    assert "could not be read and were left out: 3." in " ".join(shown.out.split())


def test_without_a_date_it_is_today() -> None:
    assert cells_of(["dug"], datetime.date(2027, 3, 4)) == {"date": "2027-03-04", "what": "dug"}
    with pytest.raises(InputError, match="no column"):
        cells_of(["dug", "line=3"])
