"""At which price would two strategies come out even? For what is bought in one of them, or grown in one of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from somsim.outcomes.money import CENTS, Ledger
from somsim.simulate import Array
from somsim.study.equivalence import Spread, spread_of


@dataclass(frozen=True)
class BreakEven:
    """The price of a thing for one ``per`` (m3 or kg) at which the strategy that has it leaves as much as the other.

    Less than nothing: not even a gift (of a material) or any price at all (of a crop) would be needed.
    ``per_area`` is the same for a crop in money a year for each m2 of bed, None for a material.
    """

    table: str
    thing: str
    per: str
    strategy: str
    other: str
    price: Spread
    per_area: Spread | None


def break_evens(best: Sequence[Ledger], many: Sequence[Ledger], area: float) -> tuple[BreakEven, ...]:
    """Every material and crop that one strategy has and another has not, where all else has a price.

    ``area`` is the bed area, m2.
    """
    keys = dict.fromkeys(key for one in many for key in one.things)
    found = []
    for key in keys:
        for number, user in enumerate(many):
            if key not in user.things or not np.all(_amount(user, key) > 0.0):
                continue
            for place, other in enumerate(many):
                if key not in other.things and other.complete and set(user.unpriced) <= {key[1]}:
                    pairs = ((best[number], best[place]), (user, other))
                    found.append(_even(key, pairs, area))
    return tuple(found)


def _amount(one: Ledger, key: tuple[str, str]) -> Array:
    """How much of a thing (draw,), later years counted for less, as its money is."""
    return np.asarray((one.things[key].quantity * one.worth[:, np.newaxis]).sum(axis=0))


def even_price(user: Ledger, other: Ledger, key: tuple[str, str]) -> Array:
    """The price (draw,) of a thing at which the user of it leaves as much as the other strategy."""
    later = user.worth[:, np.newaxis]
    own = (user.things[key].cents * later).sum(axis=0)
    lead = ((user.result - other.result) * later).sum(axis=0)
    bought = key[0] == "materials"
    without = lead + own if bought else lead - own
    return np.asarray((without if bought else -without) / CENTS / _amount(user, key))


def _even(key: tuple[str, str], pairs: tuple[tuple[Ledger, Ledger], ...], area: float) -> BreakEven:
    prices = [even_price(user, other, key) for user, other in pairs]
    table, thing = key
    user, other = pairs[1]
    areas = [
        price * _amount(one, key) / (area * one.worth.sum()) for price, (one, _) in zip(prices, pairs, strict=True)
    ]
    per = {"volume": "m3", "mass": "kg"}[user.things[key].per]
    of_area = spread_of(areas[0][0], areas[1]) if table == "crops" else None
    return BreakEven(
        table, thing, per, user.strategy, other.strategy, spread_of(prices[0][0], prices[1]), of_area
    )
