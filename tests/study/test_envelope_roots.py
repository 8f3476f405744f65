"""Roots through the study: families made alike, the range carried, own roots taken."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from somsim.errors import InputError
from somsim.study.envelope_roots import RootsTyped, roots_study
from somsim.units import parse_amount


def typed(tops="4 t/ha", **more):
    dimensions = {"layer": "length", "measured_roots": "mass_per_area", "measured_depth": "length"}
    read = {key: parse_amount(text, dimensions[key]) if key in dimensions else text for key, text in more.items()}
    return RootsTyped(parse_amount(tops, "mass_per_area"), **read)


def test_every_published_ratio_is_shown_and_those_near_come_first():
    found = roots_study(typed(crop="hairy vetch"))
    near = [one.id for one in found.families if one.near]
    assert {"field_mean_26_crops", "puget_hairy_vetch", "forage_legume", "inventory_pulses"} <= set(near)
    assert "inventory_perennial_grass" not in near
    assert [one.id for one in found.families][: len(near)] == near
    assert len(found.families) > 12


@pytest.mark.parametrize("crop", ["rye and vetch", "hairy vetch", "white mustard", "cereal rye", "oats"])
def test_families_on_such_plants_lie_inside_the_range_carried(crop):
    # The ranges of the library were set between Redin et al. (2018) and the IPCC (2006); each publication on such
    # plants must come to lie inside once made alike.
    found = roots_study(typed(crop=crop))
    for one in found.families:
        if one.near:
            assert found.in_layer.low <= one.in_layer.best <= found.in_layer.high, one.id


def test_a_topsoil_ratio_grows_by_depth_and_by_what_roots_give_off():
    # Redin et al. (2018), 0.149 to 20 cm, washed.  Worked arithmetic to 20 cm: 0.149 x 1.65 = 0.246; to 30 cm, with
    # 70 % in the top 20 cm: beta = 0.3^(1/20), so (1 - 0.3^1.5) / 0.7 times as much, 0.294.
    for layer, expected in (("20 cm", 0.24585), ("30 cm", 0.24585 * (1 - 0.3**1.5) / 0.7)):
        families = roots_study(typed(crop="oats", layer=layer)).families
        redin = next(one for one in families if one.id == "field_mean_26_crops")
        assert redin.in_layer.best == pytest.approx(expected, rel=1e-9)


def test_own_roots_stand_above_the_library():
    found = roots_study(typed("0.4 kg/m2", crop="oats", measured_roots="0.1 kg/m2"))
    # Worked arithmetic: a ratio of 0.25, and 0.65 of it given off.
    assert found.in_layer.best == pytest.approx(0.25 * 1.65)
    assert found.structural.best == pytest.approx(0.1 * 0.44)
    assert "you washed" in found.used


@settings(deadline=None, max_examples=30)
@given(st.floats(0.1, 10), st.floats(1.1, 5))
def test_root_carbon_is_linear_in_the_tops(tops, times):
    one, many = (roots_study(typed(f"{mass:.6f} kg/m2", kind="cereal")) for mass in (tops, tops * times))
    assert many.left.best == pytest.approx(times * one.left.best, rel=1e-4)
    assert many.left.high == pytest.approx(times * one.left.high, rel=1e-4)


def test_parts_add_up():
    found = roots_study(typed(kind="ryegrass"))
    assert found.left.best == pytest.approx(found.structural.best + found.exudates.best)
    assert found.left.best == pytest.approx(found.in_layer.best * found.tops.best)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (typed(), "--crop or --kind: which plant is it?"),
        (typed(crop="oats", kind="cereal"), '--kind "cereal": --crop tells the kind of root already'),
        (typed(kind="maize, Canada"), "is one publication, not a kind of root"),
        (typed(kind="cereal", layer="2 m"), '--layer "2 m": is past 1.5 m'),
        (typed(kind="cereal", measured_depth="20 cm"), '--measured-depth "20 cm": goes with --measured-roots'),
        (typed("1 g/m2", kind="cereal", measured_roots="1 kg/m2"), "is 1e+03 times the tops"),
    ],
)
def test_nonsense_is_refused_in_one_clear_line(given, said):
    with pytest.raises(InputError) as caught:
        roots_study(given)
    assert said in str(caught.value).splitlines()[0]
