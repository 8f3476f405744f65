"""Nitrogen, phosphorus, potassium and salt of each strategy: figures with their ranges, and what is not known."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, fields

import numpy as np

from somsim.outcomes.nitrogen import Ledger, ledger, plant_release, unknown_nitrogen
from somsim.outcomes.nitrogen_months import crop_needs, released_between, released_by_month
from somsim.outcomes.nutrients import harvested, phosphorus_brought, potassium_brought
from somsim.plan.actions import Crop
from somsim.simulate import Array, Trajectory
from somsim.study.equivalence import Spread, spread_of
from somsim.study.salt import Salt, salt
from somsim.timeline.world import DAYS_A_YEAR, HEAP

PHOSPHATE_RISE = "limits/phosphorus_olsen/phosphate_per_mg_l"


@dataclass(frozen=True)
class CropNeed:
    """What one crop needs of nitrogen in all, and what the bed sets free while it stands, kg/m2 of bed.

    ``need`` is None where no harvest's nitrogen is published.
    """

    crop: str
    first: datetime.date
    last: datetime.date
    need: Spread | None
    released: Spread


@dataclass(frozen=True)
class Balance:
    """Phosphorus or potassium a year, kg/m2 of bed: brought, taken by harvests and tops, and the difference.

    ``unknown`` are what the balance leaves out, because no figure is published.
    """

    brought: Spread
    taken: Spread
    left: Spread
    unknown: tuple[str, ...]


@dataclass(frozen=True)
class Nutrients:
    """The nutrients of one strategy; nitrogen accounts are means a year, kg/m2 of bed, in the words of `Ledger`.

    ``months`` is nitrogen set free in each month, January first; ``first_weeks`` what the last cut of each cover, left
    on the beds, frees or (below nought) ties up in the weeks after it, one round of it.  ``olsen_rise`` is how far the
    phosphorus left would lift an Olsen test by the horizon, mg/l; it is published for no other test.
    """

    strategy: str
    nitrogen: dict[str, Spread]
    months: tuple[Spread, ...]
    first_weeks: dict[str, Spread]
    needs: tuple[CropNeed, ...]
    phosphorus: Balance
    potassium: Balance
    olsen_rise: Spread
    salt: Salt | None
    unknown: tuple[str, ...]


def nutrients(best: Trajectory, drawn: Trajectory) -> Nutrients:
    """Work out the nutrients of a strategy, by the best values and in the draws."""
    pair = (best, drawn)
    ledgers = [ledger(one) for one in pair]
    names = [*(field.name for field in fields(Ledger)), "freed"]
    left = [
        [over_beds(brought(one)[-1] - harvested(one, name)[-1], one) for one in pair]
        for name, brought in (("phosphorus", phosphorus_brought), ("potassium", potassium_brought))
    ]
    rise = [_olsen(values, one) for values, one in zip(left[0], pair, strict=True)]
    return Nutrients(
        best.timeline.strategy,
        {name: _yearly([getattr(made, name) for made in ledgers], pair) for name in names},
        tuple(_spread(a, b, drawn) for a, b in zip(*(released_by_month(one) for one in pair), strict=True)),
        _first_weeks(best, drawn),
        _needs(best, drawn),
        _balance("phosphorus", pair),
        _balance("potassium", pair),
        _spread(rise[0], rise[1], drawn),
        salt(best),
        unknown_nitrogen(best),
    )


def over_beds(values: Array, one: Trajectory) -> Array:
    """Mean over the beds: (group, draw) to (draw,)."""
    share = np.array([[group.share] for group in one.timeline.groups])
    return np.asarray((values * share).sum(axis=0))


def years_of(one: Trajectory) -> float:
    """How long a trajectory is, years; of less than a year, one."""
    times = one.timeline.times
    return max((times[-1] - times[0]).days / DAYS_A_YEAR, 1.0)


def _yearly(values: list[Array], pair: tuple[Trajectory, Trajectory]) -> Spread:
    means = [over_beds(made[-1], one) / years_of(one) for made, one in zip(values, pair, strict=True)]
    return _spread(means[0], means[1], pair[1])


def _spread(likely: Array, many: Array, drawn: Trajectory) -> Spread:
    """The best value beside the draws (draw,), with the weights of the worlds."""
    return spread_of(likely[0], many, drawn.world.draws.weights)


def _first_weeks(best: Trajectory, drawn: Trajectory) -> dict[str, Spread]:
    """One round of each cover left on the beds, all plants of a mix together."""
    made = [_last_cuts(one) for one in (best, drawn)]
    return {name: _spread(made[0][name], made[1][name], drawn) for name in made[0]}


def _last_cuts(one: Trajectory) -> dict[str, Array]:
    days: dict[str, datetime.date] = {}
    found: dict[str, Array] = {}
    for load in one.timeline.arrivals.loads:
        last = load.date == load.happening.occurrence.last
        if load.kind != "tops" or not load.kept or load.nitrogen is None or not last:
            continue
        if load.date == days.setdefault(load.name, load.date):
            found[load.name] = found.get(load.name, 0.0) + plant_release(one.world, load, load.nitrogen)
    return found


def _needs(best: Trajectory, drawn: Trajectory) -> tuple[CropNeed, ...]:
    likely, many = crop_needs(best), crop_needs(drawn)
    found = []
    for crop, one in likely.items():
        draws = many[crop].amount
        months = [released_by_month(run, one.where) for run in (best, drawn)]
        freed = [released_between(each, one.first, one.last) for each in months]
        need = None if one.amount is None or draws is None else _spread(one.amount, draws, drawn)
        found.append(CropNeed(crop, one.first, one.last, need, _spread(freed[0], freed[1], drawn)))
    return tuple(found)


def _balance(nutrient: str, pair: tuple[Trajectory, Trajectory]) -> Balance:
    brought = {"phosphorus": phosphorus_brought, "potassium": potassium_brought}[nutrient]
    came = [brought(one) for one in pair]
    taken = [harvested(one, nutrient) for one in pair]
    left = [a - b for a, b in zip(came, taken, strict=True)]
    return Balance(_yearly(came, pair), _yearly(taken, pair), _yearly(left, pair), _unknown(nutrient, pair[0]))


def _unknown(nutrient: str, one: Trajectory) -> tuple[str, ...]:
    figures = one.world.figures
    found: dict[str, None] = {}
    for load in one.timeline.arrivals.loads:
        if load.kind == "material" and getattr(load, nutrient) is None:
            found[load.name] = None
        if load.kind != "material" and not load.kept and getattr(load, nutrient) is None:
            where = "taken to the heap" if load.fate == HEAP else "carted off"
            what = f"leaves and stems of {load.name}" if load.kind == "leftovers" else load.name
            found[f"{what} {where}"] = None
    for happening in one.timeline.happenings:
        action = happening.action
        if isinstance(action, Crop) and figures.of_thing("crops", action.name, f"removal_{nutrient}", nutrient) is None:
            found[f"the harvest of {action.name}"] = None
    return tuple(found)


def _olsen(left: Array, one: Trajectory) -> Array:
    """mg/l that phosphorus left (kg P/m2) lifts an Olsen test; of a surplus alone, as that was published."""
    phosphate = np.maximum(left, 0.0) / one.world.constant("phosphorus_in_phosphate")
    return np.asarray(phosphate / one.world.draws.of(PHOSPHATE_RISE))
