"""A season as one page that prints well, in black and white, on A4 or Letter."""

from __future__ import annotations

from somsim.report.season import caution_lines
from somsim.report.season_amounts import ground_size, ranged
from somsim.report.season_drawing import strip_drawing, weeks_drawing
from somsim.report.season_lines import (
    HOURS,
    barrow_note,
    cost_lines,
    dates_note,
    full_words,
    opening,
    order_lines,
    task_lines,
)
from somsim.report.words import System
from somsim.study.season_types import Season

PAPER: dict[System, str] = {"metric": "A4", "us": "letter"}


def page(season: Season, system: System) -> bytes:
    """The page, whole in itself: no script, no other file, no network."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    templates = Environment(
        loader=PackageLoader("somsim.report"), autoescape=True, undefined=StrictUndefined, trim_blocks=True
    )
    text = templates.get_template("season.html").render(
        season=season,
        paper=PAPER[system],
        opening=opening(season),
        beds=ground_size(season, system),
        notes=[note for note in (dates_note(season), barrow_note(season, system)) if note],
        orders=[order_lines(order, season, system) for order in season.orders],
        tasks=[task_lines(task, season, system) for task in season.tasks if task.kind != "grow"],
        growing=[task_lines(task, season, system) for task in season.tasks if task.kind == "grow"],
        strip=strip_drawing(season),
        weeks=weeks_drawing(season),
        full=list(full_words(season)),
        hours=ranged(season.hours, HOURS),
        hired=ranged(season.hired, HOURS) if season.hired.p90 > 0.0 else "",
        costs=list(cost_lines(season)),
        cautions=list(caution_lines(season)),
    )
    return text.encode()
