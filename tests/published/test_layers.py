"""Layers against rules and statements in print. Conversions are exact by definition; others say their
tolerance.
"""

import pytest

from somsim.estimate.layer import depth_at_limit, solve_layer

# International yard and pound, 1959: 0.9144 m and 0.45359237 kg exactly (NIST SP 811, appendix B).
YARD, POUND = 0.9144, 0.45359237
INCH, FOOT = YARD / 36, YARD / 3
ACRE = 4840 * YARD**2


def found(wanted, **known):
    return solve_layer(known, wanted=[wanted])[wanted]


def test_25_mm_is_25_litres_on_a_square_metre():
    # Exact by definition of the litre.
    assert found("volume", depth=0.025, area=1) == pytest.approx(0.025, rel=1e-12)
    assert found("volume", depth=0.025, area=100) == pytest.approx(2.5, rel=1e-12)


def test_one_millimetre_on_a_hectare():
    # Exact: 1 mm is 10 m3/ha.
    assert found("volume", depth=0.001, area=10_000) == pytest.approx(10, rel=1e-12)


def test_a_cubic_yard_at_one_inch():
    # Champlain Valley Compost, guide (read): 324 square feet. Exact.
    assert found("area", volume=YARD**3, depth=INCH) / FOOT**2 == pytest.approx(324, rel=1e-12)


def test_an_inch_on_an_acre():
    # Worked arithmetic in US units: 43,560 ft2 / 12 / 27 = 134.4 yd3; 102.8 m3. Printed to one decimal.
    volume = found("volume", depth=INCH, area=ACRE)
    assert volume / YARD**3 == pytest.approx(134.4, abs=0.05)
    assert volume == pytest.approx(102.8, abs=0.05)


def test_an_inch_on_a_thousand_square_feet():
    # Deschutes Recycling (read): 0.0031 yd3 per square foot and inch, which is 3.1 for 1,000 (two
    # digits).
    volume = found("volume", depth=INCH, area=1000 * FOOT**2) / YARD**3
    assert volume == pytest.approx(3.1, abs=0.05)
    assert volume == pytest.approx(3.086, abs=0.0005)  # worked arithmetic: 1000 / 12 / 27


def test_an_acre_of_topsoil_in_pounds():
    # Funderburg (2001), Noble Foundation, quoted by USDA-NRCS (read second-hand): an acre to 6 in weighs
    # 2,000,000 lb and 1 % of organic matter in it is 20,000 lb. The density is worked arithmetic, four
    # digits.
    soil = solve_layer(
        {"mass": 2_000_000 * POUND, "area": ACRE, "depth": 6 * INCH, "dry_matter": 1, "organic_share": 0.01},
        wanted=["density", "organic"],
    )
    assert soil["organic"] / POUND == pytest.approx(20_000, rel=1e-12)
    assert soil["density"] == pytest.approx(1471, abs=0.5)
    assert soil["organic"] / ACRE == pytest.approx(2.242, abs=0.0005)


@pytest.mark.parametrize(("depth", "expected"), [(0.15, 1.95), (0.20, 2.6), (0.30, 3.9)])
def test_one_percent_of_organic_matter_at_1_3(depth, expected):
    # Worked arithmetic: 1,300 kg/m3 x depth x 1 %. Exact.
    organic = found("organic", depth=depth, area=1, density=1300, dry_matter=1, organic_share=0.01)
    assert organic == pytest.approx(expected, rel=1e-12)


def test_carbon_of_an_australian_topsoil():
    # Soils Connect, question 97 (read): bulk density 1.5, 0-10 cm, 1.3 % carbon, 19.5 t C/ha. Exact.
    carbon = found("carbon", depth=0.10, area=10_000, density=1500, dry_matter=1, carbon_share=0.013)
    assert carbon / 1000 == pytest.approx(19.5, rel=1e-12)


def test_organic_matter_in_a_cubic_yard_of_compost():
    # Oregon State University text (read second-hand): 1,000 lb/yd3, half water and, as they count, half
    # organic matter of the rest: 250 lb of organic matter. 148 kg/m3 is worked arithmetic, three digits.
    heap = solve_layer(
        {"mass": 1000 * POUND, "volume": YARD**3, "dry_matter": 0.5, "organic_share": 0.5}, wanted=["organic"]
    )
    assert heap["organic"] / POUND == pytest.approx(250, rel=1e-12)
    assert heap["organic"] / heap["volume"] == pytest.approx(148, abs=0.5)


def test_density_of_compost_by_the_yard():
    # Deschutes Recycling (read): 1,000 to 1,200 lb/yd3; 593 to 712 kg/m3 is worked arithmetic, three digits.
    light, heavy = (found("density", mass=each * POUND, volume=YARD**3) for each in (1000, 1200))
    assert (light, heavy) == pytest.approx((593, 712), abs=0.5)


@pytest.mark.parametrize(
    ("millimetres", "tonnes", "organic", "nitrogen", "phosphate", "potash"),
    [
        (1, 6, 1.44, 45, 18, 41),
        (5, 30, 7.2, 225, 90, 204),
        (10, 60, 14.4, 450, 180, 408),
        (25, 150, 36.0, 1125, 450, 1020),
        (50, 300, 72.0, 2250, 900, 2040),
    ],
)
def test_a_hectare_of_green_compost(millimetres, tonnes, organic, nitrogen, phosphate, potash):
    # Worked arithmetic on AHDB Nutrient Management Guide RB209, section 2 (from memory): 7.5 kg N, 3.0 kg
    # P2O5 and 6.8 kg K2O per fresh tonne at 60 % dry matter; 600 kg/m3 and 40 % organic matter. Whole kg.
    layer = solve_layer(
        {
            "depth": millimetres / 1000,
            "area": 10_000,
            "density": 600,
            "dry_matter": 0.6,
            "organic_share": 0.4,
        },
        wanted=["mass", "organic"],
    )
    assert (layer["mass"] / 1000, layer["organic"] / 1000) == pytest.approx((tonnes, organic), rel=1e-12)
    per_tonne = (7.5, 3.0, 6.8)
    assert [each * layer["mass"] / 1000 for each in per_tonne] == pytest.approx(
        [nitrogen, phosphate, potash], abs=0.5
    )


def test_jeavons_compost_rate_is_a_layer():
    # Jeavons, How to Grow More Vegetables (read): 4 cubic feet on 100 square feet. 12.2 mm is worked
    # arithmetic.
    assert 1000 * found("depth", volume=4 * FOOT**3, area=100 * FOOT**2) == pytest.approx(12.2, abs=0.05)


def test_the_nitrogen_limit_on_green_compost():
    # WRAP, compost for potatoes (read): 250 kg N/ha is about 30 t/ha of green compost; that is 8.3 kg N/t,
    # where RB209 has 7.5 (from memory), hence 12 %. At 600 kg/m3 it is 5 to 6 mm (worked arithmetic).
    depth = float(depth_at_limit(0.0250, density=600, dry_matter=0.6, content=0.0075 / 0.6))
    assert depth * 600 * 10 == pytest.approx(30, rel=0.12)
    assert 0.005 <= depth <= 0.006


def test_paths_let_the_layer_on_the_beds_be_deeper():
    # Worked arithmetic: beds of 1.2 m with 0.4 m of path take 4/3 of the depth before the field reaches its
    # limit.
    whole, beds = (
        float(depth_at_limit(0.0250, density=600, dry_matter=0.6, content=0.0125, bed_share=part))
        for part in (1.0, 0.75)
    )
    assert beds == pytest.approx(whole * 4 / 3, rel=1e-12)
