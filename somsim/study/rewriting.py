"""Plans made from a plan: the one that an answer describes, written and read again as a grower's own would be."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from somsim.draws import Draws, best_values
from somsim.library import read_library
from somsim.plan import Plan, parse_plan, write_plan
from somsim.plan.actions import AMOUNTS, Spread
from somsim.timeline import Setting, figures, setting
from somsim.units import Amount

UNITS = {
    "depth": ("m", 1.0),
    "volume": ("m3", 1.0),
    "mass": ("kg", 1.0),
    "mass_per_area": ("kg/m2", 1.0),
    "dry_mass": ("kg/m2", 1.0),
    "heap_share": ("%", 100.0),
}
LEAST = 1e-11  # base units: less than this is nothing, and a plan could not say it


def amount_in(key: str, low: float, high: float | None = None) -> Amount:
    """An amount of a spreading in base units, with the text a plan holds it in (twelve digits).

    >>> amount_in("depth", 0.005).text
    '0.005 m'
    """
    unit, times = UNITS[key]
    ends = [0.0 if abs(end) < LEAST else end for end in (low, low if high is None else high)]
    words = " to ".join(f"{end * times:.12g}" for end in (ends if ends[0] != ends[1] else ends[:1]))
    return Amount(ends[0], 0.5 * (ends[0] + ends[1]), ends[1], f"{words} {unit}")


def scaled(action: Spread, times: float) -> Spread:
    """The same spreading with more or less of it."""
    key = next(name for name in AMOUNTS if getattr(action, name) is not None)
    amount = getattr(action, key)
    return action.model_copy(update={key: amount_in(key, times * amount.low, times * amount.high)})


def rewritten(plan: Plan, strategies: Mapping[str, Sequence[Any]], years: int | None = None) -> Plan:
    """A plan with other strategies, and another horizon where ``years`` is given, checked like any plan.

    Raises
    ------
    InputError
        when that plan cannot be: dates clash, or an amount is out of its bounds.
    """
    change: dict[str, Any] = {"strategies": {name: tuple(actions) for name, actions in strategies.items()}}
    if years is not None:
        change["horizon"] = Amount(years, years, years, "1 year" if years == 1 else f"{years} years")
    made = parse_plan(write_plan(plan.model_copy(update=change)), plan.source.name or "plan")
    return made.with_record_until(plan.recorded_until)


def worlds(plan: Plan, draws: int, seed: int) -> tuple[Setting, Setting]:
    """A plan ready to run: with the best values, and in ``draws`` possible worlds."""
    known = figures(plan, read_library())
    correlation = known.unknowns["constants/like_materials_correlation/value"].best
    many = Draws(draws, seed, known.unknowns, correlation)
    return setting(known, best_values(known.unknowns)), setting(known, many)
