"""The keys of a plan explained: in the terminal, and as the page `docs/keys.md`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from somsim.errors import InputError, Problem, nearest
from somsim.plan.keys import EVERY_ACTION, Key, KeyGroup, key_groups
from somsim.report.terminal import heading, say

INTRODUCTION = (
    "A plan is one file in YAML: a key, a colon and what it says. Amounts have a unit (15 mm, 0.6 in, 4 t/ha) and may "
    "be a range (3 to 5 t/ha); days are 20 Apr, or 2027-04-20. What is marked * is needed; the rest may be left out."
)
AGREEMENT = "These are the words of the program itself: `somsim help plan --markdown` prints this page."


def chosen_groups(name: str | None) -> Sequence[KeyGroup]:
    """All parts of a plan, or those that a word names: a part, a verb, or a key.

    Raises
    ------
    InputError
        for a word that is none of them; with the nearest.
    """
    groups = key_groups()
    if name is None:
        return groups
    word = name.strip().removeprefix("- ").removesuffix(":").casefold()
    found = [one for one in groups if word in (one.title.removeprefix("- "), one.title.split(": ")[-1])]
    found = found or [one for one in groups if any(key.name == word for key in one.keys)]
    if not found:
        words = {one.title.removeprefix("- ").split(": ")[-1] for one in groups}
        words |= {key.name for one in groups for key in one.keys}
        near = nearest(word, sorted(words))
        hint = f"nearest: {near[0]}; all of them: somsim help plan" if near else "all of them: somsim help plan"
        raise InputError([Problem(f'no key or part of a plan is called "{name}"', hint=hint)])
    return found


def show_keys(groups: Sequence[KeyGroup], console: Console) -> None:
    """Print parts of a plan, each with its keys."""
    say(console, INTRODUCTION)
    for one in groups:
        heading(console, one.title)
        say(console, one.about)
        if one.example:
            say(console, one.example, indent=2)
        table = Table(box=box.SIMPLE_HEAD, show_header=False, pad_edge=False, show_edge=False, padding=(0, 1))
        table.add_column(width=20, overflow="fold")
        table.add_column(overflow="fold")
        for key in one.keys:
            table.add_row(Text(_marked(key)), Text(says(key)))
        console.print(table)
        if one.title.startswith("- ") and ": " not in one.title:
            say(console, f"and the keys of {EVERY_ACTION}")


def _marked(key: Key) -> str:
    return f"{key.name} *" if key.needed else key.name


def says(key: Key) -> str:
    """What a key says, with the words that it takes where its description has not told them."""
    untold = [word for word in key.words if word not in key.says]
    return f"{key.says} ({'; '.join(key.words)})" if untold else key.says


def as_markdown() -> str:
    """Every key as one page of the documents."""
    return "\n".join(_page())


def _page() -> Iterator[str]:
    yield "# Every key of a plan"
    yield ""
    yield f"{INTRODUCTION} {AGREEMENT} [A first plan](first-plan.md) explains them at length."
    for one in key_groups():
        yield ""
        yield f"## {one.title.removeprefix('- ')}"
        yield ""
        yield one.about
        if one.example:
            yield ""
            yield f"    {one.example}"
        yield ""
        yield "| key | what it says |"
        yield "|---|---|"
        for key in one.keys:
            needed = " *" if key.needed else ""
            yield f"| `{key.name}`{needed} | {says(key).replace('|', '/')} |"
    yield ""
