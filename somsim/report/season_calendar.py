"""A season as a calendar file (RFC 5545): every task and every order is an event of a whole day.

A whole day has no time zone: it is the same date wherever the file is opened.  The UID of an event is made from the
plan's title, the strategy and the id of the task, so that a file written again after a change updates the events that
are there and doubles none.
"""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Iterator
from typing import TYPE_CHECKING

from somsim.report.season_lines import OrderLines, TaskLines, order_lines, task_lines
from somsim.report.words import System
from somsim.study.season_types import Season
from somsim.version import VERSION

if TYPE_CHECKING:
    from icalendar import Event

NAMESPACE = uuid.uuid5(uuid.NAMESPACE_DNS, "season.somsim")
MINUTE = 60  # seconds; what is written a minute later counts as a later version
DAY = datetime.timedelta(days=1)


def calendar(season: Season, system: System, now: datetime.datetime) -> bytes:
    """The calendar file; ``now`` is the moment it is written, with its time zone."""
    from icalendar import Calendar, vText

    made = Calendar()
    made.add("prodid", f"-//somsim//season {VERSION}//EN")
    made.add("version", "2.0")
    made.add("calscale", "GREGORIAN")
    made.add("method", "PUBLISH")
    # Given as text outright: the library would write the commas of a name it does not know as they are.
    made["x-wr-calname"] = vText(f"{season.plan.title}: {season.strategy}")
    for name, day, title, text in _entries(season, system):
        made.add_component(_event(uid(season, name), day, title, text, now.astimezone(datetime.UTC)))
    whole: bytes = made.to_ical()
    return whole


def uid(season: Season, name: str) -> str:
    """What an event is known by, whatever its date: the plan, the strategy, and the id of a task or an order."""
    return f"{uuid.uuid5(NAMESPACE, chr(10).join((season.plan.title, season.strategy, name)))}@somsim"


def _event(name: str, day: datetime.date, title: str, text: str, now: datetime.datetime) -> Event:
    from icalendar import Event

    event = Event()
    event.add("uid", name)
    event.add("dtstamp", now)
    event.add("last-modified", now)
    event.add("sequence", int(now.timestamp()) // MINUTE)
    event.add("dtstart", day)
    event.add("dtend", day + DAY)
    event.add("summary", title)
    event.add("description", text)
    event.add("transp", "TRANSPARENT")
    return event


def _entries(season: Season, system: System) -> Iterator[tuple[str, datetime.date, str, str]]:
    """Id, day, title and text of each event."""
    names = {caution.id: f"{caution.name}: {caution.text}" for caution in season.cautions}
    for order in season.orders:
        lines = order_lines(order, season, system)
        cautions = [names[one] for one in order.cautions]
        yield order.id, order.order_by, f"Order {lines.title}", _order_text(lines, cautions)
    for task in season.tasks:
        if task.kind != "grow":
            words = task_lines(task, season, system)
            cautions = [names[one] for one in task.cautions]
            yield task.id, task.first, f"{words.title} ({words.ground})", _task_text(words, cautions)


def _order_text(one: OrderLines, cautions: list[str]) -> str:
    parts = [one.much, f"wanted on {one.wanted}", one.packs, one.rests_on, *cautions]
    return "\n".join(part for part in parts if part)


def _task_text(one: TaskLines, cautions: list[str]) -> str:
    parts = [one.hours, one.much, f"When {one.when}" if one.when else "", one.after, *cautions, f"task {one.id}"]
    return "\n".join(part for part in parts if part)
