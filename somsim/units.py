"""Quantities at the door: a number, or a range, with a unit, turned into the units used inside.

The grammar is small on purpose: `number [to number] unit`, where the unit is one exact spelling of the table
`library/units.csv`. There are no prefixes and no sums, so nothing typed by mistake can mean something else.
Rows of the table whose dimension is `refused` are spellings with more than one meaning; a note says which.
Within a dimension the first rows of the table are the ones offered in messages.

Inside: kg, m2, m, m3, year (365.25 days), deg C, shares 0-1; carbon per area in kg C/m2.
"""

from __future__ import annotations

import csv
import math
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

from somsim.errors import nearest

LONGEST = 40  # characters of one quantity; anything longer is not a number with a unit
LARGEST_EXPONENT = 12
LARGEST = 10.0**LARGEST_EXPONENT
REFUSED = "refused"  # stands in the column of dimensions for a spelling with more than one meaning
System = Literal["metric", "us"]

_NUMBER = r"[+-]?(?:[0-9]+(?:\.[0-9]+)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?(?![0-9.])"
_QUANTITY = re.compile(
    rf"(?P<low>{_NUMBER})(?:(?P<joint>\s+to\s+|\s*[-\u2013]\s*)(?P<high>{_NUMBER}))?\s*(?P<unit>.*)",
    re.DOTALL,
)


@dataclass(frozen=True)
class Amount:
    """A quantity in base units: `low` and `high` bound it, `best` is the middle, `text` is what was typed."""

    low: float
    best: float
    high: float
    text: str

    @property
    def is_range(self) -> bool:
        """True where two different numbers were typed."""
        return self.low != self.high


@dataclass(frozen=True)
class Unit:
    """One row of the table: base value = typed value x factor + offset."""

    spelling: str
    dimension: str
    factor: float
    offset: float
    shown: str
    shown_from: float
    note: str


@dataclass(frozen=True)
class Typed:
    """A quantity taken apart but not yet converted: the numbers as typed and the words after them."""

    low: float
    high: float
    unit: str
    text: str


class UnitError(ValueError):
    """A text that is not the quantity asked for: what is wrong, and what would do."""

    def __init__(self, message: str, hint: str | None = None) -> None:
        """Keep the message and the hint apart, for whoever adds the place."""
        self.message = message
        self.hint = hint
        super().__init__(message, hint)

    def __str__(self) -> str:
        """Message and hint in one line."""
        return self.message if self.hint is None else f"{self.message} ({self.hint})"


def parse_amount(text: str, dimension: str) -> Amount:
    """Read a number or a range with its unit; raises UnitError on anything else.

    `dimension` is a dimension of the table, such as "length" or "mass_per_area" (KeyError on any other).
    The best value of a range is its middle in base units.

    >>> parse_amount("15 mm", "length")
    Amount(low=0.015, best=0.015, high=0.015, text='15 mm')
    >>> parse_amount("2 to 3 %", "share").best
    0.025
    """
    offered = units_of(dimension)[0]
    typed = split_amount(text, offered)
    unit = _unit(typed.unit, dimension)
    if unit.factor < 0 and min(typed.low, typed.high) < 0:
        raise UnitError(
            f"a minus sign and {unit.spelling} together", f"write one of them: {text.strip(' -')}"
        )
    ends = sorted((_to_base(typed.low, unit), _to_base(typed.high, unit)))
    low, high = ends
    return Amount(low, low if low == high else low + (high - low) / 2, high, text)


def split_amount(text: str, offered: str = "mm") -> Typed:
    """Take a quantity apart into its numbers and the words of its unit, whatever the unit is.

    `offered` is the unit named in the message about a bare number.

    >>> split_amount("15 to 20 per hour")
    Typed(low=15.0, high=20.0, unit='per hour', text='15 to 20 per hour')
    """
    plain = _plain(text)
    if not plain:
        raise UnitError("nothing here; a number with a unit is needed", f"e.g. 1 {offered}")
    if len(plain) > LONGEST:
        raise UnitError(f"{len(plain)} characters; a number with a unit is at most {LONGEST}")
    _refuse_commas(plain)
    if re.search("[\u00bc-\u00be\u2150-\u215e]", plain):
        raise UnitError("a fraction sign", "write for example 0.5 or 1.25")
    found = _QUANTITY.fullmatch(plain)
    if found is None:
        raise _not_a_number(plain, offered)
    low_text, joint, high_text = found["low"], found["joint"], found["high"]
    unit = " ".join(found["unit"].split())
    if high_text is not None and joint.strip() != "to" and (low_text[0] in "+-" or high_text[0] in "+-"):
        raise UnitError("this dash could be a minus sign or a range", f'write "{low_text} to {high_text}"')
    low, high = _number(low_text), _number(high_text or low_text)
    if not unit:
        raise UnitError(f"a bare number; say the unit, e.g. {plain} {offered}")
    _refuse_sums(unit, plain)
    if low > high:
        raise UnitError(
            f"the range runs backwards: {low_text} is more than {high_text}", "write the smaller number first"
        )
    return Typed(low, high, unit, text)


