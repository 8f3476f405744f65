"""A plan as it was understood, in the terminal."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from somsim.draws import Unknown
from somsim.library import Library
from somsim.plan.days import MONTHS
from somsim.report.terminal import heading, say
from somsim.report.words import Scale, System, scale, short
from somsim.study.explain import Explanation, HeapMade, Understood
from somsim.units import base_unit, dimensions, show

KNOWN = {
    "plan": "your plan",
    "read": "read",
    "remembered": "from memory",
    "judged": "judged",
    "derived": "worked out",
}


def show_explanation(found: Explanation, console: Console, system: System = "metric") -> None:
    """Print how a plan was understood: dates, amounts, climate factors, and every number with its source."""
    say(console, found.summary, style="bold")
    carbon = scale("carbon_per_area", system)
    say(
        console,
        f"The layer weighs {show(found.layer_mass, 'mass_per_area', system)} and holds "
        f"{carbon.one(found.start_carbon, 3)} on the first day.",
    )
    if found.tunnel_ratio is not None:
        say(console, f"A watered bed under cover decays {found.tunnel_ratio:.2f} times as fast as open ground here.")
    for one in found.strategies:
        _show_strategy(one, console, carbon)
    if found.heaps:
        heading(console, "Heaps, by the best values")
    for made in found.heaps:
        say(console, f"- {_heap(made, system)}")
    heading(console, "Every number used")
    console.print(_numbers(found))
    if found.notes:
        heading(console, "What this rests on")
    for _, note in found.notes:
        say(console, f"- {note}")


def _heap(made: HeapMade, system: System) -> str:
    """A heap in one sentence: what goes on, its C:N and moisture, what it makes."""
    mixed = "C:N not known" if made.carbon_to_nitrogen is None else f"C:N {made.carbon_to_nitrogen:.2g}"
    volume = "" if made.volume is None else f"{show(made.volume, 'volume', system)} or "
    end = made.finished_carbon_to_nitrogen
    ripe = "C:N not known" if end is None else f"C:N {end:.2g}"
    return (
        f"{made.name}: {show(made.fresh, 'mass', system)} go on, {mixed}, {100.0 * made.moisture:.2g} % water; "
        f"makes {volume}{show(made.mass, 'mass', system)} of compost, {ripe}."
    )


def _show_strategy(one: Understood, console: Console, carbon: Scale) -> None:
    heading(console, f"{one.strategy}: the first two years of {one.rounds} rounds in all")
    table = Table(box=None, pad_edge=False, show_header=False, padding=(0, 1))
    for _ in range(3):
        table.add_column(overflow="fold")
    for event in one.events:
        amount = "" if event.carbon is None else carbon.one(event.carbon)
        where = "" if event.where in ("", "all beds") else f" ({event.where})"
        known = f"; {event.basis}" if event.basis else ""
        table.add_row(event.date.isoformat(), Text(f"{event.what}{where}{known}"), amount)
    console.print(table)
    factors = "  ".join(f"{name} {short(value)}" for name, value in zip(MONTHS, one.factor, strict=True))
    say(console, f"climate factor: {factors}")


def _numbers(found: Explanation) -> Table:
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1))
    for name in ("what", "value", "known", "source"):
        table.add_column(name, overflow="fold")
    library = found.figures.library
    for unknown in found.numbers:
        source = Text(source_of(unknown, library))
        table.add_row(Text(unknown.label), Text(in_words(unknown)), KNOWN[unknown.known], source)
    return table


def in_words(unknown: Unknown) -> str:
    """A number with its range in base units: "0.60 (0.45 to 0.70) share"."""
    if unknown.known == "plan":
        return unknown.source
    best = f"{unknown.best:.3g}"
    unit = "" if unknown.unit in ("ratio", "share", "as printed") else f" {UNITS.get(unknown.unit, unknown.unit)}"
    if not unknown.is_range:
        return f"{best}{unit}"
    return f"{best} ({unknown.low:.3g} to {unknown.high:.3g}){unit}"


PLAIN_ADMISSIONS = ("memory", "recalled", "judgement", "arithmetic")  # the column beside says it already

UNITS = {
    "density": "kg/m3",
    "mass_per_area": "kg/m2",
    "rate": "per year",
    "temperature": "deg C",
    "temperature_difference": "deg C",
    "length": "m",
}


def source_of(unknown: Unknown, library: Library) -> str:
    """Where a number comes from, shortly: authors and year; empty where how it is known says all."""
    if unknown.known in ("plan", "judged") or unknown.source.lower() in PLAIN_ADMISSIONS:
        return ""
    source = library.sources.get(unknown.source)
    if source is None:
        return unknown.source
    return ", ".join(part for part in (source.authors, source.year) if part) or source.title


def _base_unit(unknown: Unknown) -> str:
    """The unit of the numbers beside it; what was typed in the plan has its own words in ``source``."""
    return base_unit(unknown.unit) if unknown.unit in dimensions() else unknown.unit


def as_json(found: Explanation) -> dict[str, Any]:
    """How the plan was understood, as nested dictionaries in base units."""
    return {
        "title": found.plan.title,
        "start": found.plan.start.isoformat(),
        "end": found.plan.end.isoformat(),
        "bed_area": found.plan.site.beds.bed_area,
        "layer_mass": found.layer_mass,
        "start_carbon": found.start_carbon,
        "tunnel_ratio": found.tunnel_ratio,
        "heaps": [asdict(one) for one in found.heaps],
        "strategies": [
            {
                "name": one.strategy,
                "climate_factor": list(one.factor),
                "events": [{**asdict(event), "date": event.date.isoformat()} for event in one.events],
            }
            for one in found.strategies
        ],
        "numbers": [
            {
                "name": unknown.name,
                "label": unknown.label,
                "best": unknown.best,
                "low": unknown.low,
                "high": unknown.high,
                "unit": _base_unit(unknown),
                "known": unknown.known,
                "source": unknown.source,
            }
            for unknown in found.numbers
        ],
        "notes": [{"id": name, "text": text} for name, text in found.notes],
    }
