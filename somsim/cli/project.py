"""`somsim project`: one strategy, year by year."""

from __future__ import annotations

from typing import Annotated

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
    strategies_of,
)
from somsim.cli.recorded import AsOfOption, PlanOnlyOption, plan_with_record, tell_record, with_record


def project(
    plan: PlanFile,
    strategy: Annotated[
        str | None,
        typer.Option(
            "--strategy", help="Its name in the plan; not needed when there is only one.", autocompletion=strategies_of
        ),
    ] = None,
    draws: DrawsOption = DEFAULT_DRAWS,
    seed: SeedOption = 1,
    engine: EngineOption = Engine.exact,
    as_of: AsOfOption = None,
    plan_only: PlanOnlyOption = False,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """Follow one strategy year by year: carbon in, decomposed and kept, and the soil's organic matter."""
    from somsim.report.projection import as_json, show_projection
    from somsim.study.project import project_study

    read, facts = plan_with_record(plan, as_of, plan_only)
    found = project_study(read, strategy, draws=draws, seed=seed, engine=engine.value)
    if json:
        print_json(with_record(as_json(found), facts))
    else:
        screen = console()
        tell_record(facts, screen)
        show_projection(found, screen, units.value)
