"""Small changes to a plan: each turns one text into another by replacing one stretch of it, and leaves the rest.

Comments, order and layout stay as the grower typed them.  Whatever is changed, the text that comes out is read again
and has to say exactly what was meant; where it would not (a plan written in an unusual way), the change is refused.
"""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from somsim.errors import InputError, Problem
from somsim.planner.spans import Node, Path, Spans, plain, spans_of

_PLAIN = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9 ./%+()_-]*[A-Za-z0-9./%+()_-])?")
LONGEST = 20_000  # characters of one value
LONGEST_NAME = 200  # characters of a strategy's name, as in any plan
Value = str | Sequence[str] | Mapping[str, Any]


@dataclass(frozen=True)
class Splice:
    """At a place of the text, counted in characters, ``old`` stood and ``new`` stands now."""

    at: int
    old: str
    new: str

    def applied(self, text: str) -> str:
        """The text after it; ValueError when something else stands there."""
        if text[self.at : self.at + len(self.old)] != self.old:
            raise ValueError("another text stands there")
        return text[: self.at] + self.new + text[self.at + len(self.old) :]

    @property
    def undone(self) -> Splice:
        """What takes it back."""
        return Splice(self.at, self.new, self.old)


def words(text: str) -> str:
    """One value as it is written into a plan, in quotes where it needs them.

    >>> words("5 mm"), words("it's: <b>"), words("no # comment")
    ('5 mm', "'it''s: <b>'", "'no # comment'")
    """
    line = re.sub(r"[\r\n\u0085\u2028\u2029]+", " ", text).strip()
    if _PLAIN.fullmatch(line):
        return line
    if any(not character.isprintable() for character in line):
        return json.dumps(line, ensure_ascii=False)
    return "'" + line.replace("'", "''") + "'"


def written(value: Any) -> str:
    """Words, a list or a mapping on one line.

    >>> written({"spread": {"material": "straw", "on": "1 May"}})
    '{spread: {material: straw, on: 1 May}}'
    """
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{words(str(key))}: {written(one)}" for key, one in value.items()) + "}"
    if isinstance(value, str):
        return words(value)
    return "[" + ", ".join(written(one) for one in value) + "]"


def refused(message: str, hint: str | None = None) -> InputError:
    """A change that cannot be."""
    return InputError([Problem(message, hint=hint)], "nothing was changed.")


def put(text: str, spans: Spans, path: Path, value: Value, was: str | None = None) -> Splice:
    """Write a value at a path: over the one there, or as a new key of what is there; an empty one takes the key away.

    Parameters
    ----------
    text, spans : the plan's text and its parts
    path : where, such as ("site", "soil", "depth")
    value : str, or a list or mapping; "" takes the key out of the plan
    was : what stood there when it was shown; another value there by now is not overwritten

    Raises
    ------
    InputError
        when something else stands there by now, or there is no such place.
    """
    if isinstance(value, str) and len(value) > LONGEST:
        raise refused(f"{len(value):,} characters are too many for one value", f"at most {LONGEST:,}")
    node, parent = spans.at(path), spans.at(path[:-1])
    stands = None if node is None else node.value
    if was is not None and (stands or "") != was:
        said = f'"{stands}"' if stands else "nothing"
        raise refused(f"this was changed on another page meanwhile: {said} stands there now", "look at it, then change")
    if parent is None:
        raise refused(f"there is no {path[-2] if len(path) > 1 else 'plan'} any more", "it was taken away meanwhile")
    if value == "":
        return take_out(text, spans, path) if node is not None else Splice(0, "", "")
    if node is None:
        return _add_key(text, parent, str(path[-1]), written(value))
    blank = " " if node.start == node.end and text[node.start - 1 : node.start] == ":" else ""
    return Splice(node.start, text[node.start : node.end], blank + written(value))


def simple(node: Node | None, value: Value) -> bool:
    """Whether a value takes the place of another so plainly that the new text need not be read again."""
    return (
        node is not None
        and node.value is not None
        and node.end > node.start
        and isinstance(value, str)
        and len(value) < 200
        and _PLAIN.fullmatch(value) is not None
        and value == value.strip()
    )


def _line_end(text: str, at: int) -> int:
    found = re.compile(r"\r?\n|\r").search(text, at)
    return len(text) if found is None else found.start()


def _line_start(text: str, at: int) -> int:
    return max(text.rfind("\n", 0, at), text.rfind("\r", 0, at)) + 1


def _break(text: str) -> str:
    found = re.search(r"\r\n|\n|\r", text)
    return "\n" if found is None else found[0]


def _column(text: str, at: int) -> int:
    return at - _line_start(text, at)


def _after(text: str, node: Node, line: str) -> Splice:
    """A line of its own below a part of the text, with what is commented on that part's last line left to it."""
    return Splice(_line_end(text, node.end), "", _break(text) + line)


def _add_key(text: str, parent: Node, key: str, value: str) -> Splice:
    if parent.keys is None:
        raise refused(f"{key} can't be added here: this is written as words", "change it in the text of the plan")
    entry = f"{words(key)}: {value}"
    if parent.flow:
        last = max((below.end for _, below in parent.keys.values()), default=parent.start + 1)
        return Splice(last, "", f", {entry}" if parent.keys else entry)
    first = min(one.start for one, _ in parent.keys.values())
    return _after(text, parent, " " * _column(text, first) + entry)


