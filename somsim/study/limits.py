"""The usual limit on nitrogen in organic manures, held against what a strategy spreads."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

import numpy as np

from somsim.draws import chance, quantile
from somsim.simulate import Trajectory
from somsim.study.equivalence import Spread, spread_of
from somsim.timeline import Setting

HECTARE = 1e4  # m2
LIMIT = "limits/field_nitrogen/limit"


@dataclass(frozen=True)
class NitrogenLoad:
    """The most nitrogen that a strategy spreads in any twelve months, kg per hectare of ground with its paths.

    ``limit`` is the usual limit for that ground, in the same unit; ``since`` the first day on which the middle of
    the draws passes it, or None; ``chance`` the share of draws that pass it at some time.
    """

    strategy: str
    most: Spread
    limit: float
    source: str
    since: datetime.date | None
    chance: float

    @property
    def passed(self) -> bool:
        """Whether the middle of the draws is over the limit."""
        return self.most.p50 > self.limit


def nitrogen_load(best: Trajectory, drawn: Trajectory, shared: Setting) -> NitrogenLoad:
    """Add up the nitrogen of everything spread in each twelve months (rolling), over the whole ground."""
    unknown = shared.figures.unknowns[LIMIT]
    limit = unknown.best * HECTARE
    loads = [_rolling(one, shared) for one in (best, drawn)]
    dates = [date for date, _ in loads[0]]
    over = [date for date, load in loads[1] if quantile(load, 0.5, shared.draws.weights)[0] > limit]
    if not dates:
        return NitrogenLoad(best.timeline.strategy, Spread(0.0, 0.0, 0.0, 0.0), limit, unknown.source, None, 0.0)
    most = [np.max([load for _, load in one], axis=0) for one in loads]
    return NitrogenLoad(
        best.timeline.strategy,
        spread_of(most[0][0], most[1], shared.draws.weights),
        limit,
        unknown.source,
        over[0] if over else None,
        chance(most[1] > limit, shared.draws.weights),
    )


def _rolling(one: Trajectory, shared: Setting) -> list[tuple[datetime.date, np.ndarray]]:
    beds = shared.figures.plan.site.beds
    per_ground = HECTARE * beds.bed_area / beds.ground_area
    spread = [
        (load.date, load.nitrogen * sum(high - low for low, high in load.happening.where) * per_ground)
        for load in one.timeline.arrivals.loads
        if load.kind == "material" and load.nitrogen is not None
    ]
    year = datetime.timedelta(days=365)
    return [
        (date, np.sum([amount for day, amount in spread if date - year < day <= date], axis=0)) for date, _ in spread
    ]
