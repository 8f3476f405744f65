"""Nutrients in a terminal and for machines: what comes, what goes, when nitrogen is free, and salt under cover."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import asdict
from typing import Any

from rich.console import Console
from rich.text import Text

from somsim.library import Library
from somsim.report.columns import cell, side_by_side, table_of
from somsim.report.terminal import heading, say
from somsim.report.words import Scale, System, scale, short
from somsim.study.compare import Study
from somsim.study.equivalence import Spread
from somsim.study.nutrients import Nutrients

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
ACCOUNTS = {
    "brought": "brought by materials",
    "fixed": "taken from the air by legumes",
    "freed": "set free in the beds",
    "taken": "taken up by plants",
    "to_air": "lost to the air by heaps",
    "in_humus": "gained by humus",
    "surplus": "free and not taken (below 0: plants need more than is counted)",
}
NEED_AS_A_WHOLE = "By which month crops take it up is not published for them, so their need is told as a whole."
LEAST = 1e-9  # kg/m2: under it an account is empty


def per_ground(system: System) -> Scale:
    """The unit of a nutrient on an area of bed."""
    unit = scale("ground_load", system)
    return Scale(unit.unit, unit.times)


def show_nutrients(study: Study, console: Console, system: System = "metric") -> None:
    """Print nitrogen, phosphorus, potassium and salt of every strategy."""
    unit = per_ground(system)
    heading(console, f"Nutrients, {unit.unit} of bed and year")
    for together in side_by_side(study.nutrients, console.width):
        table = table_of([one.strategy for one in together])
        for label, spreads, own in nutrient_rows(together, unit):
            table.add_row(Text(label), *(Text(cell(own, spread)) for spread in spreads))
        console.print(table)
    for line in sentences(study, system):
        say(console, line)


def nutrient_rows(found: Sequence[Nutrients], unit: Scale) -> Iterator[tuple[str, list[Spread | None], Scale]]:
    """Label, a figure for each strategy, and their scale; accounts that are empty in every strategy are left out."""
    for name, words in ACCOUNTS.items():
        spreads = [one.nitrogen[name] for one in found]
        if any(_filled(spread) for spread in spreads):
            yield f"nitrogen {words}", list(spreads), unit
    for nutrient in ("phosphorus", "potassium"):
        for part, words in (("brought", "brought"), ("left", "brought less harvests")):
            yield f"{nutrient} {words}", [getattr(getattr(one, nutrient), part) for one in found], unit


def _filled(spread: Spread) -> bool:
    return max(abs(spread.best), abs(spread.p10), abs(spread.p90)) > LEAST


def sentences(study: Study, system: System) -> Iterator[str]:
    """What the table cannot say: months first, then the rest."""
    unit = per_ground(system)
    yield (
        f"Nitrogen set free by month, January first, {unit.unit} of bed in the middle world (ranges are in the files). "
        f"{NEED_AS_A_WHOLE}"
    )
    for one in study.nutrients:
        months = " ".join(short(month.p50 * unit.times) for month in one.months)
        yield f"  {one.strategy}: {months}"
    yield from other_sentences(study, system)


def other_sentences(study: Study, system: System) -> Iterator[str]:
    """What neither table nor months can say: crops, tie-up, the phosphorus test, salt, and what is left out."""
    unit = per_ground(system)
    for one in study.nutrients:
        yield from _crops(one, unit)
    yield from _folded(_tied, study, unit)
    yield from _test(study)
    yield from salt_sentences(study)
    yield from _left_out(study.nutrients)


def _crops(one: Nutrients, unit: Scale) -> Iterator[str]:
    for crop in one.needs:
        free = f"the beds set free {unit.range(crop.released)} while it stands"
        if crop.need is None:
            yield f"{one.strategy}, {crop.crop}: {free}; what its harvest takes is not published."
        else:
            yield f"{one.strategy}, {crop.crop}: needs {unit.range(crop.need)} {unit.unit} in all; {free}."


def _folded(lines: Any, study: Study, unit: Scale) -> Iterator[str]:
    """Each line once, with the strategies it is true in."""
    found: dict[str, list[str]] = {}
    for one in study.nutrients:
        for line in lines(one, unit):
            found.setdefault(line, []).append(one.strategy)
    for line, names in found.items():
        yield f"{line}{_whom(names, study)}"


def _whom(names: Sequence[str], study: Study) -> str:
    """The strategies that a line is true in, unless it is true in all."""
    return "" if len(names) == len(study.nutrients) else f" [in: {'; '.join(names)}]"


def _tied(one: Nutrients, unit: Scale) -> Iterable[str]:
    for cover, spread in one.first_weeks.items():
        if spread.p50 >= 0.0:
            yield f"{cover} frees {unit.range(spread)} {unit.unit} in the first weeks after its last cut."
        else:
            tied = Spread(-spread.best, -spread.p90, -spread.p50, -spread.p10)
            yield (
                f"{cover} ties up {unit.range(tied)} {unit.unit} in the first weeks after its last cut: "
                "the next crop waits, or is given nitrogen."
            )


def _test(study: Study) -> Iterator[str]:
    """How far an Olsen test would rise; of any other test nobody published it."""
    for one in study.nutrients:
        if one.olsen_rise.p50 > LEAST:
            rise = Scale("mg/l", 1.0).range(one.olsen_rise)
            yield (
                f"{one.strategy}: the phosphorus left would lift an Olsen test by {rise} mg/l by the end "
                "(a remembered figure; for other tests no published rise)."
            )


def salt_sentences(study: Study) -> Iterator[str]:
    """For how long no rain washes the soil, and what one laboratory measured; no level is worked out."""
    told: dict[str, list[str]] = {}
    for one in study.nutrients:
        if one.salt is None:
            continue
        what, times = " and ".join(one.salt.materials), f"{one.salt.rounds} time{'s' if one.salt.rounds > 1 else ''}"
        spread = f"in it {what} is spread {times}" if one.salt.rounds else "no compost or manure is spread"
        film = "between two times without film" if one.salt.uncovered else "as the film never comes off"
        line = f"No rain reaches the soil for {short(one.salt.years)} years, {film}; {spread}."
        told.setdefault(line, []).append(one.strategy)
    for line, names in told.items():
        yield f"Salt: {line}{_whom(names, study)}"
    if told:
        yield published_salt(study.figures.library)


def published_salt(library: Library) -> str:
    """The published series of soil salt under compost and cover, and what a winter of rain did to it."""
    inch, winter = (library.tables["limits"][name] for name in ("salt_inch_a_year", "salt_uncovered_winter"))
    rising = ", ".join(f"{inch.value(name).best:g}" for name in ("start", "year_1", "year_2"))
    before, after = (f"{winter.value(name).best:g}" for name in ("before", "after"))
    return (
        f"One laboratory measured {rising} dS/m at the start and after one and two years of an inch (25 mm) of compost "
        f"a year under cover, and {before} falling to {after} over a winter with the film off. No level is worked out "
        "from this for your beds: only a test by one laboratory and one method can tell."
    )


def _left_out(found: Sequence[Nutrients]) -> Iterator[str]:
    names = dict.fromkeys(name for one in found for name in one.unknown)
    if names:
        yield f"No nitrogen figure is published for {', '.join(names)}: it counts as nothing. Give your own."
    others = dict.fromkeys(name for one in found for part in (one.phosphorus, one.potassium) for name in part.unknown)
    if others:
        yield f"Phosphorus and potassium leave out, for want of a figure: {', '.join(others)}."


def nutrients_as_json(one: Nutrients) -> dict[str, Any]:
    """The nutrients of a strategy as numbers in base units."""
    return {
        "nitrogen": {name: _spread(spread, "kg/m2/yr") for name, spread in one.nitrogen.items()},
        "nitrogen_by_month": [_spread(spread, "kg/m2") for spread in one.months],
        "first_weeks": {name: _spread(spread, "kg/m2") for name, spread in one.first_weeks.items()},
        "crops": [
            {
                "crop": crop.crop,
                "from": crop.first.isoformat(),
                "to": crop.last.isoformat(),
                "need": None if crop.need is None else _spread(crop.need, "kg/m2"),
                "released": _spread(crop.released, "kg/m2"),
            }
            for crop in one.needs
        ],
        "phosphorus": _balance(one.phosphorus),
        "potassium": _balance(one.potassium),
        "olsen_rise": _spread(one.olsen_rise, "mg/l"),
        "salt": None
        if one.salt is None
        else {**asdict(one.salt), "first": one.salt.first.isoformat(), "last": one.salt.last.isoformat()},
        "left_out": list(one.unknown),
    }


def _balance(balance: Any) -> dict[str, Any]:
    parts = {name: _spread(getattr(balance, name), "kg/m2/yr") for name in ("brought", "taken", "left")}
    return {**parts, "left_out": list(balance.unknown)}


def _spread(spread: Spread, unit: str) -> dict[str, Any]:
    return {**asdict(spread), "unit": unit}
