"""The closed form: every distinct span is worked out once, then the plan is walked in plain arithmetic.

Draws go through in blocks. Each element meets the same operations in the same order whatever the block, and
the two exponentials are taken by whole vectors (equations.py), so the answer has the same bits for every
block size.
"""

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from somsim.decay.equations import (
    first_difference,
    first_difference_between,
    second_difference,
    share_gone,
    share_left,
    third_difference,
)
from somsim.decay.problem import (
    DECOMPOSED,
    HUMUS,
    RESIDUE,
    RESPIRED,
    SURFACE,
    Advance,
    Array,
    Problem,
    Stocks,
    part_of,
    stops,
    walk,
)

# Putting the spans of a stretch together costs about as much as walking it three times.
WORTH_JOINING = 4


class Fate(NamedTuple):
    """Where one kg C of a stock, or of a yearly inflow, is at the end: each (lane, draw), either may be 1."""

    kept: Array
    """Still residue (or still on the surface)."""
    humus: Array
    decomposed: Array
    """Decomposed, whether it became humus or was respired."""
    respired: Array
    """Became humus and was respired again."""


class Uses(NamedTuple):
    """The lanes, first used to last used, with a surface stock or an inflow: others cost nothing there."""

    surface: slice | None
    inflow: slice | None


@dataclass(frozen=True)
class Change:
    """What a span, or several in a row, does to one kg C of each stock and to an inflow of 1 kg C/m2/yr."""

    uses: Uses
    surface: Fate | None
    """(lanes used, draw), None where no lane ever has anything on the surface."""
    residue: Fate
    inflow: Fate | None
    """(lanes used, draw), None where there is no inflow."""
    humus_kept: Array
    humus_respired: Array


def fate_of_stock(a: Array, b: Array, humified: Array, second: Array) -> Fate:
    """Where one kg C that is residue at the start of a span is at its end.

    Parameters
    ----------
    a, b : ndarray (1), residue and humus rate times years
    humified : ndarray (1), share of decomposed carbon that becomes humus
    second : ndarray (1), second_difference(a, b)

    Returns
    -------
    Fate, per kg C. Source: derived from the chain at the head of equations.py.

    Examples
    --------
    >>> a, b = np.array(0.8), np.array(0.006)
    >>> fate = fate_of_stock(a, b, np.array(0.13), second_difference(a, b))
    >>> round(float(fate.kept), 4), round(float(fate.humus), 5)
    (0.4493, 0.07134)
    """
    humified_a = humified * a
    humus = humified_a * first_difference_between(a, b)
    return Fate(share_left(a), humus, share_gone(a), humified_a * b * second)


def fate_of_inflow(a: Array, b: Array, humified: Array, *, second: Array, years: float) -> Fate:
    """Where a steady inflow of 1 kg C/m2/yr into the residue is at the end of a span.

    Parameters
    ----------
    a, b : ndarray (1), residue and humus rate times years
    humified : ndarray (1), share of decomposed carbon that becomes humus
    second : ndarray (1), second_difference(a, b)
    years : float (yr), length of the span

    Returns
    -------
    Fate, in kg C/m2. Source: derived from the chain at the head of equations.py.

    Examples
    --------
    >>> a, b = np.array(0.8), np.array(0.006)
    >>> fate = fate_of_inflow(a, b, np.array(0.13), second=second_difference(a, b), years=1.0)
    >>> round(float(fate.kept), 4), round(float(fate.humus), 5)
    (0.6883, 0.04043)
    """
    third = third_difference(a, b)
    # The second difference over 0, 0, a is second + b third: a sum of positive terms, cheaper than its own
    # series.
    decomposed = years * a * (second + b * third)
    humified_a = years * humified * a
    return Fate(years * first_difference(a), humified_a * second, decomposed, humified_a * b * third)


