"""Numbers as people read them: few digits, a unit, a range; metric or US."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from somsim.study.equivalence import Spread
from somsim.units import factor

System = Literal["metric", "us"]

UNITS: dict[str, tuple[str, str]] = {
    "mass_per_area": ("kg/m2", "lb/ft2"),
    "carbon_per_area": ("kg C/m2", "lb C/ft2"),
    "carbon_rate": ("kg C/m2/yr", "lb C/ft2/yr"),
    "length": ("mm", "in"),
    "share": ("%", "%"),
    "ground_load": ("kg/ha", "lb/acre"),
}
DIMENSIONS = {"ground_load": "mass_per_area"}
LEAST = 1e-9
NEAR_NOUGHT = 0.1  # of the wider end of a range


def short(value: float, digits: int = 2) -> str:
    """A number with few significant digits, plain at everyday sizes, never -0.

    >>> short(0.0), short(172.3), short(0.04567), short(-1.96), short(9.97)
    ('0', '170', '0.046', '-2.0', '10')
    """
    if abs(value) < LEAST:
        return "0"
    size = math.floor(math.log10(abs(value)))
    rounded = round(value, digits - 1 - size)
    size = math.floor(math.log10(abs(rounded)))
    decimals = max(digits - 1 - size, 0)
    return f"{rounded:.{decimals}f}"


@dataclass(frozen=True)
class Scale:
    """One unit for a value and its range: ``value * times`` is in ``unit``."""

    unit: str
    times: float

    def number(self, value: float, digits: int = 2) -> str:
        """The number alone."""
        return short(value * self.times, digits)

    def one(self, value: float, digits: int = 2) -> str:
        """The number with its unit."""
        return f"{self.number(value, digits)} {self.unit}"

    def range(self, spread: Spread, digits: int = 2) -> str:
        """The middle with its range, without the unit: "2.0 (0.9 to 3.9)", or one number when it is exact."""
        middle = self.number(spread.p50, digits)
        return middle if spread.exact else f"{middle} ({self.outer(spread, digits)})"

    def outer(self, spread: Spread, digits: int = 2) -> str:
        """The range alone, to the last digit of its middle that means something: "0.9 to 3.9", "290 to 1360".

        A middle near nought has decimals beyond number, or none: there the wider end says how many mean something.
        """
        ends = [spread.p10 * self.times, spread.p90 * self.times]
        widest = max(abs(value) for value in ends)
        middle, wide = (_places(value, digits) for value in (spread.p50 * self.times, widest))
        places = wide if abs(spread.p50 * self.times) < NEAR_NOUGHT * widest else middle
        return f"{fixed(ends[0], places)} to {fixed(ends[1], places)}"


def _places(value: float, digits: int) -> int:
    """The last digit of a number that means something, in decimals; below nought in tens, hundreds ..."""
    decimals = len(short(value, digits).partition(".")[2])
    if decimals or abs(value) < 10.0**digits:
        return decimals
    return digits - 1 - math.floor(math.log10(abs(value)))


def fixed(value: float, places: int) -> str:
    """A number with so many decimals, or to so many tens, never -0.

    >>> fixed(-0.004, 2), fixed(9.996, 2), fixed(1364.0, -1), fixed(4.2, -1)
    ('0.00', '10.00', '1360', '4')
    """
    if places < 0:
        rounded = round(value, places)
        return short(value, 1) if rounded == 0.0 else f"{rounded:.0f}"
    text = f"{value:.{places}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def scale(kind: str, system: System = "metric") -> Scale:
    """The unit people read a kind of figure in.

    >>> scale("length", "us").unit
    'in'
    """
    unit = UNITS[kind][0 if system == "metric" else 1]
    return Scale(unit, 1.0 / factor(unit, DIMENSIONS.get(kind, kind)))


def in_hundred(chance: float) -> str:
    """A chance as worlds of a hundred; certainty only where no world said otherwise.

    >>> in_hundred(0.957), in_hundred(1.0), in_hundred(0.998), in_hundred(0.001)
    ('in 96 of 100', 'in all', 'in over 99 of 100', 'in under 1 of 100')
    """
    if chance >= 1.0:
        return "in all"
    if chance <= 0.0:
        return "in none"
    rounded = round(100.0 * chance)
    if rounded >= 100:
        return "in over 99 of 100"
    return "in under 1 of 100" if rounded < 1 else f"in {rounded} of 100"


def months_in_words(months: int) -> str:
    """A length of time in plain words.

    >>> months_in_words(6), months_in_words(12), months_in_words(144), months_in_words(30)
    ('half a year', '1 year', '12 years', '30 months')
    """
    if months == 6:
        return "half a year"
    if months % 12 == 0:
        years = months // 12
        return f"{years} year" + ("s" if years > 1 else "")
    return f"{months} month" + ("s" if months > 1 else "")


def date_in_words(date: object) -> str:
    """A date as it is spoken: "1 October 2026"."""
    return f"{date:%d %B %Y}".lstrip("0")
