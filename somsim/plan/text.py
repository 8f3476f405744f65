"""The text of a plan, read into a tree in which every word knows its line and column.

YAML 1.2, of which a plan needs a small part: mappings, lists and words. Every word stays text ("010" is
"010", "no" is "no"); what it means is decided where its meaning is known. The rest of YAML (anchors, tags,
merging, several documents) is refused with its place: a grower reading a plan could not see what it does.
"""

from __future__ import annotations

import re
import stat
import sys
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeAlias

from somsim.errors import InputError, Place, Problem

if TYPE_CHECKING:
    from ruamel.yaml.error import MarkedYAMLError

LARGEST_FILE = 1_000_000  # bytes
DEEPEST = 20  # levels of mappings and lists inside each other
LINE_BREAK = re.compile(r"\r\n|\n|\r")
EMPTY = "nothing is written here"
EMPTY_HINT = "`somsim new FILE` writes a plan to start from"

# The reader's complaint, what it means to someone writing a plan, what would do, and whether to show where
# the unfinished thing began instead of where reading stopped.
SYNTAX: tuple[tuple[str, str, str | None, bool], ...] = (
    (
        r"mapping values are not allowed",
        "a second colon, or a key indented under a value",
        'put quotes round words that hold ": ", or line the key up with its neighbours',
        False,
    ),
    (r"could not find expected ':'", "a key without a colon", "write key: value", True),
    (r"expected ',' or '([\]}])'", "a comma or {0} is missing before this", None, False),
    (r"expected <block end>, but found '([\]}])'", "this {0} closes nothing", None, False),
    (r"found '[\]},]'", "a value is missing before this", None, False),
    (r"found '<document end>'", "the text ends before the plan begins", None, False),
    (r"mapping keys are not allowed", "a ? where no key can stand", "write key: value", False),
    (
        r"expected <block end>, but found '(?:\?|<block mapping start>)'",
        "this is indented otherwise than its neighbours",
        "neighbours begin in the same column",
        False,
    ),
    (r"sequence entries|but found '-'", "a list item where none can stand", "each - has its own line", False),
    (r"expected <block end>", "more words after a value that had ended", "put all of it in quotes", False),
    (r"found unexpected end of stream", "this quote is never closed", None, True),
    (r"found unexpected document separator", "this quote is never closed", None, True),
    (r"found unknown escape|expected escape", "a backslash in double quotes", "use single quotes", False),
    (r"found character '\\t'", "a tab where a value should begin", "use spaces", False),
    (
        r"found character .* cannot start",
        "a value can't begin with this sign",
        "put the value in quotes",
        False,
    ),
    (
        r"expected alphabetic or numeric character",
        "& and * can't begin a value",
        "put the value in quotes",
        True,
    ),
    (r"tag|URI", "a tag, which begins with !; plans have none", "put the value in quotes", True),
    (r"<document start>.*<stream end>", "the text ends before the plan begins", None, False),
    (r"after document end|expected '<document start>'", "more text after the end of the plan", None, False),
    (
        r"chomping|indentation indicator|block scalar",
        "more words after | or >",
        "begin on the next line",
        False,
    ),
    (r"directive|expected a digit|incompatible YAML", "a line that begins with %", "leave it out", True),
)


class Text(str):
    """A word or sentence of the plan, with the place where it begins."""

    place: Place

    def __new__(cls, text: str, place: Place) -> Text:
        """Make the text; a place is always needed."""
        made = super().__new__(cls, text)
        made.place = place
        return made

    def __getnewargs__(self) -> tuple[str, Place]:  # type: ignore[override]  # a copy needs the place too
        """Say what a copy or a pickle is made from."""
        return str(self), self.place


class Record(dict[str, "Tree"]):
    """A mapping of the plan, with the place where it begins and the place of each key."""

    def __init__(self, place: Place) -> None:
        """Start empty at a place."""
        super().__init__()
        self.place = place
        self.key_places: dict[str, Place] = {}


