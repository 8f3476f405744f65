"""What is to be worked out, what comes out, and the walk along the spans that both engines share."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Whole = NDArray[np.integer]

SURFACE, RESIDUE, HUMUS, DECOMPOSED, RESPIRED = range(5)
STOCK_NAMES = ("surface", "residue", "humus")
# A humification coefficient of 1 would keep all carbon for ever; conversions between its families can reach
# past it.
MOST_HUMIFIED = 0.95


@dataclass(frozen=True)
class Inflow:
    """A steady flow of carbon into the layer's residue, over spans `first` up to, not including, `last`."""

    first: int
    last: int
    lane: int
    amount: Array
    """kg C/m2/yr, (draw,) or (1,)."""


@dataclass(frozen=True)
class Addition:
    """Carbon put down in one go at the start of a span, into `stock` 0 surface, 1 residue or 2 humus."""

    span: int
    lane: int
    stock: int
    amount: Array
    """kg C/m2, (draw,) or (1,)."""


@dataclass(frozen=True)
class Transfer:
    """Digging in: a share of the surface stock of some lanes becomes residue at the start of a span."""

    span: int
    lanes: Whole
    share: float = 1.0


@dataclass(frozen=True)
class Problem:
    """Spans of steady rates, dated additions, and the stocks to start from.

    A lane is one source of carbon on one group of beds; all lanes share the spans. Boundary b, of 0 to the
    number of spans, is the instant span b starts. There, in this order: the stocks are recorded (if asked
    for), then additions are made, then surfaces are dug in. So what is put down on a recorded day is not in
    that day's record: an addition on the first day is not in boundary 0, and what is dated at the last
    boundary is never made.

    Raises
    ------
    ValueError : an array of the wrong shape (the message names the axis), or a value that cannot be
    """

    years: Array
    """(span,) yr, length of each span."""
    pattern: Whole
    """(span,) which set of rates is in force; spans with the same pattern have the same length."""
    surface_rate: Array
    """(pattern, lane, draw) 1/yr; in this and the next three, lane and draw may be 1."""
    residue_rate: Array
    """(pattern, lane, draw) 1/yr."""
    humus_rate: Array
    """(pattern, lane, draw) 1/yr."""
    humified: Array
    """(lane, draw) share of decomposed carbon that becomes humus."""
    inflow: tuple[Inflow, ...]
    start: Array
    """(3, lane, draw) kg C/m2 of surface, residue and humus."""
    additions: tuple[Addition, ...]
    transfers: tuple[Transfer, ...]
    record: Whole
    """(time,) boundaries at which stocks are wanted, rising."""

    def __post_init__(self) -> None:
        """Refuse what cannot be worked out."""
        _check_start(self.start)
        _check_spans(self.years, self.pattern)
        patterns = int(np.max(self.pattern)) + 1
        for name in ("surface_rate", "residue_rate", "humus_rate"):
            rate = getattr(self, name)
            _check_shape(name, rate, ("pattern", "lane", "draw"), (None, self.lanes, self.draws))
            if rate.shape[0] < patterns:
                raise ValueError(f"{name}: axis pattern is {rate.shape[0]} long, not {patterns}")
        _check_shape("humified", self.humified, ("lane", "draw"), (self.lanes, self.draws))
        if np.any(self.humified > MOST_HUMIFIED):
            raise ValueError(f"humified: {np.max(self.humified):g} is more than {MOST_HUMIFIED:g}")
        _check_events(self)

    @property
    def spans(self) -> int:
        """How many spans."""
        return len(self.years)

    @property
    def lanes(self) -> int:
        """How many lanes."""
        return int(self.start.shape[1])

    @property
    def draws(self) -> int:
        """How many draws."""
        return int(self.start.shape[2])


