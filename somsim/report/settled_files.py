"""What `somsim settle` leaves on disk: the chart of what decides, and two tables."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from pathlib import Path

from somsim.report.folder import Content, write_folder
from somsim.report.pictures import png, svg
from somsim.report.settling import words_of
from somsim.report.tornado import tornado_chart
from somsim.study.settle import Settled


def save_settled(settled: Settled, folder: Path) -> Path:
    """Write decides.png and .svg, decides.csv and measure.csv into a folder, whole or not at all.

    Returns
    -------
    Path, the real place of the folder

    Raises
    ------
    InputError
        when the folder can't be written; what was there before is then still there.
    """
    files: dict[str, Content] = {
        "decides.csv": _csv(DECIDES, _decides(settled)),
        "measure.csv": _csv(MEASURE, _measure(settled)),
    }
    chart = tornado_chart(settled)
    if chart is not None:
        files["decides.png"], files["decides.svg"] = png(chart), svg(chart)
    return write_folder(folder, files)


QUESTION = ("figure", "strategy", "beside", "unit")
DECIDES = (
    *QUESTION,
    "unknown",
    "words",
    "first",
    "first_p10",
    "first_p90",
    "total",
    "total_p10",
    "total_p90",
)
MEASURE = (*QUESTION, "measure", "narrowed", "choice_changes", "saved_kg_per_m2", "money", "hours")


def _csv(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> bytes:
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return text.getvalue().encode()


def _decides(settled: Settled) -> Iterable[Sequence[object]]:
    for one in settled.decided:
        asked = one.question
        for driver in one.drivers:
            unknown = driver.doubt.score if driver.doubt else ""
            parts = [value for part in (driver.first, driver.total) for value in (part.share, part.low, part.high)]
            yield asked.kind, asked.first, asked.second, asked.unit, unknown, words_of(driver), *parts


def _measure(settled: Settled) -> Iterable[Sequence[object]]:
    for gain in settled.prospect.gains:
        costs = [cost.best if cost else "" for cost in (gain.measurement.money, gain.measurement.hours)]
        for asked, share in gain.narrowed:
            yield asked.kind, asked.first, asked.second, asked.unit, gain.name, share, gain.changes, gain.saved, *costs
