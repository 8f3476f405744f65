"""Beds that take turns: how they are written, whose turn it is, and where that cannot be."""

from __future__ import annotations

import datetime

import pytest

from somsim.errors import InputError
from somsim.plan import parse_plan, write_plan
from somsim.plan.actions import Dig
from somsim.plan.occurrences import ground_of, ground_words, grounds_of, occurrences
from somsim.plan.site import Beds

PLAN = """title: beds in turn
start: 2026-09-01
horizon: 6 years
site:
  climate: south-east-england
  shelter: open ground
  beds: {beds}
  soil: {{bulk_density: 1.3 g/cm3, carbon: 2 %}}
strategies:
  turns:
    - cover: {{name: rye, sow: 20 Sep, cut: {cut}, every: year, in_turn: 1 of 3, then: dug in, dry_tops: 3 t/ha}}
{more}
"""
SIX = "{count: 6, length: 10 m, width: 1.2 m}"
START, END = datetime.date(2026, 9, 1), datetime.date(2032, 9, 1)


def text(beds: str = SIX, cut: str = "5 May", more: str = "    - idle: {as: weeds}") -> str:
    return PLAN.format(beds=beds, cut=cut, more=more)


def beds(many: int) -> Beds:
    return Beds.model_validate({"count": many, "length": "10 m", "width": "1 m"})


def dug(turn: str, **keys: str) -> Dig:
    return Dig.model_validate({"on": "1 Apr", "every": "year", "in_turn": turn, **keys})


def rows(action: Dig, place: Beds) -> list[str]:
    """Which beds it is on, year by year."""
    grounds = grounds_of(action, place)
    return [ground_words(ground_of(one, grounds), place) for one in occurrences(action, START, END)]


def test_a_third_each_year_comes_round_in_the_fourth() -> None:
    third = ["beds 1 to 2", "beds 3 to 4", "beds 5 to 6"]
    assert rows(dug("1 of 3"), beds(6)) == [*third, *third]


def test_the_other_two_thirds_are_those_without_the_turn() -> None:
    two = ["beds 3 to 6", "beds 1 to 2 and 5 to 6", "beds 1 to 4"]
    assert rows(dug("2 to 3 of 3"), beds(6)) == [*two, *two]


def test_every_second_year_the_next_part() -> None:
    assert rows(dug("1 of 2", every="2 years"), beds(2)) == ["bed 1", "bed 2", "bed 1"]


def test_a_later_first_year_keeps_the_turn_of_that_year() -> None:
    assert rows(dug("1 of 3", first_year="2"), beds(3)) == ["bed 2", "bed 3", "bed 1", "bed 2", "bed 3"]


def test_only_the_named_beds_take_turns() -> None:
    assert rows(dug("1 of 2", beds="2 to 5"), beds(6))[:2] == ["beds 2 to 3", "beds 4 to 5"]


def test_one_piece_of_ground_is_cut_where_the_parts_meet() -> None:
    field = Beds.model_validate({"area": "900 m2"})
    assert grounds_of(dug("1 of 3"), field)[1] == ((1 / 3, 2 / 3),)


def test_written_back_it_is_the_same() -> None:
    plan = parse_plan(text(more="    - dig: {on: 1 Sep, every: year, in_turn: 2 to 3 of 3}"))
    assert parse_plan(write_plan(plan)) == plan
    assert "in_turn: 2 to 3 of 3" in write_plan(plan)


def test_a_crop_on_the_part_whose_turn_it_is_not_stands_in_nobodys_way() -> None:
    crop = "    - crop: {name: onion, from: 25 Mar, to: 20 Aug, every: year, in_turn: 2 of 3, then: carted off}"
    assert parse_plan(text(more=crop)).strategies


def test_a_crop_on_the_part_whose_turn_it_is_clashes_and_the_beds_are_named() -> None:
    crop = "    - crop: {name: onion, from: 25 Mar, to: 20 Aug, every: year, in_turn: 1 of 3, then: carted off}"
    with pytest.raises(InputError) as told:
        parse_plan(text(more=crop))
    assert '"onion" begins on 2027-03-25, while "rye" stands on beds 1 to 2 until 2027-05-05' in str(told.value)


def test_a_cover_that_stands_into_its_beds_next_turn_clashes_with_itself() -> None:
    with pytest.raises(InputError, match="still stands on beds 1 to 2"):
        parse_plan(text(cut="5 Oct year 4"))
    assert parse_plan(text(cut="5 May year 3")).strategies
