"""How near does the closed form come to what this machine can compute at all?

    python benchmarks/limit.py [--quick]

The arithmetic of the algorithm is counted, rates and outputs included, for the problem of engines.py. What the
machine can do is measured in this same run, in arrays that stay in the nearest cache: multiply-adds (numpy's multiply,
then its add), exponentials, divisions; each the best of many tries, at the length that suits it best. The limit is the
time the counted work would take at those speeds. The share of it that is reached is that time over the closed form's.
For comparison: multiply-adds of a matrix product, which loads hardly anything and which no plain arithmetic reaches.
"""

import argparse
import time
from collections.abc import Callable

import numpy as np
from engines import LANES, SPANS_A_YEAR, YEARS, described, repeating_plan

from somsim.decay import exact
from somsim.decay.equations import SERIES_TERMS

STRETCHES, FLOW_SPANS = 4, 8  # of a year of the plan in engines.py
SURFACES, IN_LAYER = 1, 4  # lanes whose additions go on the surface, and into the layer


def counted() -> dict[str, float]:
    """Operations a member: half a multiply-add for each multiplication, addition, difference or comparison."""
    lanes = LANES + SURFACES
    rates = SPANS_A_YEAR * (LANES + 1 + LANES)
    totals = (SPANS_A_YEAR - STRETCHES) * (LANES + 1 + LANES)
    proportion = SPANS_A_YEAR * (6 * lanes + 2)
    stock = STRETCHES * lanes * 10 + FLOW_SPANS * 10
    flow = FLOW_SPANS * (2 * 4 * (SERIES_TERMS - 1) + 14)
    joined = STRETCHES * (10 * LANES + 11 * SURFACES + 3) + FLOW_SPANS * (10 + 10 + 3 + 4)
    carried = YEARS * (LANES * 12 + SURFACES * 10)
    put = YEARS * (IN_LAYER * 10 + SURFACES * 12 + 10)
    halves = rates + totals + proportion + stock + flow + joined + carried + put
    exponentials = STRETCHES * (5 * lanes + 2) + FLOW_SPANS * (5 + 2 + 1)
    divisions = STRETCHES * lanes + FLOW_SPANS * 2
    return {"multiply-adds": halves / 2.0, "exponentials": exponentials, "divisions": divisions}


def best_rate(make: Callable[[int], Callable[[], object]], lengths: tuple[int, ...], tries: int) -> float:
    """Elements a second at the best length."""
    best = 0.0
    for length in lengths:
        function = make(length)
        function()
        for _ in range(tries):
            began = time.process_time_ns()
            for _ in range(200):
                function()
            best = max(best, 200.0 * length / max(time.process_time_ns() - began, 1) * 1e9)
    return best


def multiply_adds(length: int) -> Callable[[], object]:
    x, y, z, room = np.random.default_rng(1).uniform(0.1, 1.0, (4, length))

    def both() -> None:
        np.multiply(x, y, out=room)
        np.add(z, room, out=z)

    return both


def exponentials(length: int) -> Callable[[], object]:
    x = np.random.default_rng(1).uniform(-1.0, 0.0, length)
    room = np.empty_like(x)
    return lambda: np.exp(x, out=room)


def divisions(length: int) -> Callable[[], object]:
    x, y = np.random.default_rng(1).uniform(0.1, 1.0, (2, length))
    room = np.empty_like(x)
    return lambda: np.divide(x, y, out=room)


def matrix_rate(tries: int) -> float:
    """Multiply-adds a second of a matrix product, all threads that the library takes."""
    size = 512
    left, right = np.random.default_rng(1).uniform(0.0, 1.0, (2, size, size))
    best = 0.0
    for _ in range(tries):
        began = time.process_time_ns()
        left @ right
        best = max(best, size**3 / max(time.process_time_ns() - began, 1) * 1e9)
    return best


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true", help="fewer members and tries")
    quick = parser.parse_args().quick
    print(described())
    lengths, tries = (512, 1024, 2048, 4096), 5 if quick else 40
    speeds = {
        "multiply-adds": best_rate(multiply_adds, lengths, tries),
        "exponentials": best_rate(exponentials, lengths, tries),
        "divisions": best_rate(divisions, lengths, tries),
    }
    work, limit = counted(), 0.0
    for name, count in work.items():
        limit += count / speeds[name]
        print(f"{name}: {count:,.0f} a member, {speeds[name] / 1e9:.2f} thousand million a second", end=", ")
        print(f"{1e6 * count / speeds[name]:.2f} microseconds")
    members = 2_048 if quick else 10_000
    problem = repeating_plan(members)
    for solve in (exact.solve, exact.solve_totals):
        best = np.inf
        for _ in range(3 if quick else 20):
            began = time.process_time()
            solve(problem)
            best = min(best, time.process_time() - began)
        each = best / members
        print(f"{solve.__name__}, {members} members: {1e6 * each:.2f} microseconds a member, ", end="")
        print(f"{limit / each:.0%} of the limit ({1e6 * limit:.2f} microseconds)")
    matrix = matrix_rate(tries)
    print(f"a matrix product: {matrix / 1e9:.1f} thousand million multiply-adds a second, ", end="")
    print(f"{matrix / speeds['multiply-adds']:.0f} x those of plain arithmetic")


if __name__ == "__main__":
    main()
