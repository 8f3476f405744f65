"""Sums on the back of an envelope: figures with a range, carried through any formula, and lines for a plan."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass

from somsim.errors import InputError, Problem, nearest
from somsim.library import Entry, Library, Value
from somsim.units import Amount, UnitError, parse_amount

NOTHING_DONE = "nothing was estimated."
Inputs = Mapping[str, float]


@dataclass(frozen=True)
class Figure:
    """A best value with its range, in the base unit of a dimension; low = best = high where nothing is uncertain."""

    best: float
    low: float
    high: float
    dimension: str

    @property
    def is_range(self) -> bool:
        """Whether low and high differ by more than rounding."""
        return not math.isclose(self.low, self.high, rel_tol=1e-9, abs_tol=1e-15)

    def times(self, factor: float, dimension: str | None = None) -> Figure:
        """The figure times an exact positive number, perhaps of another dimension then."""
        ends = (self.best * factor, self.low * factor, self.high * factor)
        return Figure(*ends, dimension or self.dimension)


@dataclass(frozen=True)
class PlanLines:
    """Lines of YAML for a plan, and where in it they belong."""

    where: str
    text: str


@dataclass(frozen=True)
class Watch:
    """A caution of the library: what to do, why, and who decides."""

    id: str
    text: str
    why: str
    who_decides: str


@dataclass(frozen=True, kw_only=True)
class Closing:
    """What every answer ends with: what was assumed, lines for a plan, and the cautions that go with it."""

    assumed: tuple[str, ...]
    plan_lines: tuple[PlanLines, ...]
    watch: tuple[Watch, ...] = ()


def exact(value: float, dimension: str) -> Figure:
    """A figure without a range."""
    return Figure(value, value, value, dimension)


def of_value(value: Value) -> Figure:
    """A figure from a row of the library."""
    return Figure(value.best, value.low, value.high, value.dimension)


def of_amount(amount: Amount, dimension: str) -> Figure:
    """A figure from what somebody typed."""
    return Figure(amount.best, amount.low, amount.high, dimension)


def combined(
    formula: Callable[[Inputs], Inputs], inputs: Mapping[str, Figure], dimensions: Mapping[str, str]
) -> dict[str, Figure]:
    """Carry ranges through a formula: each input alone to its ends, the shifts added as squares.

    The law of propagation for independent inputs, worked out numerically: JCGM 100:2008, 5.1.2 and 5.1.3 note 2
    (from memory).  Shifts of positive results are taken in logarithms, so that a product of factors is exact and
    nothing falls below 0; the ends keep the chance that the ends of the inputs have.

    Parameters
    ----------
    formula : values by name to results by name, in base units
    inputs : figures by name; their errors are independent of each other
    dimensions : the results wanted, with their dimensions

    Returns
    -------
    dict of Figure, one for each result wanted that the formula gives

    Raises
    ------
    ValueError
        as the formula does at the best values; an end at which it fails is left out.

    Examples
    --------
    >>> wide = Figure(2.0, 1.0, 4.0, "ratio")
    >>> found = combined(lambda x: {"y": x["a"] * x["b"]}, {"a": wide, "b": wide}, {"y": "ratio"})["y"]
    >>> round(found.best, 2), round(found.low, 2), round(found.high, 2)
    (4.0, 1.5, 10.66)
    """
    best = {name: figure.best for name, figure in inputs.items()}
    middle = formula(best)
    moved = [
        _at(formula, {**best, name: end})
        for name, figure in inputs.items()
        if figure.is_range
        for end in (figure.low, figure.high)
    ]
    pairs = list(zip(moved[::2], moved[1::2], strict=True))
    return {
        name: _with_ends(middle[name], [tuple(end.get(name) for end in pair) for pair in pairs], dimension)
        for name, dimension in dimensions.items()
        if name in middle
    }


def _at(formula: Callable[[Inputs], Inputs], values: Inputs) -> Inputs:
    try:
        return formula(values)
    except ValueError:
        return {}


def _with_ends(best: float, pairs: list[tuple[float | None, ...]], dimension: str) -> Figure:
    ends = [[value for value in pair if value is not None] for pair in pairs]
    if best > 0.0 and all(value > 0.0 for pair in ends for value in pair):
        low, high = _shifts([[math.log(value / best) for value in pair] for pair in ends])
        return Figure(best, best * math.exp(low), best * math.exp(high), dimension)
    low, high = _shifts([[value - best for value in pair] for pair in ends])
    return Figure(best, best + low, best + high, dimension)


def _shifts(pairs: list[list[float]]) -> tuple[float, float]:
    down = sum(min(0.0, *pair) ** 2 for pair in pairs if pair)
    up = sum(max(0.0, *pair) ** 2 for pair in pairs if pair)
    return -math.sqrt(down), math.sqrt(up)


def refused(option: str, text: str, why: str, hint: str | None = None) -> InputError:
    """One clear line about an option: its name, what was read, why it cannot be; and below it what would do."""
    read = f' "{text}"' if text else ""
    return InputError([Problem(f"{option}{read}: {why}", hint=hint)], NOTHING_DONE)


def read_amount(
    option: str, text: str, dimension: str, *, most: float | None = None, limit: str = "", zero: bool = False
) -> Amount:
    """Read a quantity typed for an option; above 0 (or from 0 on with ``zero``), and at most ``most``.

    ``limit`` says in words why there is a most.

    Raises
    ------
    InputError
        naming the option, what was read and what would do.
    """
    try:
        amount = parse_amount(text, dimension)
    except UnitError as error:
        raise refused(option, text, error.message, error.hint) from None
    if amount.low < 0.0 or (amount.low == 0.0 and not zero):
        said = "cannot be negative" if amount.low < 0.0 else "must be more than 0"
        raise refused(option, text, f"{an(dimension)} {said}", f"for example {EXAMPLES.get(dimension, '1')}")
    top = 1.0 if dimension == "share" else most
    if top is not None and amount.high > top:
        why = "a share of a whole is at most 100 %" if dimension == "share" else limit
        raise refused(option, text, why, f"for example {EXAMPLES.get(dimension, '1')}; is the unit right?")
    return amount


def read_either(option: str, text: str, first: str, second: str, **limits: object) -> tuple[str, Amount]:
    """Read a quantity that may be of one of two dimensions; tells which.

    Raises
    ------
    InputError
        when it is neither, or out of bounds.
    """
    try:
        parse_amount(text, second)
    except UnitError:
        return first, read_amount(option, text, first, **limits)  # type: ignore[arg-type]  # passed on as they came
    return second, read_amount(option, text, second)


def one_number(option: str, amount: Amount) -> float:
    """The number of an amount that was weighed or measured, and so is no range.

    Raises
    ------
    InputError
        when a range was typed.
    """
    if amount.is_range:
        raise refused(option, amount.text, "is a range; this can be measured", "give the one number you read")
    return amount.best


EXAMPLES = {
    "mass": "2.3 kg",
    "area": "0.5 m2",
    "length": "25 mm",
    "volume": "2 m3",
    "share": "17 %",
    "density": "600 kg/m3",
    "mass_per_area": "4 t/ha",
    "volume_per_area": "12 l/m2",
    "ratio": "25",
}


def an(dimension: str) -> str:
    """A dimension in plain words with its article.

    >>> an("mass_per_area"), an("area")
    ('a mass per area', 'an area')
    """
    words = dimension.replace("_", " ")
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def entry_named(library: Library, table: str, name: str, option: str) -> Entry:
    """A row of a table by the name somebody typed.

    Raises
    ------
    InputError
        when there is none, with the names most like it.
    """
    found = library.find(table, name)
    if found is not None:
        return found
    words = [word for entry in library.tables[table].values() for word in entry.words()[1:]]
    near = nearest(name, words)
    hint = (f"nearest: {', '.join(near)}; " if near else "") + f"all: somsim library {table}"
    raise refused(option, name, f"nothing is called so among the {table} of the library", hint)


def constant(library: Library, name: str, table: str = "constants") -> Figure:
    """The figure of a constant (or of a row of another table that has one ``value``)."""
    return of_value(library.tables[table][name].value("value"))


def percent(figure: Figure) -> str:
    """A share in words.

    >>> percent(Figure(0.7, 0.6, 0.8, "share"))
    '70 % (60 to 80)'
    """
    ends = f" ({100 * figure.low:.3g} to {100 * figure.high:.3g})" if figure.is_range else ""
    return f"{100 * figure.best:.3g} %{ends}"


def times_over(figure: Figure) -> str:
    """A ratio in words.

    >>> times_over(Figure(0.65, 0.3, 1.0, "ratio"))
    '0.65 (0.3 to 1)'
    """
    return f"{figure.best:.3g}" + (f" ({figure.low:.3g} to {figure.high:.3g})" if figure.is_range else "")


@contextmanager
def said_plainly(options: str) -> Iterator[None]:
    """Turn what a formula refuses (ValueError) into one clear line that names the options.

    Raises
    ------
    InputError
        with the formula's own words.
    """
    try:
        yield
    except ValueError as error:
        raise refused(options, "", str(error)) from None


def watches(library: Library, tags: set[str], kinds: tuple[str, ...] = ("health",)) -> tuple[Watch, ...]:
    """The cautions of the library that go with some tags, the most serious first; only of some kinds."""
    found = [
        entry
        for entry in library.tables["cautions"].values()
        if entry.kind in kinds and tags & {word.strip() for word in entry.about["when"].split(";")}
    ]
    found.sort(key=lambda entry: -int(entry.about["severity"]))
    return tuple(
        Watch(entry.id, entry.about["text"], entry.about["why"], entry.about["who_decides"]) for entry in found
    )


def tags_of(entry: Entry) -> set[str]:
    """The tags of a material, by which cautions are called up."""
    return {word.strip() for word in entry.about.get("tags", "").split(";") if word.strip()}


def typed(value: float, unit: str, factor: float, digits: int = 3) -> str:
    """A number with a unit as a plan takes it: never an exponent.

    >>> typed(0.025, "mm", 0.001), typed(1234567.0, "kg", 1.0)
    ('25 mm', '1230000 kg')
    """
    number = value / factor
    if number == 0.0:
        return f"0 {unit}"
    decimals = max(digits - 1 - math.floor(math.log10(abs(number))), 0)
    rounded = round(number, digits - 1 - math.floor(math.log10(abs(number))))
    text = f"{rounded:.{decimals}f}"
    return f"{text.rstrip('0').rstrip('.') if '.' in text else text} {unit}"


def typed_range(figure: Figure, unit: str, factor: float, digits: int = 3) -> str:
    """A figure as a plan takes it: one number, or "low to high" with its unit.

    >>> typed_range(Figure(0.2, 0.1, 0.3, "share"), "%", 0.01)
    '10 to 30 %'
    """
    low, high = (typed(end, unit, factor, digits) for end in (figure.low, figure.high))
    if low == high:
        return low
    return f"{low.removesuffix(f' {unit}')} to {high}"
