"""A season as tables and for machines: orders, tasks and weeks, in metric units."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from dataclasses import asdict
from typing import Any

from somsim.report.season_amounts import one_bed
from somsim.report.season_lines import order_lines, task_lines
from somsim.study.equivalence import Spread
from somsim.study.season_types import Order, Season, Task
from somsim.version import VERSION

Cells = Mapping[str, str | float | int | None]


def orders_csv(season: Season) -> bytes:
    """Orders, one a row."""
    return _csv([_order(order, season) for order in season.orders], ORDER_COLUMNS)


def tasks_csv(season: Season) -> bytes:
    """Tasks, one a row; ``id`` is what a record points at."""
    return _csv([_task(task, season) for task in season.tasks], TASK_COLUMNS)


def weeks_csv(season: Season) -> bytes:
    """Own hours by week, whole weeks."""
    rows = [
        {
            "monday": week.monday.isoformat(),
            **_spread("hours", week.hours),
            "hours_there": week.there,
            "too_full": "yes" if week.full else "no",
        }
        for week in season.weeks
    ]
    return _csv(rows, ("monday", *_names("hours"), "hours_there", "too_full"))


def _names(name: str) -> tuple[str, str, str, str]:
    return name, f"{name}_best", f"{name}_p10", f"{name}_p90"


ORDER_COLUMNS = (
    "id",
    "kind",
    "name",
    "order_by",
    "wanted_on",
    "area_m2",
    *_names("volume_m3"),
    *_names("mass_kg"),
    *_names("density_kg_m3"),
    *_names("dry_matter_percent"),
    "packs",
    "tasks",
    "cautions",
)
TASK_COLUMNS = (
    "id",
    "kind",
    "what",
    "first_day",
    "last_day",
    "title",
    "ground",
    "beds",
    "area_m2",
    *_names("hours"),
    "hired",
    *_names("volume_m3"),
    "volume_l_per_bed",
    *_names("mass_kg"),
    "mass_kg_per_bed",
    "when",
    "then",
    "cautions",
)


def _csv(rows: Iterable[Cells], columns: tuple[str, ...]) -> bytes:
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, lineterminator="\n")
    writer.writeheader()
    for row in rows:
        writer.writerow({name: "" if value is None else value for name, value in row.items()})
    return out.getvalue().encode()


def _spread(name: str, spread: Spread | None, times: float = 1.0) -> dict[str, float]:
    """The middle, the best value and the range of a figure, empty where it is not known."""
    if spread is None:
        return {}
    values = (spread.p50, spread.best, spread.p10, spread.p90)
    return dict(zip(_names(name), (value * times for value in values), strict=True))


def _order(order: Order, season: Season) -> Cells:
    return {
        "id": order.id,
        "kind": order.kind,
        "name": order.name,
        "order_by": order.order_by.isoformat(),
        "wanted_on": order.needed.isoformat(),
        "area_m2": order.area,
        **_spread("volume_m3", order.volume),
        **_spread("mass_kg", order.mass),
        **_spread("density_kg_m3", order.density),
        **_spread("dry_matter_percent", order.dry_matter, 100.0),
        "packs": order_lines(order, season, "metric").packs,
        "tasks": "; ".join(order.tasks),
        "cautions": "; ".join(order.cautions),
    }


def _task(task: Task, season: Season) -> Cells:
    lines = task_lines(task, season, "metric")
    bed = one_bed(season.plan.site.beds)
    return {
        "id": task.id,
        "kind": task.kind,
        "what": task.what,
        "first_day": task.first.isoformat(),
        "last_day": task.last.isoformat(),
        "title": lines.title,
        "ground": task.ground,
        "beds": " ".join(str(bed) for bed in task.beds),
        "area_m2": task.area,
        **_spread("hours", task.hours),
        "hired": "yes" if task.hired else "no",
        **_spread("volume_m3", task.volume, task.area),
        "volume_l_per_bed": None if task.volume is None or bed is None else 1000.0 * task.volume.p50 * bed,
        **_spread("mass_kg", task.mass, task.area),
        "mass_kg_per_bed": None if task.mass is None or bed is None else task.mass.p50 * bed,
        "when": lines.when,
        "then": lines.after,
        "cautions": "; ".join(task.cautions),
    }


def as_json(season: Season) -> dict[str, Any]:
    """The season as nested dictionaries, in base units: kg, m, m2, m3, hours."""
    made: dict[str, Any] = {
        "somsim": VERSION,
        "title": season.plan.title,
        "strategy": season.strategy,
        "year_of_the_plan": season.number,
        "first_day": season.first,
        "last_day": season.last,
        "draws": season.draws,
        "seed": season.seed,
        "orders": [asdict(order) for order in season.orders],
        "tasks": [{name: value for name, value in asdict(task).items() if name != "where"} for task in season.tasks],
        "weeks": [asdict(week) for week in season.weeks],
        "hours": asdict(season.hours),
        "hired_hours": asdict(season.hired),
        "currency": season.currency,
        "costs": {name: asdict(spread) for name, spread in season.costs.items()},
        "unpriced": season.unpriced,
        "without_published_hours": season.no_hours,
        "cautions": [asdict(caution) for caution in season.cautions],
    }
    plain: dict[str, Any] = _plain(made)
    return plain


def _plain(value: Any) -> Any:
    """Dates as text."""
    if isinstance(value, dict):
        return {name: _plain(item) for name, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value.isoformat() if hasattr(value, "isoformat") else value
