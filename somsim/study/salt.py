"""Salt under cover: for how long no rain reaches the soil, and for how many of those years salty things are spread."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from somsim.outcomes.salt import dry_times, is_salty
from somsim.plan.actions import Uncover
from somsim.simulate import Trajectory
from somsim.timeline.world import DAYS_A_YEAR


@dataclass(frozen=True)
class Salt:
    """The longest time in which no rain reaches the soil, and what is spread in it.

    ``years`` of it; ``rounds`` how often compost or manure is spread in it; ``materials`` which; ``uncovered`` whether
    the film of those beds ever comes off.
    """

    first: datetime.date
    last: datetime.date
    years: float
    rounds: int
    materials: tuple[str, ...]
    uncovered: bool


def salt(one: Trajectory) -> Salt | None:
    """The longest dry time under cover of a strategy; None on open ground."""
    dry = [(begin, end, number) for number in range(len(one.timeline.groups)) for begin, end in dry_times(one, number)]
    if not dry:
        return None
    first, last, number = max(dry, key=lambda period: period[1] - period[0])
    group = one.timeline.groups[number]
    spread = [
        load
        for load in one.timeline.arrivals.loads
        if load.kind == "material" and load.happening.on(group)
        if first <= load.date < last and is_salty(one, load.name)
    ]
    names = tuple(dict.fromkeys(load.name for load in spread))
    rounds = len({load.date for load in spread})
    off = any(isinstance(each.action, Uncover) and each.on(group) for each in one.timeline.happenings)
    return Salt(first, last, (last - first).days / DAYS_A_YEAR, rounds, names, off)