@dataclass(frozen=True)
class Stocks:
    """Carbon at each recorded boundary: all (time, lane, draw) in kg C/m2, the last three since the start."""

    surface: Array
    residue: Array
    humus: Array
    decomposed: Array
    """Carbon of surface and residue that has decomposed, whether it became humus or was respired."""
    humus_respired: Array
    added: Array
    """Carbon that has come in since the start, by additions and inflow."""
    start: Array
    """(3, lane, draw) the stocks before anything happened."""
    humified: Array
    """(lane, draw), either may be 1."""

    @property
    def respired(self) -> Array:
        """Carbon given off since the start, from its own formula: (1 - h) x decomposed + humus respired."""
        return (1.0 - self.humified) * self.decomposed + self.humus_respired

    @property
    def total(self) -> Array:
        """Carbon on the surface and in the layer."""
        return self.surface + self.residue + self.humus


Event = TypeVar("Event", Addition, Transfer)
Advance = Callable[[Array, Array, int, int], None]
"""Carries a state (5, lane, draw) through spans first to last with an inflow (lane, draw), in place."""


def part_of(values: Array, low: int, high: int) -> Array:
    """Draws `low` to `high` of an array whose last axis is draws, or the array itself where that is 1."""
    return values if values.shape[-1] == 1 else values[..., low:high]


def walk(problem: Problem, low: int, high: int, steps: Sequence[tuple[int, int]], advance: Advance) -> Stocks:
    """Go along the steps for draws `low` to `high`, with `advance` doing the decay.

    Parameters
    ----------
    steps : (first, last) spans of each stretch carried in one go; none may reach past a boundary at which
        something is recorded, added or dug in, or an inflow starts or ends
    advance : what carries the state through a stretch, in place

    Returns
    -------
    Stocks, with `high - low` draws
    """
    state = np.zeros((5, problem.lanes, high - low))
    state[:3] = part_of(problem.start, low, high)
    added = np.zeros(state.shape[1:])
    out = np.empty((6, len(problem.record), *added.shape))
    rows = {int(boundary): row for row, boundary in enumerate(problem.record)}
    additions, transfers = _by_span(problem.additions), _by_span(problem.transfers)
    starting, ending = _inflow_changes(problem)
    running: set[int] = set()
    inflow = np.zeros_like(added)
    for first, last in steps:
        if first in rows:
            out[:5, rows[first]], out[5, rows[first]] = state, added
        for addition in additions.get(first, ()):
            amount = part_of(addition.amount, low, high)
            state[addition.stock, addition.lane] += amount
            added[addition.lane] += amount
        for transfer in transfers.get(first, ()):
            moved = transfer.share * state[SURFACE, transfer.lanes]
            state[SURFACE, transfer.lanes] -= moved
            state[RESIDUE, transfer.lanes] += moved
        if first in starting or first in ending:
            running = (running - ending.get(first, set())) | starting.get(first, set())
            inflow = _inflow_now(problem, sorted(running), low, high)
        advance(state, inflow, first, last)
        if running:
            added += inflow * float(np.sum(problem.years[first:last]))
    if problem.spans in rows:
        out[:5, rows[problem.spans]], out[5, rows[problem.spans]] = state, added
    surface, residue, humus, decomposed, humus_respired, added_by_then = out
    start, humified = part_of(problem.start, low, high), part_of(problem.humified, low, high)
    return Stocks(surface, residue, humus, decomposed, humus_respired, added_by_then, start, humified)


def _by_span(events: tuple[Event, ...]) -> dict[int, list[Event]]:
    by_span: dict[int, list[Event]] = {}
    for event in events:
        by_span.setdefault(event.span, []).append(event)
    return by_span


def _inflow_changes(problem: Problem) -> tuple[dict[int, set[int]], dict[int, set[int]]]:
    """Which inflows (by their place in the problem) start, and which end, at each boundary."""
    starting: dict[int, set[int]] = {}
    ending: dict[int, set[int]] = {}
    for index, flow in enumerate(problem.inflow):
        starting.setdefault(flow.first, set()).add(index)
        ending.setdefault(flow.last, set()).add(index)
    return starting, ending


def _inflow_now(problem: Problem, running: list[int], low: int, high: int) -> Array:
    """Sum afresh, in one order: adding and taking away again would leave a trace of every past inflow."""
    inflow = np.zeros((problem.lanes, high - low))
    for index in running:
        flow = problem.inflow[index]
        inflow[flow.lane] += part_of(flow.amount, low, high)
    return inflow


