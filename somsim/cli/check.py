"""`somsim check`: is the plan whole, and how was it understood?"""

from __future__ import annotations

from typing import Annotated

import typer

from somsim.cli.options import JsonOption, PlanFile, Units, UnitsOption, console, print_json


def check(
    plan: PlanFile,
    explain: Annotated[
        bool, typer.Option("--explain", help="Print every date and amount, and where each number came from.")
    ] = False,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """Check a plan without running it; every mistake is told at once, with its place and what would do."""
    from somsim.plan import read_plan
    from somsim.study.explain import explain_plan

    found = explain_plan(read_plan(plan))
    if not json and not explain:
        typer.echo(found.summary)
        return
    from somsim.report.explanation import as_json, show_explanation

    if json:
        print_json(as_json(found))
    else:
        show_explanation(found, console(), units.value)
