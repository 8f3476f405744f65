"""How long until a change in the planner shows, against one bare comparison of the same plan in the same process.

A change is what a field does: it is written into the draft and the journal, the plan is read and checked again, the
quick answer worked out, and its sentences and two charts made.  Times are those of this process's own work, so that
a busy machine does not count; the median of many changes of all kinds.  Run: python benchmarks/planner.py
"""

from __future__ import annotations

import statistics
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from somsim.plan import read_plan
from somsim.planner.folder import Folder
from somsim.planner.pictures import change_chart, years_chart
from somsim.planner.session import Session, open_plan
from somsim.report import sentences
from somsim.report.embed import embeddable
from somsim.study.compare import compare_study
from somsim.study.quick import Kept, quick_study

DEMO = Path(__file__).parent.parent / "configs" / "hillside.yaml"
ROUNDS = 7
SHOWN_WITHIN = 0.2  # seconds


def show(session: Session, kept: Kept) -> None:
    plan = session.check().plan
    assert plan is not None
    quick = quick_study(plan, kept)
    sentences.opening(quick)
    sentences.answer(quick)
    for drawing in (years_chart(quick), change_chart(quick, "metric")):
        embeddable(drawing.specification)


def changes(session: Session) -> dict[str, Callable[[int], object]]:
    depth = ("strategies", "bought compost", 0, "spread", "depth")
    cover = ("strategies", "winter green manure", 0, "cover")
    return {
        "depth of the compost": lambda n: session.put(depth, f"{5 + n} mm"),
        "day of the cut": lambda n: session.put((*cover, "cut"), f"{10 + n} Apr"),
        "mass of the cover": lambda n: session.put((*cover, "dry_tops"), f"{3 + n / 10:g} t/ha"),
        "name of a strategy": lambda n: session.rename(
            "left alone in winter" if n == 0 else f"left alone {n}", f"left alone {n + 1}"
        ),
        "undo": lambda _: session.undo(),
        "horizon (all strategies)": lambda n: session.put(("horizon",), f"{12 - n % 2} years"),
    }


def timed(work: Callable[[], object]) -> float:
    begun = time.process_time()
    work()
    return time.process_time() - begun


def main() -> None:
    compare_study(read_plan(DEMO))
    bare = statistics.median(timed(lambda: compare_study(read_plan(DEMO))) for _ in range(3))
    print(f"one bare comparison of the demonstration: {bare:.2f} s")
    every: list[float] = []
    with tempfile.TemporaryDirectory() as folder:
        (Path(folder) / DEMO.name).write_bytes(DEMO.read_bytes())
        session, kept = open_plan(Folder(Path(folder)), DEMO.name), Kept()
        show(session, kept)
        for name, change in changes(session).items():
            taken = [timed(lambda n=n, change=change: (change(n), show(session, kept))) for n in range(ROUNDS)]
            every += taken
            middle = statistics.median(taken)
            print(f"{name:26} {middle:.3f} s, {middle / bare:.2f} of a comparison")
        session.close()
    middle = statistics.median(every)
    print(f"{'all changes, median':26} {middle:.3f} s, {middle / bare:.2f} of a comparison")
    print(f"wanted: under {SHOWN_WITHIN} s: {'yes' if middle < SHOWN_WITHIN else 'NO'}")


if __name__ == "__main__":
    main()
