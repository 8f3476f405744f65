"""Nitrogen and phosphorus against what others printed.

Sources are named at each check.  "Worked arithmetic" marks our own sums on printed figures.  Signs and anchors are
checked closely; shares that crops recovered only in size, because recovered is less than freed and nobody printed by
how much.
"""

from __future__ import annotations

from itertools import product

import pytest

from somsim.library import read_library
from somsim.outcomes.release import first_weeks, from_humus
from somsim.units import factor

LIBRARY = read_library()
CONSTANTS = LIBRARY.tables["constants"]
POUND_AN_ACRE = factor("lb/acre", "mass_per_area")
TONNE_A_HECTARE = factor("t/ha", "mass_per_area")
KG_A_HECTARE = factor("kg/ha", "mass_per_area")
PLANT_CARBON = CONSTANTS["plant_carbon"].value("value").best


def constant(name: str) -> float:
    return CONSTANTS[name].value("value").best


def freed(dry: float, nitrogen: float, contact: float = 1.0) -> float:
    """First weeks' nitrogen by the library's own figures, kg/m2."""
    return float(
        first_weeks(
            dry,
            nitrogen,
            slope=constant("available_nitrogen_slope"),
            nothing_at=constant("available_nitrogen_from"),
            level_from=constant("available_nitrogen_to"),
            most_tied=constant("late_cereal_nitrogen"),
            contact=contact,
        )
    )


def test_a_soil_of_1_3_per_cent_carbon_frees_39_kg_a_year() -> None:
    """Soils Connect (Australia), question 97: 1.5 g/cm3, 0-10 cm, 1.3 % carbon, C:N 10, 2 % turned over a year:
    19.5 t C/ha, 1.95 t N/ha, 39 kg N/ha.  Printed to the digits compared."""
    carbon = 0.013 * 1500 * 0.10
    assert carbon / TONNE_A_HECTARE == pytest.approx(19.5, rel=1e-9)
    assert from_humus(carbon, constant("humus_carbon_nitrogen")) / TONNE_A_HECTARE == pytest.approx(1.95, rel=1e-9)
    assert from_humus(0.02 * carbon, 10.0) / KG_A_HECTARE == pytest.approx(39.0, rel=1e-9)


def test_a_soil_of_4_per_cent_organic_matter_frees_120_pounds_an_acre() -> None:
    """Printed in advice to growers in Kerala: 2,000,000 lb of soil an acre, 4 % organic matter, 3 % mineralised, 5 %
    nitrogen in it.  5 % of organic matter is C:N 10 where half of it is carbon (Pribyl 2010: factor 2.0)."""
    organic = 2e6 * 0.04 * 0.03 * POUND_AN_ACRE
    factor_of_soil = constant("organic_matter_per_carbon_theory")
    assert from_humus(organic / factor_of_soil, 10.0) / POUND_AN_ACRE == pytest.approx(120.0, rel=1e-9)


@pytest.mark.parametrize(("nitrogen", "kg_a_tonne"), [(0.015, 0.0), (0.025, 8.75), (0.035, 17.5), (0.045, 17.5)])
def test_the_anchors_of_the_line(nitrogen: float, kg_a_tonne: float) -> None:
    """Sullivan & Andrews (2012), PNW 636: nothing at 1.5 % N, 35 lb a short ton at 3.5 %, a line between (17.5 kg/t;
    35 lb / 2000 lb is exact).  Beyond 3.5 % nothing is printed, so it stays."""
    assert freed(1.0, nitrogen) * 1000 == pytest.approx(kg_a_tonne, abs=1e-9)
    assert constant("available_nitrogen_most") == pytest.approx(0.0175, rel=1e-9)


