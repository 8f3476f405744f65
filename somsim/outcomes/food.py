"""What is harvested: kilograms, as weighed fresh, and portions."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from somsim.outcomes.work import done_by
from somsim.plan.actions import Crop
from somsim.plan.occurrences import Interval, meet
from somsim.simulate import Array, Trajectory
from somsim.timeline.build import Date
from somsim.timeline.world import World

PORTION = "constants/portion/value"


@dataclass(frozen=True)
class Harvest:
    """The harvest of one crop: kg fresh (draw,) for each m2 of its beds, picked evenly while it stands."""

    crop: str
    first: Date
    last: Date
    where: tuple[Interval, ...]
    mass: Array

    @property
    def share(self) -> float:
        """Share of the bed area that it grows on."""
        return sum(high - low for low, high in self.where)


def harvests(trajectory: Trajectory) -> tuple[Harvest, ...]:
    """Every harvest of a strategy whose yield is known; see `without_yield`."""
    world = trajectory.world
    found = []
    for one in trajectory.timeline.happenings:
        if isinstance(one.action, Crop) and (mass := _yield(world, one.action.name)) is not None:
            found.append(Harvest(one.action.name, one.occurrence.first, one.occurrence.last, one.where, mass))
    return tuple(found)


def without_yield(trajectory: Trajectory) -> tuple[str, ...]:
    """Crops of a strategy whose harvest nobody gives a figure for."""
    names = dict.fromkeys(one.action.name for one in trajectory.timeline.happenings if isinstance(one.action, Crop))
    return tuple(name for name in names if _yield(trajectory.world, name) is None)


def _yield(world: World, name: str) -> Array | None:
    return world.maybe(world.figures.of_thing("crops", name, "yield", "crop_yield"))


def harvest(trajectory: Trajectory) -> Array:
    """kg/m2 harvested since the start, fresh (time, group, draw)."""
    timeline = trajectory.timeline
    picked = np.zeros((len(timeline.times), len(timeline.groups), timeline.problem.draws))
    found = harvests(trajectory)
    for one, part in zip(found, done_by([(one.first, one.last) for one in found], timeline.times), strict=True):
        begun = int(np.argmax(part > 0.0))
        for number, group in enumerate(timeline.groups):
            if meet(one.where, group.interval):
                picked[begun:, number] += part[begun:, np.newaxis] * one.mass
    return picked
