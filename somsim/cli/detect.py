"""`somsim detect`: could a soil test see the difference?"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from somsim.cli.options import DrawsOption, JsonOption, PlanFile, SeedOption, console, print_json
from somsim.cli.recorded import AsOfOption, PlanOnlyOption, plan_with_record, tell_record, with_record
from somsim.errors import InputError, Problem


def detect(
    plan: PlanFile,
    cores: Annotated[
        int, typer.Option("--cores", help="Cores taken from the beds of each strategy.", min=1, max=1000)
    ] = 15,
    tests: Annotated[
        int, typer.Option("--tests", help="Samples that they are pooled to, each tested by itself.", min=1, max=1000)
    ] = 1,
    draws: DrawsOption = 512,
    seed: SeedOption = 1,
    as_of: AsOfOption = None,
    plan_only: PlanOnlyOption = False,
    out: Annotated[Path | None, typer.Option("--out", help="A folder for the chart, as PNG and SVG.")] = None,
    json: JsonOption = False,
) -> None:
    """Could a soil test see the difference between two strategies: after how many years, with how many cores?"""
    from somsim.report.calibrated import detection_json, show_detection
    from somsim.study.detect import detect_study

    if tests > cores:
        said = f"--tests {tests} is more than --cores {cores}"
        raise InputError([Problem(said, hint="a sample holds at least one core")])
    read, facts = plan_with_record(plan, as_of, plan_only)
    found = detect_study(read, cores=cores, tests=tests, draws=draws, seed=seed)
    if out is not None:
        from somsim.report.soil_test_charts import detectability_chart, save_chart

        save_chart(detectability_chart(found), "detectability", out)
    if json:
        print_json(with_record(detection_json(found), facts))
    else:
        screen = console()
        tell_record(facts, screen)
        show_detection(found, screen)
