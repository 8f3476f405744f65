"""One strategy year by year, for people and for machines."""

from __future__ import annotations

from dataclasses import asdict, fields
from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from somsim.report.terminal import say
from somsim.report.words import Scale, System, scale
from somsim.study.project import Projection, Year
from somsim.version import VERSION


def show_projection(found: Projection, console: Console, system: System = "metric") -> None:
    """Print a table with a row a year."""
    carbon, mass = scale("carbon_per_area", system), scale("mass_per_area", system)
    say(console, f"{found.plan.title}: {found.strategy}", style="bold")
    say(
        console,
        f"{found.draws} possible worlds; the middle one, and where 8 of 10 fall. Carbon in {carbon.unit}, "
        f"organic matter in {mass.unit} of bed; on the surface is not in the soil.",
    )
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1, 0, 0))
    for name in ("year", "until", "put in", "decom-\nposed", "on the\nsurface", "organic matter", "%"):
        left = name in ("until", "organic matter", "%")
        table.add_column(name, justify="left" if left else "right", no_wrap=True)
    for year in found.years:
        table.add_row(*(Text(cell) for cell in _cells(year, carbon, mass)))
    console.print()
    console.print(table)
    if found.by_beds:
        console.print()
        console.print(_beds_table(found, mass))


def _beds_table(found: Projection, mass: Scale) -> Table:
    """Each group of beds at the end, and the whole below them."""
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1, 0, 0))
    for name in ("at the end", "organic matter", "%"):
        table.add_column(name)
    last = found.years[-1]
    ends = [(one.beds, one.organic_matter, one.percent) for one in found.by_beds]
    for beds, level, percent in [*ends, ("all beds together", last.organic_matter, last.percent)]:
        table.add_row(Text(beds), Text(mass.range(level)), Text(Scale("%", 1.0).range(percent)))
    return table


def _cells(year: Year, carbon: Scale, mass: Scale) -> list[str]:
    flows = ["", ""] if year.number == 0 else [carbon.number(year.added.p50), carbon.number(year.decomposed.p50)]
    return [
        str(year.number) if year.number else "start",
        year.date.isoformat(),
        *flows,
        carbon.number(year.surface.p50),
        mass.range(year.organic_matter),
        Scale("%", 1.0).range(year.percent),
    ]


def as_json(found: Projection) -> dict[str, Any]:
    """The years as nested dictionaries, in base units."""
    names = [field.name for field in fields(Year) if field.name not in ("number", "date")]
    return {
        "somsim": VERSION,
        "title": found.plan.title,
        "strategy": found.strategy,
        "draws": found.draws,
        "seed": found.seed,
        "years": [
            {
                "year": year.number,
                "date": year.date.isoformat(),
                **{name: asdict(getattr(year, name)) for name in names},
            }
            for year in found.years
        ],
        "by_beds": [asdict(one) for one in found.by_beds],
    }
