"""Adding to a record: two writers, a killed one, a full disk. What was acknowledged is there, once."""

import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest
from gardens import CUT, SOWN, garden, line, text_of

from somsim.errors import InputError
from somsim.record import append, read_record
from somsim.record.writing import LONGEST_WAIT

BEDS = garden()
DUG = line("2027-03-01", "dug")

# A writer that is killed again and again at a random moment: it says each number on a pipe once the line is
# acknowledged, so whatever was said must be in the file, once.
KILLED = """
import os, random, signal, sys, time
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from gardens import garden
from somsim.record import append, read_record
beds, path, kills = garden(), Path(sys.argv[2]), int(sys.argv[3])
append(path, [{"date": "2027-03-01", "what": "worked", "hours": "1 h", "remark": "begin"}], beds)
chance = random.Random(7)
said = []
for kill in range(kills):
    out, into = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(out)
        for turn in range(10**6):
            mark = f"{kill}-{turn} " + "x" * chance.randrange(150)
            append(path, [{"date": "2027-03-01", "what": "worked", "hours": "1 h", "remark": mark}], beds)
            os.write(into, (mark.split()[0] + "\\n").encode())
    os.close(into)
    time.sleep(chance.random() * 0.02)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    with os.fdopen(out) as heard:
        said += [word for word in heard.read().split()]
    if path.read_text().count("\\n") > 150:  # checking grows with the file: begin again with what is there checked
        marks = [event.remark.split()[0] for event in read_record(path, beds).events]
        assert len(marks) == len(set(marks)), "a line is there twice"
        missing = set(said) - set(marks)
        assert not missing, f"acknowledged and lost: {missing}"
        said.clear()
        path.unlink()
        append(path, [{"date": "2027-03-01", "what": "worked", "hours": "1 h", "remark": "begin"}], beds)
append(path, [{"date": "2027-03-01", "what": "worked", "hours": "1 h", "remark": "last"}], beds)
marks = [event.remark.split()[0] for event in read_record(path, beds).events]
assert len(marks) == len(set(marks)), "a line is there twice"
assert set(said) <= set(marks), "acknowledged and lost"
print("kept", kills)
"""


def _killed(folder: Path, kills: int) -> str:
    command = [sys.executable, "-c", KILLED, str(Path(__file__).parent), str(folder / "r.csv"), str(kills)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system has no fork")
def test_twenty_five_kills_lose_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    assert _killed(tmp_path, 25) == "kept 25\n"


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="this system has no fork")
def test_a_thousand_kills_lose_nothing_that_was_acknowledged(tmp_path: Path) -> None:
    assert _killed(tmp_path, 1000) == "kept 1000\n"


def test_lines_are_numbered_and_read_back(tmp_path: Path) -> None:
    path = tmp_path / "beds.record.csv"
    assert [event.line for event in append(path, [SOWN, CUT], BEDS)] == [1, 2]
    assert [event.line for event in append(path, [DUG], BEDS)] == [3]
    assert path.read_text() == text_of(SOWN, CUT, DUG)


def test_two_writers_lose_nothing_and_number_no_line_twice(tmp_path: Path) -> None:
    path = tmp_path / "beds.record.csv"
    rows = [line("2027-03-01", "worked", hours="1 h", remark=f"turn {turn}") for turn in range(24)]
    with ThreadPoolExecutor(2) as both:
        made = [event for events in both.map(lambda row: append(path, [row], BEDS), rows) for event in events]
    assert sorted(event.line for event in made) == list(range(1, 25))
    assert {event.remark for event in read_record(path, BEDS).events} == {row["remark"] for row in rows}


@pytest.mark.parametrize("cut_at", [1, 40, -2, -1])
def test_a_line_that_a_killed_writer_left_half_written_is_taken_away(tmp_path: Path, cut_at: int) -> None:
    path = tmp_path / "beds.record.csv"
    append(path, [SOWN, CUT], BEDS)
    whole = path.read_bytes()
    further = text_of(SOWN, CUT, {**DUG, "remark": "half written"}).encode()[len(whole) :]
    path.write_bytes(whole + further[:cut_at])
    append(path, [DUG], BEDS)
    expected = text_of(SOWN, CUT, DUG) if cut_at != -1 else None
    if expected is not None:
        assert path.read_text() == expected
    else:  # all but its line break was there: whole, and kept
        assert [event.line for event in read_record(path, BEDS).events] == [1, 2, 3, 4]


def test_a_mistake_adds_nothing(tmp_path: Path) -> None:
    path = tmp_path / "beds.record.csv"
    append(path, [SOWN], BEDS)
    before = path.read_bytes()
    with pytest.raises(InputError, match="nothing was saved"):
        append(path, [DUG, line("2027-03-01", "dig")], BEDS)
    assert path.read_bytes() == before


def test_a_column_that_an_older_file_lacks_is_named(tmp_path: Path) -> None:
    path = tmp_path / "beds.record.csv"
    path.write_text("date,beds,what,name,line\n2026-10-07,,sown,rye and vetch,1\n")
    assert append(path, [DUG], BEDS)[0].line == 2
    with pytest.raises(InputError, match="has no column hours"):
        append(path, [{**DUG, "hours": "1 h"}], BEDS)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
def test_a_full_disk_is_told_and_nothing_is_added(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "beds.record.csv"
    append(path, [SOWN], BEDS)
    before = path.read_bytes()
    real = os.write

    def half(file: int, block: bytes) -> int:  # a disk that takes some bytes and is full then
        if block.startswith(b"2027"):
            return real(file, block[:9])
        with open("/dev/full", "wb", buffering=0) as full:
            return full.write(block)

    monkeypatch.setattr(os, "write", half)
    with pytest.raises(InputError, match="can't be written: No space left on device"):
        append(path, [DUG], BEDS)
    monkeypatch.undo()
    assert path.read_bytes() == before


def test_a_writer_that_does_not_finish_is_waited_for_only_so_long(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fcntl = pytest.importorskip("fcntl")
    path = tmp_path / "beds.record.csv"
    append(path, [SOWN], BEDS)
    assert LONGEST_WAIT > 1.0
    monkeypatch.setattr("somsim.record.writing.LONGEST_WAIT", 0.1)
    with path.open("rb") as other:
        fcntl.flock(other, fcntl.LOCK_EX)
        with pytest.raises(InputError, match="another somsim is writing"):
            append(path, [DUG], BEDS)


def test_a_folder_that_cannot_be_written_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(InputError, match="can't be written"):
        append(tmp_path / "file" / "beds.record.csv", [SOWN], BEDS)