def append(text: str, spans: Spans, path: Path, value: Any) -> Splice:
    """Add something to the end of a list: an action to a strategy, a cut to a cover (a single one becomes a list)."""
    node = spans.at(path)
    if node is None:
        parent = spans.at(path[:-1])
        if parent is None:
            raise refused("what this was to be added to is gone", "it was taken away meanwhile")
        return _add_key(text, parent, str(path[-1]), written([value]))
    if node.value is not None and node.start == node.end:
        key_column = _column(text, _key_start(spans, path))
        line = " " * (key_column + 2) + f"- {_action(value)}"
        return Splice(_line_end(text, node.end), "", _break(text) + line)
    if node.items is None:
        return Splice(node.start, text[node.start : node.end], f"[{text[node.start : node.end]}, {written(value)}]")
    if node.flow:
        last = max((one.end for one in node.items), default=node.start + 1)
        return Splice(last, "", f", {written(value)}" if node.items else written(value))
    return _after(text, node, " " * _column(text, node.start) + f"- {_action(value)}")


def _action(value: Any) -> str:
    """An action as a grower writes it, without the outer brackets."""
    return written(value)[1:-1] if isinstance(value, Mapping) and len(value) == 1 else written(value)


def _key_start(spans: Spans, path: Path) -> int:
    parent = spans.at(path[:-1])
    if parent is None or parent.keys is None:
        raise refused("what this was to be added to is gone", "it was taken away meanwhile")
    return parent.keys[str(path[-1])][0].start


def take_out(text: str, spans: Spans, path: Path) -> Splice:
    """Take a key, an action or a strategy out, with the comment on its own lines."""
    node, parent = spans.at(path), spans.at(path[:-1])
    if node is None or parent is None:
        raise refused("this is gone already", "it was taken away on another page")
    start = _key_start(spans, path) if parent.keys is not None else node.start
    if parent.flow:
        return _out_of_brackets(text, parent, start, node.end)
    line = _line_start(text, start)
    before = text[line:start].strip()
    if before not in ("", "-") or (before == "-" and parent.keys is not None):
        raise refused("this can't be taken out here, because of how it is written", "change it in the text of the plan")
    return _lines_out(text, line, _line_end(text, node.end))


def _lines_out(text: str, begin: int, end: int) -> Splice:
    following = re.compile(r"\r\n|\n|\r").match(text, end)
    if following is not None:
        return Splice(begin, text[begin : following.end()], "")
    earlier = re.search(r"(\r\n|\n|\r)$", text[:begin])
    return Splice(earlier.start() if earlier else begin, text[earlier.start() if earlier else begin : end], "")


def _out_of_brackets(text: str, parent: Node, start: int, end: int) -> Splice:
    behind = re.compile(r"\s*,\s*").match(text, end)
    if behind is not None:
        return Splice(start, text[start : behind.end()], "")
    ahead = re.search(r"\s*,\s*$", text[parent.start : start])
    begin = parent.start + ahead.start() if ahead is not None else start
    return Splice(begin, text[begin:end], "")


def rename(text: str, spans: Spans, path: Path, name: str) -> Splice:
    """Give a strategy another name."""
    parent = spans.at(path[:-1])
    if parent is None or parent.keys is None or path[-1] not in parent.keys:
        raise refused(f'there is no "{path[-1]}" any more', "it was renamed or taken away on another page")
    _new_name(parent, name)
    key = parent.keys[str(path[-1])][0]
    return Splice(key.start, text[key.start : key.end], words(name))


def _new_name(parent: Node, name: str) -> None:
    if not name.strip():
        raise refused("a strategy needs a name", "for example: bought compost")
    if len(name) > LONGEST_NAME:
        raise refused(f"{len(name):,} characters are too many for a name", f"at most {LONGEST_NAME}")
    if parent.keys is not None and name.strip() in parent.keys:
        raise refused(f'there is a "{name.strip()}" already', "choose another name")


def copy_of(text: str, spans: Spans, path: Path, name: str) -> Splice:
    """Write a strategy a second time below itself, under another name, comments and all."""
    node, parent = spans.at(path), spans.at(path[:-1])
    if node is None or parent is None or parent.keys is None:
        raise refused(f'there is no "{path[-1]}" any more', "it was renamed or taken away on another page")
    _new_name(parent, name)
    key = parent.keys[str(path[-1])][0]
    if parent.flow:
        return Splice(node.end, "", f", {words(name)}{text[key.end : node.end]}")
    end = _line_end(text, node.end)
    body = text[_line_start(text, key.start) : key.start] + words(name) + text[key.end : end]
    return Splice(end, "", _break(text) + body)


def add_strategy(text: str, spans: Spans, name: str, action: Mapping[str, Any]) -> Splice:
    """Add a strategy with one action."""
    parent = spans.at(("strategies",))
    if parent is None or parent.keys is None or not parent.keys:
        raise refused("the plan has no strategies to add one to", "change it in the text of the plan")
    _new_name(parent, name)
    if parent.flow:
        return Splice(parent.end - 1, "", f", {words(name)}: {written([action])}")
    first = min(one.start for one, _ in parent.keys.values())
    indent = " " * _column(text, first)
    return _after(text, parent, f"{indent}{words(name)}:{_break(text)}{indent}  - {_action(action)}")


def expected(tree: Any, path: Path, change: Any) -> Any:
    """A copy of what a plan says, with ``change`` done to the holder of a path."""
    made = copy.deepcopy(tree)
    holder = made
    for step in path[:-1]:
        holder = holder[step]
    change(holder, path[-1])
    return made


def read_again(text: str, name: str, meant: Any) -> Spans:
    """The parts of a changed text, which has to say what was meant.

    Raises
    ------
    InputError
        when it does not.
    """
    try:
        spans = spans_of(text, name)
    except InputError as error:
        raise refused(error.problems[0].message, error.problems[0].hint) from None
    if meant is not None and plain(spans.top) != meant:
        raise refused("this plan is written in a way that can't be changed here", "change it in the text of the plan")
    return spans
