"""Options that several commands have in common."""

from __future__ import annotations

import sys
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

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
SeedOption = Annotated[int, typer.Option("--seed", help="The same seed gives the same worlds.", min=0)]
EngineOption = Annotated[
    Engine, typer.Option("--engine", help="exact: the closed form; ivp: step by step, slower, as a check.")
]


def console() -> Console:
    """Where people read: colour only on a terminal, words never taken for markup."""
    from rich.console import Console

    return Console(markup=False, highlight=False, emoji=False, soft_wrap=False)


def print_json(value: object) -> None:
    """Print JSON in one piece, keys in a fixed order, no NaN; escaped where the stream can't carry every letter."""
    import json

    everything = (sys.stdout.encoding or "").lower().startswith("utf")
    typer.echo(json.dumps(value, indent=2, ensure_ascii=not everything, allow_nan=False))
