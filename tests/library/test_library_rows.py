"""Every row of every shipped table: that it can be used, and that it says where it comes from."""

import re
from collections.abc import Iterator

import pytest

from somsim import units
from somsim.library.entries import Entry, Value
from somsim.library.reading import KNOWN, read_library

LIBRARY = read_library()
KEPT = "as printed"


def entries(table: str | None = None) -> Iterator[Entry]:
    for name, rows in LIBRARY.tables.items():
        if table in (None, name):
            yield from rows.values()


def values() -> Iterator[Value]:
    for entry in entries():
        yield from entry.values.values()


def test_every_value_lies_within_its_range_and_names_its_source() -> None:
    for value in values():
        assert value.low <= value.best <= value.high, value
        assert value.known in KNOWN, value
        assert value.source in LIBRARY.sources, value


def test_every_unit_is_one_that_plans_can_use() -> None:
    for value in values():
        if value.dimension != KEPT:
            scale = units.factor(value.unit, value.dimension)
            assert value.best == pytest.approx(value.printed[0] * scale), value


def test_judged_and_remembered_numbers_do_not_pretend() -> None:
    for value in values():
        if value.source == "judgement":
            assert value.known == "judged", value
        if value.source == "memory":
            assert value.known == "remembered", value
        if value.known == "read":
            assert value.source not in ("judgement", "memory", "arithmetic"), value


def test_a_number_without_range_says_so() -> None:
    quiet = ("read", "derived")  # a limit or a class boundary is one number; so is a sum
    for entry in [*entries("materials"), *entries("constants"), *entries("residues")]:
        for value in entry.values.values():
            if value.low == value.high and value.known not in quiet and value.best != 0:
                assert "no range published" in value.note, value


def test_shares_are_shares() -> None:
    for value in values():
        if value.dimension == "share" and value.table in ("materials", "residues", "composting"):
            assert -1 <= value.low <= value.high <= 1, value


def test_humification_coefficients_stay_below_one() -> None:
    # more humus than decomposed carbon would be carbon from nothing; 0.95 leaves room for what is respired
    for entry in entries("residues"):
        for quantity in ("humified", "humified_isohumic"):
            if quantity in entry.values:
                assert 0 <= entry.value(quantity).low <= entry.value(quantity).high <= 0.95, entry.id
        assert entry.value("decay").low > 0


def test_only_sludge_has_no_isohumic_coefficient() -> None:
    without = {entry.id for entry in entries("residues") if "humified_isohumic" not in entry.values}
    assert without == {"sludge"}
    assert "no isohumic K1" in LIBRARY.tables["residues"]["sludge"].about["note"]


def test_every_material_can_be_turned_into_carbon_and_nutrients() -> None:
    needed = {"bulk_density", "dry_matter", "carbon", "nitrogen", "phosphorus", "potassium"}
    for entry in entries("materials"):
        assert needed | {"carbon_to_nitrogen", "nitrogen_first_year"} <= set(entry.values), entry.id
        assert entry.about["residue"] in LIBRARY.tables["residues"], entry.id


def test_carbon_of_a_material_is_less_than_its_organic_matter() -> None:
    for entry in entries("materials"):
        if "organic_matter" in entry.values:
            assert entry.value("carbon").best < entry.value("organic_matter").best, entry.id
    without = {entry.id for entry in entries("materials") if "organic_matter" not in entry.values}
    assert without == {"biochar"}


def test_carbon_to_nitrogen_agrees_with_carbon_and_nitrogen() -> None:
    # All three are printed, rounded and from several sources; a slipped digit would be twofold or more.
    for entry in entries("materials"):
        ratio = entry.value("carbon").best / entry.value("nitrogen").best
        assert entry.value("carbon_to_nitrogen").best == pytest.approx(ratio, rel=0.20), entry.id


