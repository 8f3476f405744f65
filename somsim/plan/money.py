"""Money, hours and tools in a plan: prices for one of something, the hours there are in a week, what is worked with.

A price is written as it is spoken: "35 per m3", "1.5 per kg", "5 per 40 l", "15 per hour".  The currency is said once.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from somsim.plan.fields import FieldError, Heading, Name, Placed, Volume, quoted, read_amount
from somsim.units import Amount, UnitError, factor, parse_amount, parse_series, split_amount, units_of

DEAREST = 1e6  # money for one of whatever was typed; more is a slip of the pen
MOST_HOURS = 10_000.0  # a week, of all people together
HIGHEST_DISCOUNT = 1.0  # per year
BY_WORDS = {"volume": "m3", "mass": "kg", "time": "hour", "load": "load"}
PART = re.compile(r"(?:(?P<number>[0-9]+(?:\.[0-9]+)?) )?(?P<unit>\S.*)")
BOUGHT, WORKED, DRIVEN = ("volume", "mass"), ("time",), ("load",)
EXAMPLES = {BOUGHT: "35 per m3, or 1.5 per kg", WORKED: "15 per hour", DRIVEN: "60 per load"}


@dataclass(frozen=True)
class Price(Amount):
    """Money for one m3, kg, hour or load; ``per`` is "volume", "mass", "time" or "load"."""

    per: str


def read_price(text: str, kinds: tuple[str, ...]) -> Price:
    """Read a price such as "35 per m3" or "30 to 40 per m3".

    Raises
    ------
    FieldError
        when the text is no price for one of ``kinds``.

    >>> read_price("5 to 6 per 40 l", BOUGHT).best
    137.5
    """
    hint = f"for example {EXAMPLES[kinds]}"
    try:
        typed = split_amount(text, f"per {BY_WORDS[kinds[0]]}")
    except UnitError as error:
        raise FieldError(error.message, error.hint or hint) from None
    words = typed.unit.removeprefix("per ").strip()
    if words == typed.unit:
        raise FieldError(f"{quoted(text)} is no price: for one of what?", f"{hint}; the currency stands in currency")
    size, per = _one_of(words, text, kinds, hint)
    if typed.low < 0.0:
        raise FieldError(f"{quoted(text)} is less than nothing", "a price is 0 or more")
    if typed.high > DEAREST:
        raise FieldError(f"{quoted(text)} is too much", f"at most {DEAREST:,.0f}")
    low, high = typed.low / size, typed.high / size
    return Price(low, low if low == high else low + (high - low) / 2, high, text, per)


def _one_of(words: str, text: str, kinds: tuple[str, ...], hint: str) -> tuple[float, str]:
    """What the price is for: how much of it in base units, and its kind."""
    found = PART.fullmatch(words)
    number, unit = (float(found["number"] or 1.0), found["unit"]) if found else (1.0, words)
    if number <= 0.0:
        raise FieldError(f"{quoted(text)} is a price for nothing", hint)
    for kind in kinds:
        if kind == "load" and unit in ("load", "loads"):
            return number, kind
        if kind != "load" and unit in units_of(kind):
            return number * factor(unit, kind), kind
    raise FieldError(f"{quoted(text)} is no price for one {' or '.join(BY_WORDS[kind] for kind in kinds)}", hint)


def _price(*kinds: str) -> BeforeValidator:
    def read(value: object) -> Price:
        text = value.text if isinstance(value, Price) else value
        if not isinstance(text, str) or not text.strip():
            raise FieldError("a price is needed here", f"for example {EXAMPLES[kinds]}")
        return read_price(str(text), kinds)

    return BeforeValidator(read)


MaterialPrice = Annotated[Price, _price(*BOUGHT)]
Wage = Annotated[Price, _price(*WORKED)]
Delivery = Annotated[Price, _price(*DRIVEN)]


def _read_discount(value: object) -> Amount:
    text = value.text if isinstance(value, Amount) else value
    if not isinstance(text, str) or not text.strip():
        raise FieldError("a rate with its unit is needed here", "for example 3 %/yr")
    amount = read_amount(str(text), "rate")
    if amount.is_range or not 0.0 <= amount.best <= HIGHEST_DISCOUNT:
        raise FieldError(f"{quoted(text)} is not one rate between 0 and 100 %/yr", "for example 3 %/yr")
    return amount


Discount = Annotated[Amount, BeforeValidator(_read_discount)]


class Hired(Placed):
    """Work that is paid for by the hour; what is hired is nobody's own hours."""

    spread: Wage | None = Field(None, description="spreading, as paid: 25 per hour")
    sow: Wage | None = Field(None, description="sowing covers, as paid: 25 per hour")
    cut: Wage | None = Field(None, description="cutting covers, as paid: 40 per hour")
    rake: Wage | None = Field(None, description="raking off and carting what was cut, as paid: 25 per hour")
    dig: Wage | None = Field(None, description="digging or tilling, as paid: 40 per hour")
    sheet: Wage | None = Field(None, description="laying and lifting sheets, as paid: 25 per hour")
    heap: Wage | None = Field(None, description="building heaps, as paid: 25 per hour")
    grow: Wage | None = Field(None, description="all work on crops, as paid: 20 per hour")


