"""Each round of a cover followed on its own to the end of a plan: which year's crop is still there."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from somsim.plan.actions import Cover
from somsim.plan.model import shift
from somsim.plan.occurrences import Occurrence
from somsim.timeline.build import Setting, Solve, assemble, lanes_of, problem_of
from somsim.timeline.ground import Happening
from somsim.timeline.pulse import others_beside
from somsim.timeline.world import Arrivals, Date

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Rounds:
    """Rounds of a cover in order of date; ``left`` kg C per m2 of all beds at the end of the plan (round, draw)."""

    rounds: tuple[Occurrence, ...]
    left: Array


def round_by_round(shared: Setting, strategy: str, cover: str, solve: Solve) -> Rounds:
    """What is left at the end of a plan of each round of a cover.

    Parameters
    ----------
    shared : Setting
    strategy : str
    cover : str, the name that the plan gives the cover
    solve : how a problem is solved
    """
    plan = shared.figures.plan
    parts = assemble(shared, plan.actions(strategy), plan.start, plan.end, "years")
    mine = [one for one in parts.happening if isinstance(one.action, Cover) and one.action.name == cover]
    number_of = {_key(one): str(number) for number, one in enumerate(mine)}
    arrivals = tuple(
        replace(item, lane=replace(item.lane, source=number_of[_key(item.happening)]))
        for item in parts.arrivals.arrivals
        if _key(item.happening) in number_of
    )
    flows = tuple(
        replace(item, lane=replace(item.lane, source=number_of[_key(item.happening)]))
        for item in parts.arrivals.flows
        if _key(item.happening) in number_of
    )
    marked = Arrivals(arrivals, flows, (), ())
    lanes = lanes_of(marked)
    left = np.zeros((len(mine), shared.draws.count))
    if lanes:
        empty = np.zeros((3, len(lanes), shared.draws.count))
        problem, _ = problem_of(shared, replace(parts, arrivals=marked), lanes, empty)
        stocks = solve(replace(problem, record=np.array([len(parts.days) - 1])))
        for lane, stock in zip(lanes, stocks.total[0], strict=True):
            left[int(lane.source)] += stock * shared.groups[lane.group].share
    return Rounds(tuple(one.occurrence for one in mine), left)


def free_starts(happening: tuple[Happening, ...], cover: Happening) -> list[Date]:
    """The days in a year on which a cover of that length could begin, one after the other, its own first."""
    length = cover.occurrence.last - cover.occurrence.first
    begin = cover.occurrence.first
    end = shift(begin, 12)
    starts, free = [], begin
    for first, last in [*others_beside(happening, cover), (end, end)]:
        while free + length <= first and length.days > 0:
            starts.append(free)
            free += length
        free = max(free, last)
    return starts or [begin]


def free_until(happening: tuple[Happening, ...], cover: Happening) -> Date:
    """The day on which the ground of a cover is wanted for something else, or for its own next round."""
    end = shift(cover.occurrence.first, 12)
    later = [first for first, _ in others_beside(happening, cover) if first >= cover.occurrence.last]
    return min([end, *later])


def _key(one: Happening) -> tuple[int, tuple[Date, ...]]:
    return id(one.action), one.occurrence.dates
