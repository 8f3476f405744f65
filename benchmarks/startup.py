"""How long do the commands take to start, beside bare Python and beside importing the libraries they stand on?

Everything runs in turn in one go, cold processes each, medians of several rounds; only ratios and differences are
worth quoting.  `--quick` runs two rounds.
"""

from __future__ import annotations

import argparse
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parent.parent
PLAN = ROOT / "configs" / "hillside.yaml"
PEER = "import numpy, scipy, scipy.stats.qmc, xarray, altair"


def commands(folder: Path) -> dict[str, list[str]]:
    somsim = [sys.executable, "-m", "somsim.cli.main"]
    return {
        "bare python": [sys.executable, "-c", "pass"],
        "libraries": [sys.executable, "-c", PEER],
        "somsim --help": [*somsim, "--help"],
        "somsim check": [*somsim, "check", str(PLAN)],
        "somsim compare": [*somsim, "compare", str(PLAN), "--out", str(folder / "out")],
    }


def seconds(command: list[str], folder: Path) -> float:
    begun = time.perf_counter()
    subprocess.run(command, check=True, capture_output=True, cwd=folder)
    return time.perf_counter() - begun


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--quick", action="store_true", help="two rounds, to see that it works")
    rounds = 2 if parser.parse_args().quick else 9
    print(f"{platform.platform()}, Python {platform.python_version()}, {rounds} rounds in turn")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        runs = commands(folder)
        times: dict[str, list[float]] = {what: [] for what in runs}
        for command in runs.values():
            seconds(command, folder)  # once unmeasured, so that every file is in the machine's memory
        for _ in range(rounds):
            for what, command in runs.items():
                times[what].append(seconds(command, folder))
    middle = {what: statistics.median(found) for what, found in times.items()}
    bare, libraries = middle["bare python"], middle["libraries"]
    for what, found in middle.items():
        print(f"{what:16} {found:6.3f} s  bare python + {found - bare:5.3f} s  {found / libraries:5.2f} x libraries")
    print(f"peer: {PEER}")
    print("aims: --help within bare + 0.3 s, check within bare + 0.6 s, compare within 6 x libraries")


if __name__ == "__main__":
    main()
