"""A heap in the terminal: the mix against its windows, and the compost it makes."""

from __future__ import annotations

from rich.console import Console

from somsim.report.envelope import ends, ranged, show_closing, table_of, with_unit
from somsim.report.terminal import heading, say
from somsim.report.words import System
from somsim.study.envelope_heap import HeapAnswer, Window

LIES = {"below": "too low", "within": "within", "above": "too high"}
WET = 0.65  # of fresh mass: past the usable window of moisture
FIGURES = {"carbon_to_nitrogen": "C:N", "moisture": "moisture", "density": "bulk density"}


def show_heap(found: HeapAnswer, console: Console, system: System = "metric") -> None:
    """Print the heap: what it makes, beside the volume rule, and where the mix lies."""
    for sentence in sentences(found, system):
        say(console, sentence)
    heading(console, "The mix against what is published")
    columns = ("", "this mix", "best", "usable", "it is")
    console.print(table_of(columns, [_window(one, found, system) for one in found.windows]))
    for source in dict.fromkeys(f"{one.name}: {one.source}" for one in found.windows):
        say(console, f"- {source}")
    heading(console, "Heaped, and finished")
    rows = [
        ["volume", ranged(found.volume, system), ranged(found.made_volume, system)],
        ["mass", ranged(found.mass, system), ranged(found.made_mass, system)],
        ["dry mass", ranged(found.dry, system), ranged(found.made_dry, system)],
        ["C:N", ranged(found.carbon_to_nitrogen), ranged(found.made_carbon_to_nitrogen)],
        ["nitrogen lost", "", ranged(found.nitrogen_lost, system)],
    ]
    console.print(table_of(("", "heaped", "finished"), rows))
    lost = ", ".join(f"{name.replace('_', ' ')} {ranged(figure)}" for name, figure in found.losses.items())
    say(console, f"Lost in the heap: {lost}.")
    for name, figure in found.yields.items():
        say(console, f"In print, {name}: {ranged(figure)} of it.")
    show_closing(console, found)


def sentences(found: HeapAnswer, system: System = "metric") -> list[str]:
    """The answer first: how much, against the volume rule, and why they differ."""
    made, rule = ranged(found.made_volume, system), ranged(found.by_rule, system)
    lines = [
        f"From {ranged(found.volume, system)} of heap come {made} of compost by mass balance: "
        f"{ranged(found.fresh_for_one)} of fresh for each of compost, by volume. The volume rule would say {rule}."
    ]
    heaped = found.dry.best / found.volume.best
    finished = found.made_dry.best / found.made_volume.best
    water = f"{100 * found.moisture.best:.0f} % of its mass is water"
    because = (
        f"this heap holds {with_unit(heaped, 'density', system, 2)} of dry matter "
        f"({water if found.moisture.best > WET else 'it is mostly air'}) before about half is breathed away, "
        f"and compost {with_unit(finished, 'density', system, 2)}"
    )
    if found.made_volume.low <= found.by_rule.best <= found.made_volume.high:
        lines.append(f"The two agree within the range: {because}.")
    else:
        lines.append(f"They differ because {because}; the rule sees neither. Trust the mass balance.")
    if found.moisture.best > found.windows[2].best.high and found.carbon_to_nitrogen.best < found.windows[0].best.low:
        lines.append("It is too wet and too rich in nitrogen: straw, dry leaves or chips mend both.")
    return lines


def _window(one: Window, found: HeapAnswer, system: System) -> list[str]:
    figure = getattr(found, one.what)
    lies = LIES[one.lies]
    if one.usable_lies is not None and one.lies != "within":
        lies += ", usable" if one.usable_lies == "within" else ", not usable"
    usable = "" if one.usable is None else ends(one.usable, system)
    which = one.name.partition(", ")[2]
    return [
        FIGURES[one.what] + (f", {which}" if which else ""),
        ranged(figure, system),
        ends(one.best, system),
        usable,
        lies,
    ]
