"""`somsim reach`: how much of a material a year reaches a level, then holds it."""

from __future__ import annotations

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
    strategies_of,
)
from somsim.cli.recorded import AsOfOption, PlanOnlyOption, plan_with_record, tell_record, with_record


def reach(
    plan: PlanFile,
    target: Annotated[
        str,
        typer.Option("--target", help="The level: '4 %' of organic matter, '5 kg/m2', or today.", show_default=False),
    ],
    by: Annotated[
        str | None, typer.Option("--by", help="The year, or a date; the end of the plan when left out.")
    ] = None,
    material: Annotated[
        str | None, typer.Option("--with", help="What is spread; the compost of the plan when left out.")
    ] = None,
    strategy: Annotated[
        str | None,
        typer.Option(
            "--strategy", help="Its name in the plan; all of them when left out.", autocompletion=strategies_of
        ),
    ] = None,
    write: Annotated[
        Path | None, typer.Option("--write", help="A new file for the plan that the answer describes; of one strategy.")
    ] = None,
    draws: DrawsOption = DEFAULT_DRAWS,
    seed: SeedOption = 1,
    as_of: AsOfOption = None,
    plan_only: PlanOnlyOption = False,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """How much of a material a year reaches a level of organic matter by a date, and then holds it.

    Also where the plan leads as it stands, and how long what was gained lasts.  That a level cannot be reached is an
    answer too.
    """
    from somsim.cli.waiting import waiting
    from somsim.report.reaching import as_json, show_reaches
    from somsim.study.reach import reach_study, write_answer

    read, facts = plan_with_record(plan, as_of, plan_only)
    with waiting("looking for the amount", len(read.strategies) if strategy is None else 1) as step:
        found = reach_study(
            read, target, by=by, material=material, strategy=strategy, draws=draws, seed=seed, step=step
        )
    if write is not None:
        write_answer(found, write)
    if json:
        print_json(with_record(as_json(found), facts))
    else:
        screen = console()
        tell_record(facts, screen)
        show_reaches(found, screen, units.value)
