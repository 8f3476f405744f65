"""The calendar file read by another library than the one that writes it (vobject), in two time zones, and again."""

from __future__ import annotations

import datetime
import os
import re
import time
from collections.abc import Iterator

import pytest
import vobject

from somsim.plan import parse_plan
from somsim.report.season_calendar import calendar
from somsim.study.season import season_study
from somsim.study.season_types import Season

PLAN = """title: Two beds, by the gate; "old"
start: 2026-10-01
horizon: 3 years
site:
  climate: south-east-england
  shelter: open ground
  beds: {count: 2, length: 15 m, width: 1.2 m}
  soil: {texture: sandy loam, organic_matter: 2.6 %, method: loss on ignition, bulk_density: 1.35 g/cm3}
strategies:
  زراعة, one:
    - spread: {material: cattle manure, depth: DEPTH, on: APRIL, every: year, then: left on surface}
    - cover: {name: rye and vetch, sow: 5 Oct, cut: 31 Mar, every: year, then: left on surface}
    - crop: {name: cabbage, from: 10 May, to: 10 Sep, every: year, then: carted off}
"""
NOW = datetime.datetime(2027, 1, 31, 23, 30, tzinfo=datetime.UTC)
ZONES = ("Pacific/Auckland", "America/Los_Angeles")


def season(depth: str = "5 mm", april: str = "20 Apr") -> Season:
    return season_study(parse_plan(PLAN.replace("DEPTH", depth).replace("APRIL", april)), None, 1, draws=2)


def events(written: bytes) -> list[vobject.base.Component]:
    return list(vobject.readOne(written.decode()).vevent_list)


@pytest.fixture(params=ZONES)
def zone(request: pytest.FixtureRequest) -> Iterator[str]:
    """The machine's own time zone, for as long as a test runs."""
    before = os.environ.get("TZ")
    os.environ["TZ"] = request.param
    time.tzset()
    yield request.param
    if before is None:
        del os.environ["TZ"]
    else:
        os.environ["TZ"] = before
    time.tzset()


def test_each_task_is_a_whole_day_on_its_date_wherever_it_is_opened(zone: str) -> None:
    made = season()
    found = events(calendar(made, "metric", NOW.astimezone()))
    days = {one.summary.value: one.dtstart.value for one in found}
    for task in made.tasks:
        if task.kind != "grow":
            assert task.first in days.values()
    for one in found:
        # A date without a time has no zone (RFC 5545, 3.3.4); the end of a day is the day after it (3.6.1).
        assert type(one.dtstart.value) is datetime.date
        assert one.dtend.value - one.dtstart.value == datetime.timedelta(days=1)
        assert one.dtstamp.value == NOW
    assert days["Sow rye and vetch by hand (all beds)"] == datetime.date(2026, 10, 5)


def test_two_zones_write_the_same_file() -> None:
    made = season()
    auckland = NOW.astimezone(datetime.timezone(datetime.timedelta(hours=13)))
    assert calendar(made, "metric", auckland) == calendar(made, "metric", NOW)


def test_a_second_import_updates_and_doubles_nothing() -> None:
    first, later = season(), season("8 mm", "27 Apr")
    before = {one.uid.value: one for one in events(calendar(first, "metric", NOW))}
    after = {one.uid.value: one for one in events(calendar(later, "metric", NOW + datetime.timedelta(days=1)))}
    assert before.keys() == after.keys()
    assert len(before) == len([task for task in first.tasks if task.kind != "grow"]) + len(first.orders)
    for name, one in before.items():
        assert int(after[name].sequence.value) > int(one.sequence.value)
        assert after[name].summary.value == one.summary.value
    moved = [name for name in before if before[name].dtstart.value != after[name].dtstart.value]
    assert len(moved) == 2  # the spreading, and its order


def test_another_strategy_or_plan_has_other_events() -> None:
    made = season()
    other = season_study(
        parse_plan(PLAN.replace("Two beds", "Three beds").replace("DEPTH", "5 mm").replace("APRIL", "20 Apr")),
        None,
        1,
        draws=2,
    )
    uids = [{one.uid.value for one in events(calendar(some, "metric", NOW))} for some in (made, other)]
    assert not uids[0] & uids[1]


def test_the_file_is_written_as_the_standard_asks() -> None:
    """RFC 5545: lines end in CRLF and hold at most 75 octets (3.1); version, product, UID and stamp are there (3.6)."""
    written = calendar(season(), "metric", NOW)
    assert written.count(b"\n") == written.count(b"\r\n")
    assert max(len(line) for line in written.split(b"\r\n")) <= 75
    text = written.decode()
    assert text.startswith("BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:") and "METHOD:PUBLISH" in text
    assert text.count("BEGIN:VEVENT") == len(re.findall(r"^UID:", text, re.MULTILINE))
    for one in events(written):
        assert one.validate(raiseException=True)


def test_the_caution_comes_with_the_task_whole() -> None:
    spread = next(one for one in events(calendar(season(), "metric", NOW)) if "Spread cattle" in one.summary.value)
    assert "at least 120 days before harvest" in spread.description.value
    assert "task 1-spread-cattle-manure-1" in spread.description.value
    assert vobject.readOne(calendar(season(), "metric", NOW).decode()).x_wr_calname.value == (
        'Two beds, by the gate; "old": زراعة, one'
    )
