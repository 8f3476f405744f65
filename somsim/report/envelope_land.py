"""Land for compost in the terminal."""

from __future__ import annotations

from rich.console import Console

from somsim.report.envelope import ranged, show_closing, table_of, with_unit
from somsim.report.terminal import heading, say
from somsim.report.words import System
from somsim.study.envelope_land import LandAnswer, PrintedRatio


def show_land(found: LandAnswer, console: Console, system: System = "metric") -> None:
    """Print how much land, by organic matter and by nitrogen, and what is printed beside it."""
    for sentence in sentences(found, system):
        say(console, sentence)
    heading(console, "Land for each unit of bed, and in all")
    rows = [
        ["organic matter", *_cells(found, "organic_matter", system), ranged(found.organic_needed, system)],
        ["nitrogen", *_cells(found, "nitrogen", system), ranged(found.nitrogen_needed, system)],
    ]
    console.print(table_of(("to match its", "times the beds", "in all", "in the layer"), rows))
    heading(console, "In print")
    columns = ("", "times the beds", "for", f"for {ranged(found.layer, system)}")
    console.print(table_of(columns, [_printed(one, system) for one in found.printed]))
    show_closing(console, found)


def sentences(found: LandAnswer, system: System = "metric") -> list[str]:
    """The answer first."""
    lines = [
        f"{ranged(found.layer, system)} of {found.compost} a year on {with_unit(found.beds, 'area', system)} of beds "
        f"takes {ranged(found.area_by_organic_matter, system)} of {found.cover} by organic matter, and "
        f"{ranged(found.area_by_nitrogen, system)} by nitrogen, at {ranged(found.dry_yield, system)} of dry matter "
        "a year."
    ]
    if found.instead is not None and found.portions is not None:
        lines.append(
            f"That much land, {ranged(found.larger_area, system)}, would have grown {ranged(found.instead, system)} of "
            f"{found.crop} instead, some {ranged(found.portions)} portions."
        )
    return lines


def _cells(found: LandAnswer, by: str, system: System) -> list[str]:
    return [ranged(getattr(found, f"by_{by}")), ranged(getattr(found, f"area_by_{by}"), system)]


def _printed(one: PrintedRatio, system: System) -> list[str]:
    layer = "" if one.layer is None else ranged(one.layer, system)
    yours = "" if one.for_yours is None else ranged(one.for_yours)
    told = "worked out here" if one.known == "derived" else f"{one.known}; {one.source}"
    return [f"{one.name} ({told})", ranged(one.ratio), layer, yours]
