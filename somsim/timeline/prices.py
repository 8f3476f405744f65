"""What a plan pays and is paid: its own prices first, then the library's old guesses in the same money."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from somsim.draws import Unknown
from somsim.library import Library
from somsim.library.entries import Entry
from somsim.library.entries import Price as Listed
from somsim.plan.fields import Placed
from somsim.plan.model import Plan
from somsim.plan.money import Price
from somsim.plan.price_names import SEED

OLD_GUESS = "old guess"
LISTED_AS = {"materials": "price", "covers": "price"}  # a crop that has no price in the plan is not sold
DIMENSION_OF = {"m3": "volume", "kg": "mass"}
ENDING = {"materials": "", "crops": "", "covers": SEED}


@dataclass(frozen=True)
class Asked:
    """Where the price of a thing is found: its address, for one of what, and whether it is an old guess."""

    address: str
    per: str
    guess: bool


def price_parts(plan: Plan) -> Iterator[tuple[str, Placed]]:
    """The parts of a plan in which single amounts of money stand."""
    if plan.money is not None:
        yield "plan/money", plan.money
        if plan.money.hired is not None:
            yield "plan/money/hired", plan.money.hired


def price_unknowns(plan: Plan, library: Library) -> dict[str, Unknown]:
    """Every price by its address: those of the plan, and those of the library that are in its currency."""
    if plan.money is None:
        return {}
    found = {}
    for name, price in plan.money.prices.items():
        address = f"plan/money/prices/{name}"
        found[address] = _unknown(address, f"price of {name}", price, "plan", price.text)
    for table, quantity in LISTED_AS.items():
        for entry in library.tables[table].values():
            listed = entry.prices.get(quantity)
            if listed is not None and _dimension(listed, plan.money.currency) is not None:
                name = f"{table}/{entry.id}/{quantity}"
                label = f"{quantity} of {entry.name}{ENDING[table]}, in {listed.unit}, {OLD_GUESS}"
                found[name] = _unknown(name, label, listed, listed.known, listed.source)
    return found


def _unknown(name: str, label: str, price: Price | Listed, known: str, source: str) -> Unknown:
    return Unknown(name, label, price.low, price.best, price.high, "", known, source)


def _dimension(listed: Listed, currency: str) -> str | None:
    """What a price of the library is for one of, or None when it is in other money."""
    money, _, unit = listed.unit.partition("/")
    return DIMENSION_OF.get(unit) if money == currency.upper() else None


def price_of(plan: Plan, library: Library, table: str, name: str) -> Asked | None:
    """Where the price of a material, a crop or the seed of a cover is found; None when nobody gives it."""
    if plan.money is None:
        return None
    ending = ENDING[table]
    own = plan.money.prices.get(f"{name}{ending}")
    if own is not None:
        return Asked(f"plan/money/prices/{name}{ending}", own.per, False)
    mine = getattr(plan, table)
    entry = _entry(mine, library, table, name)
    if entry is None:
        return None
    for typed, price in plan.money.prices.items():
        other = typed.removesuffix(ending) if ending else typed
        if (not ending or typed.endswith(ending)) and name not in mine and library.find(table, other) is entry:
            return Asked(f"plan/money/prices/{typed}", price.per, False)
    listed = entry.prices.get(LISTED_AS.get(table, ""))
    per = None if listed is None else _dimension(listed, plan.money.currency)
    return None if per is None else Asked(f"{table}/{entry.id}/{LISTED_AS[table]}", per, True)


def _entry(mine: Mapping[str, Any], library: Library, table: str, name: str) -> Entry | None:
    """The library's row of a thing itself; what is only like one has no price of its own."""
    if name in mine and mine[name].like is not None:
        return None
    return library.find(table, name)
