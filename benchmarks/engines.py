"""How much faster is the closed form than stepping, on the same spans, and how near are they?

    python benchmarks/engines.py [--quick]

Thirty years of half-month spans, five lanes, one plan that repeats each year: an addition a year to every
lane, one lane with an inflow, one surface dug in. All peers start afresh at each span, give the same yearly
stocks, and are timed in this one run; a ratio is the peer's seconds per member over the closed form's.
Differences are the largest in any lane, year and stock, over the carbon standing in that lane and year.
"""

import argparse
import platform
import time
from dataclasses import replace
from functools import partial

import numpy as np
import scipy
from scipy.integrate import solve_ivp
from scipy.linalg import expm

from somsim.decay import Addition, Inflow, Problem, Stocks, Transfer, balance, exact
from somsim.decay.ivp import slopes
from somsim.decay.problem import walk

YEARS, SPANS_A_YEAR, LANES = 30, 24, 5
STOCKS = ("surface", "residue", "humus")


def repeating_plan(members: int) -> Problem:
    """Rates about those of a temperate garden: fast and slow residue, a factor that swings with the year."""
    rng = np.random.default_rng(1)
    spans = YEARS * SPANS_A_YEAR
    season = 1.0 - 0.9 * np.cos(2.0 * np.pi * np.arange(SPANS_A_YEAR) / SPANS_A_YEAR)
    climate = season[:, None, None] * rng.uniform(0.8, 1.5, (1, 1, members))
    residue = np.array([2.1, 0.8, 0.8, 0.4, 0.8])[:, None] * rng.uniform(0.6, 1.5, (LANES, members))
    additions = [
        Addition(year * SPANS_A_YEAR + 7, lane, 0 if lane == 0 else 1, rng.uniform(0.05, 0.3, members))
        for year in range(YEARS)
        for lane in range(LANES)
    ]
    start = rng.uniform(0.1, 3.0, (3, LANES, members))
    start[0, 1:] = 0.0  # only the first lane is left on the surface
    return Problem(
        years=np.full(spans, 1.0 / SPANS_A_YEAR),
        pattern=np.arange(spans) % SPANS_A_YEAR,
        surface_rate=0.6 * residue * climate,
        residue_rate=residue * climate,
        humus_rate=rng.uniform(0.004, 0.010, (1, 1, members)) * climate,
        humified=rng.uniform(0.1, 0.45, (LANES, members)),
        inflow=tuple(
            Inflow(year * SPANS_A_YEAR + 7, year * SPANS_A_YEAR + 15, 2, rng.uniform(0.05, 0.2, members))
            for year in range(YEARS)
        ),
        start=start,
        additions=tuple(additions),
        transfers=tuple(Transfer(year * SPANS_A_YEAR + 19, np.array([0])) for year in range(YEARS)),
        record=np.arange(0, spans + 1, SPANS_A_YEAR),
    )


def some(problem: Problem, first: int, last: int) -> Problem:
    """The problem of some of its members."""
    part = slice(first, last)
    return replace(
        problem,
        surface_rate=problem.surface_rate[..., part],
        residue_rate=problem.residue_rate[..., part],
        humus_rate=problem.humus_rate[..., part],
        humified=problem.humified[..., part],
        start=problem.start[..., part],
        additions=tuple(replace(addition, amount=addition.amount[part]) for addition in problem.additions),
        inflow=tuple(replace(flow, amount=flow.amount[part]) for flow in problem.inflow),
    )


def stepped(problem: Problem, method: str, relative: float, absolute: float) -> Stocks:
    """All members in one system, started afresh at each span."""

    def advance(state, inflow, first, last):
        pattern = problem.pattern[first]
        rates = (problem.surface_rate[pattern], problem.residue_rate[pattern], problem.humus_rate[pattern])

        def flat(_time, values):
            return slopes(values.reshape(state.shape), inflow, rates, problem.humified).ravel()

        end = float(problem.years[first])
        done = solve_ivp(flat, (0.0, end), state.ravel(), method=method, rtol=relative, atol=absolute)
        state[...] = done.y[:, -1].reshape(state.shape)

    return walk(problem, 0, problem.draws, singly(problem), advance)


def one_by_one(problem: Problem, method: str, relative: float, absolute: float) -> Stocks:
    """Each member a system of its own."""
    parts = [stepped(some(problem, m, m + 1), method, relative, absolute) for m in range(problem.draws)]
    fields = {name: np.concatenate([getattr(part, name) for part in parts], axis=-1) for name in STOCKS}
    return replace(parts[0], **fields)


