"""What happens between two recorded boundaries, laid out so that rounds alike are worked out once.

Two rounds are alike when their spans have the same patterns and the same things happen on the same days of them,
whatever the amounts: the years of a plan that repeats.  What is carried over a round is affine in the stocks at
its start and in what comes in, so each kind of round is one map.
"""

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from somsim.decay.problem import SURFACE, Addition, Array, Inflow, Problem, Transfer, part_of

# Rates are in a fixed proportion if they are to within some tens of roundings: what comes of it is no further
# off than the rates themselves.
PROPORTION = 1e-14
AT_ONCE = 256  # draws looked at together, so that they stay in the cache


@dataclass(frozen=True)
class Entry:
    """What is added to one stock of neighbouring lanes, first up to last, at one boundary of a round."""

    stop: int
    stock: int
    first: int
    last: int


@dataclass(frozen=True)
class Window:
    """Spans of a round in which one lane has an inflow."""

    first: int
    last: int
    lane: int


@dataclass(frozen=True)
class Dig:
    """A digging in."""

    stop: int
    lanes: tuple[int, ...]
    share: float


@dataclass(frozen=True)
class Kind:
    """All that decides how a round carries a kg C; boundaries are counted from its start."""

    patterns: tuple[int, ...]
    digs: tuple[Dig, ...]
    entries: tuple[Entry, ...]
    windows: tuple[Window, ...]

    def stretches(self) -> tuple[tuple[int, int], ...]:
        """From stop to stop: spans between which nothing is added or dug in and no inflow starts or ends."""
        stops = {0, len(self.patterns), *(dig.stop for dig in self.digs), *(one.stop for one in self.entries)}
        stops.update(bound for window in self.windows for bound in (window.first, window.last))
        return tuple(pairwise(sorted(stops)))


@dataclass(frozen=True)
class Round:
    """One round of a problem: its kind, and the amounts that come in, (draw,) or (1,), in kg C/m2 (a year)."""

    kind: Kind
    added: dict[Entry, tuple[tuple[int, Array], ...]]
    """Lane and amount of each addition."""
    flowing: dict[Window, tuple[Array, ...]]
    """More than one where inflows overlap."""
    row: int | None
    """Row of the record that its end is, if it is recorded."""


def surface_lanes(problem: Problem) -> slice | None:
    """From the first to the last lane that may have something on the surface: others cost nothing there."""
    used = np.any(problem.start[SURFACE] != 0.0, axis=-1)
    used[[addition.lane for addition in problem.additions if addition.stock == SURFACE]] = True
    lanes = np.flatnonzero(used)
    return slice(int(lanes[0]), int(lanes[-1]) + 1) if len(lanes) else None


def rounds_of(problem: Problem) -> tuple[Round, ...]:
    """Lay a problem out in rounds, from the start to the last recorded boundary."""
    rows = {int(boundary): row for row, boundary in enumerate(problem.record)}
    marks = sorted({0, *rows})
    round_of = np.searchsorted(marks, np.arange(problem.spans + 1), side="right") - 1
    additions: list[list[Addition]] = [[] for _ in marks]
    for addition in problem.additions:
        additions[round_of[addition.span]].append(addition)
    transfers: list[list[Transfer]] = [[] for _ in marks]
    for transfer in problem.transfers:
        transfers[round_of[transfer.span]].append(transfer)
    flows: list[list[Inflow]] = [[] for _ in marks]
    for flow in problem.inflow:
        for number in range(round_of[flow.first], round_of[flow.last - 1] + 1):
            flows[number].append(flow)
    return tuple(
        _round(problem, first, last, additions[number], transfers[number], flows[number], rows.get(last))
        for number, (first, last) in enumerate(pairwise(marks))
    )


def _round(
    problem: Problem,
    first: int,
    last: int,
    additions: list[Addition],
    transfers: list[Transfer],
    flows: list[Inflow],
    row: int | None,
) -> Round:
    added, flowing = _entries(additions, first), dict[Window, tuple[Array, ...]]()
    for flow in flows:
        window = Window(max(flow.first, first) - first, min(flow.last, last) - first, flow.lane)
        flowing[window] = (*flowing.get(window, ()), flow.amount)
    digs = tuple(Dig(one.span - first, tuple(one.lanes.tolist()), one.share) for one in transfers)
    kind = Kind(tuple(problem.pattern[first:last].tolist()), digs, tuple(added), tuple(flowing))
    return Round(kind, added, flowing, row)


def _entries(additions: list[Addition], first: int) -> dict[Entry, tuple[tuple[int, Array], ...]]:
    """Additions of one day to one stock, neighbouring lanes together, in an order that is always the same."""
    found: dict[tuple[int, int], dict[int, list[Array]]] = {}
    for addition in additions:
        lanes = found.setdefault((addition.span - first, addition.stock), {})
        lanes.setdefault(addition.lane, []).append(addition.amount)
    made = {}
    for (stop, stock), lanes in sorted(found.items()):
        numbers = np.array(sorted(lanes))
        for run in np.split(numbers, np.flatnonzero(np.diff(numbers) != 1) + 1):
            amounts = tuple((int(lane), amount) for lane in run for amount in lanes[int(lane)])
            made[Entry(stop, stock, int(run[0]), int(run[-1]) + 1)] = amounts
    return made


class Proportions:
    """Whether rates of residue and surface keep one ratio to the rate of humus over some patterns, in all draws.

    Where they do, as when only the climate differs, spans in a row are one: the sum of rate times years decides.
    """

    def __init__(self, problem: Problem, surface: slice | None) -> None:
        """Of a problem; what was found for a set of patterns is kept."""
        self._pairs = [(problem.residue_rate, problem.humus_rate)]
        if surface is not None:
            self._pairs.append((_lanes(problem.surface_rate, surface), _lanes(problem.humus_rate, surface)))
        self._draws = problem.draws
        self._known: dict[frozenset[int], bool] = {}
        self._throughout = self._held(frozenset(problem.pattern.tolist()))

    def kept(self, patterns: tuple[int, ...]) -> bool:
        """Whether one ratio holds over these patterns."""
        return self._throughout or self._held(frozenset(patterns))

    def _held(self, patterns: frozenset[int]) -> bool:
        if patterns not in self._known:
            first, last = min(patterns), max(patterns) + 1
            wanted = slice(first, last) if last - first == len(patterns) else np.array(sorted(patterns))
            self._known[patterns] = len(patterns) == 1 or all(
                _one_ratio(part_of(rate, low, low + AT_ONCE)[wanted], part_of(humus, low, low + AT_ONCE)[wanted])
                for rate, humus in self._pairs
                for low in range(0, self._draws, AT_ONCE)
            )
        return self._known[patterns]


def _lanes(rate: Array, lanes: slice) -> Array:
    return rate if rate.shape[1] == 1 else rate[:, lanes]


def _one_ratio(ours: Array, theirs: Array) -> bool:
    """Cross products are compared: no ratio is taken, so frozen ground (both 0) fits any."""
    our_sum, their_sum = ours.sum(axis=0), theirs.sum(axis=0)
    apart = ours * their_sum
    apart -= our_sum * theirs
    np.abs(apart, out=apart)
    return bool(np.all(apart.max(axis=0) <= PROPORTION * our_sum * their_sum))