class Items(list["Tree"]):
    """A list of the plan, with the place where it begins."""

    def __init__(self, place: Place) -> None:
        """Start empty at a place."""
        super().__init__()
        self.place = place


Tree: TypeAlias = Text | Record | Items


@dataclass(frozen=True)
class Source:
    """A text as it was typed: the name it is known by and its lines."""

    name: str
    lines: tuple[str, ...]

    def line_at(self, place: Place) -> str:
        """Give the line of a place; empty where the text has ended."""
        return self.lines[place.line - 1] if 1 <= place.line <= len(self.lines) else ""

    def problem(self, message: str, place: Place, hint: str | None = None) -> Problem:
        """Make a problem at a place of this text, with the line as typed."""
        return Problem(message, place, self.line_at(place), hint)


def read_text(path: str | Path) -> tuple[Record, Source]:
    """Read a file into its tree and its lines; raises InputError with everything that is wrong with it."""
    name = str(path)
    data = _bytes_of(Path(path), name)
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise _not_utf8(data, error.start + data.startswith(b"\xef\xbb\xbf") * 3, name) from None
    return parse_text(text, name)


def parse_text(text: str, name: str) -> tuple[Record, Source]:
    """Read a text into its tree and its lines; `name` is what messages call it.

    >>> tree, source = parse_text("beds: {count: 06}", "a plan")
    >>> tree["beds"]["count"], tree["beds"]["count"].place.column
    ('06', 15)
    """
    text = text.removeprefix("\ufeff")
    source = Source(name, tuple(LINE_BREAK.split(text)))
    problems = [*_unprintable(source), *_tabs(source)]
    if problems:
        raise InputError(problems)
    planting = _Planting(source)
    planting.read(text)
    if planting.problems:
        raise InputError(sorted(planting.problems, key=_reading_order))
    top = planting.top
    if top is None or (isinstance(top, Text) and top == ""):
        raise InputError([Problem(EMPTY, Place(name, 1, 1), hint=EMPTY_HINT)])
    if not isinstance(top, Record):
        kind = "a list" if isinstance(top, Items) else "words without a key"
        hint = "a plan begins with keys, such as title: and site:"
        raise InputError([source.problem(f"the plan is {kind}", top.place, hint)])
    return top, source


