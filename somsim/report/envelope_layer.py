"""A layer in the terminal: everything about it, its loads, hours, money, and the limits it meets."""

from __future__ import annotations

from rich.console import Console

from somsim.report.envelope import ranged, show_closing, table_of, with_unit
from somsim.report.terminal import heading, say
from somsim.report.words import System, scale
from somsim.study.envelope_layer import LayerAnswer, Limit, Loads

WORDS = {
    "density": "bulk density",
    "dry_matter": "dry matter",
    "dry": "dry mass",
    "organic_share": "organic matter in dry mass",
    "organic": "organic matter",
    "carbon_share": "carbon in dry mass",
}


def show_layer(found: LayerAnswer, console: Console, system: System = "metric") -> None:
    """Print the layer in both systems of units, then what it takes to spread it."""
    for sentence in sentences(found, system):
        say(console, sentence)
    heading(console, "The layer")
    rows = []
    for name, figure in found.found.items():
        given = " (given)" if name in found.given else ""
        both = [ranged(figure, "metric"), ranged(figure, "us") if figure.dimension != "share" else ""]
        rows.append([f"{WORDS.get(name, name)}{given}", *both])
    console.print(table_of(("", "metric", "US"), rows))
    if found.missing:
        missing = ", ".join(WORDS.get(name, name) for name in found.missing)
        say(console, f"Not known from what was given: {missing}.")
    if found.loads:
        heading(console, "To move and spread it")
        console.print(table_of(("", "holds", "loads"), [_load(one, system) for one in found.loads]))
    for name, hours in found.hours.items():
        say(console, f"{name}: {ranged(hours, system)} of one person")
    if found.money is not None:
        say(console, f"It costs {ranged(found.money)} {found.currency or '(in the money of your price)'}.")
    show_closing(console, found)


def sentences(found: LayerAnswer, system: System = "metric") -> list[str]:
    """The answer first, limits before everything."""
    what = found.material or "the material"
    parts = {name: found.found[name] for name in ("volume", "mass", "organic", "carbon") if name in found.found}
    words = {"volume": "", "mass": " as spread", "organic": " of organic matter", "carbon": " of carbon"}
    said = ", ".join(f"{ranged(figure, system)}{words[name]}" for name, figure in parts.items())
    lines = [f"{what[0].upper()}{what[1:]}: {said}."] if said else []
    return [*(_limit(limit, system) for limit in found.limits), *lines]


def _limit(limit: Limit, system: System) -> str:
    ground = scale("ground_load", system)
    cap = f"{ground.one(limit.limit, 3)} of {limit.element}"
    depth = ranged(limit.depth, system)
    if limit.brought is None:
        return f"The limit of {cap} is reached at {depth} ({limit.source})."
    brought = limit.brought
    best, low, high = (ground.number(end) for end in (brought.best, brought.low, brought.high))
    load = f"{best} ({low} to {high}) {ground.unit}" if brought.is_range else f"{best} {ground.unit}"
    over = brought.best > limit.limit
    verdict = "OVER A LIMIT: this layer brings" if over else "This layer brings"
    return f"{verdict} {load} of {limit.element}; the limit of {cap} is reached at {depth} ({limit.source})."


def _load(one: Loads, system: System) -> list[str]:
    span = "" if one.fewest == one.most else f" ({one.fewest} to {one.most})"
    return [one.name, with_unit(one.size, "volume", system), f"{one.likely}{span}"]
