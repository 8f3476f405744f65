"""Everything a season leaves on disk."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path

from somsim.report.folder import Content, write_folder
from somsim.report.season_calendar import calendar
from somsim.report.season_page import page
from somsim.report.season_print import printed
from somsim.report.season_tables import orders_csv, tasks_csv, weeks_csv
from somsim.report.words import System
from somsim.study.season_types import Season


@dataclass(frozen=True)
class Saved:
    """Where a season was written, and whether its page could be printed to PDF."""

    folder: Path
    page_printed: bool


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
    made = printed(html)
    if made is not None:
        files["season.pdf"] = made
    return Saved(write_folder(folder, files), made is not None)
