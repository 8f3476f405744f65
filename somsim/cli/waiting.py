"""A progress bar for work that takes more than two seconds, on a terminal only."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

PATIENCE = 2.0  # seconds before a bar appears


@contextmanager
def waiting(what: str, steps: int) -> Iterator[Callable[[], None]]:
    """Give a function to be called after each step; the bar shows only when the work drags on."""
    if not sys.stderr.isatty():
        yield lambda: None
        return
    from rich.console import Console
    from rich.progress import Progress

    bar = Progress(console=Console(stderr=True), transient=True)
    task = bar.add_task(what, total=steps)
    begun = time.monotonic()

    def step() -> None:
        bar.advance(task)
        if time.monotonic() - begun > PATIENCE and not bar.live.is_started:
            bar.start()

    try:
        yield step
    finally:
        if bar.live.is_started:
            bar.stop()
