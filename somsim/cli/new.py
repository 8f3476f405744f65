"""`somsim new`: a plan to start from."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def new(
    file: Annotated[Path, typer.Argument(help="The file to write; it must not be there yet.", metavar="FILE")],
    from_: Annotated[
        str, typer.Option("--from", help="Which plan to start from: starter, or a demonstration such as hillside.")
    ] = "starter",
) -> None:
    """Write a commented plan to a new file, to be changed to your own place."""
    from somsim.study.starting import starting_plan, write_new

    write_new(file, starting_plan(from_))
    typer.echo(f"{file} written; change it to your own place, then: somsim check {file}")