class _Planting:
    """The tree while it grows, event by event and without recursion, and what was found wrong on the way."""

    def __init__(self, source: Source) -> None:
        self.source = source
        self.problems: list[Problem] = []
        self.top: Tree | None = None
        self.open: list[Record | Items] = []
        self.keys: list[Text | None] = []  # for each open mapping, the key that waits for its value
        self.documents = 0

    def read(self, text: str) -> None:
        from ruamel.yaml import YAML
        from ruamel.yaml.error import MarkedYAMLError

        try:
            for event in YAML(typ="safe", pure=True).parse(text):
                if not self.take(event, type(event).__name__):
                    return
        except MarkedYAMLError as error:
            self.problems.append(self.unclosed(error) or _syntax_problem(error, self.source))
        except (ValueError, OverflowError):  # an escape above the last character there is
            self.problems.append(_impossible_escape(self.source))

    def take(self, event: Any, kind: str) -> bool:
        """Take one event in; False when the rest need not be read."""
        place = Place(self.source.name, event.start_mark.line + 1, event.start_mark.column + 1)
        if kind == "DocumentStartEvent":
            return self.begin(event, place)
        if kind in ("MappingEndEvent", "SequenceEndEvent"):
            self.open.pop()
            self.keys.pop()
        elif kind == "AliasEvent":
            self.refuse(
                f"*{event.anchor} stands for words written elsewhere", place, "write the words out here"
            )
            self.add(Text("", place), place)
        elif kind in ("ScalarEvent", "MappingStartEvent", "SequenceStartEvent"):
            self.refuse_extras(event, place)
            made = Text(event.value, place) if kind == "ScalarEvent" else _container(kind, place)
            self.add(made, place)
            if not isinstance(made, Text):
                self.open.append(made)
                self.keys.append(None)
            if len(self.open) > DEEPEST:
                self.refuse(f"more than {DEEPEST} levels inside each other", place)
                return False
        return True

    def begin(self, event: Any, place: Place) -> bool:
        self.documents += 1
        if self.documents > 1:
            self.refuse("a second document begins here", place, "one file holds one plan; take out the ---")
            return False
        for number, line in enumerate(self.source.lines[: event.start_mark.line], start=1):
            if line.startswith("%") and line.split("#")[0].split() != ["%YAML", "1.2"]:
                self.refuse("a line that begins with %", Place(place.file, number, 1), "leave it out")
        return True

    def unclosed(self, error: MarkedYAMLError) -> Problem | None:
        """Point at the bracket that was open when the text ended."""
        if "<stream end>" not in str(error.problem) or not self.open:
            return None
        closing = "}" if isinstance(self.open[-1], Record) else "]"
        return self.source.problem(
            "this bracket is never closed", self.open[-1].place, f"close it with {closing}"
        )

    def refuse_extras(self, event: Any, place: Place) -> None:
        if any(_unseen(character) for character in getattr(event, "value", "").replace("\n", "")):
            self.refuse("a backslash escape for a character that can't be seen", place, "take it out")
        if event.anchor is not None:
            self.refuse(
                f"&{event.anchor} gives a name to what follows", place, "leave it out, or put it in quotes"
            )
        if event.tag is not None:
            tag = str(event.tag).replace("tag:yaml.org,2002:", "!!")
            self.refuse(f"{tag} is a tag; plans have none", place, "leave it out, or put it in quotes")

    def add(self, made: Tree, place: Place) -> None:
        """Put a thing where it belongs: at the top, into a list, or into a mapping as a key or its value."""
        if not self.open:
            self.top = made
            return
        parent = self.open[-1]
        if isinstance(parent, Items):
            parent.append(made)
        elif (key := self.keys[-1]) is None:
            self.keys[-1] = self.as_key(made, place, parent)
        else:
            self.keys[-1] = None
            if isinstance(made, Text) and made == "" and made.place.line > key.place.line:
                made = Text("", key.place)  # nothing was written: the reader's mark is at the next thing
            parent.setdefault(str(key), made)

    def as_key(self, made: Tree, place: Place, parent: Record) -> Text:
        if not isinstance(made, Text):
            kind = "list" if isinstance(made, Items) else "mapping"
            self.refuse(f"a {kind} can't be a key", place, "a key is a word before a colon")
            return Text("", place)
        first = parent.key_places.get(made)
        if made == "":
            self.refuse("a key is missing", place, "a key is a word before a colon")
        elif made == "<<":
            self.refuse("<< merges words written elsewhere", place, "write the keys out here")
        elif first is not None:
            where = f"{place.file}:{first.line}:{first.column}"
            self.refuse(f'the key "{made}" stands twice', place, f"the first is at {where}; keep one of them")
        parent.key_places.setdefault(str(made), place)
        return made

    def refuse(self, message: str, place: Place, hint: str | None = None) -> None:
        self.problems.append(self.source.problem(message, place, hint))


def _container(kind: str, place: Place) -> Record | Items:
    return Record(place) if kind == "MappingStartEvent" else Items(place)


def _reading_order(problem: Problem) -> tuple[int, int]:
    return (problem.place.line, problem.place.column) if problem.place is not None else (0, 0)


