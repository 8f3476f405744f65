"""What can be wrong with what a person gave us, where it stands, and how it is told.

Nothing here knows what a plan is: a mistake is a message, perhaps a place in a text, perhaps the line as
typed and perhaps a hint. All mistakes travel together in one `InputError`.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

SHOWN_WIDTH = 100  # characters of a source line that are printed; a longer line is cut around the mistake
BEFORE_MISTAKE = 60  # characters kept to the left of the mistake when a line is cut
WORD_LENGTH = 60  # a word longer than this is compared by its first part: the comparison is quadratic


@dataclass(frozen=True)
class Place:
    """A place in a text, counted from 1.

    Places take no part in comparing: two plans that say the same are equal wherever their lines stand.

    >>> Place("a.yaml", 3, 5) == Place("b.yaml", 9, 1)
    True
    """

    file: str = field(compare=False)
    line: int = field(compare=False)
    column: int = field(compare=False)


@dataclass(frozen=True)
class Problem:
    """One mistake: what cannot be, where, the line as typed, and what would do instead."""

    message: str
    place: Place | None = None
    source_line: str | None = None
    hint: str | None = None


class InputError(Exception):
    """Everything found wrong with an input, told at once; `str()` of it is the text to print.

    >>> print(InputError([Problem("the plan is empty", hint="start one with `somsim new`")]))
    the plan is empty
      start one with `somsim new`
    1 mistake; nothing was run.
    """

    def __init__(self, problems: Iterable[Problem], nothing_done: str = "nothing was run.") -> None:
        """Take at least one problem (ValueError on none) and what was left undone because of them."""
        self.problems = tuple(problems)
        self.nothing_done = nothing_done
        if not self.problems:
            raise ValueError("an InputError needs at least one Problem")
        super().__init__(self.problems, nothing_done)  # both, so that a copy sent between processes is whole

    def __str__(self) -> str:
        """Give the text that is shown to a person."""
        return render(self.problems, self.nothing_done)


def render(problems: Sequence[Problem], nothing_done: str = "nothing was run.") -> str:
    """Write mistakes out, one below the other, with their count and what was not done on the last line.

    >>> print(render([Problem("not a month", Place("p.yaml", 31, 9), "    on: 3 Abc", "nearest: Apr")]))
    p.yaml:31:9
      31 |     on: 3 Abc
         |         ^ not a month
      nearest: Apr
    1 mistake; nothing was run.
    """
    lines = [line for problem in problems for line in _problem_lines(problem)]
    count = len(problems)
    lines.append(f"{count} mistake{'' if count == 1 else 's'}; {nothing_done}")
    return "\n".join(lines)


def nearest(word: str, choices: Iterable[str], count: int = 3) -> list[str]:
    """Give the choices spelled most like a word, best first; upper and lower case count as the same.

    >>> nearest("gardn compost", ["leaf mould", "garden compost", "straw"])
    ['garden compost']
    """
    from difflib import get_close_matches

    by_folded: dict[str, str] = {}
    for choice in choices:
        by_folded.setdefault(choice.casefold(), choice)
    found = get_close_matches(word.casefold()[:WORD_LENGTH], list(by_folded), n=count, cutoff=0.6)
    return [by_folded[folded] for folded in found]


def _problem_lines(problem: Problem) -> list[str]:
    place = problem.place
    where = "" if place is None else f"{printable(place.file)}:{place.line}:{place.column}"
    if place is None:
        lines = [printable(problem.message)]
    elif problem.source_line is None:
        lines = [where, f"  {printable(problem.message)}"]
    else:
        shown, before = _cut(problem.source_line, place.column - 1)
        number = str(place.line)
        pad = " " * _width(shown[:before])
        lines = [
            where,
            f"  {number} | {shown}".rstrip(),
            f"  {' ' * len(number)} | {pad}^ {printable(problem.message)}",
        ]
    if problem.hint is not None:
        lines.append(f"  {printable(problem.hint)}")
    return lines


def _cut(line: str, at: int) -> tuple[str, int]:
    """Give the part of a line that is shown, and where in that part the mistake stands."""
    text = printable(line)  # one character for one character, so places stay true
    at = min(max(at, 0), len(text))
    if len(text) <= SHOWN_WIDTH:
        return text, at
    start = max(0, min(at - BEFORE_MISTAKE, len(text) - SHOWN_WIDTH))
    shown = text[start : start + SHOWN_WIDTH]
    left = "..." if start > 0 else ""
    right = "..." if start + SHOWN_WIDTH < len(text) else ""
    return left + shown + right, at - start + len(left)


def printable(text: str) -> str:
    r"""Make text safe for a terminal: a tab becomes one space, any other control or invisible character `?`.

    The length stays the same. What was typed must not be able to move the cursor or turn the writing round.

    >>> printable("a\tb\x1b[31m")
    'a b?[31m'
    """
    return "".join(" " if c == "\t" else "?" if unicodedata.category(c) in _UNSEEN else c for c in text)


_UNSEEN = frozenset({"Cc", "Cf", "Cs", "Co", "Zl", "Zp"})


def _width(text: str) -> int:
    """Count the columns a terminal gives to a text: wide characters take two, combining marks none."""
    wide = sum(unicodedata.east_asian_width(c) in "WF" for c in text)
    marks = sum(unicodedata.combining(c) != 0 for c in text)
    return len(text) + wide - marks
