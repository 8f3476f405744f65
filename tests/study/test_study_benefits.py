"""Benefits apply, or not, for a reason that lies in the place and the strategy."""

from __future__ import annotations

import pytest
from study_plans import COVER, SPREAD, study

from somsim.library import read_library
from somsim.study.benefits import RULES, Benefit

UNCOVER = "uncover: {from: 1 Nov, to: 1 Mar, every: year}"
BARE = "idle: {as: bare}"
SHEET = "idle: {as: sheet, from: 1 Nov, to: 1 Mar, every: year}"
TUNNEL = {"shelter": "unheated tunnel"}


def found(*actions: str, **site: str) -> dict[str, Benefit]:
    made = study({"a": list(actions)}, draws=4, horizon="4 years", **site)
    return {one.id: one for one in made.benefits}


def test_every_row_of_the_library_has_its_rule_and_says_how_well_it_is_known() -> None:
    rows = read_library().tables["benefits"]
    assert set(rows) == set(RULES)
    for entry in rows.values():
        assert entry.about["evidence"].endswith(".") and entry.about["strength"] and entry.about["meaning"]
        if entry.about["source"] == "judgement":
            assert "no source" in entry.about["strength"]


@pytest.mark.parametrize(
    ("actions", "site", "expected"),
    [
        ((COVER,), {}, True),
        ((COVER,), TUNNEL, False),  # no rain under film
        ((COVER, UNCOVER), TUNNEL, True),
        ((BARE,), {}, False),
        ((SHEET, BARE), {}, True),
    ],
)
def test_erosion_needs_rain_on_ground_that_something_holds(
    actions: tuple[str, ...], site: dict[str, str], expected: bool
) -> None:
    assert found(*actions, **site)["erosion"].applies is expected


@pytest.mark.parametrize(
    ("actions", "site", "expected"),
    [
        ((COVER,), {}, True),
        ((BARE,), {}, False),
        ((COVER,), TUNNEL, False),
        ((COVER, UNCOVER), TUNNEL, True),
        (("crop: {name: tomato, from: 10 May, to: 10 Sep, every: year, then: carted off}", BARE), {}, False),
    ],
)
def test_leaching_needs_plants_in_the_wet_months(
    actions: tuple[str, ...], site: dict[str, str], expected: bool
) -> None:
    assert found(*actions, **site)["leaching"].applies is expected


def test_in_the_south_the_wet_half_is_the_other_one() -> None:
    """A cover from May to August stands in winter in New Zealand and in summer in England."""
    winter = COVER.replace("5 Oct", "1 May").replace("20 Apr", "25 Aug").replace("then:", "dry_tops: 3 t/ha, then:")
    south = found(winter, BARE, climate="canterbury-nz")["leaching"]
    north = found(winter, BARE)["leaching"]
    assert south.applies and not north.applies
    assert south.value is not None and south.value.best == pytest.approx(4.0, abs=0.2)  # four months a year


def test_months_of_rain_on_bare_ground_are_counted() -> None:
    """1 May to 30 September stand cucumbers: seven of twelve months are bare."""
    crop = "crop: {name: tomato, from: 1 May, to: 1 Oct, every: year, then: carted off}"
    made = found(crop, BARE)["erosion"]
    assert made.value is not None
    assert made.value.best == pytest.approx(7.0, abs=0.05)
    half = found(crop.replace("every: year", "every: year, beds: [1, 2]"), BARE)["erosion"]
    assert half.value is not None and half.value.best == pytest.approx(9.5, abs=0.05)


def test_nitrogen_weeds_structure_and_a_kept_bed_need_a_cover() -> None:
    cover, compost = found(COVER), found(SPREAD)
    for name in ("nitrogen_fixed", "weeds", "structure", "kept_bed"):
        assert cover[name].applies and not compost[name].applies, name
    assert cover["nitrogen_fixed"].value is not None
    assert cover["nitrogen_fixed"].value.p10 < cover["nitrogen_fixed"].value.p90
    rye = found(COVER.replace("rye and vetch", "cereal rye"))
    assert not rye["nitrogen_fixed"].applies and rye["weeds"].applies
    assert found(SHEET, BARE)["kept_bed"].applies
    assert "digging" in found(COVER, "dig: {on: 1 May, every: year}")["structure"].why


def test_soil_life_has_the_models_own_figure_and_no_score() -> None:
    made = study({"a": [COVER]}, draws=4, horizon="4 years")
    life = next(one for one in made.benefits if one.id == "soil_life")
    assert life.applies and life.value == made.answers[0].food
    assert not any("score" in field for field in vars(life))