def matrices(problem: Problem) -> Stocks:
    """One matrix exponential for each pattern, lane and member, all stacked; then matrix times vector."""
    years = problem.years[np.argmax(problem.pattern[:, None] == np.arange(SPANS_A_YEAR), axis=0)]
    shape = (SPANS_A_YEAR, LANES, problem.draws)
    surface, residue, humus = (
        np.broadcast_to(rate, shape) * years[:, None, None]
        for rate in (problem.surface_rate, problem.residue_rate, problem.humus_rate)
    )
    generator = np.zeros((*shape, 6, 6))
    for stock, loss in ((0, surface), (1, residue)):
        generator[..., stock, stock] = -loss
        generator[..., 2, stock] = problem.humified * loss
        generator[..., 3, stock] = loss
    generator[..., 2, 2], generator[..., 4, 2] = -humus, humus
    generator[..., 1, 5] = years[:, None, None]
    each = expm(generator)

    def advance(state, inflow, first, last):
        with_inflow = np.concatenate([state, inflow[None]])
        moved = np.matmul(each[problem.pattern[first]], np.moveaxis(with_inflow, 0, -1)[..., None])[..., 0]
        state[...] = np.moveaxis(moved, -1, 0)[:5]

    return walk(problem, 0, problem.draws, singly(problem), advance)


def singly(problem: Problem) -> list[tuple[int, int]]:
    return [(span, span + 1) for span in range(problem.spans)]


def largest_difference(closed: Stocks, peer: Stocks) -> float:
    apart = np.max([np.abs(getattr(closed, name) - getattr(peer, name)) for name in STOCKS], axis=0)
    return float(np.max(apart / closed.total))


def timed(function, problem: Problem, repeats: int) -> tuple[float, Stocks]:
    """Best of a few, in seconds of the processor a member."""
    best = np.inf
    for _ in range(repeats):
        began = time.process_time()
        stocks = function(problem)
        best = min(best, time.process_time() - began)
    return best / problem.draws, stocks


def processor() -> str:
    try:
        with open("/proc/cpuinfo") as info:
            names = [line.split(":")[1].strip() for line in info if line.startswith("model name")]
    except OSError:
        names = []
    return f"{names[0]}, {len(names)} cores" if names else platform.processor()


def described() -> str:
    """The machine and the versions, in one line."""
    versions = f"Python {platform.python_version()}, numpy {np.__version__}, scipy {scipy.__version__}"
    return f"{platform.platform()}; {processor()}; {versions}"


def peers(quick: bool):
    """(name, members, repeats, function): tolerances are for the state in kg C/m2."""
    alone, together = (1, 50) if quick else (5, 1000)
    tight, usual = (1e-10, 1e-13), (1e-6, 1e-9)
    for method in ("LSODA", "RK45", "DOP853"):
        for relative, absolute in (tight, usual):
            peer = partial(one_by_one, method=method, relative=relative, absolute=absolute)
            if not quick or (relative, absolute) == tight:
                yield f"{method}, a member at a time, rtol {relative:g}, atol {absolute:g}", alone, 1, peer
    for method in ("RK45", "DOP853"):
        for relative, absolute in (tight, usual):
            peer = partial(stepped, method=method, relative=relative, absolute=absolute)
            name = f"{method}, all members in one system, rtol {relative:g}, atol {absolute:g}"
            yield name, together, 1, peer
    yield "matrix exponentials, stacked, one a pattern, lane and member", together, 1, matrices


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true", help="fewer members: ends within 20 seconds")
    quick = parser.parse_args().quick
    print(described())
    problem = repeating_plan(2_048 if quick else 10_000)
    exact.solve(some(problem, 0, 64))  # the first call also loads code
    seconds, closed = timed(exact.solve, problem, 3 if quick else 20)
    print(f"closed form: {problem.draws} members, {1e6 * seconds:.2f} microseconds a member, ", end="")
    print(f"balance {balance.imbalance(closed):.1e}")
    monthly = replace(problem, record=np.arange(problem.spans + 1))
    lean, _ = timed(exact.solve, some(monthly, 0, 2048), 1)
    print(f"closed form, every span recorded, 2048 members: {1e6 * lean:.2f} microseconds a member")
    for name, members, repeats, peer in peers(quick):
        fewer = some(problem, 0, members)
        each, stocks = timed(peer, fewer, repeats)
        apart = largest_difference(exact.solve(fewer), stocks)
        size = f"{members} members, {1e6 * each:,.0f} us each"
        print(f"{each / seconds:>9,.0f} x  {name} ({size}), {apart:.1e} apart")


if __name__ == "__main__":
    main()
