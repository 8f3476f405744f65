"""Where each part of a plan's text begins and ends, so that one part can be changed and all else stays as typed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from somsim.plan.text import parse_text

Path = tuple[str | int, ...]


@dataclass
class Node:
    """A part of the text: words, a mapping or a list.

    ``start`` and ``end`` are places in the text counted in characters, of what it holds and not of the blanks and
    comments behind it.  ``flow`` is true inside brackets.  ``keys`` and ``items`` hold what is below it.
    """

    start: int
    end: int
    value: str | None = None
    flow: bool = False
    keys: dict[str, tuple[Node, Node]] | None = None
    items: list[Node] | None = None


@dataclass
class Spans:
    """All parts of one text; ``every`` lists them, so that a change can move those behind it."""

    top: Node
    every: list[Node] = field(repr=False)

    def at(self, path: Path) -> Node | None:
        """The part at a path, or None where there is none."""
        node: Node | None = self.top
        for step in path:
            if node is None:
                return None
            if isinstance(step, int):
                node = node.items[step] if node.items is not None and step < len(node.items) else None
            else:
                node = node.keys[step][1] if node.keys is not None and step in node.keys else None
        return node

    def move(self, at: int, by: int) -> None:
        """Take note that the text has grown by so many characters at a place."""
        for node in self.every:
            if node.start >= at:
                node.start += by
            if node.end >= at:
                node.end += by

    def nearest(self, place: int) -> Path:
        """The path of the smallest part that a place lies in, its key counted to it."""
        found: tuple[int, Path] = (1 << 62, ())
        for path, begin, end in _walk(self.top, ()):
            if begin <= place <= end and end - begin <= found[0]:
                found = (end - begin, path)
        return found[1]


def _walk(node: Node, path: Path) -> Iterator[tuple[Path, int, int]]:
    waiting: list[tuple[Node, Path, int]] = [(node, path, node.start)]
    while waiting:
        here, where, begin = waiting.pop()
        yield where, begin, here.end
        for name, (key, below) in (here.keys or {}).items():
            waiting.append((below, (*where, name), key.start))
        for number, below in enumerate(here.items or ()):
            waiting.append((below, (*where, number), below.start))


def spans_of(text: str, name: str = "plan") -> Spans:
    """Find every part of a plan's text.

    Raises
    ------
    InputError
        when the text is no plan at all: it cannot be read as YAML, or uses what plans do not have.

    >>> spans_of("beds: {count: 06}").at(("beds", "count"))
    Node(start=14, end=16, value='06', flow=True, keys=None, items=None)
    """
    parse_text(text, name)
    return _grown(text)


def _grown(text: str) -> Spans:
    from ruamel.yaml import YAML

    every: list[Node] = []
    below: list[Node] = []
    waiting: list[Node | None] = []  # for each open mapping the key that has no value yet
    for event in YAML(typ="safe", pure=True).parse(text):
        kind = type(event).__name__
        if kind in ("MappingEndEvent", "SequenceEndEvent"):
            node = below.pop()
            waiting.pop()
            node.end = event.end_mark.index if node.flow else _last(node)
        elif kind in ("ScalarEvent", "MappingStartEvent", "SequenceStartEvent"):
            node = _made(event, kind, any(one.flow for one in below[-1:]))
            every.append(node)
            _place(node, below, waiting)
            if kind != "ScalarEvent":
                below.append(node)
                waiting.append(None)
    return Spans(every[0], every)


def _made(event: Any, kind: str, inside: bool) -> Node:
    node = Node(event.start_mark.index, event.end_mark.index)
    if kind == "ScalarEvent":
        node.value, node.flow = event.value, inside
    else:
        node.flow = bool(event.flow_style)
        node.keys, node.items = ({}, None) if kind == "MappingStartEvent" else (None, [])
    return node


def _place(node: Node, below: list[Node], waiting: list[Node | None]) -> None:
    if not below:
        return
    parent = below[-1]
    if parent.items is not None:
        parent.items.append(node)
    elif waiting[-1] is None:
        waiting[-1] = node
    else:
        key, waiting[-1] = waiting[-1], None
        if node.value == "" and node.start == node.end:  # nothing was written: the mark is at the next thing
            node.start = node.end = key.end + 1
        if parent.keys is not None:
            parent.keys[key.value or ""] = (key, node)


def _last(node: Node) -> int:
    """Where the last thing in a block ends: the reader's own mark is past the comments behind it."""
    inside = [one.end for one in node.items or ()] + [one.end for _, one in (node.keys or {}).values()]
    return max(inside, default=node.start)


def plain(node: Node) -> Any:
    """What a part says, without its places.

    >>> plain(spans_of("a: {b: [1, 2]}").top)
    {'a': {'b': ['1', '2']}}
    """
    if node.keys is not None:
        return {name: plain(below) for name, (_, below) in node.keys.items()}
    if node.items is not None:
        return [plain(below) for below in node.items]
    return node.value
