"""Limits in a terminal and for machines: what is held against what, when it is passed, what would not have passed."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from rich.console import Console

from somsim.library import Library
from somsim.report.terminal import heading, say
from somsim.report.words import Scale, System, date_in_words, in_hundred, scale, short
from somsim.study.compare import Study
from somsim.study.held import LevelHeld, LoadHeld, Part
from somsim.study.limits_found import LimitsFound
from somsim.study.waits import ManureWait, MetalHeld, SaltHeld
from somsim.units import factor, split_amount

SHOWN_FROM = 0.1  # a chance of passing under which no smaller amount is told
DIMENSIONS = {
    "depth": "length",
    "volume": "volume",
    "mass": "mass",
    "mass_per_area": "mass_per_area",
    "dry_mass": "mass_per_area",
    "heap_share": "share",
}


def show_limits(study: Study, console: Console, system: System = "metric") -> None:
    """Print every limit that is passed or near, and which ones were looked at."""
    heading(console, "Limits")
    for line in limit_sentences(study, system):
        say(console, line if line.startswith(" ") else f"- {line}")


def limit_sentences(study: Study, system: System = "metric") -> Iterator[str]:
    """What is held against the strategies, the passed first."""
    found, library = study.limits, study.figures.library
    yield _how_chosen(study)
    yield from _loads(found.loads, library, system)
    for nutrient, names in found.not_counted.items():
        if names:
            yield f"The {nutrient} in {', '.join(names)} is not known and counts as nothing here: ask for an analysis."
    for level in found.levels:
        yield from _level(level, library)
    if found.salt is not None:
        yield _salt(found.salt, library)
    for wait in found.waits:
        yield _wait(wait)
    yield from _metals(found.metals, library)
    for name in found.not_worked_out:
        yield f"{name}: cannot be worked out from a plan; ask the authority."


def _how_chosen(study: Study) -> str:
    if study.plan.limits is None:
        return (
            "The plan names no limits, so usual ones are taken: typical, check your own. They count the ground with "
            "its paths, and any 12 or 24 months in a row. Nothing is capped."
        )
    return "The limits are those that the plan names. They count the ground with its paths. Nothing is capped."


def _told_by(source: str, known: str, library: Library) -> str:
    if known == "plan":
        return ""
    row = library.sources.get(source)
    title = source if row is None else row.title.strip("()")
    return f" ({title}{', from memory' if known == 'remembered' else ''})"


def _loads(found: tuple[LoadHeld, ...], library: Library, system: System) -> Iterator[str]:
    """Each limit once, with every strategy that may pass it below it; at last those that nobody passes."""
    unit, kept = scale("ground_load", system), []
    for rule in dict.fromkeys(one.rule for one in found):
        held = sorted((one for one in found if one.rule == rule), key=lambda one: -one.chance)
        over = [one for one in held if one.chance > 0.0]
        name = f"{rule.name[0].upper()}{rule.name[1:]}"
        if not over:
            kept.append(f"{rule.name} ({'; '.join(one.strategy for one in held)})")
            continue
        told = _told_by(rule.source, rule.known, library)
        yield f"{name}: {unit.one(rule.level, 3)} in any {rule.months} months{told}."
        yield from (f"  {_load(one, unit)}" for one in over)
    if kept:
        yield f"Not passed in any world: {', '.join(kept)}."


def _load(one: LoadHeld, unit: Scale) -> str:
    line = f"{one.strategy}: {unit.range(one.most)} {unit.unit}"
    if not one.passed or one.over is None or one.since is None:
        line = f"{line}; over it {in_hundred(one.chance)} worlds."
        return f"{line} {_enough(one)}" if one.chance >= SHOWN_FROM else line
    line = (
        f"{line}, OVER IT by {unit.range(one.over)}, first on {date_in_words(one.since)}, {in_hundred(one.chance)} "
        f"worlds. {_enough(one)}"
    )
    return line if one.option is None else f"{line} It keeps to the two-year option, where that is open to you."


def _enough(one: LoadHeld) -> str:
    """The largest amounts that would not pass: in the middle world, and in 9 of 10."""
    safe = "; ".join(_amount(part, part.safe) for part in one.parts)
    if not one.passed:
        return f"To keep under it in 9 of 10 worlds: {safe} each time."
    middle = "; ".join(_amount(part, part.middle) for part in one.parts)
    return f"Largest that would not pass in the middle world: {middle} each time; in 9 of 10 worlds: {safe}."


def _amount(part: Part, value: float) -> str:
    """An amount of a material in the unit that the plan uses, rounded down so that it does not pass."""
    unit = split_amount(part.text).unit
    amount = f"{_down(value / factor(unit, DIMENSIONS[part.amount]))} {unit}"
    return f"{part.material}, {amount}{' dry' if part.amount == 'dry_mass' else ''}"


def _down(value: float) -> str:
    """A number with two digits, never more than it is.

    >>> _down(7.46), _down(0.0999), _down(123.0)
    ('7.4', '0.099', '120')
    """
    if value <= 0.0:
        return "0"
    step = 10.0 ** (math.floor(math.log10(value) + 1e-12) - 1)
    return short(math.floor(value / step + 1e-9) * step)


def _worlds(chance: float) -> str:
    """In how many worlds.

    >>> _worlds(0.0), _worlds(0.5)
    ('in no world', 'in 50 of 100 worlds')
    """
    return f"{in_hundred(chance)} worlds" if chance > 0.0 else "in no world"


def _level(one: LevelHeld, library: Library) -> Iterator[str]:
    plain = Scale(one.unit, 1.0)
    told = _told_by(one.source, one.known, library)
    base = f"{one.strategy}, {one.name}: {plain.range(one.now)} {one.unit} now"
    if one.end is None:
        state = "over" if one.passed else "not over"
        yield f"{base}, {state} the level to stop at, {one.level:g}{told}; how it rises is not published for this test."
        return
    course = f"{base}, {plain.range(one.end)} at the end"
    if one.since is not None:
        yield (
            f"{course}; over the level to stop at, {one.level:g}{told}, from {date_in_words(one.since)} "
            f"({_worlds(one.chance)}). Bring no phosphorus beyond what harvests take."
        )
    else:
        yield f"{course}; the level to stop at, {one.level:g}{told}, is passed {_worlds(one.chance)}."


def _salt(one: SaltHeld, library: Library) -> str:
    if one.level is None:
        return f"Soil salt {one.text}: by this method no level is held here; ask the laboratory, and do not change it."
    told = _told_by(one.source, one.known, library)
    state = "over" if one.passed else "under"
    return f"Soil salt {one.text} by 1:2 is {state} {one.level:g} dS/m, where sensitive crops begin to lose{told}."


def _wait(one: ManureWait) -> str:
    base = f"{one.strategy}: {one.material} on {date_in_words(one.spread)}, {one.crop}"
    rule = f"the organic rule of the United States asks {one.days} days before harvest"
    if one.verdict == "stands":
        return f"{base} stands on the bed: {rule}, and none on a standing crop."
    if one.verdict == "too soon":
        return f"{base} is cleared before {date_in_words(one.earliest)}: too soon, {rule}."
    return f"{base}: harvest nothing before {date_in_words(one.earliest)}; {rule}."


def _metals(found: tuple[MetalHeld, ...], library: Library) -> Iterator[str]:
    passed = [one for one in found if one.passed]
    for one in passed:
        yield (
            f"{one.material}: {one.metal.replace('_', ' ')} {short(one.found * 1e6, 3)} mg/kg is over "
            f"{short(one.level * 1e6, 3)} in {one.limit}{_told_by(one.source, one.known, library)}."
        )
    if found and not passed:
        names = ", ".join(dict.fromkeys(one.material for one in found))
        lists = ", ".join(dict.fromkeys(one.limit for one in found))
        yield f"The metals measured in {names} are under the limits held: {lists}."


def limits_as_json(found: LimitsFound) -> dict[str, Any]:
    """All limits held, as numbers in base units, levels of tests as printed."""
    return {
        "loads": [_plain({**asdict(one), "passed": one.passed, "unit": "kg/m2 of ground"}) for one in found.loads],
        "levels": [_plain({**asdict(one), "passed": one.passed}) for one in found.levels],
        "metals": [_plain({**asdict(one), "passed": one.passed, "unit": "1"}) for one in found.metals],
        "salt": None if found.salt is None else _plain({**asdict(found.salt), "passed": found.salt.passed}),
        "raw_manure": [_plain(asdict(one)) for one in found.waits],
        "not_worked_out": list(found.not_worked_out),
        "not_counted": {nutrient: list(names) for nutrient, names in found.not_counted.items()},
    }


def _plain(fields: dict[str, Any]) -> dict[str, Any]:
    return {name: value.isoformat() if hasattr(value, "isoformat") else value for name, value in fields.items()}
