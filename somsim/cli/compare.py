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
    print_json,
)
from somsim.cli.recorded import AsOfOption, PlanOnlyOption, plan_with_record, tell_record, with_record

if TYPE_CHECKING:
    from rich.console import Console

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
    calibrated: Annotated[
        bool, typer.Option("--calibrated", help="Believe the possible worlds as far as the soil tests do.")
    ] = False,
    strategy: Annotated[
        str | None, typer.Option("--strategy", help="With --calibrated: the strategy that was followed.")
    ] = None,
    more: Annotated[
        bool, typer.Option("--more", help="Print nutrients by month too, and what organic matter does not show.")
    ] = False,
) -> None:
    """Compare the strategies of a plan: soil organic matter, what each is worth in compost, and how sure.

    Prints the answer and writes charts, tables and data to a folder, which is replaced whole.
    """
    from somsim import api
    from somsim.cli.waiting import waiting

    read, facts = plan_with_record(plan, as_of, plan_only)
    with waiting("comparing the strategies", 2 * len(read.strategies) + 1) as step:
        found = _calibration(read, facts, strategy, draws, seed) if calibrated else None
        given = None if found is None else found.given
        made = api.compare(read, draws=draws, seed=seed, engine=engine.value, step=step, given=given)
        folder = out or Path("results") / plan.stem
        made.save(folder)
    if json:
        from somsim.report.machine import comparison

        print_json(with_record(comparison(made.study), facts))
        return
    from somsim.report.terminal import show_comparison

    screen = console()
    tell_record(facts, screen)
    if found is not None:
        _tell_calibration(found, screen)
    show_comparison(made.study, screen, units.value, more=more)
    screen.print()
    typer.echo(f"Charts, tables and data: {folder}")  # in one piece, however long, so that it can be copied


def _calibration(plan: Plan, facts: Facts | None, strategy: str | None, draws: int, seed: int) -> Calibration:
    from somsim import api
    from somsim.study.project import chosen

    followed = chosen(plan, strategy or (facts.followed if facts is not None else None))
    return api.calibrate(plan, followed, draws=draws, seed=seed)


def _tell_calibration(found: Calibration, screen: Console) -> None:
    from somsim.report.calibrated import warnings
    from somsim.report.terminal import say

    tests = "1 soil test" if len(found.seen) == 1 else f"{len(found.seen)} soil tests"
    say(screen, f"Calibrated by {tests}: the belief of {found.believed:,.0f} of {found.worlds:,} possible worlds.")
    for sentence in warnings(found):
        say(screen, sentence)
    screen.print()