def parse_series(text: str, dimension: str, count: int) -> tuple[float, ...]:
    """Read `count` numbers with one unit at the end, such as twelve monthly temperatures, in base units.

    >>> parse_series("50 41 32 deg F", "temperature", 3)
    (10.0, 5.0, 0.0)
    """
    offered = units_of(dimension)[0]
    plain = _plain(text)
    if len(plain) > LONGEST * (count + 1):
        raise UnitError(f"{len(plain)} characters; {count} numbers with a unit are needed")
    if re.search(r"[0-9]\s*[,;]", plain):
        raise UnitError(
            "commas between or inside the numbers", "write 4.2 4.4 4.5: a dot inside, a space between"
        )
    found = re.fullmatch(rf"((?:{_NUMBER}(?:\s+|(?=[^\s0-9]|$)))*)(.*)", plain, re.DOTALL)
    words = found[1].split() if found else []
    unit_text = " ".join(found[2].split()) if found else plain
    if unit_text.casefold().startswith(("nan", "inf")):
        raise UnitError(f"{unit_text.split()[0]} is not a number that can be used")
    if len(words) != count:
        after = f' before "{unit_text}"' if unit_text else ""
        raise UnitError(
            f"{count} numbers are needed; {len(words)} read{after}", f"{count} numbers, then one unit"
        )
    if not unit_text:
        raise UnitError(f"bare numbers; say the unit after the last one, e.g. {words[-1]} {offered}")
    unit = _unit(unit_text, dimension)
    return tuple(_to_base(_number(word), unit) for word in words)


def factor(unit: str, dimension: str) -> float:
    """Give what one `unit` is in base units (for a temperature: the size of its degree).

    >>> factor("in", "length")
    0.0254
    """
    return _unit(unit, dimension).factor


def units_of(dimension: str) -> list[str]:
    """List the spellings of a dimension, those most used first; KeyError for a dimension not in the table.

    >>> units_of("length")[:3]
    ['mm', 'cm', 'in']
    """
    return list(_units(dimension))


def base_unit(dimension: str) -> str:
    """The unit that values of a dimension are kept in; KeyError for a dimension not in the table.

    >>> base_unit("length"), base_unit("rate")
    ('m', 'per year')
    """
    rows = _units(dimension).items()
    return next((spelling for spelling, unit in rows if unit.factor == 1.0 and unit.offset == 0.0), "")


def dimensions() -> list[str]:
    """List the dimensions of the table, in its order.

    >>> dimensions()[:3]
    ['length', 'area', 'volume']
    """
    return [dimension for dimension in _every_row() if dimension != REFUSED]


def show(value: float, dimension: str, system: System = "metric", digits: int = 3) -> str:
    """Write a value in base units for a reader, in a unit that fits its size; ValueError if not finite.

    At most `digits` digits, the nought before the point among them. A nought at the end is kept where
    rounding made it and dropped where the number simply ends there. The largest unit that gives a number of
    one or more (or of the table's `shown_from` or more) is taken.

    >>> show(2.43, "mass_per_area"), show(2.43, "mass_per_area", "us"), show(0.015, "length")
    ('2.43 kg/m2', '0.50 lb/ft2', '15 mm')
    """
    if not math.isfinite(value):
        raise ValueError(f"{value} can't be shown as a quantity")
    fitting = [unit for unit in _units(dimension).values() if unit.shown in (system, "both")]
    downward = [unit for unit in fitting if unit.factor < 0]
    if downward:
        fitting = downward if value < 0 else [unit for unit in fitting if unit.factor > 0]
    by_size = sorted(fitting, key=lambda unit: abs(unit.factor))
    chosen = by_size[0]
    for unit in by_size[1:]:
        if abs(float(_rounded(_from_base(value, unit), digits))) >= unit.shown_from:
            chosen = unit
    number = _rounded(_from_base(value, chosen), digits)
    one = chosen.spelling.removesuffix("s")
    return f"{number} {one if number == '1' and one in _units(dimension) else chosen.spelling}"


@cache
def _every_row() -> dict[str, dict[str, Unit]]:
    """Read the table: for each dimension its units by spelling, in the order of the file."""
    table: dict[str, dict[str, Unit]] = {}
    path = Path(__file__).parent / "library" / "units.csv"
    with path.open(encoding="utf-8", newline="") as lines:
        for row in csv.DictReader(lines):
            unit = Unit(
                spelling=row["spelling"],
                dimension=row["dimension"],
                factor=float(row["factor"] or "nan"),  # refused spellings have no size
                offset=float(row["offset"] or "nan"),
                shown=row["shown"],
                shown_from=float(row["shown_from"] or "1"),
                note=row["note"],
            )
            table.setdefault(unit.dimension, {})[unit.spelling] = unit
    return table


def _units(dimension: str) -> dict[str, Unit]:
    if dimension not in dimensions():
        raise KeyError(f"no dimension {dimension!r}; there are {', '.join(dimensions())}")
    return _every_row()[dimension]


