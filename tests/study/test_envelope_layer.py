"""Layers through the study: any three give the rest, loads, money, limits."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from somsim.errors import InputError
from somsim.study.envelope_layer import DIMENSIONS, LayerTyped, layer_study, read_price
from somsim.units import parse_amount


def typed(**given_too):
    more = {key: given_too.pop(key) for key in ("material", "price") if key in given_too}
    if "price" in more:
        more["price"] = read_price(more["price"])
    extra = {"nitrogen": "share", "phosphorus": "share", "phosphorus_limit": "mass_per_area"}
    more |= {key: parse_amount(given_too.pop(key), extra[key]) for key in extra if key in given_too}
    return LayerTyped({name: parse_amount(text, DIMENSIONS[name]) for name, text in given_too.items()}, **more)


@settings(deadline=None, max_examples=40)
@given(st.floats(1, 100), st.floats(1, 500), st.floats(1.5, 10))
def test_everything_but_depth_and_shares_is_linear_in_the_area(depth, area, times):
    one, many = (
        layer_study(typed(depth=f"{depth:.6f} mm", area=f"{size:.6f} m2", material="garden compost")).found
        for size in (area, area * times)
    )
    for name in ("volume", "mass", "dry", "organic", "carbon"):
        assert many[name].best == pytest.approx(times * one[name].best, rel=1e-4)
        assert many[name].high == pytest.approx(times * one[name].high, rel=1e-4)


@settings(deadline=None, max_examples=40)
@given(st.floats(0.1, 10), st.floats(10, 5000), st.floats(300, 1200))
def test_units_agree(inches, feet, pounds):
    # Ten digits are typed; the international inch, foot and pound are exact.
    us = layer_study(typed(depth=f"{inches:.9f} in", area=f"{feet:.9f} ft2", density=f"{pounds:.9f} lb/yd3")).found
    metric = layer_study(
        typed(
            depth=f"{inches * 25.4:.9f} mm",
            area=f"{feet * 0.09290304:.9f} m2",
            density=f"{pounds * 0.45359237 / 0.9144**3:.9f} kg/m3",
        )
    ).found
    assert us["mass"].best == pytest.approx(metric["mass"].best, rel=1e-7)


@pytest.mark.parametrize(
    ("given", "wanted", "expected"),
    [
        ({"depth": "25 mm", "area": "100 m2", "density": "600 kg/m3"}, "mass", 1500),
        ({"mass": "1500 kg", "volume": "2.5 m3", "area": "100 m2"}, "depth", 0.025),
        ({"dry": "900 kg", "mass": "1500 kg", "carbon": "198 kg"}, "carbon_share", 0.22),
        ({"organic": "360 kg", "organic_share": "40 %", "dry_matter": "60 %", "volume": "2.5 m3"}, "density", 600),
    ],
)
def test_any_three_give_the_rest(given, wanted, expected):
    assert layer_study(typed(**given)).found[wanted].best == pytest.approx(expected)


def test_a_material_fills_only_what_does_not_follow():
    found = layer_study(typed(mass="700 kg", volume="1 m3", material="garden compost"))
    assert found.found["density"].best == pytest.approx(700)
    assert found.found["density"].is_range is False
    assert found.found["dry_matter"].is_range


def test_loads_hours_and_money():
    found = layer_study(typed(depth="25 mm", area="102 m2", material="garden compost", price="30 to 40 EUR per m3"))
    # Worked arithmetic: 2.55 m3 are 30 barrows of 85 l, 64 bags of 40 l; 1.3 h/m3 is 3.3 h; 35 EUR/m3 is 89 EUR.
    loads = {one.name: one.likely for one in found.loads}
    assert (loads["a garden barrow"], loads["a shop bag"]) == (30, 64)
    assert found.hours["spread by barrow"].best == pytest.approx(3.315)
    assert (found.money.best, found.money.low, found.money.high) == pytest.approx((89.25, 76.5, 102.0))
    assert found.currency == "EUR"


@pytest.mark.parametrize(
    ("text", "by", "one"), [("45 per yd3", "volume", 45 / 0.764554857984), ("70 per t", "mass", 0.07)]
)
def test_prices_by_volume_and_mass(text, by, one):
    price = read_price(text)
    assert (price.by, price.low) == (by, pytest.approx(one))


def test_a_phosphorus_limit_is_held_beside():
    found = layer_study(typed(depth="5 mm", area="1 m2", material="reference compost", phosphorus_limit="39 kg/ha"))
    # AHDB Nutrient Management Guide RB209, section 2 (from memory): 3.0 kg P2O5 a fresh tonne; 5 mm bring 39 kg P/ha
    # (worked arithmetic; two digits, hence 1 %).
    phosphorus = next(one for one in found.limits if one.element == "phosphorus")
    assert phosphorus.depth.best == pytest.approx(0.005, rel=0.01)
    assert phosphorus.brought.best == pytest.approx(39e-4, rel=0.01)


def test_cautions_of_lifting_and_dust():
    found = layer_study(typed(depth="5 mm", area="1 m2", material="garden compost"))
    assert {"lifting", "legionella"} <= {one.id for one in found.watch}


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (typed(depth="2 m", area="3 m2", material="garden compost"), '--depth "2 m": is past 1 m'),
        (typed(volume="20 m3", area="3 m2", density="600 kg/m3"), "a layer 6.667 m deep is past 1 m"),
        (typed(depth="20 mm"), "--depth: too little is given"),
        (typed(), "--depth: nothing is given"),
        (typed(depth="20 mm", area="1 m2", volume="1 m3"), "leave one out"),
        (typed(depth="20 mm", area="1 m2", price="3 per kg"), "the mass is not known"),
        (typed(depth="20 mm", area="1 m2", phosphorus_limit="39 kg/ha"), "how much phosphorus is in the material?"),
        (typed(dry_matter="60 %", mass="1 t", dry="900 kg"), "leave one out"),
        (typed(depth="20 mm", area="1 m2", material="gardn compost"), "nothing is called so among the materials"),
    ],
)
def test_nonsense_is_refused_in_one_clear_line(given, said):
    with pytest.raises(InputError) as caught:
        layer_study(given)
    assert said in str(caught.value).splitlines()[0]


@pytest.mark.parametrize("text", ["35", "per m3", "35 per m2", "35 m3", "-3 per m3", "35 per", "35 EUR"])
def test_what_is_no_price_is_refused(text):
    with pytest.raises(InputError, match=r'--price "'):
        read_price(text)
