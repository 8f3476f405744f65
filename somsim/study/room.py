"""How much of one spreading the usual limit on nitrogen leaves room for."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from somsim.simulate import Trajectory
from somsim.study.limits import HECTARE, LIMIT
from somsim.timeline import Setting

Array = NDArray[np.float64]
YEAR = datetime.timedelta(days=365)


def nitrogen_room(one: Trajectory, shared: Setting, actions: Sequence[Any]) -> Array | None:
    """How many times what some actions spread (draw,) keeps to the limit in every twelve months, paths counted.

    Whatever else is spread stays as it is; 0 where that alone passes the limit.  None where the nitrogen of what they
    spread is not known.
    """
    beds = shared.figures.plan.site.beds
    limit = shared.figures.unknowns[LIMIT].best * HECTARE * beds.ground_area / (HECTARE * beds.bed_area)
    own: list[tuple[datetime.date, Array]] = []
    other: list[tuple[datetime.date, Array]] = []
    for load in one.timeline.arrivals.loads:
        mine = any(load.happening.action is action for action in actions)
        if load.kind == "material" and load.nitrogen is not None:
            (own if mine else other).append((load.date, load.nitrogen * load.share))
        elif mine:
            return None
    room = np.full(shared.draws.count, np.inf)
    for date in {date for date, _ in (*own, *other)}:
        ours, rest = (
            np.sum([amount for day, amount in loads if date - YEAR < day <= date], axis=0) for loads in (own, other)
        )
        left = np.maximum(limit - rest, 0.0)
        room = np.minimum(room, np.divide(left, ours, out=np.full_like(room, np.inf), where=ours > 0.0))
    return np.asarray(room)
