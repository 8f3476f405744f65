"""What stands in the beds when: checked by hand against what the plans say."""

from __future__ import annotations

import datetime
from pathlib import Path

from conftest import plan_text

from somsim.plan import parse_plan, read_plan
from somsim.study.calendar import Calendar, calendars

CONFIGS = Path(__file__).parents[2] / "configs"
DATE = datetime.date


def calendar(name: str, strategy: str) -> Calendar:
    (found,) = calendars(read_plan(CONFIGS / name), [strategy])
    return found


def test_a_year_of_the_demonstration() -> None:
    (year,) = calendar("hillside.yaml", "winter green manure").rounds
    assert year.years == tuple(range(1, 13))
    assert [(one.what, one.kind, one.first, one.last) for one in year.standing] == [
        ("bare ground", "bare", DATE(2026, 10, 1), DATE(2026, 10, 5)),
        ("rye and vetch", "cover", DATE(2026, 10, 5), DATE(2027, 4, 20)),
        ("bare ground", "bare", DATE(2027, 4, 20), DATE(2027, 5, 1)),
        ("cucumber", "crop", DATE(2027, 5, 1), DATE(2027, 9, 30)),
    ]
    assert [(one.what, one.date) for one in year.deeds] == [
        ("cut of rye and vetch, left on surface", DATE(2027, 4, 20))
    ]
    # 1 October to 5 October is 4 of the year's 365 days, to 20 April 201
    assert [round(one.begin * 365) for one in year.standing] == [0, 4, 201, 212]


def test_what_comes_every_third_year_makes_two_kinds_of_year() -> None:
    with_compost, without = calendar("hillside-deep-compost.yaml", "deep compost every third year").rounds
    assert with_compost.years == (1, 4, 7, 10)
    assert without.years == (2, 3, 5, 6, 8, 9, 11, 12)
    assert [one.what for one in with_compost.deeds] == ["garden compost, 15 mm, left on surface"]
    assert without.deeds == ()


def test_a_cover_across_the_start_of_the_plan_year_carries_on() -> None:
    rounds = calendar("high-tunnel-us.yaml", "winter rye").rounds
    first, last = rounds[0].standing[0], rounds[0].standing[-2]
    assert (first.what, first.carries_on[0]) == ("rye", True)
    assert (last.what, last.carries_on[1]) == ("rye", True)
    assert rounds[0].standing[-1].kind == "film off"


def test_groups_of_beds_have_years_of_their_own() -> None:
    found = calendar("holding-level.yaml", "nothing but crops").rounds
    assert [one.beds for one in found] == ["beds 1 to 18", "beds 19 to 30"]


def test_idle_ground_is_what_stands_when_nothing_does() -> None:
    plan = parse_plan(plan_text({"weeds": "    - idle: {as: weeds}\n", "sheet": "    - idle: {as: sheet}\n"}))
    for one, what in zip(calendars(plan, ["weeds", "sheet"]), ("weeds", "under a sheet"), strict=True):
        ((standing,),) = [each.standing for each in one.rounds]
        assert (standing.what, standing.begin, standing.end) == (what, 0.0, 1.0)


def test_a_plan_shorter_than_a_year_ends_where_it_ends() -> None:
    plan = parse_plan(plan_text({"weeds": "    - idle: {as: weeds}\n"}, "6 months"))
    ((year,),) = [one.rounds for one in calendars(plan, ["weeds"])]
    assert round(year.standing[0].end, 2) == 0.5
