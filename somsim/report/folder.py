"""Writing a folder of results: all of it or nothing, and never over what somsim did not write.

At every instant one whole result stands under ``<folder>`` or ``<folder>.previous``; a kill in between is repaired by
the next writer.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from somsim.errors import InputError, Problem
from somsim.version import VERSION

MARKER = ".somsim"
SELF_MADE = frozenset({".DS_Store", "Thumbs.db", "desktop.ini"})  # what file managers leave everywhere
Content = bytes | Callable[[Path], None]


def write_folder(folder: Path, files: Mapping[str, Content]) -> Path:
    """Replace a folder of results by a new one, whole or not at all.

    Files that a person put into the old folder are taken along into the new one.

    Parameters
    ----------
    folder : Path
    files : by name, bytes or a function that writes the file at the path it is given

    Returns
    -------
    Path, the real place of the folder

    Raises
    ------
    InputError
        when the folder holds what somsim did not write, when another somsim is writing it, or when the disk refuses.
        What was there before is then still there.
    """
    if not files or any(Path(name).name != name or name in (MARKER, "") for name in files):
        raise ValueError("files: plain names, at least one")
    place = Path(os.path.realpath(folder))
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
        with _alone(place):
            _repair(place)
            _refuse_strangers(place, files)
            _write(place, files)
    except OSError as error:
        raise _error(
            f"results can't be written to {folder}: {error.strerror or error}",
            "earlier results there are as they were; free some room or choose another folder",
        ) from error
    return place


def _error(message: str, hint: str) -> InputError:
    return InputError([Problem(message, hint=hint)], "nothing was saved.")


def _beside(place: Path, ending: str) -> Path:
    return place.with_name(f"{place.name}.{ending}")


@contextmanager
def _alone(place: Path) -> Iterator[None]:
    """Hold the lock of a folder; it goes with the process, however that ends."""
    path = place.with_name(f".{place.name}.lock")
    while True:
        lock = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
        try:
            if not _locked(lock):
                raise _error(
                    f"another somsim is writing results to {place}", "wait until it is done, or choose another folder"
                )
            if _still_there(path, lock):  # not taken away by the writer before us while we waited
                break
        except BaseException:
            os.close(lock)
            raise
        os.close(lock)
    try:
        yield
    finally:
        with suppress(OSError):  # a lock file without a lock does no harm
            os.unlink(path)
        os.close(lock)


def _locked(lock: int) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(lock, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        return False
    return True


def _still_there(path: Path, lock: int) -> bool:
    try:
        return os.path.samestat(os.stat(path), os.fstat(lock))
    except FileNotFoundError:
        return False


def _repair(place: Path) -> None:
    """Put right what a killed writer left; we hold the lock, so nobody is writing now."""
    previous = _beside(place, "previous")
    if _written(previous) is not None:
        if place.is_dir() and any(place.iterdir()):
            _clear(previous)
        else:
            if place.is_dir():
                place.rmdir()
            os.rename(previous, place)
            _settle(place.parent)
    elif previous.is_dir() and not any(previous.iterdir()):
        previous.rmdir()
    pattern = re.compile(re.escape(place.name) + r"\.writing-\d+")
    for left in place.parent.iterdir():
        if pattern.fullmatch(left.name) and left.is_dir() and not left.is_symlink():
            if (left / MARKER).exists():
                _clear(left)
            elif not any(left.iterdir()):
                left.rmdir()


def _clear(folder: Path) -> None:
    """Delete a folder of ours, the marker last: a kill on the way leaves a folder that can still be told for ours."""
    for item in folder.iterdir():
        if item.name != MARKER:
            if item.is_dir() and not item.is_symlink():
                shutil.rmtree(item)
            else:
                item.unlink()
    (folder / MARKER).unlink(missing_ok=True)
    folder.rmdir()


def _written(place: Path) -> frozenset[str] | None:
    """Names of the files that somsim wrote into a folder; None for a folder that is not ours."""
    try:
        said = json.loads((place / MARKER).read_text(encoding="utf-8"))
        return frozenset(str(name) for name in said["files"])
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _refuse_strangers(place: Path, files: Mapping[str, Content]) -> None:
    hint = "choose another folder with --out, or move what is in it"
    if place.exists() and not place.is_dir():
        raise _error(f"{place} is a file, not a folder", "choose another folder with --out")
    for ending in ("previous", f"writing-{os.getpid()}"):
        if os.path.lexists(_beside(place, ending)):
            raise _error(f"{_beside(place, ending)} is in the way and somsim did not write it", "move it elsewhere")
    if not place.is_dir():
        return
    ours = _written(place)
    if ours is None and any(place.iterdir()):
        raise _error(f"{place} holds files that somsim did not write; it is left as it is", hint)
    both = sorted(name for name in files if (place / name).exists() and name not in (ours or ()))
    if both:
        raise _error(f"{place} holds a {both[0]} that somsim did not write; it is left as it is", hint)


def _write(place: Path, files: Mapping[str, Content]) -> None:
    writing, previous = _beside(place, f"writing-{os.getpid()}"), _beside(place, "previous")
    writing.mkdir()
    try:
        said = json.dumps({"somsim": VERSION, "files": sorted(files)}, indent=1, ensure_ascii=False) + "\n"
        _put(writing / MARKER, said.encode())
        for name, content in files.items():
            _put(writing / name, content)
        _take_along(place, writing)
        _settle(writing)
        old = place.is_dir()
        if old:
            os.rename(place, previous)
            _settle(place.parent)
        try:
            os.rename(writing, place)
        except BaseException:
            if old:
                os.rename(previous, place)
            raise
        _settle(place.parent)
    except BaseException:
        with suppress(OSError):
            _clear(writing)
        raise
    if old:
        with suppress(OSError):  # what is left of it goes the next time
            _clear(previous)


def _put(path: Path, content: Content) -> None:
    if isinstance(content, bytes):
        path.write_bytes(content)
    else:
        content(path)
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def _take_along(place: Path, writing: Path) -> None:
    """Copy what a person put into the old folder."""
    ours = _written(place)
    if ours is None:
        return
    for item in place.iterdir():
        if item.name in ours or item.name == MARKER or item.name in SELF_MADE:
            continue
        if item.is_dir() and not item.is_symlink():
            shutil.copytree(item, writing / item.name, symlinks=True)
        else:
            shutil.copy2(item, writing / item.name, follow_symlinks=False)


def _settle(folder: Path) -> None:
    """Have the names in a folder written to disk, where the system can."""
    if sys.platform != "win32":
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
