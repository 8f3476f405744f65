"""Carbon and organic matter of a trajectory, by group of beds: (time, group, draw)."""

from __future__ import annotations

import numpy as np

from somsim.simulate import Array, Trajectory


def carbon_in_layer(trajectory: Trajectory) -> Array:
    """kg C/m2 of residue and humus in the layer."""
    return trajectory.by_group(trajectory.stocks.residue + trajectory.stocks.humus)


def residue_carbon(trajectory: Trajectory) -> Array:
    """kg C/m2 of residue in the layer."""
    return trajectory.by_group(trajectory.stocks.residue)


def humus_carbon(trajectory: Trajectory) -> Array:
    """kg C/m2 of humus in the layer."""
    return trajectory.by_group(trajectory.stocks.humus)


def surface_carbon(trajectory: Trajectory) -> Array:
    """kg C/m2 lying on the surface."""
    return trajectory.by_group(trajectory.stocks.surface)


def organic_matter(trajectory: Trajectory) -> Array:
    """kg/m2 of organic matter in the layer: humus by the soil's factor, residue by its own carbon."""
    stocks, factor = trajectory.stocks, trajectory.timeline.start.factor
    return trajectory.by_group(stocks.humus * factor + stocks.residue * trajectory.organic_per_carbon)


def organic_matter_with_surface(trajectory: Trajectory) -> Array:
    """kg/m2 of organic matter in the layer and on the surface."""
    lying = trajectory.by_group(trajectory.stocks.surface * trajectory.organic_per_carbon)
    return organic_matter(trajectory) + lying


def organic_matter_percent(trajectory: Trajectory) -> Array:
    """Organic matter of the layer as a percentage of organic and mineral mass, the ash of what was spread included."""
    organic = organic_matter(trajectory)
    return 100.0 * organic / (organic + trajectory.timeline.mineral)


def carbon_added(trajectory: Trajectory) -> Array:
    """kg C/m2 added since the start."""
    return trajectory.by_group(trajectory.stocks.added)


def carbon_respired(trajectory: Trajectory) -> Array:
    """kg C/m2 given off since the start."""
    return trajectory.by_group(trajectory.stocks.respired)


def carbon_by_source(trajectory: Trajectory) -> Array:
    """kg C/m2 in layer and surface by source (source, time, group, draw).

    Exact, because the model is linear: each source is followed on its own.
    """
    return trajectory.by_source(trajectory.stocks.total)


def carbon_added_by_source(trajectory: Trajectory) -> Array:
    """kg C/m2 added since the start by source (source, time, group, draw)."""
    return trajectory.by_source(trajectory.stocks.added)


def carbon_below_layer(trajectory: Trajectory) -> Array:
    """kg C/m2 of roots that grew below the layer since the start."""
    timeline = trajectory.timeline
    below = np.zeros((len(timeline.times), len(timeline.groups), timeline.problem.draws))
    for date, happening, carbon in timeline.arrivals.below:
        for number, group in enumerate(timeline.groups):
            if happening.on(group):
                below[[time > date for time in timeline.times], number] += carbon
    return below
