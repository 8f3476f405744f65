"""Unsaved work, written down change by change beside the plan: what a crash leaves is taken up again."""

from __future__ import annotations

import fcntl
import json
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Any, get_args

from somsim.errors import InputError, Problem
from somsim.planner.changes import Splice
from somsim.planner.draft import Draft, Kind

VERSION = 1
KINDS: tuple[Kind, ...] = get_args(Kind)


@dataclass(frozen=True)
class Begun:
    """What the work began from: the text, and the digest of the file it was read from (None: of no file)."""

    text: str
    digest: str | None


class Journal:
    """A file that only grows: first what the work began from, then a line for each change.

    While it is open nobody else can open it.  Each line is given to the system at once, so that a process that is
    killed loses nothing; a line cut short by a full disk or a power cut is left out, and all before it holds.
    """

    def __init__(self, path: Path) -> None:
        """Open the journal, and hold it.

        Raises
        ------
        InputError
            when another planner works on this plan.
        """
        self.path = path
        try:
            descriptor = os.open(path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC | os.O_NOFOLLOW, 0o600)
        except OSError as error:
            raise InputError([Problem(f"{path.name} can't be written: {error.strerror}")]) from None
        self._file = os.fdopen(descriptor, "r+", encoding="utf-8", newline="\n")
        try:
            fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            self._file.close()
            hint = "use its page, or stop it first"
            raise InputError([Problem("another planner is open on this plan", hint=hint)]) from None

    def begin(self, begun: Begun) -> None:
        """Start anew: what was written down before is saved, or given up."""
        self._file.seek(0)
        self._file.truncate()
        self._line({"somsim": VERSION, "text": begun.text, "digest": begun.digest})

    def note(self, kind: Kind, splice: Splice | None = None) -> None:
        """Write one change down."""
        line: dict[str, Any] = {"kind": kind}
        if splice is not None and kind == "do":
            line |= {"at": splice.at, "old": splice.old, "new": splice.new}
        self._line(line)

    def _line(self, line: dict[str, Any]) -> None:
        self._file.write(json.dumps(line, ensure_ascii=True, separators=(",", ":")) + "\n")
        self._file.flush()

    def found(self, name: str) -> tuple[Begun, Draft] | None:
        """Take up what an earlier process left; None where it left nothing."""
        self._file.seek(0)
        lines = self._file.read().split("\n")
        begun = _begun(lines[0])
        if begun is None:
            return None
        draft, whole = Draft(begun.text, name), lines[0] + "\n"
        for line in lines[1:-1]:
            try:
                said = json.loads(line)
                kind = said["kind"]
                if kind not in KINDS:
                    break
                draft.replay(kind, Splice(said["at"], said["old"], said["new"]) if kind == "do" else None)
            except (ValueError, KeyError, TypeError):
                break
            whole += line + "\n"
        self._file.seek(0)
        self._file.truncate()
        self._file.write(whole)
        self._file.flush()
        return (begun, draft) if draft.text != begun.text or draft.undone else None

    def close(self, *, keep: bool) -> None:
        """Let go of it; without ``keep`` it is deleted, as nothing in it is unsaved."""
        if not keep:
            self.path.unlink(missing_ok=True)
        self._file.close()


def _begun(line: str) -> Begun | None:
    try:
        said = json.loads(line)
        if said["somsim"] != VERSION or not isinstance(said["text"], str):
            return None
        return Begun(said["text"], said["digest"])
    except (ValueError, KeyError, TypeError):
        return None


def journal_path(plan: Path) -> Path:
    """Where the unsaved work on a plan is written down: a hidden file beside it."""
    return plan.with_name(f".{plan.name}.unsaved")