def _uses(problem: Problem) -> Uses:
    surface = np.any(problem.start[SURFACE] != 0.0, axis=-1)
    surface[[addition.lane for addition in problem.additions if addition.stock == SURFACE]] = True
    inflow = np.zeros(problem.lanes, dtype=bool)
    inflow[[flow.lane for flow in problem.inflow]] = True
    return Uses(_run(surface), _run(inflow))


def _run(used: NDArray[np.bool_]) -> slice | None:
    """From the first to the last: a slice is a view, where a list of lanes would be copied at every step."""
    lanes = np.flatnonzero(used)
    return slice(int(lanes[0]), int(lanes[-1]) + 1) if len(lanes) else None


def _of_lanes(values: Array, lanes: slice) -> Array:
    """Some lanes of (lane, draw), or the array itself where lane is 1."""
    return values if values.shape[0] == 1 else values[lanes]


def _change(problem: Problem, pattern: int, low: int, high: int, uses: Uses) -> Change:
    """What one span of this pattern does."""
    years = float(problem.years[np.argmax(problem.pattern == pattern)])
    a, b, surface_a = (
        part_of(rate[pattern], low, high) * years
        for rate in (problem.residue_rate, problem.humus_rate, problem.surface_rate)
    )
    humified, second = part_of(problem.humified, low, high), second_difference(a, b)
    surface, inflow = None, None
    if uses.surface is not None:
        on_top, b_there, humified_there = (_of_lanes(v, uses.surface) for v in (surface_a, b, humified))
        surface = fate_of_stock(on_top, b_there, humified_there, second_difference(on_top, b_there))
    if uses.inflow is not None:
        rates = (_of_lanes(v, uses.inflow) for v in (a, b, humified))
        inflow = fate_of_inflow(*rates, second=_of_lanes(second, uses.inflow), years=years)
    residue = fate_of_stock(a, b, humified, second)
    return Change(uses, surface, residue, inflow, share_left(b), share_gone(b))


def _onward(fate: Fate, after: Fate, humus_kept: Array, humus_respired: Array) -> Fate:
    """`fate`, and then what `after` does to the part kept, and what happens to the part that is humus."""
    return Fate(
        fate.kept * after.kept,
        fate.humus * humus_kept + fate.kept * after.humus,
        fate.decomposed + fate.kept * after.decomposed,
        fate.respired + fate.humus * humus_respired + fate.kept * after.respired,
    )


def join(first: Change, then: Change) -> Change:
    """Two stretches in a row as one. Only sums of positive terms, so no digits are lost."""
    humus = (then.humus_kept, then.humus_respired)
    surface, inflow = None, None
    uses = first.uses
    if first.surface is not None and then.surface is not None and uses.surface is not None:
        there = (_of_lanes(value, uses.surface) for value in humus)
        surface = _onward(first.surface, then.surface, *there)
    if first.inflow is not None and then.inflow is not None and uses.inflow is not None:
        residue = Fate(*(_of_lanes(value, uses.inflow) for value in then.residue))
        there = (_of_lanes(value, uses.inflow) for value in humus)
        carried = _onward(first.inflow, residue, *there)
        inflow = Fate(*(old + new for old, new in zip(carried, then.inflow, strict=True)))
    return Change(
        uses,
        surface,
        _onward(first.residue, then.residue, *humus),
        inflow,
        first.humus_kept * then.humus_kept,
        first.humus_respired + first.humus_kept * then.humus_respired,
    )


def apply(change: Change, state: Array, inflow: Array) -> None:
    """Carry a state (5, lane, draw) through a change, in place; `inflow` (lane, draw) in kg C/m2/yr."""
    state[RESPIRED] += state[HUMUS] * change.humus_respired
    state[HUMUS] *= change.humus_kept
    _spread(state, state[RESIDUE], change.residue)
    state[RESIDUE] *= change.residue.kept
    if change.surface is not None:
        there = state[:, change.uses.surface]
        _spread(there, there[SURFACE], change.surface)
        there[SURFACE] *= change.surface.kept
    if change.inflow is not None:
        there, coming = state[:, change.uses.inflow], inflow[change.uses.inflow]
        _spread(there, coming, change.inflow)
        there[RESIDUE] += coming * change.inflow.kept


