"""From bed to heap to bed: is plant carbon worth more composted, or left where it grew?"""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from somsim.decay import solve
from somsim.study.equivalence import Spread, spread_of
from somsim.timeline import Setting
from somsim.timeline.pulse import heap_paths


@dataclass(frozen=True)
class Loop:
    """Of each kg of plant carbon, how much is still there at the horizon: by way of the heap, and left in place."""

    strategy: str
    plant: str
    material: str
    months: int
    heaped: Spread
    left: Spread
    difference: Spread


def loops(best: Setting, drawn: Setting, engine: str = "exact") -> tuple[Loop, ...]:
    """Every plant that a strategy carts to the heap and spreads again."""
    plan = best.figures.plan
    horizon = max(round(plan.horizon.best * 12.0), 1)
    weights = drawn.draws.weights
    run = partial(solve, engine=engine)
    found = []
    for strategy in plan.strategies:
        pairs = [heap_paths(shared, strategy, (horizon,), run) for shared in (best, drawn)]
        for likely, worlds in zip(*pairs, strict=True):
            gain = worlds.heaped[0] - worlds.left[0]
            found.append(
                Loop(
                    strategy,
                    likely.plant,
                    likely.material,
                    horizon,
                    spread_of(likely.heaped[0, 0], worlds.heaped[0], weights),
                    spread_of(likely.left[0, 0], worlds.left[0], weights),
                    spread_of(likely.heaped[0, 0] - likely.left[0, 0], gain, weights),
                )
            )
    return tuple(found)
