"""Everything a season leaves on disk."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path

from somsim.report import pdf
from somsim.report.folder import Content, write_folder
from somsim.report.season_calendar import calendar
from somsim.report.season_page import page
from somsim.report.season_tables import orders_csv, tasks_csv, weeks_csv
from somsim.report.words import System
from somsim.study.season_types import Season


@dataclass(frozen=True)
class Saved:
    """Where a season was written, and why its page was not printed to PDF; empty where it was."""

    folder: Path
    no_pdf: str


def save_season(season: Season, folder: Path, system: System, now: datetime.datetime) -> Saved:
    """Write season.html, season.pdf where it can be printed, orders.csv, tasks.csv, weeks.csv and season.ics.

    Raises
    ------
    InputError
        when the folder can't be written; what was there before is then still there.
    """
    html = page(season, system)
    files: dict[str, Content] = {
        "season.html": html,
        "orders.csv": orders_csv(season),
        "tasks.csv": tasks_csv(season),
        "weeks.csv": weeks_csv(season),
        "season.ics": calendar(season, system, now),
    }
    paper, why = _printed(html)
    if paper is not None:
        files["season.pdf"] = paper
    return Saved(write_folder(folder, files), why)


def _printed(html: bytes) -> tuple[bytes | None, str]:
    """The page as PDF, or None and why not."""
    program = pdf.browser()
    if program is None:
        return None, "No PDF, because Chromium is not here: open season.html in any browser and print it."
    try:
        return pdf.pdf(html.decode(), program), ""
    except OSError as error:
        return None, f"{error}. Open season.html in any browser and print it."
