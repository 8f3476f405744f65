"""Roots in the terminal: what they leave, and how far the publications lie apart."""

from __future__ import annotations

from rich.console import Console

from somsim.report.envelope import ends, ranged, show_closing, table_of
from somsim.report.terminal import heading, say
from somsim.report.words import System, short
from somsim.study.envelope_roots import RootFamily, RootsAnswer
from somsim.units import factor


def show_roots(found: RootsAnswer, console: Console, system: System = "metric") -> None:
    """Print the carbon of roots, and every published ratio in one depth and definition."""
    for sentence in sentences(found, system):
        say(console, sentence)
    heading(console, "Carbon")
    rows = [
        ["tops", ranged(found.tops, system)],
        ["roots in the layer", ranged(found.structural, system)],
        ["what they give off there", ranged(found.exudates, system)],
        ["both", ranged(found.left, system)],
        ["below the layer, beside that", ranged(found.below, system)],
    ]
    console.print(table_of(("", "on the bed"), rows))
    layer = _deep(found.layer, system)
    heading(console, f"In print: roots for each unit of dry tops, in {layer} with what they give off")
    table = table_of(("publication", "printed", "to", "alike"), [_row(one, system) for one in found.families])
    console.print(table)
    say(console, "The first rows, marked *, speak of such plants.")
    show_closing(console, found)


def sentences(found: RootsAnswer, system: System = "metric") -> list[str]:
    """The answer first."""
    printed, alike = found.printed_apart[2], found.alike_apart[2]
    plants = "such plants" if sum(one.near for one in found.families) > 1 else "plants of all kinds"
    return [
        f"By {found.used}, roots leave {ranged(found.left, system)} in the top "
        f"{_deep(found.layer, system)}: {ranged(found.in_layer, system)} of roots and what they give "
        "off for each unit of dry tops.",
        f"Publications on {plants} lie {short(printed)} times apart as printed and {short(alike)} times apart "
        "once depth and what roots give off are made alike; all are shown, none is averaged away.",
    ]


def _deep(depth: float, system: System) -> str:
    """A depth of soil, which people tell in cm or inches."""
    unit = "cm" if system == "metric" else "in"
    return f"{depth / factor(unit, 'length'):.3g} {unit}"


def _row(one: RootFamily, system: System) -> list[str]:
    mark = "* " if one.near else "  "
    depth = "all roots?" if one.depth is None else _deep(one.depth, system)
    alike = f"{short(one.in_layer.best)} ({ends(one.in_layer, system)})"
    return [f"{mark}{one.name} ({one.source}; {one.known})", short(one.printed.best), depth, alike]