def _unit(spelling: str, dimension: str) -> Unit:
    units = _units(dimension)
    if spelling in units:
        return units[spelling]
    refused = _every_row()[REFUSED].get(spelling)
    if refused is not None:
        raise UnitError(f"not clear enough as a unit: {spelling}", refused.note)
    few = ", ".join(list(units)[:3])
    wanted = f"{_with_article(dimension)} is needed: {few}"
    for other in dimensions():
        if spelling in _units(other):
            raise UnitError(f"{spelling} is {_with_article(other)}; here {wanted}")
    close = nearest(spelling, units)
    raise UnitError(f'no unit "{spelling}" here; {wanted}', f"nearest: {', '.join(close)}" if close else None)


def _with_article(dimension: str) -> str:
    words = dimension.replace("_", " ")
    return f"{'an' if words[0] in 'aeio' else 'a'} {words}"


def _plain(text: str) -> str:
    return text.replace("\u2212", "-").strip()


def _number(text: str) -> float:
    exponent = re.search(r"[eE]([+-]?[0-9]+)$", text)
    too_fine = exponent is not None and abs(int(exponent[1])) > LARGEST_EXPONENT
    if too_fine or abs(float(text)) > LARGEST:
        raise UnitError(f"{text} is beyond any size used here", f"exponents go to {LARGEST_EXPONENT}")
    return float(text)


def _to_base(value: float, unit: Unit) -> float:
    return value * unit.factor + unit.offset


def _from_base(value: float, unit: Unit) -> float:
    return (value - unit.offset) / unit.factor


def _refuse_commas(plain: str) -> None:
    thousands = re.match(r"[+-]?[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?(?![0-9,])", plain)
    if thousands is not None:
        joined = thousands[0].replace(",", "")
        raise UnitError(
            f"the comma in {thousands[0]} has two meanings",
            f"write {joined} for thousands, or a dot for a decimal point",
        )
    if re.search(r"[0-9],[0-9]+,[0-9]", plain) is None and re.search(r"[0-9],[0-9]", plain) is not None:
        raise UnitError("a decimal comma", f"write {plain.replace(',', '.')}")
    if "," in plain:
        raise UnitError("a comma in a quantity", "write a dot for a decimal point, nothing for thousands")


def _refuse_sums(unit: str, plain: str) -> None:
    """Refuse words after the first number that hold another number, unless they are a unit of the table."""
    if any(unit in spellings for spellings in _every_row().values()):
        return
    twice = re.match(rf"(?P<unit>.+?)\s*(?:\bto\b|\u2013)\s*(?P<high>{_NUMBER})\s*(?P=unit)$", unit)
    if twice is not None:
        first = plain[: len(plain) - len(unit)].strip()
        raise UnitError("the unit stands twice", f"write {first} to {twice['high']} {twice['unit']}")
    part = re.match(r"(?:([0-9]+) )?([0-9]+) ?/ ?([1-9][0-9]*) ?([^0-9].*)?$", " ".join(plain.split()))
    if part is not None:
        value = int(part[1] or 0) + int(part[2]) / int(part[3])
        raise UnitError("a fraction", f"write {value:.4g} {part[4] or ''}".strip())
    if re.match(r"[0-9_']", unit):
        raise UnitError(
            "more than one number, without a word between", "1000 is written 1000; a range is 2 to 3"
        )
    if re.search(r"[*+^=()]|\s[-/]\s*[0-9]", unit):
        raise UnitError("a sum; one number and one unit are taken", "work it out first and write the result")


def _not_a_number(plain: str, offered: str) -> UnitError:
    word = plain.lstrip("+-").split()[0] if plain.lstrip("+-").split() else plain
    if re.match(r"(nan|inf(inity)?|none|null)\b", word.casefold()):
        return UnitError(
            f"{word} is not a number that can be used", f"leave it out, or write a number: 1 {offered}"
        )
    if re.match(r"[+-]?[0-9]", plain):
        return UnitError(
            "the number is not written in a way that can be read", "write for example 0.5 or 12 or 1e3"
        )
    return UnitError("a number must come first", f"e.g. 1 {offered}")


def _rounded(value: float, digits: int) -> str:
    """Write a number with at most `digits` digits, never with an exponent at everyday sizes, never -0."""
    if value == 0:
        return "0"
    if not 10.0**-LARGEST_EXPONENT < abs(value) < LARGEST:
        return f"{value:.{digits - 1}e}"
    rounded = value
    for _ in range(2):  # rounding up to the next power of ten takes a decimal away
        before = math.floor(math.log10(abs(rounded))) + 1
        decimals = (digits if before >= 1 else max(digits - 1, 1)) - before
        rounded = round(value, decimals)
    text = f"{rounded:.{max(decimals, 0)}f}"
    if "." in text and math.isclose(rounded, value, rel_tol=1e-9):
        text = text.rstrip("0").rstrip(".")
    return text