def _spread(state: Array, amount: Array, fate: Fate) -> None:
    state[HUMUS] += amount * fate.humus
    state[DECOMPOSED] += amount * fate.decomposed
    state[RESPIRED] += amount * fate.respired


def _steps(problem: Problem) -> list[tuple[int, int]]:
    """Stretches to carry in one go: whole ones between stops where their patterns repeat, else by span."""
    stretches = list(pairwise(stops(problem)))
    seen = Counter(tuple(problem.pattern[first:last].tolist()) for first, last in stretches)
    steps: list[tuple[int, int]] = []
    for first, last in stretches:
        if seen[tuple(problem.pattern[first:last].tolist())] >= WORTH_JOINING:
            steps.append((first, last))
        else:
            steps.extend((span, span + 1) for span in range(first, last))
    return steps


def _changes(problem: Problem, low: int, high: int) -> Callable[[int, int], Change]:
    """A function of (first, last) span that works each distinct stretch out once."""
    uses = _uses(problem)
    known: dict[tuple[int, ...], Change] = {}

    def single(pattern: int) -> Change:
        if (pattern,) not in known:
            known[(pattern,)] = _change(problem, pattern, low, high, uses)
        return known[(pattern,)]

    def over(first: int, last: int) -> Change:
        patterns = tuple(problem.pattern[first:last].tolist())
        if patterns not in known:
            change = single(patterns[0])
            for pattern in patterns[1:]:
                change = join(change, single(pattern))
            known[patterns] = change
        return known[patterns]

    return over


def blocks(problem: Problem, *, block: int = 2048) -> Iterator[Stocks]:
    """Work out the draws block by block, so that memory need not grow with their number.

    Parameters
    ----------
    problem : Problem
    block : int, draws at a time

    Yields
    ------
    Stocks of the next `block` draws (fewer in the last)

    Raises
    ------
    ValueError : a block below 1
    """
    if block < 1:
        raise ValueError(f"block: {block} is below 1")
    steps = _steps(problem)
    for low in range(0, problem.draws, block):
        high = min(low + block, problem.draws)
        yield walk(problem, low, high, steps, _advance(_changes(problem, low, high)))


def _advance(change_over: Callable[[int, int], Change]) -> Advance:
    def advance(state: Array, inflow: Array, first: int, last: int) -> None:
        apply(change_over(first, last), state, inflow)

    return advance


def solve(problem: Problem, *, block: int = 2048) -> Stocks:
    """Stocks at every recorded boundary by the closed form; the same bits for every block size.

    Parameters and what is raised: as for `blocks`, whose parts are put together here.

    Returns
    -------
    Stocks of all draws
    """
    parts = list(blocks(problem, block=block))
    if len(parts) == 1:
        return parts[0]
    names = ("surface", "residue", "humus", "decomposed", "humus_respired", "added")
    joined = {name: np.concatenate([getattr(part, name) for part in parts], axis=-1) for name in names}
    return Stocks(**joined, start=problem.start, humified=problem.humified)


def solve_totals(problem: Problem, *, block: int = 2048) -> tuple[Array, Array]:
    """Carbon and humus summed over lanes, keeping nothing of the lanes: for many draws.

    Parameters and what is raised: as for `blocks`.

    Returns
    -------
    (carbon, humus) : ndarrays (time, draw), kg C/m2; carbon is surface, residue and humus together
    """
    carbon, humus = [], []
    for part in blocks(problem, block=block):
        carbon.append(_over_lanes(part.total))
        humus.append(_over_lanes(part.humus))
    return np.concatenate(carbon, axis=-1), np.concatenate(humus, axis=-1)


def _over_lanes(values: Array) -> Array:
    """Sum over lanes one by one: numpy's own sum takes another order when a block is one draw wide."""
    total = values[:, 0].copy()
    for lane in range(1, values.shape[1]):
        total += values[:, lane]
    return total
