"""One strategy followed year by year."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

import numpy as np

from somsim.draws import Draws, best_values
from somsim.errors import InputError, Problem, nearest
from somsim.library import read_library
from somsim.outcomes import carbon
from somsim.plan.model import Plan
from somsim.simulate import Trajectory, simulate
from somsim.study.compare import DEFAULT_DRAWS, DEFAULT_SEED, over_beds
from somsim.study.equivalence import Spread, spread_of
from somsim.timeline import figures, setting


@dataclass(frozen=True)
class Year:
    """One year of a strategy, means over the beds; ``date`` is its end.

    ``added``, ``decomposed`` and ``respired`` are kg C/m2 in that year; ``humus``, ``residue``, ``surface`` kg C/m2
    at its end; ``organic_matter`` kg/m2 and ``percent`` at its end.
    """

    number: int
    date: datetime.date
    added: Spread
    decomposed: Spread
    respired: Spread
    humus: Spread
    residue: Spread
    surface: Spread
    organic_matter: Spread
    percent: Spread


@dataclass(frozen=True)
class BedsEnd:
    """Where a group of beds ends: organic matter in the layer, kg/m2 and ``percent``, and its ``change`` in kg/m2."""

    beds: str
    organic_matter: Spread
    percent: Spread
    change: Spread


@dataclass(frozen=True)
class Projection:
    """One strategy of a plan, year by year; year 0 is the first day.

    ``by_beds`` has each group of beds at the end; it is empty where all are treated alike.
    """

    plan: Plan
    strategy: str
    draws: int
    seed: int
    years: tuple[Year, ...]
    by_beds: tuple[BedsEnd, ...] = ()


def chosen(plan: Plan, strategy: str | None) -> str:
    """The strategy asked for, or the only one.

    Raises
    ------
    InputError
        when there is no such strategy, or several and none was named.
    """
    names = list(plan.strategies)
    if strategy is None:
        if len(names) == 1:
            return names[0]
        listed = ", ".join(f'"{name}"' for name in names)
        raise InputError([Problem("which strategy? the plan has several", hint=f"--strategy with one of: {listed}")])
    if strategy not in names:
        near = nearest(strategy, names)
        hint = (f"nearest: {near[0]}; " if near else "") + "all: " + ", ".join(names)
        raise InputError([Problem(f'no strategy "{strategy}" in the plan', hint=hint)])
    return strategy


def project_study(
    plan: Plan,
    strategy: str | None = None,
    *,
    draws: int = DEFAULT_DRAWS,
    seed: int = DEFAULT_SEED,
    engine: str = "exact",
) -> Projection:
    """Follow one strategy with the best values and in many possible worlds.

    Raises
    ------
    InputError
        for a strategy that is not in the plan, or a figure that is missing.
    """
    name = chosen(plan, strategy)
    known = figures(plan, read_library())
    correlation = known.unknowns["constants/like_materials_correlation/value"].best
    settings = (
        setting(known, best_values(known.unknowns)),
        setting(known, Draws(draws, seed, known.unknowns, correlation)),
    )
    best, drawn = (simulate(shared, name, engine=engine) for shared in settings)
    return Projection(plan, name, draws, seed, _years(best, drawn), _by_beds(best, drawn))


def _by_beds(best: Trajectory, drawn: Trajectory) -> tuple[BedsEnd, ...]:
    groups = best.timeline.groups
    if len(groups) == 1:
        return ()
    level, percent = (
        [of(one) for one in (best, drawn)] for of in (carbon.organic_matter, carbon.organic_matter_percent)
    )
    change = [values[-1] - values[0] for values in level]
    return tuple(
        BedsEnd(
            group.label,
            spread_of(level[0][-1, number, 0], level[1][-1, number]),
            spread_of(percent[0][-1, number, 0], percent[1][-1, number]),
            spread_of(change[0][number, 0], change[1][number]),
        )
        for number, group in enumerate(groups)
    )


def _years(best: Trajectory, drawn: Trajectory) -> tuple[Year, ...]:
    def series(one: Trajectory) -> dict[str, np.ndarray]:
        stocks = one.stocks
        eaten = stocks.decomposed + stocks.humus_respired
        flows = {"added": stocks.added, "decomposed": eaten, "respired": stocks.respired}
        made = {
            name: np.diff(over_beds(one.by_group(values), one), axis=0, prepend=0.0) for name, values in flows.items()
        }
        made |= {name: over_beds(one.by_group(getattr(stocks, name)), one) for name in ("humus", "residue", "surface")}
        made["organic_matter"] = over_beds(carbon.organic_matter(one), one)
        made["percent"] = over_beds(carbon.organic_matter_percent(one), one)
        return made

    likely, worlds = series(best), series(drawn)
    return tuple(
        Year(
            number,
            date,
            **{name: spread_of(likely[name][number, 0], worlds[name][number]) for name in likely},
        )
        for number, date in enumerate(best.timeline.times)
    )
