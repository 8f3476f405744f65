"""A planner in a process of its own, as a grower starts it."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

PATIENCE = 90.0  # seconds; a busy machine is slow to begin


@dataclass
class Served:
    address: str
    process: subprocess.Popen[str]

    @property
    def home(self) -> str:
        return self.address.partition("/?")[0]

    @property
    def port(self) -> int:
        return int(self.home.rpartition(":")[2])

    @property
    def token(self) -> str:
        return self.address.partition("token=")[2]

    def kill(self) -> None:
        os.kill(self.process.pid, signal.SIGKILL)
        self.process.wait(30)


@contextmanager
def planner(folder: Path, *words: str) -> Iterator[Served]:
    command = [sys.executable, "-m", "somsim.cli.main", "planner", "--no-open", *words]
    told = folder.parent / f"told-{time.monotonic_ns()}"
    with told.open("w") as out:
        process = subprocess.Popen(command, cwd=folder, stdout=out, stderr=out, text=True)
    try:
        begun = time.monotonic()
        while (found := re.search(r"http://\S+", told.read_text())) is None:
            assert process.poll() is None, told.read_text()
            assert time.monotonic() - begun < PATIENCE, told.read_text()
            time.sleep(0.05)
        yield Served(found[0], process)
    finally:
        if process.poll() is None:
            process.send_signal(signal.SIGINT)
            try:
                process.wait(30)
            except subprocess.TimeoutExpired:
                process.kill()
                process.wait(30)
