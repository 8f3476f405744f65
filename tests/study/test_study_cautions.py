"""Cautions come with what calls for them, in the strategies that do it, and not otherwise."""

from __future__ import annotations

import pytest
from study_plans import COVER, SPREAD, plan

from somsim.library import read_library
from somsim.study.cautions import Caution, cautions
from somsim.timeline import figures

BARE = "idle: {as: bare, from: 1 %s, to: 20 %s, every: year}"
LEAF = "crop: {name: winter salad leaf, from: 5 %s, to: 10 %s, every: year, then: left on surface}"


def found(*actions: str, over: tuple[str, ...] = (), **site: str) -> dict[str, Caution]:
    made = plan({"a": list(actions), "fallow": ["idle: {as: weeds}"]}, **site)
    return {one.id: one for one in cautions(figures(made, read_library()), over)}


def spread(material: str) -> str:
    return SPREAD.replace("garden compost", material)


def cover(name: str, then: str = "left on surface") -> str:
    return COVER.replace("rye and vetch", name).replace("left on surface", then)


@pytest.mark.parametrize(
    ("action", "expected"),
    [
        (spread("garden compost"), {"metals", "phosphorus", "lifting", "nitrogen_limit", "legionella", "weedkiller"}),
        (spread("fresh horse manure"), {"raw_manure", "weedkiller", "lifting"}),
        (spread("poultry pellets"), {"heat_dried"}),
        (spread("composted cattle manure"), {"hot_heap"}),
        (cover("rye and vetch"), {"toxic_feed", "self_seeding", "held_seedlings"}),
        (cover("oats"), {"held_seedlings"}),
        (cover("hairy vetch", "dug in"), {"toxic_feed", "leaching"}),
        ("idle: {as: weeds}", {"small_changes"}),
    ],
)
def test_what_is_done_calls_its_cautions(action: str, expected: set[str]) -> None:
    assert expected <= set(found(action))


def test_a_heap_has_its_cautions() -> None:
    assert {"spores", "heap_place"} <= set(found(cover("rye and vetch", "to the heap")))


@pytest.mark.parametrize(
    ("action", "unexpected"),
    [
        (spread("garden compost"), {"raw_manure", "toxic_feed", "salt", "leaf_nitrate", "spores"}),
        (cover("Italian ryegrass"), {"held_seedlings", "toxic_feed", "self_seeding", "metals"}),
        (cover("hairy vetch"), {"leaching"}),
        ("idle: {as: weeds}", {"leaching", "metals", "lifting"}),
    ],
)
def test_what_is_not_done_calls_none(action: str, unexpected: set[str]) -> None:
    assert not unexpected & set(found(action))


def test_a_caution_names_the_strategies_it_is_for() -> None:
    made = found(spread("garden compost"))
    assert made["metals"].strategies == ("a",)
    assert made["small_changes"].strategies == ("a", "fallow")


def test_salt_is_for_covered_ground() -> None:
    assert "salt" not in found("idle: {as: weeds}")
    assert "salt" in found("idle: {as: weeds}", shelter="unheated tunnel")


@pytest.mark.parametrize(
    ("climate", "months", "called"),
    [
        ("south-east-england", ("Nov", "Mar"), True),
        ("south-east-england", ("May", "Aug"), False),
        ("canterbury-nz", ("May", "Aug"), True),
        ("canterbury-nz", ("Nov", "Mar"), False),
        ("{factor: 1.2}", ("Nov", "Mar"), True),
    ],
)
def test_winter_is_where_the_place_has_it(climate: str, months: tuple[str, str], called: bool) -> None:
    """The shortest day is in December in the north, in June in the south."""
    assert ("leaching" in found(BARE % months, climate=climate)) == called
    assert ("leaf_nitrate" in found(LEAF % months, climate=climate)) == called


def test_bare_throughout_is_bare_in_winter() -> None:
    assert "leaching" in found("idle: {as: bare}")


def test_a_limit_passed_calls_the_limit_for_that_strategy() -> None:
    assert "nitrogen_limit" not in found("idle: {as: weeds}")
    assert found("idle: {as: weeds}", over=("a",))["nitrogen_limit"].strategies == ("a",)


def test_the_serious_come_first() -> None:
    severities = [one.severity for one in found(spread("fresh horse manure"), cover("rye and vetch")).values()]
    assert severities == sorted(severities, reverse=True)
    assert len(set(severities)) > 1


def test_a_plant_whose_name_holds_the_letters_of_a_cereal_is_none() -> None:
    own = "covers:\n  goat willow: {residue: straw, dry_tops: 2 t/ha, carbon: 40 %, root_ratio: 0.2 ratio}\n"
    assert "held_seedlings" not in found(cover("goat willow"), extra=own)


def test_every_caution_says_what_and_who() -> None:
    for one in found(spread("fresh horse manure"), cover("rye and vetch"), shelter="unheated tunnel").values():
        assert one.text.endswith(".") and one.text[0].isupper()
        assert one.who_decides
        assert one.severity in (1, 2, 3)
