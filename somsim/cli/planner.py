"""`somsim planner`: a page on this machine to think with."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from somsim.errors import InputError, Problem


def planner(
    plan: Annotated[
        Path | None,
        typer.Argument(help="The plan, a YAML file of this folder; a new one when left out.", metavar="[PLAN]"),
    ] = None,
    port: Annotated[
        int, typer.Option("--port", help="The port to listen on; any that is free when 0.", min=0, max=65535)
    ] = 0,
    no_browser: Annotated[bool, typer.Option("--no-open", help="Print the address, and open no browser.")] = False,
) -> None:
    """Change a plan on a local web page and see the answer move.

    The page is for this machine alone: nothing is sent anywhere. It reads and writes plans of this folder only.
    """
    from somsim.planner.serving import Wanted, serve

    _there()
    root = Path.cwd()
    name = None if plan is None else _name(plan, root)

    def ready(address: str) -> None:
        typer.echo(f"The planner is open at {address}")
        typer.echo("Stop it with Ctrl-C; what is not saved waits for the next time.")
        if not no_browser:
            import webbrowser

            webbrowser.open(address)

    serve(Wanted(root, name, port), ready)


def _there() -> None:
    """Say what to install where the page's own libraries are missing."""
    from importlib.util import find_spec

    if find_spec("nicegui") is None:
        hint = 'pip install "somsim[planner]"'
        raise InputError([Problem("the planner needs some more libraries", hint=hint)], "nothing was started.")


def _name(plan: Path, root: Path) -> str:
    whole = plan if plan.is_absolute() else root / plan
    try:
        return str(whole.relative_to(root))
    except ValueError:
        hint = f"start it in {whole.parent}"
        raise InputError([Problem(f"{plan} is not in this folder", hint=hint)], "nothing was started.") from None