def test_late_cereals_and_straw_tie_up_but_no_more_than_printed() -> None:
    """PNW 636: cereals killed late tie up as much as 50 lb an acre (56 kg/ha).  A signed check over the library."""
    found = []
    for name, dry in product(("cereal_rye_flower", "cereal_rye", "oats", "barley"), (0.4, 1.1)):
        row = LIBRARY.tables["covers"][name].values["nitrogen_mature"]
        found.append(freed(dry, row.best))
    straw = LIBRARY.tables["materials"]["straw"].value("nitrogen").best
    found.append(freed(0.6, straw))
    assert all(-50.0 * POUND_AN_ACRE - 1e-12 <= one < 0.0 for one in found)


def test_legumes_at_bud_free_up_to_100_pounds_an_acre() -> None:
    """PNW 636: legumes killed at bud, up to 100 lb an acre (112 kg/ha).  Every legume of the library at its own mass
    and nitrogen in flower is above nought and, but for rounding of the mass, at most that; leys of a year are not
    meant."""
    for entry in LIBRARY.tables["covers"].values():
        if entry.kind == "legume" and {"dry_tops", "nitrogen_flower"} <= set(entry.values):
            dry = entry.value("dry_tops").best
            if dry <= 0.6:  # up to 6 t/ha: one crop, not a year of cuts
                assert 0.0 < freed(dry, entry.value("nitrogen_flower").best) <= 100.0 * POUND_AN_ACRE


def test_three_parts_cereal_and_one_part_legume_come_near_nought() -> None:
    """PNW 636: a mix of 75 % cereal and 25 % legume in dry matter, about 0.  With the library's rye and vetch in
    flower, 4 t/ha: "about" is read as within a fifth of the 100 lb an acre that a legume alone may free."""
    rye, vetch = (LIBRARY.tables["covers"][n].value("nitrogen_flower").best for n in ("cereal_rye", "hairy_vetch"))
    assert abs(freed(0.4, 0.75 * rye + 0.25 * vetch)) < 0.2 * 100.0 * POUND_AN_ACRE


def test_the_line_changes_sign_between_the_printed_ratios() -> None:
    """Clemson compost sheet: C:N under 20 releases, over 30 ties up.  At the carbon of plants the line of PNW 636,
    found independently, must release at 20 and tie up just beyond 30; 30 itself is its zero within 2 %."""
    release, tie_up = constant("release_carbon_nitrogen"), constant("tie_up_carbon_nitrogen")
    assert (release, tie_up) == (20.0, 30.0)
    assert freed(1.0, PLANT_CARBON / release) > 0.0 > freed(1.0, PLANT_CARBON / (1.02 * tie_up))


def test_composts_over_30_do_not_release_and_under_20_do() -> None:
    """The same printed thresholds against every compost, manure and mulch of the library: first-year share at best."""
    for entry in LIBRARY.tables["materials"].values():
        ratio, share = entry.value("carbon_to_nitrogen").best, entry.value("nitrogen_first_year").best
        if entry.kind in ("compost", "manure", "litter", "mulch"):
            if ratio < 20.0:
                assert share > 0.0, entry.id
            if ratio > 35.0:  # hay, at 32, is between straw and legume hay and printed either way
                assert share < 0.0, entry.id


def test_a_surface_mulch_frees_at_least_what_a_crop_recovered() -> None:
    """Riley et al. (2003), Biol. Agric. Hortic. 21:63: of the nitrogen in 12 t/ha of grass-clover mulch the crop
    recovered 13 % in the first year.  What is free must be more than that; more than twice as much would mean that
    the crop missed half of it while it stood, which the yields printed beside it (up by a quarter) do not suggest
    (judged)."""
    ley = LIBRARY.tables["covers"]["grass_clover"].value("nitrogen_vegetative").best
    contact = constant("surface_nitrogen_share") / constant("dug_nitrogen_share")
    share = freed(1.2, ley, contact) / (1.2 * ley)
    recovered = constant("mulch_nitrogen_recovered")
    assert recovered == pytest.approx(0.13)
    assert recovered < share < 2.0 * recovered


