"""Is every price in a plan the price of something: a material, a crop as sold, or the seed of a cover?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from somsim.errors import nearest
from somsim.library import Library
from somsim.plan.beds import Finding
from somsim.plan.fields import NOWHERE, FieldError, quoted
from somsim.plan.money import BOUGHT, read_price
from somsim.plan.names import Known
from somsim.plan.text import Record, Text

SEED = " seed"
BY_MASS = {"crops": "a harvest is sold by weight", "covers": "seed is bought by weight"}


def price_findings(tree: Record, library: Library) -> Iterator[Finding]:
    """Prices of what nobody knows, and prices by volume of what is weighed."""
    money = tree.get("money")
    prices = money.get("prices") if isinstance(money, Record) else None
    if not isinstance(prices, Record):
        return
    known, mixes = Known(tree, library), _mixes(tree)
    seen: dict[tuple[str, str], str] = {}
    for name, price in prices.items():
        table = table_of(known, name.strip(), mixes)
        other = seen.setdefault(_thing(known, table, name.strip()), name) if table is not None else name
        if other != name:
            said = f"{quoted(name)} is the same as {quoted(other)}, which has its price already"
            yield Finding(prices.key_places.get(name, NOWHERE), said, "keep one of them")
        if table is None:
            yield Finding(prices.key_places.get(name, NOWHERE), *_unknown(known, name.strip(), library))
        elif table in BY_MASS and isinstance(price, Text):
            yield from _not_by_mass(table, name, price)


def table_of(known: Known, name: str, mixes: frozenset[str] = frozenset()) -> str | None:
    """The table that a price belongs to: materials, crops, or covers for seed; None when nobody knows the name."""
    cover = name.removesuffix(SEED)
    if cover != name and (cover in mixes or known.mistake("covers", cover) is None):
        return "covers"
    return next((table for table in ("materials", "crops") if known.mistake(table, name) is None), None)


def _thing(known: Known, table: str, name: str) -> tuple[str, str]:
    """What a price is for, whichever of its names is used."""
    plain = name.removesuffix(SEED) if table == "covers" else name
    found = None if plain in known.own[table] else known.library.find(table, plain)
    return table, f"library/{found.id}" if found is not None else plain


def _mixes(tree: Record) -> frozenset[str]:
    """Names that the plan gives to mixes of covers."""
    strategies = tree.get("strategies")
    lists = [tree.get("always"), *(strategies.values() if isinstance(strategies, Record) else ())]
    actions = [body for items in lists if isinstance(items, list) for body in items if isinstance(body, dict)]
    covers: list[Any] = [action.get("cover") for action in actions]
    return frozenset(
        str(cover["name"]).strip() for cover in covers if isinstance(cover, dict) and "mix" in cover and "name" in cover
    )


def _not_by_mass(table: str, name: str, price: Text) -> Iterator[Finding]:
    try:
        read = read_price(str(price), BOUGHT)
    except FieldError:
        return
    if read.per != "mass":
        yield Finding(price.place, f"{quoted(price)} is no price of {name}: {BY_MASS[table]}", "for example 1.5 per kg")


def _unknown(known: Known, name: str, library: Library) -> tuple[str, str]:
    offered = [*library.names("materials"), *library.names("crops")]
    offered += [*known.own["materials"], *known.own["crops"]]
    offered += [f"{cover}{SEED}" for cover in [*library.names("covers"), *known.own["covers"]]]
    near = nearest(name, offered)
    hint = f"nearest: {', '.join(near)}; " if near else ""
    return f"no price can be given for {quoted(name)}", f"{hint}a material, a crop, or a cover and the word seed"
