"""`somsim season`: a year of one strategy as work, to order, to do and to print."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import Annotated

import typer

from somsim.cli.options import (
    DEFAULT_DRAWS,
    DrawsOption,
    JsonOption,
    PlanFile,
    SeedOption,
    Units,
    UnitsOption,
    console,
    print_json,
)
from somsim.cli.recorded import AsOfOption, PlanOnlyOption, plan_with_record, tell_record, with_record


def season(
    plan: PlanFile,
    strategy: Annotated[
        str | None, typer.Option("--strategy", help="Its name in the plan; not needed when there is only one.")
    ] = None,
    year: Annotated[
        int | None,
        typer.Option("--year", help="A calendar year, 2027, or a year of the plan, 1; by default the one that runs."),
    ] = None,
    ahead: Annotated[
        int, typer.Option("--ahead", help="How many days before it is wanted a thing is ordered.", min=0, max=366)
    ] = 28,
    out: Annotated[
        Path | None, typer.Option("--out", help="Folder for the files; results/<plan>-season by default.")
    ] = None,
    draws: DrawsOption = DEFAULT_DRAWS,
    seed: SeedOption = 1,
    as_of: AsOfOption = None,
    plan_only: PlanOnlyOption = False,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """Lay out a year of one strategy: what to order, what to do when and where, how long it takes.

    Prints it and writes a page to print, tables and a calendar file to a folder, which is replaced whole.
    """
    from somsim import api

    now = datetime.datetime.now(datetime.UTC)
    read, facts = plan_with_record(plan, as_of, plan_only)
    made = api.season(
        read, strategy, year, today=now.date(), ahead=ahead, draws=draws, seed=seed, units=units.value
    )
    folder = out or Path("results") / f"{plan.stem}-season"
    saved = made.save(folder, now=now)
    if json:
        from somsim.report.season_tables import as_json

        print_json(with_record(as_json(made.season), facts))
        return
    from somsim.report.season import show_season

    screen = console()
    tell_record(facts, screen)
    show_season(made.season, screen, units.value)
    screen.print()
    typer.echo(f"Page, tables and calendar: {folder}")
    if saved.no_pdf:
        typer.echo(saved.no_pdf)