def _syntax_problem(error: MarkedYAMLError, source: Source) -> Problem:
    """Say in plain words what the reader of YAML complained about, with its place."""
    told = f"{error.problem or ''}"
    mark = error.problem_mark or error.context_mark
    message, hint = "this can't be read as YAML", None
    for pattern, words, would_do, at_start in SYNTAX:
        found = re.search(pattern, told) or re.search(pattern, error.context or "")
        if found is not None:
            message, hint = words.format(*found.groups()), would_do and would_do.format(*found.groups())
            mark = (error.context_mark or mark) if at_start else mark
            break
    place = Place(source.name, 1, 1) if mark is None else Place(source.name, mark.line + 1, mark.column + 1)
    return source.problem(message, place, hint)


def _impossible_escape(source: Source) -> Problem:
    for number, line in enumerate(source.lines, start=1):
        for found in re.finditer(r"\\U([0-9a-fA-F]{8})", line):
            if int(found[1], 16) > sys.maxunicode:
                place = Place(source.name, number, found.start() + 1)
                return source.problem("a backslash escape that names no character", place, "take it out")
    return Problem("a backslash escape that names no character", Place(source.name, 1, 1))


def _unseen(character: str) -> bool:
    code = ord(character)
    control = unicodedata.category(character) in ("Cc", "Zl", "Zp", "Cs") and character != "\t"
    return control or code == 0xFEFF or code & 0xFFFE == 0xFFFE  # byte order marks and non-characters


def _unprintable(source: Source) -> Iterator[Problem]:
    """Find characters that can't be seen: the first of each line is told."""
    for number, line in enumerate(source.lines, start=1):
        for column, character in enumerate(line, start=1):
            if _unseen(character):
                message = f"a character that can't be seen (U+{ord(character):04X})"
                yield source.problem(message, Place(source.name, number, column), "take it out")
                break


def _tabs(source: Source) -> Iterator[Problem]:
    for number, line in enumerate(source.lines, start=1):
        indent = line[: len(line) - len(line.lstrip(" \t"))]
        if "\t" in indent and line.strip() and not line.strip().startswith("#"):
            place = Place(source.name, number, indent.index("\t") + 1)
            yield source.problem("a tab in the indentation", place, "use spaces")


def _bytes_of(path: Path, name: str) -> bytes:
    """Read a file that is an ordinary file of a sensible size; raises InputError with the reason if not."""
    try:
        found = path.stat()
        if stat.S_ISDIR(found.st_mode):
            raise InputError([Problem(f"{name} is a folder; a plan is one file")])
        if not stat.S_ISREG(found.st_mode):
            raise InputError([Problem(f"{name} is not an ordinary file")])
        with path.open("rb") as opened:
            data = opened.read(LARGEST_FILE + 1) if found.st_size <= LARGEST_FILE else b""
    except (FileNotFoundError, NotADirectoryError):
        raise InputError([Problem(f"there is no file {name}", hint=EMPTY_HINT)]) from None
    except PermissionError:
        raise InputError([Problem(f"{name} may not be read by you")]) from None
    except (OSError, ValueError) as error:  # ValueError: a name that no file can have
        reason = getattr(error, "strerror", None) or "no file can have this name"
        raise InputError([Problem(f"{name} can't be read: {reason}")]) from None
    if found.st_size > LARGEST_FILE or len(data) > LARGEST_FILE:
        size = f"{max(found.st_size, len(data)) / 1e6:.1f}"
        raise InputError([Problem(f"{name} is {size} MB; a plan is at most {LARGEST_FILE / 1e6:.0f} MB")])
    return data


def _not_utf8(data: bytes, at: int, name: str) -> InputError:
    before = LINE_BREAK.split(data[:at].decode("utf-8-sig"))
    whole = LINE_BREAK.split(data.decode("utf-8-sig", errors="replace"))
    place = Place(name, len(before), len(before[-1]) + 1)
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return InputError([Problem("the file is UTF-16", place, hint="save it as UTF-8")])
    message = f"the byte {data[at]:#04x} is not UTF-8"
    return InputError([Problem(message, place, whole[place.line - 1], "save the file as UTF-8")])
