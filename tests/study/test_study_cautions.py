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
        (cover("rye and vetch"), {"toxic_feed", "self_seeding"}),
        (cover("hairy vetch", "dug in"), {"toxic_feed"}),
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


AUTUMN = "cover: {name: %s, sow: 25 Apr, cut: %s, every: year, then: %s, dry_tops: 3 t/ha}"
LETTUCE = "crop: {name: lettuce, from: %s, to: 30 Aug, every: year, then: carted off}"
BROCCOLI = "crop: {name: broccoli, from: 1 Jun, to: 10 Oct, every: year, then: %s}"
RYE_AFTER = "cover: {name: cereal rye, sow: 15 Oct, cut: 20 Apr, every: year, then: left on surface}"
UNCOVER = "uncover: {from: 1 Nov, to: 1 Mar, every: year}"
TUNNEL = {"shelter": "unheated tunnel"}


@pytest.mark.parametrize(("sown", "called"), [("25 Apr", True), ("29 May", True), ("5 Jun", False)])
def test_cereals_hold_back_what_is_sown_within_40_days(sown: str, called: bool) -> None:
    """Cut on 20 April; 40 days (Diver 2008) end on 30 May."""
    for name in ("oats", "rye and vetch"):
        assert ("held_seedlings" in found(cover(name), LETTUCE % sown)) == called
    assert "held_seedlings" not in found(cover("oats"))
    elsewhere = (LETTUCE % sown).replace("every: year", "every: year, beds: 2")
    assert "held_seedlings" not in found(cover("oats").replace("every: year", "every: year, beds: 1"), elsewhere)


@pytest.mark.parametrize(("sown", "called"), [("25 Apr", True), ("18 May", True), ("19 May", False)])
def test_late_cereals_and_straw_dug_in_tie_nitrogen_up_for_four_weeks(sown: str, called: bool) -> None:
    """Dug in on 20 April; four weeks (PNW 636) end on 18 May."""
    late = cover("cereal rye", "dug in").replace("every: year", "every: year, stage: mature, dry_tops: 6 t/ha")
    straw = SPREAD.replace("garden compost", "straw").replace("left on surface", "dug in")
    for action in (late, straw):
        assert ("tied_nitrogen" in found(action, LETTUCE % sown)) == called
    assert "tied_nitrogen" not in found(straw.replace("dug in", "left on surface"), LETTUCE % sown)
    assert "tied_nitrogen" not in found(cover("cereal rye", "dug in"), LETTUCE % sown)  # young rye


@pytest.mark.parametrize(
    ("actions", "site", "called"),
    [
        ((AUTUMN % ("hairy vetch", "10 Sep", "dug in"),), {}, True),
        ((AUTUMN % ("hairy vetch", "10 Sep", "left on surface"),), {}, False),
        ((AUTUMN % ("hairy vetch", "10 Sep", "dug in"), RYE_AFTER), {}, False),  # something grows in winter
        ((cover("hairy vetch", "dug in"),), {}, False),  # in spring
        ((BROCCOLI % "left on surface",), {}, True),
        ((BROCCOLI % "carted off",), {}, False),
        ((BROCCOLI % "dug in",), TUNNEL, False),  # no rain
        ((BROCCOLI % "dug in", UNCOVER), TUNNEL, True),
        ((BROCCOLI % "carted off", RYE_AFTER, "idle: {as: bare}"), {}, False),  # never bare in midwinter
    ],
)
def test_winter_rain_on_rich_residue(actions: tuple[str, ...], site: dict[str, str], called: bool) -> None:
    assert ("leaching" in found(*actions, **site)) == called


def test_a_film_that_comes_off_lets_salt_out() -> None:
    assert "salt" in found("idle: {as: weeds}", **TUNNEL)
    made = found("idle: {as: weeds}", UNCOVER, **TUNNEL)
    assert made["salt"].strategies == ("fallow",)  # which keeps its film
    salty = spread("broiler litter")
    assert "a" in found(salty, UNCOVER, **TUNNEL)["salt"].strategies


def test_a_tiller_is_told_of_where_the_place_is_tilled() -> None:
    assert "machines" not in found("idle: {as: weeds}")
    assert "machines" in found("idle: {as: weeds}", site="tillage: tilled repeatedly")


def test_a_heap_of_manure_and_of_waste_calls_what_they_call() -> None:
    heap = "materials:\n  our heap: {like: garden compost, heap: [%s]}\n"
    ours = spread("our heap")
    manure = found(ours, extra=heap % "{feedstock: fresh horse manure, mass: 300 kg}, {feedstock: straw, mass: 100 kg}")
    assert {"hot_heap", "heap_place", "spores"} <= set(manure)
    waste = found(ours, extra=heap % "{feedstock: coffee grounds, mass: 300 kg}, {feedstock: straw, mass: 100 kg}")
    assert {"food_waste", "licences"} <= set(waste) and "hot_heap" not in waste


def test_a_caution_says_because_of_what() -> None:
    made = found(spread("garden compost"), cover("rye and vetch"), LETTUCE % "25 Apr", **TUNNEL)
    assert made["metals"].because == ("garden compost",)
    assert made["held_seedlings"].because == ("rye and vetch",)
    assert made["salt"].because == ()  # the place


def test_the_same_caution_from_two_materials_is_told_once() -> None:
    made = found(spread("garden compost"), spread("aged cattle manure"))
    assert made["phosphorus"].because == ("garden compost", "aged cattle manure")


def test_flails_tillers_and_wells_come_with_tools_and_place() -> None:
    tractor = "tools: {cut: two-wheel tractor, dig: two-wheel tractor}\n"
    assert "machines" in found(cover("rye and vetch"), extra=tractor)
    assert "machines" in found("dig: {on: 1 Apr, every: year}", extra=tractor)
    assert "machines" in found(spread("garden compost").replace("left on surface", "dug in"), extra=tractor)
    assert "machines" not in found(spread("garden compost"), extra=tractor)
    assert "machines" not in found(cover("rye and vetch", "dug in"), extra="tools: {cut: scythe}\n")
    assert found(spread("garden compost"), site="near: well")["licences"].because == ("garden compost",)
    assert "licences" not in found(cover("rye and vetch"), site="near: well")
    assert "licences" not in found(spread("garden compost"))
