"""Where the soil starts: from what was typed to carbon, and how much of it is still fresh residue."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from somsim.timeline.world import World

Array = NDArray[np.float64]


@dataclass(frozen=True)
class SoilStart:
    """The layer on the first day, per m2 of bed (draw,).

    ``carbon`` kg C/m2 in the layer (the surface apart); ``residue`` the part of it that is residue, when the plan
    states it or nothing else is known; ``factor`` organic matter per carbon, used in and out; ``mineral`` kg/m2.
    """

    carbon: Array
    residue: Array
    factor: Array
    mineral: Array


def soil_start(world: World) -> SoilStart:
    """Turn the soil of a plan into carbon and mineral mass per m2 of bed.

    Stock = share x bulk density x depth x (1 - stones); organic matter = carbon x one factor per draw, so that
    year 0 reads as typed.  "carbon x 1.724" is the laboratories' convention; for loss on ignition, or when the
    method is not known, Pribyl (2010) Geoderma 156:75 (median 1.9, 1.4 to 2.5).
    """
    figures, soil = world.figures, world.figures.plan.site.soil

    def typed(quantity: str) -> Array | None:
        return world.maybe(figures.of_plan(soil, quantity))

    density, depth, stones = typed("bulk_density"), typed("depth"), typed("stones")
    assert density is not None and depth is not None and stones is not None
    fine = density * depth * (1.0 - stones)
    conventional = soil.method == "carbon x 1.724"
    factor = world.constant("organic_matter_per_carbon" + ("_conventional" if conventional else ""))
    organic, share, stock, humus = (typed(name) for name in ("organic_matter", "carbon", "carbon_stock", "humus"))
    fresh = typed("residue")
    if organic is not None:
        carbon = organic * fine / factor
    elif share is not None:
        carbon = share * fine
    elif stock is not None:
        carbon = stock
    else:
        assert humus is not None and fresh is not None
        carbon = humus + fresh
    residue = fresh if fresh is not None else carbon * world.constant("start_residue_share")
    return SoilStart(carbon, residue, factor, np.maximum(fine - carbon * factor, 0.0))
