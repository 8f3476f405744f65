"""Back-of-envelope answers, for people and for machines: what all six have in common."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from somsim.report.terminal import heading, say
from somsim.report.words import System, scale, short
from somsim.study.envelope import Closing, Figure
from somsim.study.equivalence import Spread
from somsim.units import factor, show
from somsim.version import VERSION

BASES: Mapping[str, str] = {
    "length": "m",
    "area": "m2",
    "volume": "m3",
    "mass": "kg",
    "density": "kg/m3",
    "mass_per_area": "kg/m2",
    "carbon_per_area": "kg C/m2",
    "volume_per_area": "m3/m2",
    "share": "1",
    "ratio": "1",
    "time": "h",
}
# Numbers that stand alone in an answer, by the name of their field.
BARE: Mapping[str, str] = {
    "per_sample": "kg/m2",
    "sampled_area": "m2",
    "per_area": "kg/m2",
    "standard_error": "kg/m2",
    "total": "kg",
    "drying_time": "h",
    "layer_wanted": "m",
    "layer": "m",
    "depth": "m",
    "beds": "m2",
    "size": "m3",
    "limit": "kg/m2",
}
SPREADS: Mapping[str, str] = {
    "lasting": "m",
    "on_the_day": "m",
    "volume": "m",
    "on_beds": "m3",
    "on_beds_today": "m3",
    "of_layer": "1",
    "carbon": "kg C/m2",
}
CLOSING = tuple(field.name for field in fields(Closing))
EXACT_DIGITS, RANGE_DIGITS = 3, 2
LEAST_PER_AREA = 0.05  # kg/m2: smaller amounts are read in g/m2


def with_unit(value: float, dimension: str, system: System = "metric", digits: int = EXACT_DIGITS) -> str:
    """A number in a unit that fits its size; with all digits it is taken as exact, and noughts at the end fall.

    >>> with_unit(0.77, "mass_per_area"), with_unit(17.2, "ratio"), with_unit(1.5, "area", "us", 2)
    ('0.77 kg/m2', '17.2', '16 ft2')
    """
    unit = unit_for(value, dimension, system)
    number = value / _size(unit, dimension)
    if digits < EXACT_DIGITS:
        return f"{short(number, digits)} {unit}".rstrip()
    text = short(number, digits)
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text} {unit}".rstrip()


def unit_for(value: float, dimension: str, system: System = "metric") -> str:
    """The unit that people read a value of this size in; none for a ratio."""
    if dimension == "ratio":
        return ""
    if dimension in ("mass_per_area", "carbon_per_area") and value >= LEAST_PER_AREA:
        return scale(dimension, system).unit
    return show(value, dimension, system).split(" ", 1)[1]


def _size(unit: str, dimension: str) -> float:
    return factor(unit, dimension) if unit else 1.0


def ranged(figure: Figure, system: System = "metric", digits: int = RANGE_DIGITS) -> str:
    """A figure with its range, all in the unit that fits the best value.

    >>> ranged(Figure(0.00534, 0.00296, 0.00924, "length"))
    '5.3 mm (3.0 to 9.2)'
    """
    if not figure.is_range:
        return with_unit(figure.best, figure.dimension, system)
    best = with_unit(figure.best, figure.dimension, system, digits)
    return f"{best} ({ends(figure, system, digits)})"


def ends(figure: Figure, system: System = "metric", digits: int = RANGE_DIGITS) -> str:
    """The range of a figure alone, in the unit that fits its best value.

    >>> ends(Figure(0.00534, 0.00296, 0.00924, "length"))
    '3.0 to 9.2'
    """
    return _ends_in(figure, unit_for(figure.best, figure.dimension, system), digits)


def in_unit(figure: Figure, unit: str, digits: int = RANGE_DIGITS) -> str:
    """A figure with its range in a given unit, which is left to the head of its column.

    >>> in_unit(Figure(0.00534, 0.00296, 0.00924, "length"), "mm")
    '5.3 (3.0 to 9.2)'
    """
    best = short(figure.best / _size(unit, figure.dimension), digits)
    return f"{best} ({_ends_in(figure, unit, digits)})" if figure.is_range else best


def _ends_in(figure: Figure, unit: str, digits: int) -> str:
    size = _size(unit, figure.dimension)
    return f"{short(figure.low / size, digits)} to {short(figure.high / size, digits)}"


def as_figure(spread: Spread, dimension: str) -> Figure:
    """The middle of the draws with P10 to P90 as a figure to be shown."""
    return Figure(spread.p50, spread.p10, spread.p90, dimension)


def table_of(columns: Sequence[str], rows: Iterable[Sequence[str]]) -> Table:
    """A plain table: the first column to the left, the others to the right."""
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, show_edge=False, padding=(0, 1))
    for number, name in enumerate(columns):
        table.add_column(Text(name), justify="left" if number == 0 else "right", overflow="fold")
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    return table


def show_closing(console: Console, found: Closing) -> None:
    """Print what every answer ends with: cautions, what was assumed, and lines for a plan."""
    if found.watch:
        heading(console, "What to watch")
    for caution in found.watch:
        say(console, f"- {caution.text} Decides: {caution.who_decides.rstrip('.')}.")
    if found.assumed:
        heading(console, "What was assumed")
    for sentence in found.assumed:
        say(console, f"- {sentence}")
    for lines in found.plan_lines:
        heading(console, f"For a plan, {lines.where}:")
        # Not wrapped: a line broken by us would no longer be the same YAML.
        console.print(Text(lines.text.rstrip("\n")), soft_wrap=True)


def as_json(found: Any) -> dict[str, Any]:
    """An answer as nested dictionaries in base units; `json.dumps` writes them as they are."""
    body = _plain(found, "")
    names = _names(body)
    units = {name: unit for name, unit in BARE.items() if name in names}
    return {"somsim": VERSION, "units": units, **body}


def _plain(value: Any, name: str) -> Any:
    if isinstance(value, Figure):
        return {"best": value.best, "low": value.low, "high": value.high, "unit": BASES[value.dimension]}
    if isinstance(value, Spread):
        made = {"best": value.best, "p10": value.p10, "p50": value.p50, "p90": value.p90}
        return {**made, "unit": SPREADS[name]}
    if is_dataclass(value):
        names = sorted((field.name for field in fields(value)), key=CLOSING.__contains__)  # what comes last, last
        return {name: _plain(getattr(value, name), name) for name in names}
    if isinstance(value, Mapping):
        return {str(key): _plain(item, name) for key, item in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(item, name) for item in value]
    return value


def _names(value: Any) -> set[str]:
    """The keys under which bare numbers stand."""
    if isinstance(value, Mapping):
        own = {str(key) for key, item in value.items() if isinstance(item, float | list)}
        return own.union(*(_names(item) for item in value.values()))
    if isinstance(value, list):
        return set().union(*(_names(item) for item in value))
    return set()
