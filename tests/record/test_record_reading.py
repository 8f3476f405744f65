"""Reading a record: every mistake by its line, corrections, and what is left when a line is damaged."""

from pathlib import Path

import pytest
from gardens import CLEARED, CUT, PLANTED, SOWN, YEAR, garden, line, record_in, text_of

from somsim.errors import InputError
from somsim.record.events import KINDS, CutDone
from somsim.record.reading import columns_of, parse_record, read_record, record_path

BEDS = garden()


def test_a_year_is_read() -> None:
    record = record_in(BEDS, *YEAR)
    cut = record.events[1]
    assert isinstance(cut, CutDone)
    assert cut.sample is not None
    assert [mass.best for mass in cut.sample.fresh] == [1.3, 1.5, 1.2]
    assert str(record.last) == "2027-09-25"
    assert cut.place.line == 3


def test_a_line_is_corrected_by_a_further_one_and_taken_back_by_another() -> None:
    late = {**CUT, "date": "2027-04-22", "corrects": "2"}
    record = record_in(BEDS, SOWN, CUT, late, line("2027-05-01", "dug"), line("2027-05-02", "withdrawn", corrects="4"))
    assert [(event.line, str(event.date)) for event in record.events] == [(1, "2026-10-07"), (3, "2027-04-22")]
    assert len(record.lines) == 5


WRONG = {
    "no such event": (line("2026-10-07", "sowed", "rye and vetch"), '"sowed" is nothing a record knows'),
    "no event": (line("2026-10-07", ""), "what was done is missing"),
    "no such day": (line("2027-02-30", "dug"), "does not exist"),
    "no year": (line("20 Apr", "dug"), "has no year"),
    "before the plan": (line("2026-09-30", "dug"), "before the first day of the plan"),
    "after the plan": (line("2034-10-01", "dug"), "after the last day of the plan"),
    "no such bed": (line("2026-10-07", "dug", beds="5; 7"), 'no bed "7"'),
    "unknown cover": (line("2026-10-07", "sown", "rye and vech"), 'no cover "rye and vech"'),
    "unknown material": (
        line("2026-10-07", "spread", "gold", then="dug in", depth="1 mm"), 'no material "gold"'
    ),
    "unknown crop": (line("2026-10-07", "planted", "moon"), 'no crop "moon"'),
    "unknown strategy": (line("2026-10-07", "followed", "covr"), 'no strategy "covr"'),
    "column of another kind": ({**SOWN, "depth": "5 mm"}, 'the column depth does not go with "sown"'),
    "no amount": (line("2026-10-07", "spread", "garden compost", then="dug in"), "how much is missing"),
    "two amounts": (
        line("2026-10-07", "spread", "garden compost", then="dug in", depth="5 mm", volume="1 m3"),
        "depth and volume each say how much",
    ),
    "no fate": (line("2026-10-07", "spread", "garden compost", depth="5 mm"), "then is missing"),
    "another fate": (
        line("2026-10-07", "spread", "garden compost", depth="5 mm", then="eaten"), '"eaten" is no choice for then'
    ),
    "decimal comma": (line("2026-10-07", "dug", hours="3,5 h"), "a decimal comma"),
    "hours in a range": (line("2026-10-07", "dug", hours="3 to 4 h"), "is not one number of hours"),
    "money with words": (line("2026-10-07", "dug", cost="about 30"), "is not one sum of money"),
    "sample without area": ({**SOWN, **CUT, "area": ""}, "area is missing"),
    "nothing worked": (line("2026-10-07", "worked", "weeding"), "neither hours nor cost is given"),
    "corrects nothing": (line("2026-10-07", "dug", corrects="9"), "there is no line 9 before this one"),
    "corrects itself": (line("2026-10-07", "dug", corrects="1"), "there is no line 1 before this one"),
    "withdraws nothing": (line("2026-10-07", "withdrawn"), "corrects is missing"),
    "number of a line": (line("2026-10-07", "dug", corrects="two"), "is not the number of a line"),
    "cut and never sown": (CUT, "no rye and vetch was sown there before 2027-04-18"),
    "cleared and never planted": (CLEARED, "no cucumber was planted there before 2027-09-25"),
    "film on that was never off": (line("2026-10-07", "film on"), "no film was taken off there"),
}


