"""`somsim settle`: what decides a comparison, and what to measure next."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from somsim.cli.options import JsonOption, PlanFile, SeedOption, Units, UnitsOption, console, print_json
from somsim.cli.recorded import AsOfOption, PlanOnlyOption, plan_with_record, tell_record, with_record


def settle(
    plan: PlanFile,
    out: Annotated[
        Path | None, typer.Option("--out", help="Folder for chart and tables; results/<plan>-settle by default.")
    ] = None,
    points: Annotated[
        int,
        typer.Option(
            "--points", help="Size of the design behind what decides, a power of two; more is slower.", min=64, max=8192
        ),
    ] = 512,
    seed: SeedOption = 1,
    as_of: AsOfOption = None,
    plan_only: PlanOnlyOption = False,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
    more: Annotated[bool, typer.Option("--more", help="Print what decides every figure, not only the main.")] = False,
) -> None:
    """What would settle it: what decides which strategy is ahead, and what to measure next, best first.

    For each thing that can be measured: what it takes, how much it narrows, and whether it would change the choice.
    """
    from somsim.cli.waiting import waiting
    from somsim.report.settled_files import save_settled
    from somsim.report.settling import as_json, show_settled
    from somsim.study.settle import settle as settle_plan

    if points & (points - 1):
        near = 1 << (points.bit_length() - 1)
        raise typer.BadParameter(f"{points} is no power of two; {near} or {2 * near} is", param_hint="--points")
    read, facts = plan_with_record(plan, as_of, plan_only)
    with waiting("looking at every unknown", 3) as step:
        found = settle_plan(read, points=points, seed=seed, step=step)
        folder = out or Path("results") / f"{plan.stem}-settle"
        save_settled(found, folder)
    if json:
        print_json(with_record(as_json(found), facts))
        return
    screen = console()
    tell_record(facts, screen)
    show_settled(found, screen, units.value, more=more)
    screen.print()
    typer.echo(f"Chart and tables: {folder}")  # in one piece, however long, so that it can be copied
