"""Running a strategy: from its timeline to its trajectory."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from somsim.decay import Stocks, solve
from somsim.timeline import Setting, Timeline, World, timeline
from somsim.timeline.build import Date, Record
from somsim.timeline.materials import organic_per_carbon

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Trajectory:
    """What happens to the soil in one strategy.

    ``stocks`` are by (time, lane, draw); ``organic_per_carbon`` (lane, draw) turns residue into organic matter;
    ``world`` has every other figure, in the same draws.  ``worked`` fills with what outcomes share, so that each is
    worked out once.
    """

    timeline: Timeline
    stocks: Stocks
    organic_per_carbon: Array
    world: World
    worked: dict[object, Any] = field(default_factory=dict, repr=False, compare=False)

    @property
    def sources(self) -> tuple[str, ...]:
        """Where the carbon came from, each once, in order of the plan."""
        return tuple(dict.fromkeys(lane.source for lane in self.timeline.lanes))

    def by_group(self, lanes: Array) -> Array:
        """Add up lanes: (time, lane, draw) to (time, group, draw)."""
        groups = np.array([lane.group for lane in self.timeline.lanes])
        return np.stack(
            [lanes[:, groups == number].sum(axis=1) for number in range(len(self.timeline.groups))], axis=1
        )

    def by_source(self, lanes: Array) -> Array:
        """Add up lanes: (time, lane, draw) to (source, time, group, draw), in the order of ``sources``."""
        names = np.array([lane.source for lane in self.timeline.lanes])
        return np.stack([self.by_group(lanes * (names == name)[:, np.newaxis]) for name in self.sources])


def simulate(
    shared: Setting,
    strategy: str,
    *,
    engine: str = "exact",
    record: Record = "years",
    end: Date | None = None,
) -> Trajectory:
    """Run one strategy of a plan in all draws of a setting; the carbon balance is checked.

    Parameters
    ----------
    shared : Setting
    strategy : str
    engine : "exact" or "ivp"
    record : "years" or "months"
    end : date, beyond the plan's own where the actions are to go on
    """
    made = timeline(shared, strategy, solve=partial(solve, engine=engine), record=record, end=end)
    stocks = solve(made.problem, engine)
    world: World = shared.world
    per_carbon = np.stack(
        [
            np.broadcast_to(organic_per_carbon(world, lane, made.start.factor), (shared.draws.count,))
            for lane in made.lanes
        ]
    )
    return Trajectory(made, stocks, per_carbon, world)