@pytest.mark.parametrize("case", list(WRONG))
def test_what_cannot_be_is_told_at_its_line(case: str) -> None:
    wrong, said = WRONG[case]
    with pytest.raises(InputError) as told:
        record_in(BEDS, wrong)
    assert said in str(told.value)
    place = told.value.problems[0].place
    assert place is not None
    assert place.line == 2


def test_sown_twice_without_a_cut_between_is_told() -> None:
    with pytest.raises(InputError, match=r"stands there since 2026-10-07 \(line 1\) and was not cut since"):
        record_in(BEDS, SOWN, {**SOWN, "date": "2027-10-05"})


def test_a_line_corrected_twice_is_told() -> None:
    with pytest.raises(InputError, match="line 1 was corrected by line 2 already"):
        record_in(BEDS, SOWN, {**SOWN, "corrects": "1"}, {**SOWN, "corrects": "1"})


def test_all_mistakes_are_told_at_once() -> None:
    with pytest.raises(InputError) as told:
        record_in(BEDS, line("2027-02-30", "dug"), line("2027-03-01", "dig"), line("2027-03-02", "dug", cost="x"))
    assert [problem.place.line for problem in told.value.problems if problem.place] == [2, 3, 4]


def test_a_damaged_line_is_named_and_the_rest_is_used_only_on_request() -> None:
    rows = text_of(*YEAR).splitlines()
    rows[3] = rows[3][:17]
    text = "\n".join(rows) + "\n"
    with pytest.raises(InputError, match="line is damaged") as told:
        parse_record(text, Path("r.csv"), BEDS)
    assert told.value.problems[0].place is not None
    assert told.value.problems[0].place.line == 4
    rows[4:] = []
    kept = parse_record("\n".join(rows) + "\n", Path("r.csv"), BEDS, skip_damaged=True)
    assert kept.damaged == (4,)
    assert [event.what for event in kept.events] == ["sown", "cut"]


def test_a_line_that_was_deleted_or_doubled_is_noticed() -> None:
    with pytest.raises(InputError, match="this is line 3 of the record, where line 2 belongs"):
        record_in(BEDS, SOWN, {**CUT, "line": "3"})
    with pytest.raises(InputError, match="this is line 1 of the record, where line 2 belongs"):
        record_in(BEDS, SOWN, {**SOWN, "line": "1"})


def test_a_file_that_is_none(tmp_path: Path) -> None:
    cases = {"there is no record": tmp_path / "none.csv", "is a folder": tmp_path}
    latin = tmp_path / "latin.csv"
    latin.write_bytes(b"date,what,line\n2027,\xe4,1\n")
    empty = tmp_path / "empty.csv"
    empty.write_text("")
    for said, path in {**cases, "is not UTF-8 text": latin, "is empty": empty}.items():
        with pytest.raises(InputError, match=said):
            read_record(path, BEDS)


def test_a_spreadsheets_byte_order_mark_and_line_ends_do_no_harm(tmp_path: Path) -> None:
    path = tmp_path / "beds.record.csv"
    path.write_bytes(b"\xef\xbb\xbf" + text_of(SOWN, CUT, PLANTED).replace("\n", "\r\n").encode())
    assert len(read_record(path, BEDS).events) == 3


def test_where_a_record_stands() -> None:
    assert record_path(Path("a/b.yaml")) == Path("a/b.record.csv")


def test_every_kind_says_its_columns() -> None:
    assert all({"date", "hours", "remark"} <= set(columns_of(kind)) for kind in KINDS.values())
