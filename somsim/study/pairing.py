"""A cover and a compost side by side: what two runs leave of each, and what follows from it by linearity."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from somsim.decay import solve
from somsim.plan.actions import Spread
from somsim.plan.model import Plan
from somsim.plan.occurrences import united
from somsim.simulate import Trajectory, simulate
from somsim.study.compare import over_beds
from somsim.study.rewriting import rewritten, scaled, worlds
from somsim.timeline import Setting
from somsim.timeline.ground import Happening
from somsim.timeline.rounds import Rounds, round_by_round

Array = NDArray[np.float64]
MOST = 1e6  # times: a cover that leaves next to nothing
MOST_CUTS = 400  # told one by one; beyond, every further one is like the fourth


@dataclass(frozen=True)
class Pair:
    """What is matched: a round of the cover, and the spreadings of the compost."""

    plan: Plan
    cover_strategy: str
    happening: Happening
    compost_strategy: str
    spreads: tuple[Spread, ...]
    both: tuple[Setting, Setting]
    seed: int

    @property
    def cover(self) -> str:
        """The cover, as the plan calls it."""
        return str(self.happening.action.name)

    @property
    def compost(self) -> str:
        """What is spread."""
        return self.spreads[0].material

    def run_of(self, made: Plan, strategy: str) -> list[Trajectory]:
        """Run a strategy of a plan in the same worlds, with the best values first."""
        return [simulate(shared, strategy) for shared in worlds(made, self.both[1].draws.count, self.seed)]

    def compost_plan(self, times: float) -> Plan:
        """The plan with so many times the compost, and everything else as it is."""
        own = self.plan.strategies[self.compost_strategy]
        others = [one for one in own if not any(one is spread for spread in self.spreads)]
        return rewritten(self.plan, {self.compost_strategy: [*others, *(scaled(one, times) for one in self.spreads)]})

    @cached_property
    def spread_anyway(self) -> list[Trajectory] | None:
        """Runs without the compost that is matched, where what is always done spreads the same; else None."""
        if any(isinstance(one, Spread) and one.material == self.compost for one in self.plan.always or ()):
            return self.run_of(self.compost_plan(0.0), self.compost_strategy)
        return None


@dataclass(frozen=True)
class Ran:
    """What two runs found, per draw: kg C per m2 of all beds; ``yearly`` m, or kg/m2 dry, on the beds that get it."""

    rounds: Rounds
    left_of_cover: Array
    left_of_tops: Array
    left_of_compost: Array
    cover_added: Array
    compost_added: Array
    yearly: Array
    by_depth: bool
    pressed: Array | None
    volume: Array | None

    @property
    def times(self) -> Array:
        """How many times the cover is needed, by what lasts."""
        return ratio(self.left_of_compost, self.left_of_cover)

    @staticmethod
    def of(asked: Pair, shared: Setting) -> Ran:
        """Run both strategies as the plan has them."""
        green = simulate(shared, asked.cover_strategy)
        brown = green if asked.compost_strategy == asked.cover_strategy else simulate(shared, asked.compost_strategy)
        loads = [one for one in brown.timeline.arrivals.loads if any(one.happening.action is a for a in asked.spreads)]
        years = asked.plan.horizon.best
        widest = united(load.happening.where for load in loads)
        by_depth = all(load.volume is not None for load in loads)
        each = [load.volume if by_depth and load.volume is not None else load.dry for load in loads]
        amount = np.asarray(np.sum([one * load.share for one, load in zip(each, loads, strict=True)], axis=0))
        typed = shared.figures.of_plan(asked.happening.action, "pressed_volume")
        whole = [one for one in green.timeline.happenings if one.action is asked.happening.action]
        covered = sum(high - low for low, high in asked.happening.where)
        pressed = None if typed is None else shared.draws.of(typed) * covered * len(whole)
        anyway = (np.zeros(1), np.zeros(1))
        if asked.spread_anyway is not None:
            other = asked.spread_anyway[0 if shared is asked.both[0] else 1]
            anyway = left_from(other, (asked.compost,)), _added_from(other, (asked.compost,))
        return Ran(
            round_by_round(shared, asked.cover_strategy, asked.cover, solve),
            left_from(green, cover_sources(asked.cover)),
            left_from(green, (f"{asked.cover}: tops",)),
            left_from(brown, (asked.compost,)) - anyway[0],
            _added_from(green, cover_sources(asked.cover)),
            _added_from(brown, (asked.compost,)) - anyway[1],
            amount / widest / max(years, 1.0),
            by_depth,
            pressed,
            amount if by_depth else None,
        )


def cover_sources(cover: str) -> tuple[str, ...]:
    """The names under which the carbon of a cover is followed."""
    return f"{cover}: tops", f"{cover}: roots"


def left_from(ran: Trajectory, sources: tuple[str, ...]) -> Array:
    """kg C per m2 of all beds (draw,) left at the end of a run of some sources, layer and surface."""
    return _of_sources(ran, ran.stocks.total, sources)


def _added_from(ran: Trajectory, sources: tuple[str, ...]) -> Array:
    return _of_sources(ran, ran.stocks.added, sources)


def _of_sources(ran: Trajectory, stock: Array, sources: tuple[str, ...]) -> Array:
    names = np.array([lane.source in sources for lane in ran.timeline.lanes])
    return np.asarray(over_beds(ran.by_group(stock * names[:, np.newaxis]), ran)[-1])


def ratio(wanted: Array, one: Array) -> Array:
    """How many times; a million where it would be more, or for ever.

    >>> ratio(np.array([3.0, 3.0]), np.array([2.0, 0.0])).tolist()
    [1.5, 1000000.0]
    """
    return np.minimum(np.divide(wanted, one, out=np.full_like(wanted, MOST), where=one > 0.0), MOST)


def years_needed(ran: Ran) -> Array:
    """Years from the first on in which the cover has to be grown; beyond the plan, at its own pace."""
    years = [max(one.year, 1) for one in ran.rounds.rounds]
    last = max(years)
    by_year = np.zeros((last, ran.left_of_cover.size))
    for year, left in zip(years, ran.rounds.left, strict=True):
        by_year[year - 1] += left
    sums = np.cumsum(by_year, axis=0)
    beyond = last * ratio(ran.left_of_compost, sums[-1])
    enough = sums >= ran.left_of_compost
    first = np.argmax(enough, axis=0)
    return np.minimum(np.where(enough.any(axis=0), first + 1.0, np.maximum(beyond, last + 1.0)), MOST)


def cuts_needed(ran: Ran, steps: list[Array], cuts: int) -> Array:
    """Cuts of each crop, every further one smaller; the roots count once."""
    whole = np.cumsum([steps[min(number, 3)] for number in range(MOST_CUTS)], axis=0)
    roots = ran.left_of_cover - ran.left_of_tops
    wanted = ratio(np.maximum(ran.left_of_compost - roots, 0.0), ran.left_of_tops) * whole[cuts - 1]
    enough = whole >= wanted
    beyond = MOST_CUTS + (wanted - whole[-1]) / steps[3]
    return np.asarray(np.minimum(np.where(enough.any(axis=0), np.argmax(enough, axis=0) + 1.0, np.ceil(beyond)), MOST))
