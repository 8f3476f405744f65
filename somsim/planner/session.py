"""One plan open in a planner: the draft, its unsaved work, the file it is saved to, and what is wrong with it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from somsim.errors import InputError, Problem
from somsim.plan import Plan, parse_plan
from somsim.plan.text import parse_text
from somsim.planner.changes import Splice, Value
from somsim.planner.draft import Draft
from somsim.planner.folder import Folder, Stored
from somsim.planner.journal import Begun, Journal, journal_path
from somsim.planner.spans import Path

UNNAMED = "my-beds.yaml"


@dataclass(frozen=True)
class Mistake:
    """One mistake of the plan, by the path of the part it stands at; ``words`` are those of `somsim check`."""

    path: Path
    words: str
    hint: str | None

    @property
    def text(self) -> str:
        """All of it in one line."""
        return self.words if self.hint is None else f"{self.words} ({self.hint})"


@dataclass(frozen=True)
class Checked:
    """A draft as `somsim check` sees it: the plan, or everything that is wrong."""

    plan: Plan | None
    mistakes: tuple[Mistake, ...]

    def at(self, path: Path) -> tuple[Mistake, ...]:
        """The mistakes of one part."""
        return tuple(one for one in self.mistakes if one.path == path)


class Session:
    """A plan being thought about, for as many pages as look at it.

    Every change goes to the one draft, by where it belongs and not as a whole text, so that two pages do not lose each
    other's; it is written down in the journal before it is told of.
    """

    def __init__(self, folder: Folder, name: str, stored: Stored | None, text: str) -> None:
        """Open a plan: of a file (``stored``), or a new one that has none yet."""
        self.folder, self.name, self.stored = folder, name, stored
        self.journal = Journal(journal_path(folder.path(name)))
        self.watchers: list[Callable[[], None]] = []
        found = self.journal.found(name)
        self.resumed = found is not None
        if found is None:
            self.draft = Draft(text, name)
            self._begin()
        else:
            begun, self.draft = found
            self._base = begun
        self._checked: tuple[int, Checked] | None = None

    def _begin(self) -> None:
        self._base = Begun(self.draft.text, None if self.stored is None else self.stored.digest)
        self.journal.begin(self._base)

    @property
    def unsaved(self) -> bool:
        """Whether the draft says other than its file."""
        return self._base.digest is None or self.draft.text != self._base.text

    @property
    def changed_on_disk(self) -> bool:
        """Whether the file is not as it was when this work began."""
        return self.folder.digest(self.name) != self._base.digest

    def _noted(self, splice: Splice | None) -> bool:
        if splice is None:
            return False
        self.journal.note("do", splice)
        self.tell()
        return True

    def put(self, path: Path, value: Value, was: str | None = None) -> bool:
        """Write a value into the plan; see `Draft.put`.  All changes tell whether anything is new."""
        return self._noted(self.draft.put(path, value, was))

    def append(self, path: Path, value: Any) -> bool:
        """Add to a list; see `Draft.append`."""
        return self._noted(self.draft.append(path, value))

    def take_out(self, path: Path) -> bool:
        """Take something out; see `Draft.take_out`."""
        return self._noted(self.draft.take_out(path))

    def rename(self, strategy: str, name: str) -> bool:
        """Rename a strategy; see `Draft.rename`."""
        return self._noted(self.draft.rename(strategy, name))

    def copy(self, strategy: str, name: str) -> bool:
        """Copy a strategy; see `Draft.copy`."""
        return self._noted(self.draft.copy(strategy, name))

    def add_strategy(self, name: str, action: Mapping[str, Any]) -> bool:
        """Add a strategy; see `Draft.add_strategy`."""
        return self._noted(self.draft.add_strategy(name, action))

    def write(self, text: str, was: int | None = None) -> bool:
        """Replace the text; see `Draft.write`."""
        return self._noted(self.draft.write(text, was))

    def undo(self) -> bool:
        """Take the last change back."""
        return self._back("undo", self.draft.undo())

    def redo(self) -> bool:
        """Do it again."""
        return self._back("redo", self.draft.redo())

    def _back(self, kind: Any, splice: Splice | None) -> bool:
        if splice is None:
            return False
        self.journal.note(kind)
        self.tell()
        return True

    def tell(self) -> None:
        """Tell every page that something is new."""
        for watcher in tuple(self.watchers):
            watcher()

    def check(self) -> Checked:
        """Read the draft as `somsim check` does; every mistake with the part it stands at."""
        if self._checked is None or self._checked[0] != self.draft.revision:
            self._checked = self.draft.revision, self._check()
        return self._checked[1]

    def _check(self) -> Checked:
        name = str(self.folder.path(self.name))
        try:
            tree, source = parse_text(self.draft.text, name)
            outside = self.folder.outside(tree)
            if outside:
                raise InputError([source.problem(said, word.place) for word, said in outside])
            return Checked(parse_plan(self.draft.text, name), ())
        except InputError as error:
            return Checked(None, tuple(self._mistake(one) for one in error.problems))

    def _mistake(self, problem: Problem) -> Mistake:
        path: Path = ()
        place = problem.place
        if place is not None and self.draft.readable:
            path = self.draft.spans.nearest(_offset(self.draft.text, place.line, place.column))
        return Mistake(path, problem.message, problem.hint)

    def save(self, name: str | None = None, *, over: bool = False) -> None:
        """Write the plan to its file, or to another one.

        Parameters
        ----------
        name : another file's name; the plan's own when left out
        over : write over what is there, though it is not what this work began from

        Raises
        ------
        ChangedOnDisk
            when the file is not as it was, or there is one of the other name, and ``over`` is not said.
        InputError
            when it can't be written.
        """
        wanted = name or self.name
        elsewhere = self.folder.path(wanted) != self.folder.path(self.name)
        seen = None if elsewhere else self._base.digest
        digest = self.folder.digest(wanted) if over else seen
        journal = Journal(journal_path(self.folder.path(wanted))) if elsewhere else None
        try:
            marked = self.stored is not None and self.stored.marked
            self.stored = self.folder.write(wanted, self.draft.text, digest, marked=marked)
        except InputError:
            if journal is not None:
                journal.close(keep=False)
            raise
        if journal is not None:
            self.journal.close(keep=False)
            self.journal, self.name, self.draft.name = journal, wanted, wanted
            self._checked = None
        self._begin()
        self.resumed = False
        self.tell()

    def load_anew(self) -> None:
        """Give unsaved work up and take the file as it is now.

        Raises
        ------
        InputError
            when it can't be read.
        """
        self.stored = self.folder.read(self.name)
        revision = self.draft.revision
        self.draft = Draft(self.stored.text, self.name)
        self.draft.revision = revision + 1
        self._begin()
        self.resumed = False
        self.tell()

    def close(self) -> None:
        """Let go of the plan; unsaved work stays in its journal."""
        self.journal.close(keep=self.draft.text != self._base.text)


def _offset(text: str, line: int, column: int) -> int:
    """The place of a line and column, from 1, counted in characters."""
    lines = text.splitlines(keepends=True)
    return sum(len(one) for one in lines[: line - 1]) + column - 1


def open_plan(folder: Folder, name: str) -> Session:
    """Open a plan of a folder, with what was left unsaved.

    Raises
    ------
    InputError
        when it can't be read, or another planner works on it.
    """
    stored = folder.read(name)
    return Session(folder, name, stored, stored.text)


def new_plan(folder: Folder, text: str, name: str = UNNAMED) -> Session:
    """Begin a plan that has no file yet, under a name that is free.

    Raises
    ------
    InputError
        when the folder can't be written to.
    """
    stem, number = name.removesuffix(".yaml"), 1
    while folder.path(name).exists():
        number += 1
        name = f"{stem}-{number}.yaml"
    return Session(folder, name, None, text)
