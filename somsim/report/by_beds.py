"""The answer bed by bed, where a plan treats some of them differently: a sentence, and a table."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from rich.console import Console
from rich.text import Text

from somsim.report.columns import cell, side_by_side, table_of
from somsim.report.words import System, scale
from somsim.study.compare import Study
from somsim.study.equivalence import Spread, spread_of

TOLD = 0.01  # of the higher level: beds nearer to each other end alike


@dataclass(frozen=True)
class BedsLevel:
    """Organic matter of one strategy at the horizon, kg/m2, on each group of beds by its name."""

    strategy: str
    levels: dict[str, Spread]


def beds_levels(study: Study) -> tuple[BedsLevel, ...]:
    """Every strategy bed by bed; empty where all beds are treated alike."""
    names = [str(name) for name in study.drawn["group"].values]
    if len(names) == 1:
        return ()
    likely, worlds = (
        np.asarray(data["organic_matter"].transpose("strategy", "time", "group", "draw").values)[:, -1]
        for data in (study.best, study.drawn)
    )
    return tuple(
        BedsLevel(
            answer.name,
            {
                group: spread_of(likely[number, place, 0], worlds[number, place], study.weights)
                for place, group in enumerate(names)
            },
        )
        for number, answer in enumerate(study.answers)
    )


def beds_sentence(study: Study, system: System = "metric") -> str | None:
    """One sentence on the strategy whose beds end furthest apart; None where all end alike."""
    apart = {one.strategy: _ends(one) for one in beds_levels(study)}
    if not apart:
        return None
    unit = scale("mass_per_area", system)
    strategy = max(apart, key=lambda name: apart[name][1][1] - apart[name][0][1])
    (low_name, low), (high_name, high) = apart[strategy]
    if high - low < TOLD * high:
        return None
    return (
        f'The beds end apart, most in "{strategy}": {unit.number(high, 3)} {unit.unit} of organic matter on '
        f"{high_name}, {unit.number(low, 3)} on {low_name}."
    )


def _ends(one: BedsLevel) -> tuple[tuple[str, float], tuple[str, float]]:
    """The groups with least and with most in the middle world."""
    ordered = sorted(((name, level.p50) for name, level in one.levels.items()), key=lambda pair: pair[1])
    return ordered[0], ordered[-1]


def show_beds(study: Study, console: Console, system: System = "metric") -> None:
    """Print the table of beds, and the whole below it; nothing where all beds are treated alike."""
    found = beds_levels(study)
    if not found:
        return
    unit = scale("mass_per_area", system)
    console.print()
    console.print(Text(f"Organic matter at the end by bed, {unit.unit}", style="bold"))
    whole = {answer.name: answer.organic_matter for answer in study.answers}
    for together in side_by_side(found, console.width):
        table = table_of([one.strategy for one in together])
        for name in found[0].levels:
            table.add_row(Text(name), *(Text(cell(unit, one.levels[name])) for one in together))
        table.add_row(Text("all beds together"), *(Text(cell(unit, whole[one.strategy])) for one in together))
        console.print(table)