def _check_values(name: str, values: Array) -> None:
    if not isinstance(values, np.ndarray) or values.dtype != np.float64:
        raise ValueError(f"{name}: must be an array of float64")
    if not (np.all(np.isfinite(values)) and np.all(values >= 0.0)):
        raise ValueError(f"{name}: must be finite and 0 or more")


def _check_shape(name: str, values: Array, axes: tuple[str, ...], lengths: tuple[int | None, ...]) -> None:
    """Each axis as long as said, or 1; any length where None is said."""
    _check_values(name, values)
    if values.ndim != len(axes):
        raise ValueError(f"{name}: has {values.ndim} axes, not {len(axes)} ({', '.join(axes)})")
    for axis, length, want in zip(axes, values.shape, lengths, strict=True):
        if want is not None and length not in (1, want):
            raise ValueError(f"{name}: axis {axis} is {length} long, not {want}")


def _check_whole(name: str, values: Whole, most: int | None = None) -> None:
    if not isinstance(values, np.ndarray) or values.ndim != 1 or not np.issubdtype(values.dtype, np.integer):
        raise ValueError(f"{name}: must be an array of whole numbers with one axis")
    if np.any(values < 0) or (most is not None and np.any(values > most)):
        raise ValueError(f"{name}: must lie between 0 and {'its length' if most is None else most}")


def _check_start(start: Array) -> None:
    _check_values("start", start)
    if start.ndim != 3 or start.shape[0] != len(STOCK_NAMES) or 0 in start.shape:
        raise ValueError(f"start: must be (stock, lane, draw) with axis stock 3 long, not {start.shape}")


def _check_spans(years: Array, pattern: Whole) -> None:
    _check_values("years", years)
    if years.ndim != 1 or len(years) == 0 or np.any(years == 0.0):
        raise ValueError("years: must be one axis of at least one span, each above 0")
    _check_whole("pattern", pattern)
    if len(pattern) != len(years):
        raise ValueError(f"pattern: axis span is {len(pattern)} long, not {len(years)}")
    lengths = np.zeros(int(np.max(pattern)) + 1)
    lengths[pattern] = years
    if np.any(lengths[pattern] != years):
        raise ValueError("pattern: spans with the same pattern must have the same length in years")


def _check_lane(name: str, lane: int, problem: Problem) -> None:
    if not 0 <= lane < problem.lanes:
        raise ValueError(f"{name}: lane {lane} is not one of {problem.lanes} on axis lane")


def _check_dates(name: str, events: tuple[Event, ...], spans: int) -> None:
    for event in events:
        if not 0 <= event.span <= spans:
            raise ValueError(f"{name}: boundary {event.span} is not in 0 to {spans} on axis span")


def _check_events(problem: Problem) -> None:
    spans, draws = problem.spans, problem.draws
    for flow in problem.inflow:
        _check_lane("inflow", flow.lane, problem)
        _check_shape("inflow amount", flow.amount, ("draw",), (draws,))
        if not 0 <= flow.first < flow.last <= spans:
            raise ValueError(f"inflow: {flow.first} to {flow.last} is not a stretch of {spans} on axis span")
    for addition in problem.additions:
        _check_lane("addition", addition.lane, problem)
        _check_shape("addition amount", addition.amount, ("draw",), (draws,))
        if addition.stock not in (SURFACE, RESIDUE, HUMUS):
            raise ValueError(f"addition: stock {addition.stock} is not 0 surface, 1 residue or 2 humus")
    for transfer in problem.transfers:
        _check_whole("transfer lanes", transfer.lanes, problem.lanes - 1)
        if len(np.unique(transfer.lanes)) != len(transfer.lanes):
            raise ValueError("transfer lanes: a lane is named twice on axis lane")
        if not 0.0 <= transfer.share <= 1.0:
            raise ValueError(f"transfer: share {transfer.share:g} is not between 0 and 1")
    _check_dates("addition", problem.additions, spans)
    _check_dates("transfer", problem.transfers, spans)
    _check_whole("record", problem.record, spans)
    if np.any(np.diff(problem.record) <= 0):
        raise ValueError("record: axis time must rise")
