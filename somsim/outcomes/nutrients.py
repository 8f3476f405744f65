"""Nitrogen, phosphorus and potassium that spread materials bring, and what harvests leave of them."""

from __future__ import annotations

import numpy as np

from somsim.outcomes.nitrogen import harvests
from somsim.simulate import Array, Trajectory


def nitrogen_brought(trajectory: Trajectory) -> Array:
    """kg N/m2 brought since the start (time, group, draw)."""
    return _brought(trajectory, "nitrogen")


def phosphorus_brought(trajectory: Trajectory) -> Array:
    """kg P/m2 brought since the start (time, group, draw)."""
    return _brought(trajectory, "phosphorus")


def potassium_brought(trajectory: Trajectory) -> Array:
    """kg K/m2 brought since the start (time, group, draw)."""
    return _brought(trajectory, "potassium")


def phosphorus_left(trajectory: Trajectory) -> Array:
    """kg P/m2 brought since the start, less that in harvests (time, group, draw)."""
    return _brought(trajectory, "phosphorus") - harvested(trajectory, "phosphorus")


def potassium_left(trajectory: Trajectory) -> Array:
    """kg K/m2 brought since the start, less that in harvests (time, group, draw)."""
    return _brought(trajectory, "potassium") - harvested(trajectory, "potassium")


def harvested(trajectory: Trajectory, nutrient: str) -> Array:
    """kg/m2 of a nutrient that harvests, and tops taken off the beds, took since the start (time, group, draw).

    What has no published figure counts as nothing.
    """
    timeline = trajectory.timeline
    taken = np.zeros((len(timeline.times), len(timeline.groups), timeline.problem.draws))
    for number in range(len(timeline.groups)):
        for date, amount in harvests(trajectory, nutrient, number):
            if amount is not None:
                taken[[time > date for time in timeline.times], number] += amount
    for load in timeline.arrivals.loads:
        gone = getattr(load, nutrient)
        if load.kind != "tops" or load.kept or gone is None:
            continue
        later = [time > load.date for time in timeline.times]
        for number, group in enumerate(timeline.groups):
            if load.happening.on(group):
                taken[later, number] += gone
    return taken


def without_phosphorus(trajectory: Trajectory) -> tuple[str, ...]:
    """The materials that are spread and whose phosphorus nobody knows: not known is not nought."""
    loads = trajectory.timeline.arrivals.loads
    return tuple(dict.fromkeys(load.name for load in loads if load.kind == "material" and load.phosphorus is None))


def _brought(trajectory: Trajectory, nutrient: str) -> Array:
    timeline = trajectory.timeline
    brought = np.zeros((len(timeline.times), len(timeline.groups), timeline.problem.draws))
    for load in timeline.arrivals.loads:
        amount = getattr(load, nutrient)
        if load.kind != "material" or amount is None:
            continue
        later = [time > load.date for time in timeline.times]
        for number, group in enumerate(timeline.groups):
            if load.happening.on(group):
                brought[later, number] += amount
    return brought
