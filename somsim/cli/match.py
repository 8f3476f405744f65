"""`somsim match`: how many cuts, crops, years or m2 of a cover equal a compost."""

from __future__ import annotations

from enum import StrEnum
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


class By(StrEnum):
    """What is counted."""

    cuts = "cuts"
    crops = "crops"
    years = "years"
    area = "area"


def match(
    plan: PlanFile,
    cover: Annotated[
        str,
        typer.Option(
            "--cover", help="The strategy whose cover is meant.", show_default=False, autocompletion=strategies_of
        ),
    ],
    compost: Annotated[
        str,
        typer.Option(
            "--compost", help="The strategy whose compost is meant.", show_default=False, autocompletion=strategies_of
        ),
    ],
    by: Annotated[By, typer.Option("--by", help="What is counted.")] = By.crops,
    plant: Annotated[
        str | None, typer.Option("--plant", help="Which cover of the strategy; the first to be sown when left out.")
    ] = None,
    draws: DrawsOption = DEFAULT_DRAWS,
    seed: SeedOption = 1,
    as_of: AsOfOption = None,
    plan_only: PlanOnlyOption = False,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """How many cuts, crops, years or square metres of a cover equal a compost in organic matter that lasts.

    Also whether that many fit, and how much compost equals the cover.  That it cannot be is an answer too.
    """
    from somsim.cli.waiting import waiting
    from somsim.report.matching import as_json, show_match
    from somsim.study.match import match_study

    read, facts = plan_with_record(plan, as_of, plan_only)
    with waiting("setting the two side by side", 3) as step:
        found = match_study(read, cover, compost, by=by.value, plant=plant, draws=draws, seed=seed, step=step)
    if json:
        print_json(with_record(as_json(found), facts))
    else:
        screen = console()
        tell_record(facts, screen)
        show_match(found, screen, units.value)
