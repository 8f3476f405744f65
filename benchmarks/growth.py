"""Do time and memory of the closed form grow as they should with members and years?

    python benchmarks/growth.py [--quick]

Members are fields times draws: 4,096 draws of one field are worked out, brought down to quantiles by year, and
let go, then the next. Each row is a process of its own; a slope is that of the line through the logarithms of
processor seconds and members (or years), 1 where twice as much takes twice as long.
"""

import argparse
import json
import resource
import subprocess
import sys
import time
from dataclasses import replace

import numpy as np
from engines import SPANS_A_YEAR, described, repeating_plan, some

from somsim.decay import Problem, exact

DRAWS = 4_096  # the most of one field
SHARES = (0.1, 0.5, 0.9)


def cut_short(problem: Problem, years: int) -> Problem:
    """The first years of the plan."""
    spans = years * SPANS_A_YEAR
    return replace(
        problem,
        years=problem.years[:spans],
        pattern=problem.pattern[:spans],
        additions=tuple(one for one in problem.additions if one.span < spans),
        transfers=tuple(one for one in problem.transfers if one.span < spans),
        inflow=tuple(one for one in problem.inflow if one.last <= spans),
        record=problem.record[: years + 1],
    )


def run(members: int, years: int) -> None:
    """Print processor seconds of the engine and the most memory held, as JSON."""
    whole = cut_short(repeating_plan(min(DRAWS, members)), years)
    exact.solve_totals(some(whole, 0, min(64, members)))
    kept, seconds, done = [], 0.0, 0
    while done < members:
        field = some(whole, 0, min(DRAWS, members - done))
        began = time.process_time()
        carbon, _humus = exact.solve_totals(field)
        kept.append(np.quantile(carbon, SHARES, axis=-1))
        seconds += time.process_time() - began
        done += field.draws
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    print(json.dumps({"seconds": seconds, "megabytes": most}))


def measured(members: int, years: int, repeats: int) -> dict[str, float]:
    """The fastest of a few processes."""
    command = [sys.executable, __file__, "--one", str(members), str(years)]
    rows = [json.loads(subprocess.run(command, check=True, capture_output=True).stdout) for _ in range(repeats)]
    return min(rows, key=lambda row: row["seconds"])


def slope(counts: tuple[int, ...], seconds: list[float]) -> float:
    return float(np.polyfit(np.log(counts), np.log(seconds), 1)[0])


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--quick", action="store_true", help="fewer members, to see that it works")
    parser.add_argument("--one", nargs=2, type=int, help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.one:
        run(*asked.one)
        return
    print(described())
    members = (1_000, 10_000) if asked.quick else (1_000, 10_000, 100_000, 1_000_000)
    found = [measured(count, 30, 1 if count > 100_000 else 3) for count in members]
    for count, row in zip(members, found, strict=True):
        each = 1e6 * row["seconds"] / count
        print(f"{count:>9,} members, 30 years: {row['seconds']:8.3f} s, {each:6.2f} us each, {row['megabytes']:.0f} MB")
    print(f"slope of time on members: {slope(members, [row['seconds'] for row in found]):.3f}")
    print(f"memory, {members[-1]:,} over {members[-2]:,}: {found[-1]['megabytes'] / found[-2]['megabytes']:.3f}")
    lengths = (5, 10, 20, 30)
    found = [measured(4_096, years, 1 if asked.quick else 3) for years in lengths]
    for years, row in zip(lengths, found, strict=True):
        each = 1e6 * row["seconds"] / 4096
        print(f"    4,096 members, {years:>2} years: {row['seconds']:8.3f} s, {each:6.2f} us each")
    print(f"slope of time on years: {slope(lengths, [row['seconds'] for row in found]):.3f}")


if __name__ == "__main__":
    main()
