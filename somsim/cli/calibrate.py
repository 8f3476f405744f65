"""`somsim calibrate`: what the soil tests say of the possible worlds."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from somsim.cli.options import (
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


def calibrate(
    plan: PlanFile,
    strategy: Annotated[
        str | None,
        typer.Option(
            "--strategy",
            help="The strategy that was followed; the record's when left out.",
            autocompletion=strategies_of,
        ),
    ] = None,
    most: Annotated[
        int, typer.Option("--most", help="How many possible worlds are looked at, at most.", min=256, max=65536)
    ] = 32_768,
    draws: DrawsOption = 512,
    seed: SeedOption = 1,
    as_of: AsOfOption = None,
    plan_only: PlanOnlyOption = False,
    units: UnitsOption = Units.metric,
    out: Annotated[Path | None, typer.Option("--out", help="A folder for the chart, as PNG and SVG.")] = None,
    json: JsonOption = False,
) -> None:
    """Weigh the possible worlds by the soil tests in a plan and its record, and say what was learned.

    Tests stand under measured: in the plan, or in the record (somsim record PLAN tested ...).
    """
    from somsim.cli.waiting import waiting
    from somsim.report.calibrated import calibration_json, show_calibration
    from somsim.study.calibrate import calibrate_study
    from somsim.study.project import chosen

    read, facts = plan_with_record(plan, as_of, plan_only)
    followed = chosen(read, strategy or (facts.followed if facts is not None else None))
    with waiting("weighing the possible worlds", 5) as step:
        found = calibrate_study(read, followed, draws=draws, seed=seed, most=most, step=step)
    if out is not None:
        from somsim.report.soil_test_charts import before_after_chart, save_chart

        save_chart(before_after_chart(found), "before-and-after", out)
    if json:
        print_json(with_record(calibration_json(found), facts))
    else:
        screen = console()
        tell_record(facts, screen)
        show_calibration(found, screen, units.value)
