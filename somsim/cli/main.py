"""`somsim`: the commands brought together, and what happens when something is wrong."""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from io import TextIOWrapper
from typing import Annotated

import typer

from somsim.cli import (
    calibrate,
    check,
    compare,
    detect,
    estimate,
    help,
    library,
    match,
    new,
    planner,
    project,
    reach,
    record,
    season,
    settle,
)
from somsim.errors import InputError
from somsim.version import VERSION

GOOD, FAILED, BAD_INPUT, STOPPED = 0, 1, 2, 130
CUT_SHORT = "stopped; no half-written results are left"

app = typer.Typer(
    help="What each way of feeding a growing bed does to its soil, and what it is worth in compost.",
    no_args_is_help=True,
    add_completion=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)
app.command("compare")(compare.compare)
app.command("project")(project.project)
app.command("calibrate")(calibrate.calibrate)
app.command("detect")(detect.detect)
app.command("match")(match.match)
app.command("reach")(reach.reach)
app.command("season")(season.season)
app.command("settle")(settle.settle)
app.command("check")(check.check)
app.command("record")(record.record)
app.command("new")(new.new)
app.command("planner")(planner.planner)
app.command("library")(library.library)
app.add_typer(estimate.app, name="estimate")
app.add_typer(help.app, name="help")


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"somsim {VERSION}")
        raise typer.Exit()


@app.callback()
def somsim(
    version: Annotated[
        bool, typer.Option("--version", help="Print the version and stop.", callback=_version, is_eager=True)
    ] = False,
) -> None:
    """Weigh up ways of building soil organic matter: grow it, buy it, make it, or leave the ground alone."""


def plain_letters(surroundings: Mapping[str, str]) -> bool:
    """Whether the locale is C or POSIX by name: then a terminal gets ASCII, where Python alone would send UTF-8.

    >>> plain_letters({"LC_ALL": "", "LANG": "C"}), plain_letters({"LC_ALL": "C.UTF-8"}), plain_letters({})
    (True, False, False)
    """
    named = next((surroundings[name] for name in ("LC_ALL", "LC_CTYPE", "LANG") if surroundings.get(name)), "")
    return named in ("C", "POSIX")


def run() -> None:
    """Run the command line; bad input ends with 2 and its messages, nothing ends in a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")  # a letter the terminal does not have must not end the run
            if stream.isatty() and plain_letters(os.environ):
                stream.reconfigure(encoding="ascii")
    try:
        app()
    except SystemExit as ending:  # typer turns Ctrl-C into one
        if ending.code == STOPPED:
            typer.echo(CUT_SHORT, err=True)
        raise
    except InputError as error:
        typer.echo(str(error), err=True)
        sys.exit(BAD_INPUT)
    except BrokenPipeError:
        # The reader has gone (a pipe into head): say nothing, and let the interpreter close a dead pipe quietly.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(STOPPED)
    except KeyboardInterrupt:
        typer.echo(CUT_SHORT, err=True)
        sys.exit(STOPPED)
    except OSError as error:
        typer.echo(f"{error.filename or 'the system'}: {error.strerror or error}", err=True)
        sys.exit(FAILED)


if __name__ == "__main__":
    run()
