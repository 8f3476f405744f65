"""The heart of a comparison again and again while a plan is changed; what did not change is not run again."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from somsim.draws import Draws, best_values, quantile
from somsim.library import read_library
from somsim.outcomes import carbon
from somsim.plan.model import Plan
from somsim.simulate import simulate
from somsim.study.compare import (
    DEFAULT_DRAWS,
    DEFAULT_SEED,
    Pair,
    StrategyAnswer,
    answer_of,
    chances_of_most,
    over_beds,
    pairs_of,
)
from somsim.study.questions import level_of
from somsim.timeline import Setting, figures, setting
from somsim.timeline.build import Date
from somsim.timeline.ground import groups

Array = NDArray[np.float64]
SHARES = (0.1, 0.5, 0.9)


@dataclass(frozen=True)
class Ran:
    """What is kept of a strategy: its figures, its level by best values and in the worlds (draw,), kg/m2.

    ``percent`` is organic matter of the layer, % of dry mass: P10, P50 and P90 (3, time).
    """

    answer: StrategyAnswer
    likely: float
    level: Array
    percent: Array
    times: tuple[Date, ...]


@dataclass(frozen=True)
class Quick:
    """The answer in brief.  ``percent`` is by strategy: P10, P50 and P90 along ``times`` (3, time)."""

    plan: Plan
    draws: int
    seed: int
    answers: tuple[StrategyAnswer, ...]
    pairs: tuple[Pair, ...]
    percent: dict[str, Array]
    times: tuple[Date, ...]
    again: int


@dataclass
class Kept:
    """What was worked out before, and for what: everything of the plan but its strategies, and each strategy."""

    shared: Any = None
    ran: dict[tuple[str, Any], Ran] = field(default_factory=dict)


def quick_study(plan: Plan, kept: Kept, *, draws: int = DEFAULT_DRAWS, seed: int = DEFAULT_SEED) -> Quick:
    """Answer as `compare_study` does, running only what is not in ``kept``; the numbers are the same.

    ``kept`` is changed: it holds the strategies of this plan afterwards, and no others.  ``again`` of the answer says
    how many had to be run.

    Raises
    ------
    InputError
        when the plan lacks a figure.
    """
    shared = _all_but_strategies(plan), groups(plan), draws, seed
    before = kept.ran if kept.shared == shared else {}
    known = figures(plan, read_library())
    correlation = known.unknowns["constants/like_materials_correlation/value"].best
    settings: tuple[Setting, Setting] | None = None
    ran: dict[tuple[str, Any], Ran] = {}
    again = 0
    for name, actions in plan.strategies.items():
        found = before.get((name, actions))
        if found is None:
            if settings is None:
                many = Draws(draws, seed, known.unknowns, correlation)
                settings = setting(known, best_values(known.unknowns)), setting(known, many)
            found = _run(settings, name)
            again += 1
        ran[name, actions] = found
    kept.shared, kept.ran = shared, ran
    return _together(plan, list(ran.values()), draws, seed, again)


def _all_but_strategies(plan: Plan) -> Any:
    return tuple((name, getattr(plan, name)) for name in type(plan).model_fields if name not in ("strategies", "title"))


def _run(settings: tuple[Setting, Setting], name: str) -> Ran:
    best, drawn = settings
    likely, worlds = simulate(best, name, record="months"), simulate(drawn, name)
    percent = over_beds(carbon.organic_matter_percent(worlds), worlds)
    return Ran(
        answer_of(likely, worlds, drawn, 0.0),
        float(level_of(likely)[0]),
        level_of(worlds),
        np.asarray(quantile(percent, SHARES)),
        worlds.timeline.times,
    )


def _together(plan: Plan, ran: list[Ran], draws: int, seed: int, again: int) -> Quick:
    levels = [one.level for one in ran]
    most = chances_of_most(np.stack(levels), None)
    names = list(plan.strategies)
    return Quick(
        plan,
        draws,
        seed,
        tuple(replace(one.answer, chance_of_most=float(often)) for one, often in zip(ran, most, strict=True)),
        pairs_of(names, [one.likely for one in ran], levels, None),
        {name: one.percent for name, one in zip(names, ran, strict=True)},
        ran[0].times,
        again,
    )
