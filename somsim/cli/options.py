"""Options that several commands have in common."""

from __future__ import annotations

import re
import sys
from enum import StrEnum
from io import TextIOBase
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TextIO, cast

import typer

if TYPE_CHECKING:
    from rich.console import Console


class Units(StrEnum):
    """In which units figures are shown."""

    metric = "metric"
    us = "us"


class Engine(StrEnum):
    """How the model is worked out."""

    exact = "exact"
    ivp = "ivp"


PlanFile = Annotated[Path, typer.Argument(help="The plan, a YAML file.", metavar="PLAN", show_default=False)]
UnitsOption = Annotated[Units, typer.Option("--units", help="Show metric or US units.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON for machines, each figure with its unit.")]
DrawsOption = Annotated[
    int, typer.Option("--draws", help="How many possible worlds; powers of two are the most even.", min=2, max=65536)
]
DEFAULT_DRAWS = 512  # as in the studies; typed here again, because reading it there would slow down every start
SeedOption = Annotated[int, typer.Option("--seed", help="The same seed gives the same worlds.", min=0)]
EngineOption = Annotated[
    Engine, typer.Option("--engine", help="exact: the closed form; ivp: step by step, slower, as a check.")
]


def strategies_of(context: typer.Context, incomplete: str) -> list[str]:
    """Strategies of the plan typed before that begin so, for the shell; of a plan with mistakes none."""
    from somsim.errors import InputError
    from somsim.plan import read_plan

    # beside an unfinished option the plan is no parameter yet, but still a bare word
    typed = context.params.get("plan") or next(iter(context.args), None)
    if typed is None:
        return []
    try:
        names = read_plan(Path(typed)).strategies
    except (InputError, OSError):
        return []
    return [name for name in names if name.startswith(incomplete)]


class TrimmedLines(TextIOBase):
    """A stream that writes lines without the blanks at their ends; blanks wait until something follows them."""

    def __init__(self, stream: TextIO) -> None:
        """Write to another stream."""
        self._stream, self._waiting = stream, ""

    @property
    def encoding(self) -> str:  # type: ignore[override]  # read-only here: it is the other stream's
        """Which letters the other stream can carry."""
        return self._stream.encoding

    def write(self, text: str) -> int:
        """Pass on what is no blank at the end of a line."""
        there = self._waiting + text
        kept = there.rstrip(" ")
        self._waiting = there[len(kept) :]
        self._stream.write(re.sub(r" +\n", "\n", kept))
        return len(text)

    def flush(self) -> None:
        """Flush the other stream."""
        self._stream.flush()


def console() -> Console:
    """Where people read: colour only on a terminal, words never taken for markup.

    In a file or a pipe lines end where their words end; a terminal gets them filled up to its width.
    """
    from rich.console import Console

    made = Console(markup=False, highlight=False, emoji=False, soft_wrap=False)
    if not made.is_terminal:
        made.file = cast("TextIO", TrimmedLines(sys.stdout))
    return made


def print_json(value: object) -> None:
    """Print JSON in one piece, keys in a fixed order, no NaN; escaped where the stream can't carry every letter."""
    import json

    everything = (sys.stdout.encoding or "").lower().startswith("utf")
    typer.echo(json.dumps(value, indent=2, ensure_ascii=not everything, allow_nan=False))


def open_page(path: Path) -> None:
    """Show a page in the browser that the system is set to, or say where it is."""
    import webbrowser

    address = path.resolve().as_uri()
    if not webbrowser.open(address):
        typer.echo(f"no browser could be opened; the page is {address}", err=True)
