"""Amounts of a season in the units people carry: a bed, a metre of bed, barrows, bags; metric or US."""

from __future__ import annotations

from collections.abc import Iterator

from somsim.plan.site import Beds
from somsim.report.words import Scale, System
from somsim.study.equivalence import Spread
from somsim.study.season_types import Season, Task
from somsim.units import factor

LITRE, GRAM = 1e-3, 1e-3  # m3, kg
UNITS = {  # the large unit, the small one, and how much of the large one is shown in the small
    "volume": {"metric": ("m3", "l", 0.25), "us": ("yd3", "ft3", 0.25)},
    "mass": {"metric": ("kg", "g", 1.0), "us": ("lb", "oz", 1.0)},
    "area": {"metric": ("m2", "m2", 0.0), "us": ("ft2", "ft2", 0.0)},
    "length": {"metric": ("m", "m", 0.0), "us": ("ft", "ft", 0.0)},
}
OUNCES_A_POUND, FEET3_A_YARD3, LITRES_A_M3, GRAMS_A_KILO = 16.0, 27.0, 1000.0, 1000.0
SMALLER = {"l": LITRES_A_M3, "ft3": FEET3_A_YARD3, "g": GRAMS_A_KILO, "oz": OUNCES_A_POUND}
HEAVY = {"metric": ("t", 1000.0), "us": ("short ton", 2000.0)}  # in kg, in lb


def unit_for(kind: str, size: float, system: System) -> Scale:
    """The unit in which an amount of a size, in base units, is read most easily."""
    large, small, least = UNITS[kind][system]
    times = 1.0 / factor(large, kind)
    if size * times >= least or small == large:
        name, per = HEAVY[system]
        if kind == "mass" and size * times >= per:
            return Scale(name, times / per)
        return Scale(large, times)
    return Scale(small, times * SMALLER[small])


def amount(kind: str, spread: Spread, system: System) -> str:
    """An amount with its unit and its range: "320 kg (240 to 400)"."""
    return ranged(spread, unit_for(kind, spread.p50, system))


def ranged(spread: Spread, unit: Scale) -> str:
    """A middle with its unit and its range, each with two digits that mean something."""
    middle = unit.one(spread.p50)
    return middle if spread.exact else f"{middle} ({unit.number(spread.p10)} to {unit.number(spread.p90)})"


def times(spread: Spread, by: float) -> Spread:
    """A spread of something else that goes with it in proportion."""
    return Spread(*(getattr(spread, name) * by for name in ("best", "p10", "p50", "p90")))


def one_bed(beds: Beds) -> float | None:
    """m2 of one bed; None where the plan has one area without beds."""
    return beds.bed_area / beds.number if beds.count is not None else None


def on_the_ground(task: Task, season: Season, system: System) -> Iterator[str]:
    """How much goes onto a bed, a metre of bed or each square metre, or comes off it; a barrow is one of the garden."""
    beds = season.plan.site.beds
    bed, width = one_bed(beds), beds.width.best if beds.width is not None else None
    kind = "volume" if task.volume is not None else "mass"
    each = task.volume if task.volume is not None else task.mass
    if each is None:
        return
    if task.kind in ("cut", "rake", "heap") and bed is not None:
        yield f"about {amount(kind, times(each, bed), system)} fresh a bed"
        return
    if bed is None:
        yield f"{amount(kind, times(each, 1.0 / _per_area(system)), system)} on each {UNITS['area'][system][0]}"
        return
    if task.volume is not None and task.how == "barrow":
        yield f"{ranged(times(each, bed), Scale('barrows', 1.0 / season.barrow))} a bed"
    yield f"{amount(kind, times(each, bed), system)} a bed"
    if width is not None:
        length = UNITS["length"][system][0]
        yield f"{amount(kind, times(each, width * factor(length, 'length')), system)} on each {length} of bed"


def _per_area(system: System) -> float:
    """How many of the unit of area make a square metre."""
    return 1.0 / factor(UNITS["area"][system][0], "area")


def in_all(task: Task, system: System) -> Iterator[str]:
    """How much it is on all its beds."""
    for kind, each in (("volume", task.volume), ("mass", task.mass)):
        if each is not None and (kind == "volume" or task.volume is None or task.kind == "spread"):
            yield f"{amount(kind, times(each, task.area), system)} in all"


def warm(celsius: float, system: System) -> str:
    """A temperature, to the degree."""
    return f"{celsius:.0f} deg C" if system == "metric" else f"{celsius * 1.8 + 32.0:.0f} deg F"


def ground_size(season: Season, system: System) -> str:
    """How large the beds are: "6 beds of 15 m x 1.2 m, 108 m2"."""
    beds = season.plan.site.beds
    area = Scale(UNITS["area"][system][0], _per_area(system))
    whole = area.one(beds.bed_area, 3)
    if beds.count is None or beds.length is None or beds.width is None:
        return whole if beds.count is None else f"{beds.number} bed{'s' if beds.number > 1 else ''}, {whole}"
    length = Scale(UNITS["length"][system][0], 1.0 / factor(UNITS["length"][system][0], "length"))
    size = f"{length.one(beds.length.best)} x {length.one(beds.width.best)}"
    return f"{beds.number} bed{'s' if beds.number > 1 else ''} of {size}, {whole}"