class Money(Placed):
    """What things cost and bring, all in one currency."""

    currency: Name = Field(description="the money all prices here are in: EUR")
    prices: dict[Heading, MaterialPrice] = Field(
        default_factory=dict,
        description="for materials, crops as sold, and seed: garden compost: 35 per m3",
    )
    wage: Wage | None = Field(None, description="what an hour of your own counts for: 15 per hour")
    hired: Hired | None = Field(None, description="work that is paid for: dig: 40 per hour")
    delivery: Delivery | None = Field(None, description="bringing bought material: 60 per load")
    load: Volume | None = Field(None, description="how much comes in one load: 8 m3")
    discount: Discount | None = Field(None, description="how much less a year later counts: 3 %/yr")

    @model_validator(mode="after")
    def _loads(self) -> Money:
        if (self.delivery is None) != (self.load is None):
            key = "load" if self.delivery is None else "delivery"
            raise FieldError("delivery and load go together", "delivery: 60 per load, and load: 8 m3", key)
        if self.load is not None and (self.load.is_range or self.load.best <= 0.0):
            raise FieldError(f"{quoted(self.load.text)} is not one volume over 0", "for example 8 m3", "load")
        return self


@dataclass(frozen=True)
class WeekHours:
    """Hours a week in each month, January first, as typed in ``text``."""

    months: tuple[float, ...]
    text: str


def _read_week_hours(value: object) -> WeekHours:
    text = value.text if isinstance(value, WeekHours) else value
    if not isinstance(text, str) or not text.strip():
        raise FieldError("hours are needed here", "10 h, or twelve numbers and h, January first")
    try:
        if len(re.findall(r"[0-9][0-9.]*", text)) <= 2:
            amount = parse_amount(str(text), "time")
            if amount.is_range:
                raise FieldError(f"{quoted(text)} is a range; say how many hours there are", "for example 10 h")
            months: tuple[float, ...] = (amount.best,) * 12
        else:
            months = parse_series(str(text), "time", 12)
    except UnitError as error:
        raise FieldError(error.message, error.hint or "10 h, or twelve numbers and h, January first") from None
    if any(not 0.0 <= hours <= MOST_HOURS for hours in months):
        raise FieldError(f"{quoted(text)} can't be hours of a week", f"between 0 and {MOST_HOURS:,.0f}")
    return WeekHours(months, str(text))


class HoursAvailable(Placed):
    """The hours that can be given to the beds; without it nothing is said of weeks that are too full."""

    per_week: Annotated[WeekHours, BeforeValidator(_read_week_hours)] = Field(
        description="10 h, or twelve numbers and h: hours a week in each month, January first"
    )


class Tools(Placed):
    """What is worked with; it decides how many hours a job takes."""

    spread: Literal["barrow", "loader"] | None = Field(None, description="what is spread with: barrow, or loader")
    sow: Literal["by hand", "push seeder"] | None = Field(
        None, description="how covers are sown: by hand, or push seeder"
    )
    cut: Literal["scythe", "shears", "two-wheel tractor"] | None = Field(
        None, description="what covers are cut with: scythe, shears, or two-wheel tractor"
    )
    dig: Literal["spade", "broadfork", "two-wheel tractor"] | None = Field(
        None, description="what is dug with: spade, broadfork, or two-wheel tractor"
    )
