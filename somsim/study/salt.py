"""Salt under cover: for how long no rain reaches the soil, and for how many of those years salty things are spread."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from itertools import pairwise

from somsim.plan.actions import Uncover
from somsim.simulate import Trajectory
from somsim.timeline.world import DAYS_A_YEAR

SALTY = ("compost", "manure", "litter")  # kinds of material that bring salts


@dataclass(frozen=True)
class Salt:
    """The longest time in which no rain reaches the soil, and what is spread in it.

    ``years`` of it; ``rounds`` how often compost or manure is spread in it; ``materials`` which; ``uncovered`` whether
    the film ever comes off.
    """

    first: datetime.date
    last: datetime.date
    years: float
    rounds: int
    materials: tuple[str, ...]
    uncovered: bool


def salt(one: Trajectory) -> Salt | None:
    """The longest dry time under cover of a strategy; None on open ground."""
    figures, times = one.world.figures, one.timeline.times
    if figures.plan.site.shelter == "open ground":
        return None
    off = [h.occurrence.dates for h in one.timeline.happenings if isinstance(h.action, Uncover)]
    edges = [times[0], *(day for dates in off for day in (dates[0], dates[-1])), times[-1]]
    dry = [(begin, end) for begin, end in list(pairwise(edges))[::2] if end > begin]
    if not dry:
        return None
    first, last = max(dry, key=lambda period: period[1] - period[0])
    spread = [
        load
        for load in one.timeline.arrivals.loads
        if load.kind == "material" and first <= load.date < last and _is_salty(one, load.name)
    ]
    names = tuple(dict.fromkeys(load.name for load in spread))
    rounds = len({load.date for load in spread})
    return Salt(first, last, (last - first).days / DAYS_A_YEAR, rounds, names, bool(off))


def _is_salty(one: Trajectory, name: str) -> bool:
    entry = one.world.figures.entry("materials", name)
    return entry is not None and entry.kind in SALTY
