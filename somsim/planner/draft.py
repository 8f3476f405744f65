"""A plan while it is being thought about: its text, what was changed, and back again."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from somsim.errors import InputError
from somsim.planner import changes
from somsim.planner.changes import Splice, Value, expected, read_again, refused
from somsim.planner.spans import Path, Spans, plain, spans_of

Kind = Literal["do", "undo", "redo"]
MOST_TEXT = 1_000_000  # characters: what a plan may be at most


class Draft:
    """A text that is changed in small steps, each of which can be taken back.

    ``revision`` counts the steps.  The text need not be a plan that holds; what is wrong with it is told elsewhere.
    """

    def __init__(self, text: str, name: str = "plan") -> None:
        """Begin with a text; ``name`` is what messages call it."""
        self.text, self.name = text, name
        self.revision = 0
        self.done: list[Splice] = []
        self.undone: list[Splice] = []
        self._spans: Spans | None = None

    @property
    def spans(self) -> Spans:
        """The parts of the text.

        Raises
        ------
        InputError
            when the text cannot be read at all.
        """
        if self._spans is None:
            self._spans = spans_of(self.text, self.name)
        return self._spans

    def says(self, path: Path = ()) -> Any:
        """What the plan says at a path, in words, lists and mappings; None where it says nothing."""
        node = self.spans.at(path)
        return None if node is None else plain(node)

    def put(self, path: Path, value: Value, was: str | None = None) -> Splice | None:
        """Write a value at a path (see `changes.put`); None when it stood there already.

        Raises
        ------
        InputError
            when something else stands there by now, or it cannot be written there.
        """
        spans = self.spans
        node = spans.at(path)
        splice = changes.put(self.text, spans, path, value, was)
        if splice.old == splice.new:
            return None
        if node is not None and isinstance(value, str) and changes.simple(node, value):
            node.value = value
            spans.move(node.start + 1, len(splice.new) - len(splice.old))
            return self._do(splice, spans)
        return self._do(splice, self._meant(splice, path, _setting(value)))

    def append(self, path: Path, value: Any) -> Splice:
        """Add an action to a list of actions, or a cut to a cover.

        Raises
        ------
        InputError
            when the list is not there, or written so that nothing can be added.
        """
        splice = changes.append(self.text, self.spans, path, value)
        return self._do(splice, self._meant(splice, path, _appending(value)))

    def take_out(self, path: Path) -> Splice:
        """Take a strategy, an action, a cut or a key out.

        Raises
        ------
        InputError
            when it is gone already, or written so that it can't be.
        """
        spans = self.spans
        parent = spans.at(path[:-1])
        splice = changes.take_out(self.text, spans, path)
        left = len((parent.keys or parent.items or ()) if parent is not None else ())
        # With its last part gone a list or mapping says nothing at all, which is told as a mistake of the plan.
        meant = None if left == 1 else self._expected(path, lambda holder, key: holder.pop(key))
        return self._do(splice, read_again(splice.applied(self.text), self.name, meant))

    def rename(self, strategy: str, name: str) -> Splice | None:
        """Give a strategy another name; None when it has that name.

        Raises
        ------
        InputError
            when there is no such strategy, or one of the new name is there.
        """
        path: Path = ("strategies", strategy)
        if name.strip() == strategy:
            return None
        splice = changes.rename(self.text, self.spans, path, name)
        tree = self.says()
        named = {name.strip() if old == strategy else old: body for old, body in tree["strategies"].items()}
        return self._do(splice, read_again(splice.applied(self.text), self.name, {**tree, "strategies": named}))

    def copy(self, strategy: str, name: str) -> Splice:
        """Write a strategy a second time under another name, below itself.

        Raises
        ------
        InputError
            when there is no such strategy, or one of the new name is there.
        """
        splice = changes.copy_of(self.text, self.spans, ("strategies", strategy), name)
        tree = self.says()
        body = tree["strategies"][strategy]
        meant = {**tree, "strategies": {**tree["strategies"], name.strip(): body}}
        return self._do(splice, read_again(splice.applied(self.text), self.name, meant))

    def add_strategy(self, name: str, action: Mapping[str, Any]) -> Splice:
        """Add a strategy with one action, below the others.

        Raises
        ------
        InputError
            when one of that name is there.
        """
        splice = changes.add_strategy(self.text, self.spans, name, action)
        tree = self.says()
        meant = {**tree, "strategies": {**tree["strategies"], name.strip(): [action]}}
        return self._do(splice, read_again(splice.applied(self.text), self.name, meant))

    def write(self, text: str, was: int | None = None) -> Splice | None:
        """Put another text in the place of the whole; it need not be a plan that holds.

        Parameters
        ----------
        text : str
        was : the revision that was being looked at; another one by now is not overwritten

        Raises
        ------
        InputError
            when the plan was changed meanwhile, or the text is too long.
        """
        if was is not None and was != self.revision:
            raise refused("the plan was changed on another page meanwhile", "take your text with you, and load it anew")
        if len(text) > MOST_TEXT:
            raise refused(f"{len(text):,} characters are too many for a plan", f"at most {MOST_TEXT:,}")
        splice = difference(self.text, text)
        return None if splice is None else self._do(splice, None)

    def undo(self) -> Splice | None:
        """Take the last change back; None when there is none."""
        if not self.done:
            return None
        splice = self.done.pop()
        self.undone.append(splice)
        self._set(splice.undone.applied(self.text), None)
        return splice

    def redo(self) -> Splice | None:
        """Do again what was taken back last; None when there is none."""
        if not self.undone:
            return None
        splice = self.undone.pop()
        self.done.append(splice)
        self._set(splice.applied(self.text), None)
        return splice

    def replay(self, kind: Kind, splice: Splice | None = None) -> None:
        """Do again what a journal says; ValueError where it does not fit the text."""
        if kind == "undo":
            self.undo()
        elif kind == "redo":
            self.redo()
        elif splice is not None:
            splice.applied(self.text)
            self._do(splice, None)

    def _meant(self, splice: Splice, path: Path, change: Any) -> Spans:
        return read_again(splice.applied(self.text), self.name, self._expected(path, change))

    def _expected(self, path: Path, change: Any) -> Any:
        return expected(self.says(), path, change)

    def _do(self, splice: Splice, spans: Spans | None) -> Splice:
        self.done.append(splice)
        self.undone.clear()
        self._set(splice.applied(self.text), spans)
        return splice

    def _set(self, text: str, spans: Spans | None) -> None:
        self.text, self._spans = text, spans
        self.revision += 1

    @property
    def readable(self) -> bool:
        """Whether the text can be read as YAML at all, so that its parts can be shown."""
        try:
            return self.spans is not None
        except InputError:
            return False


def _setting(value: Value) -> Any:
    said: Any = value
    if isinstance(value, str):
        said = " ".join(value.split("\n")).strip()

    def change(holder: Any, key: Any) -> None:
        if said == "":
            holder.pop(key)
        else:
            holder[key] = said

    return change


def _appending(value: Any) -> Any:
    def change(holder: Any, key: Any) -> None:
        there = holder.get(key) if isinstance(holder, dict) else holder[key]
        holder[key] = [*there, value] if isinstance(there, list) else [value] if not there else [there, value]

    return change


def difference(old: str, new: str) -> Splice | None:
    """The one stretch in which two texts differ; None when they are the same.

    >>> difference("depth: 5 mm", "depth: 15 mm")
    Splice(at=7, old='', new='1')
    """
    if old == new:
        return None
    most = min(len(old), len(new))
    begin = next((n for n in range(most) if old[n] != new[n]), most)
    end = next((n for n in range(most - begin) if old[-1 - n] != new[-1 - n]), most - begin)
    return Splice(begin, old[begin : len(old) - end], new[begin : len(new) - end])
