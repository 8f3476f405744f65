"""Salt under cover: for how long compost or manure lies on soil that no rain washes."""

from __future__ import annotations

import datetime

import numpy as np

from somsim.plan.actions import Uncover
from somsim.simulate import Array, Trajectory
from somsim.timeline.world import DAYS_A_YEAR

SALTY = frozenset({"compost", "manure", "salty"})  # tags of materials that bring salts
Dry = tuple[datetime.date, datetime.date]


def salt_years(trajectory: Trajectory) -> Array:
    """The longest time so far, in years, from a spreading of compost or manure to the next rain (time, group, draw).

    Under cover no rain reaches the soil; where the film is off, or on open ground, it does.  It is counted up to each
    recorded day.
    """
    timeline = trajectory.timeline
    found = np.zeros((len(timeline.times), len(timeline.groups), timeline.problem.draws))
    for number, group in enumerate(timeline.groups):
        spread = sorted(
            load.date
            for load in timeline.arrivals.loads
            if load.kind == "material" and load.happening.on(group) and is_salty(trajectory, load.name)
        )
        for begin, end in dry_times(trajectory, number):
            first = next((day for day in spread if begin <= day < end), None)
            if first is None:
                continue
            lain = [(min(time, end) - first).days / DAYS_A_YEAR for time in timeline.times]
            found[:, number] = np.maximum(found[:, number], np.array(lain)[:, np.newaxis])
    return found


def dry_times(trajectory: Trajectory, group: int) -> list[Dry]:
    """From when to when no rain reaches the soil of a group of beds."""
    timeline, beds = trajectory.timeline, trajectory.timeline.groups[group]
    if trajectory.world.figures.plan.site.shelter == "open ground":
        return []
    off = sorted(
        (one.occurrence.first, one.occurrence.last)
        for one in timeline.happenings
        if isinstance(one.action, Uncover) and one.on(beds)
    )
    found, begin = [], timeline.times[0]
    for first, last in off:
        if begin < first:
            found.append((begin, first))
        begin = max(begin, last)
    return [*found, (begin, timeline.times[-1])] if begin < timeline.times[-1] else found


def is_salty(trajectory: Trajectory, name: str) -> bool:
    """Whether a material brings salts: compost, manure, and what is tagged so."""
    entry = trajectory.world.figures.entry("materials", name)
    return entry is not None and bool(SALTY & {tag.strip() for tag in entry.about["tags"].split(";")})
