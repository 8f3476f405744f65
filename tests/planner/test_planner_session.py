"""Unsaved work outlives a killed process; files are overwritten only on purpose; nothing leaves the folder."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from somsim.errors import InputError
from somsim.plan import parse_plan, read_plan
from somsim.planner.folder import ChangedOnDisk, Folder
from somsim.planner.journal import journal_path
from somsim.planner.session import Session, new_plan, open_plan

HILLSIDE = (Path(__file__).parent.parent.parent / "configs" / "hillside.yaml").read_text(encoding="utf-8")
DEPTH = ("strategies", "bought compost", 0, "spread", "depth")
CUT = ("strategies", "winter green manure", 0, "cover", "cut")


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    home = tmp_path / "plans"
    home.mkdir()
    (home / "hillside.yaml").write_text(HILLSIDE, encoding="utf-8")
    return Folder(home)


@contextmanager
def opened(folder: Folder, name: str = "hillside.yaml") -> Iterator[Session]:
    session = open_plan(folder, name)
    try:
        yield session
    finally:
        session.close()


def test_saving_keeps_the_comments_and_leaves_no_journal(folder: Folder) -> None:
    with opened(folder) as session:
        session.put(DEPTH, "8 mm")
        assert session.unsaved
        session.save()
        assert not session.unsaved
    text = (folder.root / "hillside.yaml").read_text(encoding="utf-8")
    assert text == HILLSIDE.replace("depth: 5 mm", "depth: 8 mm")
    assert [one.name for one in folder.root.iterdir()] == ["hillside.yaml"]


def test_what_a_killed_process_left_is_taken_up_again(folder: Folder) -> None:
    program = (
        "import os, signal, sys; from pathlib import Path\n"
        "from somsim.planner.folder import Folder; from somsim.planner.session import open_plan\n"
        "session = open_plan(Folder(Path(sys.argv[1])), 'hillside.yaml')\n"
        f"session.put({DEPTH!r}, '8 mm'); session.append({CUT!r}, '28 Apr')\n"
        f"session.put({DEPTH!r}, '9 mm'); session.put({DEPTH!r}, '10 mm'); session.undo()\n"
        "os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    ended = subprocess.run([sys.executable, "-c", program, str(folder.root)], check=False, timeout=120)
    assert ended.returncode == -9
    assert (folder.root / "hillside.yaml").read_text(encoding="utf-8") == HILLSIDE
    with opened(folder) as session:
        assert session.resumed
        assert session.draft.says(DEPTH) == "9 mm"
        assert session.draft.says(CUT) == ["20 Apr", "28 Apr"]
        session.redo()
        assert session.draft.says(DEPTH) == "10 mm"
        for _ in range(4):
            session.undo()
        assert session.draft.text == HILLSIDE


def test_a_line_that_was_cut_short_is_left_out_and_all_before_it_holds(folder: Folder) -> None:
    with opened(folder) as session:
        session.put(DEPTH, "8 mm")
        session.put(DEPTH, "9 mm")
    journal = journal_path(folder.root / "hillside.yaml")
    journal.write_bytes(journal.read_bytes()[:-7])
    with opened(folder) as session:
        assert session.draft.says(DEPTH) == "8 mm"
        session.put(DEPTH, "12 mm")
    with opened(folder) as session:
        assert session.draft.says(DEPTH) == "12 mm"


@pytest.mark.parametrize(
    "spoilt", ["", "no json\n", "[]\n", '{"somsim": 99}\n', '{"somsim":1,"text":5,"digest":null}\n']
)
def test_a_spoilt_journal_is_no_journal(folder: Folder, spoilt: str) -> None:
    journal_path(folder.root / "hillside.yaml").write_text(spoilt, encoding="utf-8")
    with opened(folder) as session:
        assert not session.resumed
        assert session.draft.text == HILLSIDE


def test_one_planner_at_a_time_works_on_a_plan(folder: Folder) -> None:
    with opened(folder), pytest.raises(InputError, match="another planner is open on this plan"):
        open_plan(folder, "hillside.yaml")
    with opened(folder):
        pass


def test_a_plan_that_changed_on_disk_is_not_overwritten_without_asking(folder: Folder) -> None:
    file = folder.root / "hillside.yaml"
    with opened(folder) as session:
        session.put(DEPTH, "8 mm")
        theirs = HILLSIDE.replace("12 years", "15 years")
        file.write_text(theirs, encoding="utf-8")
        assert session.changed_on_disk
        with pytest.raises(ChangedOnDisk, match="was changed on disk"):
            session.save()
        assert file.read_text(encoding="utf-8") == theirs
        session.save("mine.yaml")
        assert read_plan(folder.root / "mine.yaml").horizon.text == "12 years"
    with opened(folder) as session:
        session.put(DEPTH, "8 mm")
        file.write_text(HILLSIDE, encoding="utf-8")
        session.save(over=True)
        assert file.read_text(encoding="utf-8") == theirs.replace("depth: 5 mm", "depth: 8 mm")


def test_another_file_is_not_overwritten_without_asking(folder: Folder) -> None:
    (folder.root / "other.yaml").write_text("title: other\n", encoding="utf-8")
    with opened(folder) as session:
        with pytest.raises(ChangedOnDisk, match="is there already"):
            session.save("other.yaml")
        assert session.name == "hillside.yaml"
        session.save("other.yaml", over=True)
        assert session.name == "other.yaml"
    assert (folder.root / "other.yaml").read_text(encoding="utf-8") == HILLSIDE


def test_the_file_can_be_taken_as_it_is_now(folder: Folder) -> None:
    with opened(folder) as session:
        session.put(DEPTH, "8 mm")
        (folder.root / "hillside.yaml").write_text(HILLSIDE.replace("12 years", "15 years"), encoding="utf-8")
        session.load_anew()
        assert session.draft.says(("horizon",)) == "15 years"
        assert not session.unsaved and not session.changed_on_disk


def test_a_new_plan_has_no_file_until_it_is_saved(folder: Folder) -> None:
    session = new_plan(folder, HILLSIDE, "hillside.yaml")
    assert session.name == "hillside-2.yaml"
    assert session.unsaved
    assert not (folder.root / "hillside-2.yaml").exists()
    session.save()
    session.close()
    assert (folder.root / "hillside-2.yaml").read_text(encoding="utf-8") == HILLSIDE


@pytest.mark.parametrize(
    "name",
    [
        *("../x.yaml", "/etc/passwd.yaml", "a/../../x.yaml", "~/x.yaml", ".hidden.yaml", "x.txt", "", "link.yaml"),
        *("in/x.yaml", "x" * 300 + ".yaml", "..\\x.yaml", "a\nb.yaml", "a\x00b.yaml"),
    ],
)
def test_no_name_leads_out_of_the_folder(folder: Folder, name: str) -> None:
    secret = folder.root.parent / "secret.yaml"
    secret.write_text(HILLSIDE, encoding="utf-8")
    (folder.root / "link.yaml").symlink_to(secret)
    (folder.root / "in").symlink_to(folder.root.parent)
    with pytest.raises(InputError):
        folder.read(name)
    with pytest.raises(InputError):
        folder.write(name, "title: x\n", None)
    assert secret.read_text(encoding="utf-8") == HILLSIDE
    assert folder.plans() == ("hillside.yaml",)


@pytest.mark.parametrize("named", ["../secret.csv", "/etc/hostname", "link.csv"])
def test_a_plan_names_no_file_outside_the_folder(folder: Folder, named: str) -> None:
    (folder.root.parent / "secret.csv").write_text("year,month\n", encoding="utf-8")
    (folder.root / "link.csv").symlink_to(folder.root.parent / "secret.csv")
    with opened(folder) as session:
        session.write(HILLSIDE.replace("climate: south-east-england", f"climate: {{series: {named}, latitude: 51 N}}"))
        (mistake,) = session.check().mistakes
        assert mistake.path == ("site", "climate", "series")
        assert "leads out of the folder" in mistake.words
        session.load_anew()


def test_mistakes_stand_at_their_field_in_the_words_of_check(folder: Folder) -> None:
    with opened(folder) as session:
        session.put(CUT, ["20 Apr", "2 Apr"])
        session.put(("site", "soil", "depth"), "20")
        with pytest.raises(InputError) as told:
            parse_plan(session.draft.text)
        found = session.check()
        assert {one.words for one in found.mistakes} == {one.message for one in told.value.problems}
        assert [one.path for one in found.mistakes] == [("site", "soil", "depth"), (*CUT, 1)]
        session.undo()
        session.undo()
        assert session.check().mistakes == ()
        assert session.check().plan == parse_plan(HILLSIDE)


def test_a_text_that_cannot_be_read_is_told_and_can_be_mended(folder: Folder) -> None:
    with opened(folder) as session:
        session.write(HILLSIDE.replace("cut: 20 Apr,", "cut: [20 Apr,"))
        assert not session.draft.readable
        assert session.check().plan is None and len(session.check().mistakes) == 1
        session.undo()
        assert session.check().plan is not None


def test_two_pages_do_not_lose_each_others_changes(folder: Folder) -> None:
    told = []
    with opened(folder) as session:
        session.watchers.append(lambda: told.append(session.draft.revision))
        session.put(DEPTH, "8 mm", was="5 mm")
        session.put(("horizon",), "15 years", was="12 years")
        with pytest.raises(InputError, match="changed on another page"):
            session.put(DEPTH, "9 mm", was="5 mm")
        with pytest.raises(InputError, match="changed on another page"):
            session.write("title: mine\n", was=0)
        assert (session.draft.says(DEPTH), session.draft.says(("horizon",))) == ("8 mm", "15 years")
    assert told == [1, 2]


def test_a_mark_at_the_beginning_and_rights_of_the_file_are_kept(folder: Folder) -> None:
    file = folder.root / "hillside.yaml"
    file.write_bytes(b"\xef\xbb\xbf" + HILLSIDE.encode())
    file.chmod(0o640)
    with opened(folder) as session:
        session.put(DEPTH, "8 mm")
        session.save()
    assert file.read_bytes().startswith(b"\xef\xbb\xbf# Six")
    assert os.stat(file).st_mode & 0o777 == 0o640
