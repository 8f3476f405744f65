"""What a comparison is asked, as plain arrays over the draws: levels, differences, and what a cover is worth."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from somsim.decay import solve
from somsim.outcomes import carbon
from somsim.simulate import Trajectory, simulate
from somsim.study.readings import cut_masses
from somsim.timeline import Setting
from somsim.timeline.pulse import compost_of, covers_of, pulse

Array = NDArray[np.float64]
Kind = Literal["difference", "worth", "level"]
UNITS: dict[Kind, str] = {"difference": "kg/m2", "worth": "mm", "level": "kg/m2"}


@dataclass(frozen=True)
class Question:
    """One figure at the horizon that may be in doubt.

    ``difference``: how much more organic matter ``first`` leaves than ``second``, kg/m2 of bed.  ``level``: how much
    ``first`` leaves, kg/m2.  ``worth``: what one round of the cover ``second`` of ``first`` is worth in compost by what
    lasts, mm.
    """

    kind: Kind
    first: str
    second: str = ""

    @property
    def unit(self) -> str:
        """The unit of its values."""
        return UNITS[self.kind]


@dataclass(frozen=True)
class Asked:
    """The levels of all strategies (strategy, draw), kg/m2, and what their covers are worth (cover, draw), mm.

    ``strategies`` and ``covers`` (strategy, cover) name the rows.  ``cuts`` are the dry masses of the first cut of each
    cover (draw,), kg/m2.
    """

    strategies: tuple[str, ...]
    levels: Array
    covers: tuple[tuple[str, str], ...]
    worth: Array
    cuts: dict[str, Array]

    def questions(self) -> tuple[Question, ...]:
        """All that can be asked: the difference of every two strategies, the worth of every cover, every level."""
        pairs = itertools.combinations(self.strategies, 2)
        return (
            *(Question("difference", first, second) for first, second in pairs),
            *(Question("worth", strategy, cover) for strategy, cover in self.covers),
            *(Question("level", strategy) for strategy in self.strategies),
        )

    def values(self, question: Question) -> Array:
        """The values (draw,) of one question, in its unit."""
        if question.kind == "worth":
            return np.asarray(self.worth[self.covers.index((question.first, question.second))])
        level = self.levels[self.strategies.index(question.first)]
        if question.kind == "level":
            return np.asarray(level)
        return np.asarray(level - self.levels[self.strategies.index(question.second)])


def level_of(trajectory: Trajectory) -> Array:
    """Organic matter in the layer at the horizon, kg/m2, mean over the beds (draw,)."""
    share = np.array([[group.share] for group in trajectory.timeline.groups])
    return np.asarray((carbon.organic_matter(trajectory)[-1] * share).sum(axis=0))


def ask(shared: Setting, *, engine: str = "exact", step: Callable[[], None] = lambda: None) -> Asked:
    """Work out every level and worth of a plan in the draws of a setting, and nothing else.

    Parameters
    ----------
    shared : Setting
    engine : "exact" or "ivp"
    step : called after each strategy
    """
    plan = shared.figures.plan
    horizon = (max(round(plan.horizon.best * 12.0), 1),)
    compost, run = compost_of(shared), partial(solve, engine=engine)
    levels, covers, worth = [], [], []
    cuts: dict[str, Array] = {}
    for name in plan.strategies:
        run_of = simulate(shared, name, engine=engine)
        levels.append(level_of(run_of))
        cuts = cut_masses(shared.figures, run_of.timeline.arrivals.loads) | cuts
        for cover, happening in covers_of(shared, name).items():
            covers.append((name, cover))
            worth.append(pulse(shared, name, happening, compost, horizon, run).lasting[0])
        step()
    nothing = np.zeros((0, shared.draws.count))
    return Asked(tuple(plan.strategies), np.stack(levels), tuple(covers), np.stack(worth) if worth else nothing, cuts)
