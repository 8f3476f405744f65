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
)


def project(
    plan: PlanFile,
    strategy: Annotated[
        str | None, typer.Option("--strategy", help="Its name in the plan; not needed when there is only one.")
    ] = None,
    draws: DrawsOption = DEFAULT_DRAWS,
    seed: SeedOption = 1,
    engine: EngineOption = Engine.exact,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """Follow one strategy year by year: carbon in, decomposed and kept, and the soil's organic matter."""
    from somsim.plan import read_plan
    from somsim.report.projection import as_json, show_projection
    from somsim.study.project import project_study

    found = project_study(read_plan(plan), strategy, draws=draws, seed=seed, engine=engine.value)
    if json:
        print_json(as_json(found))
    else:
        show_projection(found, console(), units.value)
