"""How much of one spreading the limits leave room for: those on what is spread, and the level of a phosphorus test."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

import numpy as np

from somsim.outcomes.nutrients import phosphorus_left
from somsim.simulate import Array, Trajectory
from somsim.study.equivalence import Spread
from somsim.study.held import LoadHeld
from somsim.study.limits import Rule, loads_of
from somsim.study.nutrients import PHOSPHATE_RISE, over_beds


@dataclass(frozen=True)
class Room:
    """What a limit leaves: the largest yearly amount, and the level of organic matter that it comes to by the date.

    ``held`` is the limit held against the plan of the answer, None for a phosphorus test; ``test_level`` is the level
    of that test to stop at, mg/l, None for a limit on what is spread.
    """

    rule: Rule | None
    held: LoadHeld | None
    test_level: float | None
    amount: Spread
    level: Spread

    @property
    def nutrient(self) -> str:
        """What is limited."""
        return "phosphorus by Olsen" if self.rule is None else self.rule.nutrient


def load_room(one: Trajectory, rule: Rule, actions: Sequence[Any]) -> Array | None:
    """How many times what some actions spread (draw,) keeps to a limit in every window, paths counted.

    Whatever else is spread stays as it is; 0 where that alone passes the limit.  None where nothing that they spread
    counts, or its content is not known.
    """
    loads = loads_of(one, rule.nutrient, rule.counts)
    ours, others = (
        [(load.date, amount) for load, amount in loads if any(load.happening.action is a for a in actions) == mine]
        for mine in (True, False)
    )
    if not ours:
        return None
    room, window = np.full(one.timeline.problem.draws, np.inf), timedelta(days=rule.days)
    for date in {date for date, _ in (*ours, *others)}:
        own, rest = (
            np.sum([amount for day, amount in part if date - window < day <= date], axis=0) for part in (ours, others)
        )
        left = np.maximum(rule.level - rest, 0.0)
        room = np.minimum(room, np.divide(left, own, out=np.full_like(room, np.inf), where=own > 0.0))
    return np.asarray(room)


def olsen_room(without: Trajectory, one: Trajectory, level: float, year: int) -> Array | None:
    """How many units a year (draw,) keep an Olsen test of the plan to a level in one year; None without that test.

    ``one`` spreads a unit a year and ``without`` none.  A loss of phosphorus counts as no change of the test.
    """
    figures, draws = one.world.figures, one.world.draws
    test = figures.plan.site.soil.phosphorus
    if test is None or test.test != "olsen":
        return None
    left, more = (over_beds(phosphorus_left(run)[year], run) for run in (without, one))
    rise = draws.of(PHOSPHATE_RISE) * one.world.constant("phosphorus_in_phosphate")
    wanted = (level - draws.of("plan/site/soil/phosphorus/value")) * rise
    added = more - left
    room = np.divide(wanted - left, added, out=np.full_like(added, np.inf), where=added > 0.0)
    return np.where(wanted < 0.0, 0.0, np.maximum(room, 0.0))
