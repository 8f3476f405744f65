"""Raw manure before harvests, metals by an analysis, and a soil salt test."""

from __future__ import annotations

import pytest
from study_plans import PLAIN, study

from somsim.study.compare import Study

MANURE = "spread: {material: %s, dry_mass: 3 t/ha, on: %s, every: year, then: dug in}"
CROP = "crop: {name: %s, from: %s, to: %s, every: year, then: carted off}"
SOIL = '{texture: sandy loam, carbon: 1.5 %%, bulk_density: 1.35 g/cm3, salt: {test: "%s", value: %s}}'


def made(*actions: str, extra: str = "", **site: str) -> Study:
    return study({"a": list(actions)}, draws=4, extra=PLAIN + extra, **site)


@pytest.mark.parametrize(
    ("crop", "first", "last", "expected"),
    [
        # 120 days after 1 March is 29 June; the organic rule of the United States, 7 CFR 205.203(c).
        ("lettuce", "15 Mar", "20 May", [("too soon", 120, "2027-06-29")]),
        ("lettuce", "15 Mar", "30 Jul", [("wait", 120, "2027-06-29")]),
        ("lettuce", "1 Jul", "30 Aug", []),
        # 90 days where the eaten part does not touch the soil: 30 May.
        ("tomato", "15 Apr", "15 Oct", [("wait", 90, "2027-05-30")]),
        ("tomato", "1 Jun", "15 Oct", []),
    ],
)
def test_days_from_raw_manure_to_a_harvest(
    crop: str, first: str, last: str, expected: list[tuple[str, int, str]]
) -> None:
    found = made(MANURE % ("aged cattle manure", "1 Mar"), CROP % (crop, first, last)).limits.waits
    assert [(one.verdict, one.days, one.earliest.isoformat()) for one in found] == expected


def test_raw_manure_on_a_standing_crop_is_told_once() -> None:
    found = made(
        (MANURE % ("fresh horse manure", "1 May")).replace("dug in", "left on surface"),
        CROP % ("kale", "1 Apr", "1 Nov"),
    ).limits.waits
    assert [(one.verdict, one.crop) for one in found] == [("stands", "kale")]


def test_compost_and_other_beds_need_no_wait() -> None:
    compost = MANURE % ("composted cattle manure", "1 Mar")
    assert made(compost, CROP % ("lettuce", "15 Mar", "20 May")).limits.waits == ()
    elsewhere = (MANURE % ("aged cattle manure", "1 Mar")).replace("every: year", "every: year, beds: 1")
    crop = (CROP % ("lettuce", "15 Mar", "20 May")).replace("every: year", "every: year, beds: 2 to 4")
    assert made(elsewhere, crop).limits.waits == ()


SPREAD = "spread: {material: our compost, depth: 2 mm, on: 20 Apr, every: year, then: left on surface}"


def metals(lead: str, limits: str = "") -> Study:
    analysis = f"{{lead: {lead}, cadmium: 0.4 mg/kg}}"
    text = f"materials:\n  our compost: {{like: garden compost, metals: {analysis}}}\n"
    return study({"a": [SPREAD]}, draws=4, extra=text + limits)


def test_metals_are_held_against_every_list_or_the_named_one() -> None:
    """Lead, mg/kg: 45 in composted household waste under the organic rules of the European Union and 120 in its soil
    improvers, 200 in PAS 100 (all three from memory), 300 in the United States (US Composting Council)."""
    found = [one for one in metals("130 mg/kg").limits.metals if one.metal == "lead"]
    assert {round(one.level * 1e6): one.passed for one in found} == {200: False, 120: True, 45: True, 300: False}
    named = metals("130 mg/kg", "limits: [metals_us]\n").limits.metals
    assert {one.limit for one in named} == {"metals in compost, United States"}
    assert not any(one.passed for one in named)


def test_a_range_is_held_by_its_high_end() -> None:
    assert any(one.passed for one in metals("30 to 50 mg/kg").limits.metals)
    assert not any(one.passed for one in metals("30 to 44 mg/kg").limits.metals)


def test_salt_is_held_by_its_own_method_only() -> None:
    """Penn State (2011), 1:2 soil to water: 0.81 to 1.2 mmho/cm moderate, losses in broccoli and potato possible."""
    for text, passed in (("0.4 dS/m", False), ("0.9 mmho/cm", True)):
        found = made("idle: {as: weeds}", soil=SOIL % ("1:2", text)).limits.salt
        assert found is not None and (found.level, found.passed) == (0.81, passed)
    other = made("idle: {as: weeds}", soil=SOIL % ("another", "3 dS/m")).limits.salt
    assert other is not None and other.level is None and not other.passed