def test_reference_compost_gives_its_worked_figures() -> None:
    # Worked arithmetic on the RB209 analysis of green compost (from memory): 600 kg/m3, 60 % dry matter, 40 %
    # organic matter, 7.5 kg N, 3.0 kg P2O5 and 6.8 kg K2O per fresh tonne. One millimetre on a hectare is 6 t
    # fresh, 1.44 t organic matter, 45 kg N, 7.9 kg P and 41 kg K2O. Tolerance: as many digits as are given.
    compost = LIBRARY.tables["materials"]["reference_compost"]
    fresh = compost.value("bulk_density").best * 0.001 * 10_000  # kg/ha
    dry = fresh * compost.value("dry_matter").best
    assert fresh == pytest.approx(6000)
    assert dry * compost.value("organic_matter").best == pytest.approx(1440, abs=5)
    assert dry * compost.value("nitrogen").best == pytest.approx(45, abs=0.5)
    assert dry * compost.value("phosphorus").best == pytest.approx(7.9, abs=0.05)
    assert dry * compost.value("potassium").best / 0.8301 == pytest.approx(41, abs=0.5)


def test_cover_stages_name_residue_classes() -> None:
    for entry in entries("covers"):
        for stage in ("vegetative", "flower", "mature"):
            assert entry.about[f"residue_{stage}"] in {*LIBRARY.tables["residues"], ""}, entry.id
        assert entry.about["root_family"] in LIBRARY.tables["roots"], entry.id


def test_prices_lie_within_their_range_and_are_not_negative() -> None:
    for entry in entries():
        for price in entry.prices.values():
            assert 0 <= price.low <= price.best <= price.high, price
            assert re.fullmatch(r"(GBP|USD|EUR|money)(/[a-z0-9]+)?", price.unit), price


def test_climates_are_whole_and_plausible() -> None:
    assert len(list(entries("climates"))) == 14
    for entry in entries("climates"):
        warm, rain = entry.month_values("temperature"), entry.month_values("rain")
        assert -66 <= entry.value("latitude").best <= 66
        assert all(-40 < value < 40 for value in warm.values), entry.id
        assert all(0 <= value < 0.5 for value in rain.values), entry.id  # m
        warmest = max(range(12), key=warm.values.__getitem__)
        north = entry.value("latitude").best > 0
        assert (4 <= warmest <= 8) is north, entry.id


def test_reference_climate_is_as_warm_and_wet_as_its_year() -> None:
    # Uppsala 1961-1990 from memory: year 5.4-5.65 deg C, 520-542 mm; half a degree and 25 mm either way
    reference = LIBRARY.tables["climates"]["reference"]
    assert sum(reference.month_values("temperature").values) / 12 == pytest.approx(5.5, abs=0.5)
    assert sum(reference.month_values("rain").values) == pytest.approx(0.53, abs=0.025)


def test_clay_classes_grow_heavier_down_the_triangle() -> None:
    clay = {entry.id: entry.value("clay").best for entry in entries("soils")}
    assert len(clay) == 12
    assert (
        clay["sand"]
        < clay["loamy_sand"]
        < clay["sandy_loam"]
        < clay["loam"]
        < clay["clay_loam"]
        < clay["clay"]
    )


def test_cautions_say_when_what_and_who() -> None:
    for entry in entries("cautions"):
        assert entry.about["severity"] in ("1", "2", "3"), entry.id
        for column in ("when", "text", "why", "who_decides"):
            assert entry.about[column], (entry.id, column)
        assert entry.about["text"].endswith("."), entry.id


def test_every_material_tag_meets_a_caution_or_a_reason() -> None:
    # These tags steer other things than cautions: kinds of material for the answer and the nitrogen balance; high
    # carbon calls one only when it is dug in and something is planted soon.
    silent = {"high carbon", "green", "liquid", "poultry", "wood", "biochar", "bought in"}
    asked = {tag.strip() for entry in entries("cautions") for tag in entry.about["when"].split(";")}
    tags = {tag.strip() for entry in entries("materials") for tag in entry.about["tags"].split(";")}
    assert tags - asked == silent