def test_gardens_recover_little_of_the_phosphorus_they_are_given() -> None:
    """Small et al. (2019), Environ. Res. Commun. 1:091007: gardens in the Twin Cities, median input 300 kg P/ha and
    1,400 kg N/ha, of which crops recovered 2.5 % and 5.0 %: 7.5 kg P/ha and 70 kg N/ha (worked arithmetic).

    Crops were not the library's; its vegetables, a harvest a year, must straddle both figures and none be beyond 6
    times.
    """
    taken: dict[str, list[float]] = {"phosphorus": [], "nitrogen": []}
    for entry in LIBRARY.tables["crops"].values():
        for nutrient, found in taken.items():
            if f"removal_{nutrient}" in entry.values:
                harvest = entry.value("yield").best
                found.append(harvest * entry.value(f"removal_{nutrient}").best / KG_A_HECTARE)
    for nutrient, printed in (("phosphorus", 0.025 * 300), ("nitrogen", 0.05 * 1400)):
        assert min(taken[nutrient]) < printed < max(taken[nutrient])
        assert max(taken[nutrient]) < 6.0 * printed


def test_compost_by_its_nitrogen_overfeeds_phosphorus() -> None:
    """Small et al. (2019) and the seven-year study beside it: compost given for nitrogen, about 30 % of its phosphorus
    recovered; given for phosphorus, over 88 %.  Worked on the library: lettuce fed by the first-year nitrogen of garden
    compost is given several times the phosphorus it takes, so less than the 30 % that built up over seven years of
    release is recovered in the first; fed by phosphorus all of it is, by definition."""
    compost, crop = LIBRARY.tables["materials"]["garden_compost"], LIBRARY.tables["crops"]["lettuce"]
    nitrogen, phosphorus = (crop.value(f"removal_{name}").best for name in ("nitrogen", "phosphorus"))
    free = compost.value("nitrogen").best * compost.value("nitrogen_first_year").best
    brought = nitrogen / free * compost.value("phosphorus").best
    assert phosphorus / brought < 0.30
    # Over seven years 13 to 23 % of the nitrogen becomes available (Horrocks et al. 2016 print it for 3 to 4 years).
    late = nitrogen / (compost.value("nitrogen").best * constant("compost_nitrogen_four_years"))
    assert 0.10 < phosphorus / (late * compost.value("phosphorus").best) < 0.60  # 30 %, give or take twofold


def test_compost_frees_about_what_was_found_over_four_years() -> None:
    """Horrocks et al. (2016), Agronomy 6:35: crops used 13 to 23 % of the nitrogen of municipal compost in 3 to 4
    years. Worked by the split used here: quick 5 %, in humus h C / 10, the rest back within two years.  At the
    figures of the library what is free must reach the low end, and not be over 1.5 times the high end: crops miss a
    part."""
    compost = LIBRARY.tables["materials"]["garden_compost"]
    humified = LIBRARY.tables["residues"]["compost"].value("humified").best
    bound = from_humus(humified * compost.value("carbon").best, 10.0) / compost.value("nitrogen").best
    assert 0.13 < 1.0 - bound < 1.5 * 0.23


def test_salt_under_compost_and_cover_is_quoted_as_measured() -> None:
    """Burkhart (2002): 0.15, 0.45, 0.81 mmho/cm at the start and after one and two years of an inch of compost; Penn
    State (2015): 0.59 to 0.31, a fall by 48 % (as printed), in a winter without film."""
    from somsim.report.nutrients import published_salt

    text = published_salt(LIBRARY)
    assert "0.15, 0.45, 0.81 dS/m" in text and "0.59 falling to 0.31" in text
    assert pytest.approx(0.48, abs=0.01) == 1.0 - 0.31 / 0.59
    winter = LIBRARY.tables["limits"]["salt_uncovered_winter"]
    assert 1.0 - winter.value("after").best / winter.value("before").best == pytest.approx(0.48, abs=0.01)
