"""How much compost one green manure is worth: three answers, never mixed."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import ArrayLike, NDArray

from somsim.decay import solve
from somsim.draws import quantile
from somsim.timeline import Setting
from somsim.timeline.pulse import MILLIMETRE, Pulse, compost_of, covers_of, pulse

Array = NDArray[np.float64]
SHARES = (0.1, 0.5, 0.9)
VOLUME_LOST = "composting/volume_loss/value"


@dataclass(frozen=True)
class Spread:
    """A best value with its P10, P50 and P90 over the draws."""

    best: float
    p10: float
    p50: float
    p90: float

    @property
    def exact(self) -> bool:
        """Whether there is nothing uncertain in it; draws that differ by rounding alone are one number."""
        return math.isclose(self.p10, self.p90, rel_tol=1e-9, abs_tol=1e-12)


def spread_of(best: float, draws: ArrayLike, weights: ArrayLike | None = None) -> Spread:
    """Summarise draws (draw,) beside the best value."""
    low, middle, high = (float(value) for value in quantile(draws, SHARES, weights))
    return Spread(float(best), low, middle, high)


@dataclass(frozen=True)
class Equivalence:
    """What one round of a cover of a strategy is worth, in mm of a compost spread on the same beds.

    ``lasting`` by months after the last cut; ``volume`` None when no volume was measured; ``rounds_a_year`` how many
    of it fit between the other crops; ``tops_kept`` False when they are carted off.  ``draws`` keeps
    ``lasting`` at the horizon (draw,) for further questions.
    """

    strategy: str
    cover: str
    compost: str
    months: tuple[int, ...]
    horizon: int
    lasting: dict[int, Spread]
    on_the_day: Spread
    volume: Spread | None
    rounds_a_year: float
    tops_kept: bool
    carbon: Spread
    draws: Array

    @property
    def at_horizon(self) -> Spread:
        """By what lasts to the horizon of the plan."""
        return self.lasting[self.horizon]


def equivalences(
    best: Setting, drawn: Setting, months: tuple[int, ...] = (6, 12, 36, 120, 360), engine: str = "exact"
) -> tuple[Equivalence, ...]:
    """Every cover of every strategy against the plan's compost, at the horizon and some other times.

    Parameters
    ----------
    best, drawn : Setting, the best values and the draws
    months : months after the last cut, beside the plan's horizon
    engine : "exact" or "ivp"
    """
    plan = best.figures.plan
    horizon = max(round(plan.horizon.best * 12.0), 1)
    wanted = tuple(sorted({*months, horizon}))
    run = partial(solve, engine=engine)
    compost = compost_of(best)
    found = []
    for strategy in plan.strategies:
        for one in covers_of(best, strategy).values():
            pulses = [pulse(shared, strategy, one, compost, wanted, run) for shared in (best, drawn)]
            found.append(_equivalence(strategy, horizon, pulses[0], pulses[1], drawn))
    return tuple(found)


def _equivalence(strategy: str, horizon: int, best: Pulse, drawn: Pulse, shared: Setting) -> Equivalence:
    weights = shared.draws.weights
    lasting = {
        month: spread_of(best.lasting[number, 0], drawn.lasting[number], weights)
        for number, month in enumerate(best.months)
    }
    volume = None
    if best.pressed is not None and drawn.pressed is not None and best.tops_kept:
        lost = shared.draws.of(VOLUME_LOST)
        likely = float(best.pressed[0]) * (1.0 - shared.figures.unknowns[VOLUME_LOST].best)
        volume = spread_of(likely / MILLIMETRE, drawn.pressed * (1.0 - lost) / MILLIMETRE, weights)
    return Equivalence(
        strategy,
        best.cover,
        best.compost,
        best.months,
        horizon,
        lasting,
        spread_of(best.on_the_day[0], drawn.on_the_day, weights),
        volume,
        best.rounds_a_year,
        best.tops_kept,
        spread_of(best.added[0], drawn.added, weights),
        drawn.lasting[best.months.index(horizon)],
    )
