"""`somsim compare`: every strategy of a plan, side by side."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from somsim.cli.options import (
    DEFAULT_DRAWS,
    DrawsOption,
    Engine,
    EngineOption,
    JsonOption,
    PlanFile,
    SeedOption,
    Units,
    UnitsOption,
    console,
    open_page,
    print_json,
    strategies_of,
)
from somsim.cli.recorded import AsOfOption, PlanOnlyOption, plan_with_record, recorded_sentences, with_record

if TYPE_CHECKING:
    from somsim.plan import Plan
    from somsim.record import Facts
    from somsim.study.calibrate import Calibration


def compare(
    plan: PlanFile,
    out: Annotated[
        Path | None, typer.Option("--out", help="Folder for the results; results/<plan> by default.")
    ] = None,
    draws: DrawsOption = DEFAULT_DRAWS,
    seed: SeedOption = 1,
    engine: EngineOption = Engine.exact,
    as_of: AsOfOption = None,
    plan_only: PlanOnlyOption = False,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
    pdf: Annotated[bool, typer.Option("--pdf", help="Print the report to report.pdf too, with Chromium.")] = False,
    open_: Annotated[bool, typer.Option("--open", help="Open the report when it is made.")] = False,
    calibrated: Annotated[
        bool, typer.Option("--calibrated", help="Believe the possible worlds as far as the soil tests do.")
    ] = False,
    strategy: Annotated[
        str | None,
        typer.Option(
            "--strategy", help="With --calibrated: the strategy that was followed.", autocompletion=strategies_of
        ),
    ] = None,
    more: Annotated[
        bool, typer.Option("--more", help="Print nutrients by month too, and what organic matter does not show.")
    ] = False,
) -> None:
    """Compare the strategies of a plan: soil organic matter, what each is worth in compost, and how sure.

    Prints the answer and writes a report, charts, tables and data to a folder, which is replaced whole.
    """
    from somsim import api
    from somsim.cli.waiting import waiting
    from somsim.report.pdf import HOW_TO_GET_IT, browser

    read, facts = plan_with_record(plan, as_of, plan_only)
    printer = browser() if pdf else None
    with waiting("comparing the strategies", 2 * len(read.strategies) + 1) as step:
        found = _calibration(read, facts, strategy, draws, seed) if calibrated else None
        given = None if found is None else found.given
        made = api.compare(read, draws=draws, seed=seed, engine=engine.value, step=step, given=given)
        folder = out or Path("results") / plan.stem
        first = _said_first(found, facts)
        made.save(folder, units.value, printer, first, _options(found, as_of, plan_only))
    if open_:
        open_page(folder / "report.html")
    if json:
        from somsim.report.machine import comparison

        print_json(with_record(comparison(made.study), facts))
    else:
        from somsim.report.terminal import say, show_comparison

        screen = console()
        for sentence in first:
            say(screen, sentence)
        if first:
            screen.print()
        show_comparison(made.study, screen, units.value, more=more)
        screen.print()
        typer.echo(f"Report, charts, tables and data: {folder}")  # in one piece, however long, so that it can be copied
    if pdf and printer is None:
        typer.echo(HOW_TO_GET_IT, err=True)
        raise typer.Exit(1)  # all the rest is there, but not what was asked for


def _calibration(plan: Plan, facts: Facts | None, strategy: str | None, draws: int, seed: int) -> Calibration:
    from somsim import api
    from somsim.study.project import chosen

    followed = chosen(plan, strategy or (facts.followed if facts is not None else None))
    return api.calibrate(plan, followed, draws=draws, seed=seed)


def _said_first(found: Calibration | None, facts: Facts | None) -> tuple[str, ...]:
    """What was taken from a record, and how far soil tests are believed."""
    said = list(recorded_sentences(facts))
    if found is not None:
        from somsim.report.calibrated import warnings

        tests = "1 soil test" if len(found.seen) == 1 else f"{len(found.seen)} soil tests"
        said.append(f"Calibrated by {tests}: the belief of {found.believed:,.0f} of {found.worlds:,} possible worlds.")
        said += warnings(found)
    return tuple(said)


def _options(found: Calibration | None, as_of: str | None, plan_only: bool) -> tuple[str, ...]:
    """The words of the command that change the result beyond what the study itself knows."""
    words = [] if as_of is None else ["--as-of", as_of]
    words += ["--plan-only"] if plan_only else []
    words += [] if found is None else ["--calibrated", "--strategy", found.strategy]
    return tuple(words)
