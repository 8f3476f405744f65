"""A folder of results is replaced whole or not at all, whatever kills the writer."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from somsim.errors import InputError
from somsim.report.folder import MARKER, write_folder

OLD = {"a.txt": b"old", "gone.txt": b"old"}
NEW = {"a.txt": b"new", "b.txt": b"new"}
KILLED = """
import os, shutil, signal, sys
from pathlib import Path
from somsim.report import folder
stop, seen = int(sys.argv[2]), 0
def watched(function):
    def call(*arguments, **named):
        global seen
        if seen == stop:
            os.kill(os.getpid(), signal.SIGKILL)
        seen += 1
        return function(*arguments, **named)
    return call
os.rename, os.fsync, os.unlink = watched(os.rename), watched(os.fsync), watched(os.unlink)
os.mkdir, os.rmdir = watched(os.mkdir), watched(os.rmdir)
folder.write_folder(Path(sys.argv[1]), {"a.txt": b"new", "b.txt": b"new"})
"""


def there(folder: Path) -> dict[str, bytes]:
    return {item.name: item.read_bytes() for item in folder.iterdir() if item.name != MARKER}


def refused(folder: Path, **files: bytes) -> str:
    with pytest.raises(InputError) as caught:
        write_folder(folder, {name.replace("_", "."): content for name, content in files.items()} or NEW)
    text = str(caught.value)
    assert text.endswith("1 mistake; nothing was saved.")
    return text


def test_a_folder_is_made_and_replaced(tmp_path: Path) -> None:
    folder = tmp_path / "results" / "hillside"
    assert write_folder(folder, OLD) == folder
    assert there(folder) == OLD
    write_folder(folder, {**NEW, "c.txt": lambda path: path.write_text("c") and None})
    assert there(folder) == {**NEW, "c.txt": b"c"}  # gone.txt of the old result is gone
    assert sorted(item.name for item in folder.parent.iterdir()) == ["hillside"]
    assert json.loads((folder / MARKER).read_text())["files"] == ["a.txt", "b.txt", "c.txt"]


@pytest.mark.skipif(sys.platform == "win32", reason="SIGKILL")
def test_a_kill_at_any_step_leaves_one_whole_result_and_is_repaired(tmp_path: Path) -> None:
    outcomes = []
    for stop in range(40):
        folder = tmp_path / str(stop) / "results"
        write_folder(folder, OLD)
        done = subprocess.run([sys.executable, "-c", KILLED, str(folder), str(stop)], check=False).returncode
        if done == 0:
            break
        assert done == -signal.SIGKILL
        whole = folder if folder.is_dir() else folder.with_name("results.previous")
        assert there(whole) in (OLD, NEW)
        outcomes.append((there(whole) == NEW, folder.is_dir()))
        write_folder(folder, {"c.txt": b"c"})
        assert there(folder) == {"c.txt": b"c"}
        assert [item.name for item in folder.parent.iterdir()] == ["results"]
    else:
        pytest.fail("the writer was killed at all of its steps")
    # killed before, between and after the two renames
    assert {(False, True), (False, False), (True, True)} <= set(outcomes)


def test_a_kill_between_the_renames_is_repaired_even_when_the_next_write_fails(tmp_path: Path) -> None:
    folder = tmp_path / "results"
    write_folder(folder, OLD)
    os.rename(folder, tmp_path / "results.previous")

    def full(path: Path) -> None:
        raise OSError(28, "No space left on device")

    with pytest.raises(InputError, match="No space left on device"):
        write_folder(folder, {"a.txt": full})
    assert there(folder) == OLD
    assert [item.name for item in tmp_path.iterdir()] == ["results"]


@pytest.mark.skipif(sys.platform == "win32", reason="resource limits")
def test_a_disk_that_takes_no_more_leaves_the_earlier_result(tmp_path: Path) -> None:
    folder = tmp_path / "results"
    write_folder(folder, OLD)
    code = (
        "import resource, sys; from pathlib import Path; from somsim.report.folder import write_folder\n"
        "resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))\n"
        "write_folder(Path(sys.argv[1]), {'a.txt': b'x' * 5000})"
    )
    done = subprocess.run([sys.executable, "-c", code, str(folder)], check=False, capture_output=True, text=True)
    assert done.returncode == 1 and "results can't be written" in done.stderr and "too large" in done.stderr.lower()
    assert there(folder) == OLD
    assert [item.name for item in tmp_path.iterdir()] == ["results"]


def test_any_other_failure_leaves_the_earlier_result(tmp_path: Path) -> None:
    folder = tmp_path / "results"
    write_folder(folder, OLD)

    def wrong(path: Path) -> None:
        path.write_bytes(b"half")
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_folder(folder, {"a.txt": wrong})
    assert there(folder) == OLD
    assert [item.name for item in tmp_path.iterdir()] == ["results"]


def test_a_second_writer_is_refused(tmp_path: Path) -> None:
    folder = tmp_path / "results"
    said = []

    def again(path: Path) -> None:
        said.append(refused(folder))
        path.write_bytes(b"first")

    write_folder(folder, {"a.txt": again})
    assert "another somsim is writing results" in said[0] and "wait" in said[0]
    assert there(folder) == {"a.txt": b"first"}
    write_folder(folder, NEW)  # the lock has gone
    assert there(folder) == NEW


def test_what_somsim_did_not_write_is_left_alone(tmp_path: Path) -> None:
    folder = tmp_path / "photos"
    folder.mkdir()
    (folder / "bed.jpg").write_bytes(b"mine")
    assert "did not write" in refused(folder)
    assert there(folder) == {"bed.jpg": b"mine"}
    (folder / MARKER).write_text("not ours")
    assert "did not write" in refused(folder)
    assert [item.name for item in tmp_path.iterdir()] == ["photos"]


def test_an_empty_folder_is_used(tmp_path: Path) -> None:
    (tmp_path / "results").mkdir()
    write_folder(tmp_path / "results", NEW)
    assert there(tmp_path / "results") == NEW


def test_strange_folders_beside_are_not_deleted(tmp_path: Path) -> None:
    mine = tmp_path / "results.previous"
    mine.mkdir()
    (mine / "bed.jpg").write_bytes(b"mine")
    other = tmp_path / "results.writing-1"
    other.mkdir()
    (other / "bed.jpg").write_bytes(b"mine")
    assert "in the way" in refused(tmp_path / "results")
    assert there(mine) == there(other) == {"bed.jpg": b"mine"}


def test_a_persons_files_among_results_come_along(tmp_path: Path) -> None:
    folder = tmp_path / "results"
    write_folder(folder, OLD)
    (folder / "notes.txt").write_bytes(b"mine")
    (folder / "photos").mkdir()
    (folder / "photos" / "bed.jpg").write_bytes(b"mine")
    write_folder(folder, NEW)
    assert (folder / "notes.txt").read_bytes() == (folder / "photos" / "bed.jpg").read_bytes() == b"mine"
    assert not (folder / "gone.txt").exists()
    assert "notes.txt" in refused(folder, notes_txt=b"ours")
    assert (folder / "notes.txt").read_bytes() == b"mine"


def test_a_file_in_the_way_is_said(tmp_path: Path) -> None:
    (tmp_path / "results").write_bytes(b"mine")
    assert "is a file" in refused(tmp_path / "results")
    assert "can't be written" in refused(tmp_path / "results" / "below")
    assert (tmp_path / "results").read_bytes() == b"mine"


def test_a_link_to_a_folder_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "far").mkdir()
    (tmp_path / "results").symlink_to(tmp_path / "far")
    write_folder(tmp_path / "results", NEW)
    assert (tmp_path / "results").is_symlink() and there(tmp_path / "far") == NEW


@pytest.mark.parametrize("name", ["../a.txt", "a/b.txt", MARKER, ""])
def test_names_are_plain(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="plain names"):
        write_folder(tmp_path / "results", {name: b""})
