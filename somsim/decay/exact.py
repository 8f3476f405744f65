"""The closed form: every kind of round is worked out once, then the plan is walked in plain arithmetic.

A round is what lies between two recorded boundaries; years of a plan that repeats are rounds of one kind, and
the map of a kind carries a whole year in a few sums of products (`rounds`, `maps`). Draws go through in blocks
that fit the cache. Each element meets the same operations in the same order whatever the block, and exponentials
are taken by whole vectors (equations.py), so the answer has the same bits for every block size.
"""

from collections.abc import Iterator

import numpy as np

from somsim.decay.fates import FATES, of_lanes
from somsim.decay.maps import Map, layout, maps
from somsim.decay.problem import HUMUS, RESIDUE, RESPIRED, SURFACE, Array, Problem, Stocks, part_of
from somsim.decay.rounds import Entry, Round, rounds_of, surface_lanes

ADDED = 5
QUANTITIES = 6
AFTER_RESIDUE = slice(RESIDUE, RESPIRED + 1)  # where a kg C of residue may be: kept, humus, decomposed, respired
AFTER_SURFACE = slice(SURFACE, RESPIRED + 1)
AFTER_HUMUS = slice(HUMUS, RESPIRED + 1, RESPIRED - HUMUS)
# Draws times lanes that go through together: the arrays at work then fit a level-2 cache.
TOGETHER = 5120


def _draws_together(problem: Problem) -> int:
    return max(64, TOGETHER // problem.lanes // 64 * 64)


def _carry(state: Array, way: Map, surface: slice | None, scratch: Array) -> None:
    """Carry the stocks (6, lane, draw) from the start of a round to its end, in place."""
    start = way.start
    from_residue = np.multiply(state[RESIDUE], start.residue, out=scratch[0, :FATES])
    from_humus = np.multiply(state[HUMUS], start.humus, out=scratch[1, :2])
    state[RESIDUE : HUMUS + 1] = 0.0
    state[AFTER_RESIDUE] += from_residue
    state[AFTER_HUMUS] += from_humus
    if surface is not None and start.surface is not None:
        there, room = state[:, surface], scratch[0, : 1 + FATES, : surface.stop - surface.start]
        from_surface = np.multiply(there[SURFACE], start.surface, out=room)
        there[SURFACE] = 0.0
        there[AFTER_SURFACE] += from_surface


def _put(
    state: Array, entry: Entry, amounts: tuple[tuple[int, Array], ...], way: Map, surface: slice | None, scratch: Array
) -> None:
    """Add to the end of a round what becomes of an addition made in it."""
    first, last = entry.first, entry.last
    through, fate, where = way.entries[entry.stop], way.entries[entry.stop].residue, AFTER_RESIDUE
    there, amount = state[:, first:last], scratch[1, 0, : last - first]
    amount[...] = 0.0
    for lane, carbon in amounts:
        amount[lane - first] += carbon
    if entry.stock == HUMUS:
        fate, where = through.humus, AFTER_HUMUS
    elif entry.stock == SURFACE and surface is not None and through.surface is not None:
        fate, where = through.surface, AFTER_SURFACE
        first, last = first - surface.start, last - surface.start
    there[ADDED] += amount
    fate = of_lanes(fate, slice(first, last))
    there[where] += np.multiply(amount, fate, out=scratch[0, : len(fate), : len(amount)])


def _over(
    state: Array, one: Round, way: Map, surface: slice | None, block: tuple[int, int], scratch: Array
) -> None:
    """Carry a state through a round, in place, with all that comes in."""
    _carry(state, way, surface, scratch)
    for entry, amounts in one.added.items():
        here = tuple((lane, part_of(amount, *block)) for lane, amount in amounts)
        _put(state, entry, here, way, surface, scratch)
    for window, flows in one.flowing.items():
        there, fate = state[:, window.lane], way.windows[window]
        for flow in flows:
            amount = part_of(flow, *block)
            there[AFTER_RESIDUE] += np.multiply(amount, fate, out=scratch[0, :FATES, 0])
            there[ADDED] += amount * way.years[window]


def blocks(problem: Problem, block: int | None = None) -> Iterator[tuple[int, int, int, Array]]:
    """Work the draws out block by block, so that memory need not grow with their number.

    Parameters
    ----------
    problem : Problem
    block : int, draws at a time; None for as many as go well together

    Yields
    ------
    row of the record, first draw, last draw (not included), and the state (6, lane, draw) at that boundary: kg
    C/m2 of surface, residue and humus, and since the start decomposed, respired from humus and added.  The array is
    written over when the next is asked for.

    Raises
    ------
    ValueError : a block below 1
    """
    size = _draws_together(problem) if block is None else block
    if size < 1:
        raise ValueError(f"block: {block} is below 1")
    rounds, surface = rounds_of(problem), surface_lanes(problem)
    plan = layout(problem, tuple(dict.fromkeys(one.kind for one in rounds)), surface)
    number = {kind: n for n, kind in enumerate(plan.kinds)}
    kinds = [number[one.kind] for one in rounds]
    for low in range(0, problem.draws, size):
        high = min(low + size, problem.draws)
        ways = maps(problem, plan, low, high)
        state = np.zeros((QUANTITIES, problem.lanes, high - low))
        state[:3] = part_of(problem.start, low, high)
        scratch = np.empty((2, *state.shape))
        if 0 in problem.record:
            yield 0, low, high, state
        for kind, one in zip(kinds, rounds, strict=True):
            _over(state, one, ways[kind], surface, (low, high), scratch)
            if one.row is not None:
                yield one.row, low, high, state


def solve(problem: Problem, *, block: int | None = None) -> Stocks:
    """Stocks at every recorded boundary by the closed form; the same bits for every block size.

    Parameters and what is raised: as for `blocks`.

    Returns
    -------
    Stocks of all draws
    """
    out = np.empty((QUANTITIES, len(problem.record), problem.lanes, problem.draws))
    for row, low, high, state in blocks(problem, block):
        out[:, row, :, low:high] = state
    surface, residue, humus, decomposed, humus_respired, added = out
    return Stocks(surface, residue, humus, decomposed, humus_respired, added, problem.start, problem.humified)


def solve_totals(problem: Problem, *, block: int | None = None) -> tuple[Array, Array]:
    """Carbon and humus summed over lanes, keeping nothing of the lanes: for many draws.

    Parameters and what is raised: as for `blocks`.

    Returns
    -------
    (carbon, humus) : ndarrays (time, draw), kg C/m2; carbon is surface, residue and humus together
    """
    carbon, humus = np.zeros((2, len(problem.record), problem.draws))
    for row, low, high, state in blocks(problem, block):
        # Lanes one by one: numpy's own sum takes another order when a block is one draw wide.
        for lane in state[HUMUS]:
            humus[row, low:high] += lane
        carbon[row, low:high] = humus[row, low:high]
        for lanes in state[[SURFACE, RESIDUE]]:
            for lane in lanes:
                carbon[row, low:high] += lane
    return carbon, humus
