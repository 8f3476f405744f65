"""Adding lines to a record: locked, checked first, and on the disk before they are acknowledged; none is rewritten."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

from somsim.errors import InputError, Place, Problem
from somsim.plan.model import Plan
from somsim.record.cells import columns, header_of, join, split
from somsim.record.events import Event
from somsim.record.reading import parse_record

NOTHING_SAVED = "nothing was saved."
LONGEST_WAIT = 10.0  # seconds for another writer to finish


def append(path: Path, rows: Sequence[Mapping[str, str]], plan: Plan) -> tuple[Event, ...]:
    """Add lines to a record, all of them or none, and give them their numbers.

    When this returns, the lines are on the disk.  What a killed writer left half-written was never acknowledged and
    is taken away first.

    Parameters
    ----------
    path : Path, made with its columns when it is not there
    rows : for each line, cells by column; ``line`` is given here
    plan : Plan, which the lines are held against, together with all lines before them

    Returns
    -------
    tuple of Event, the lines as they were understood

    Raises
    ------
    InputError
        with every mistake, when another writer does not finish, or when the disk refuses; nothing is added then.
    """
    if not rows:
        raise ValueError("rows: at least one")
    try:
        with _locked(path) as file:
            return _add(file, path, rows, plan)
    except OSError as error:
        said = f"{path} can't be written: {error.strerror or error}"
        raise InputError([Problem(said, hint="what was recorded before is as it was")], NOTHING_SAVED) from error


def _add(file: int, path: Path, rows: Sequence[Mapping[str, str]], plan: Plan) -> tuple[Event, ...]:
    there = _whole_lines(file)
    text = there.decode("utf-8-sig")
    new_file = not text.strip()
    known = text.splitlines() or [join(columns())]
    header = header_of(known[0], str(path))
    _columns_for(rows, header, path)
    last = max(_numbers(known[1:], header, path), default=0)
    made = [
        join({**row, "line": str(number)}.get(column, "") for column in header)
        for number, row in enumerate(rows, start=last + 1)
    ]
    try:
        record = parse_record("\n".join([*known, *made]) + "\n", path, plan)
    except InputError as error:
        raise InputError(error.problems, NOTHING_SAVED) from None
    begin = "" if not there or there.endswith(b"\n") else "\n"
    block = begin + "".join(line + "\n" for line in ([known[0], *made] if new_file else made))
    _write(file, block.encode(), len(there))
    if new_file:
        _settle(path.parent)
    return record.lines[-len(made) :]


def _numbers(lines: Sequence[str], header: Sequence[str], path: Path) -> Iterator[int]:
    at = header.index("line")
    for number, line in enumerate(lines, start=2):
        if line.strip():
            cells = split(line, Place(str(path), number, 1))
            if at < len(cells) and cells[at].isdecimal():
                yield int(cells[at])


def _columns_for(rows: Sequence[Mapping[str, str]], header: Sequence[str], path: Path) -> None:
    lacking = sorted({column for row in rows for column, cell in row.items() if cell and column not in header})
    if lacking:
        said = f"{path} has no column {', '.join(lacking)}"
        hint = f"add it to the first line of the file: {','.join(columns())}"
        raise InputError([Problem(said, hint=hint)], NOTHING_SAVED)


def _whole_lines(file: int) -> bytes:
    """What is in the file; a last line that a killed writer left without its end is cut off.

    A line is whole when it has its line break; a spreadsheet may leave the last one out, and its line is kept when
    it has as many cells as there are columns and ends with its number.
    """
    there = b""
    os.lseek(file, 0, os.SEEK_SET)
    while part := os.read(file, 1 << 20):
        there += part
    if not there or there.endswith(b"\n"):
        return there
    begin = there.rfind(b"\n") + 1
    if begin and _is_whole(there[begin:], there.split(b"\n", 1)[0], there[:begin].count(b"\n")):
        return there
    os.ftruncate(file, begin)
    return there[:begin]


def _is_whole(line: bytes, header: bytes, number: int) -> bool:
    place = Place("", 1, 1)
    try:
        columns_here = [str(cell) for cell in split(header.decode("utf-8-sig").rstrip("\r"), place)]
        cells = split(line.decode(), place)
    except (ValueError, UnicodeDecodeError):
        return False
    at = columns_here.index("line") if "line" in columns_here else -1
    return len(cells) == len(columns_here) and at == len(cells) - 1 and cells[at] == str(number)


def _write(file: int, block: bytes, before: int) -> None:
    """Put a block at the end and onto the disk, or take all of it away again."""
    os.lseek(file, 0, os.SEEK_END)
    try:
        at = 0
        while at < len(block):
            at += os.write(file, block[at:])
        os.fsync(file)
    except OSError:
        os.ftruncate(file, before)
        raise


def _settle(folder: Path) -> None:
    """Put the name of a new file onto the disk."""
    if sys.platform == "win32":
        return
    place = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(place)
    finally:
        os.close(place)


@contextmanager
def _locked(path: Path) -> Iterator[int]:
    """The file, open and ours alone; waits for another writer for a while."""
    path.parent.mkdir(parents=True, exist_ok=True)
    file = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    try:
        until = time.monotonic() + LONGEST_WAIT
        while not _lock(file):
            if time.monotonic() > until:
                said = f"another somsim is writing {path}"
                raise InputError([Problem(said, hint="wait until it is done, and try again")], NOTHING_SAVED)
            time.sleep(0.02)
        yield file
    finally:
        os.close(file)  # the lock goes with it


def _lock(file: int) -> bool:
    try:
        if sys.platform == "win32":
            import msvcrt

            os.lseek(file, 0, os.SEEK_SET)
            msvcrt.locking(file, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except (BlockingIOError, PermissionError):
        return False
    return True
