"""Temperature and water responses against the points that their publications fix, and worked values.

Fixed points (published): Lloyd & Taylor (1994), Funct. Ecol. 8:315, is 1 at 10 deg C; Katterer et al. (1998),
Biol. Fertil. Soils 27:258 (abstract read), factor 2 for 10 deg C between 5 and 35; IPCC (2019), Refinement,
vol. 4, ch. 5, eq. 5.0E (remembered), 1 at 33.69 and 0 above 45 deg C; the quadratic (form of Ratkowsky et
al. 1982, J. Bacteriol. 149:1) 0 at -3.8 and 1 at 30 deg C. These hold to rounding.

The rows of values are worked arithmetic, done once outside this package on the published (partly remembered)
equations and written with four decimals: half of the last digit is the tolerance.
"""

import numpy as np
import pytest

from somsim.climate.temperature import RESPONSES, ipcc_2019, lloyd_taylor, q10, quadratic
from somsim.climate.water import supply_ratio, water_factor

HALF_DIGIT = 0.000051


def test_fixed_points():
    assert float(lloyd_taylor(10.0)) == pytest.approx(1.0, abs=1e-12)
    assert float(ipcc_2019(33.69)) == pytest.approx(1.0, abs=1e-12)
    assert [float(value) for value in ipcc_2019([45.0, 45.1, 80.0])] == [0.0, 0.0, 0.0]
    assert [float(value) for value in quadratic([-30.0, -3.8, 30.0])] == [0.0, 0.0, 1.0]
    np.testing.assert_allclose(q10([15.0, 25.0, 35.0]) / q10([5.0, 15.0, 25.0]), 2.0, rtol=1e-12)


@pytest.mark.parametrize(
    ("name", "temperature", "worked"),
    [
        ("lloyd-taylor", [0, 5, 10, 15, 20, 25, 30], [0.3021, 0.5829, 1, 1.5704, 2.3032, 3.2006, 4.2593]),
        ("quadratic", [0, 5, 10, 15, 20, 25, 30], [0.0126, 0.0678, 0.1667, 0.3094, 0.4958, 0.7260, 1]),
        (
            "ipcc 2019",
            [-5, 0, 5, 10, 15, 20, 25, 30, 33.69, 40],
            [0.0329, 0.0805, 0.1689, 0.3070, 0.4880, 0.6856, 0.8604, 0.9731, 1, 0.9083],
        ),
    ],
)
def test_worked_values(name, temperature, worked):
    np.testing.assert_allclose(RESPONSES[name](temperature), worked, rtol=0, atol=HALF_DIGIT)


def test_worked_water_values():
    # 1.5 is the publication's own constant in front of the yearly mean of these.
    ratio = supply_ratio([0.0, 25.0, 50.0, 75.0, 100.0, 125.0, 300.0], 100.0)
    worked = [0.2129, 0.5306, 0.8181, 1.0754, 1.3026, 1.4996, 1.4996]
    np.testing.assert_allclose(water_factor(ratio) / 1.5, worked, rtol=0, atol=HALF_DIGIT)


UPPSALA = np.array([-4.2, -4.3, -0.8, 4.0, 10.3, 15.0, 16.4, 15.2, 10.9, 6.6, 1.3, -2.6])
HARPENDEN = np.array([4.2, 4.4, 6.4, 8.6, 11.8, 14.8, 17.1, 16.9, 14.3, 10.8, 7.0, 4.5])


@pytest.mark.parametrize(
    ("name", "worked"), [("lloyd-taylor", 1.32), ("quadratic", 1.40), ("ipcc 2019", 1.34)]
)
def test_southern_england_against_uppsala_by_temperature_alone(name, worked):
    """Worked arithmetic, two decimals, on English normals that were not kept and lie somewhat colder.

    One shift of the temperatures, read from the factor-2 row (1.22), has to explain the three other rows. The
    last digit of that row is worth 0.06 deg C, or 0.008 here; with their own last digit, 0.015.
    """
    shift = 10.0 * np.log2(1.22 * q10(UPPSALA).mean() / q10(HARPENDEN).mean())
    assert abs(shift) < 1.0  # normals from memory are good to about 1 deg C
    response = RESPONSES[name]
    ratio = response(HARPENDEN + shift).mean() / response(UPPSALA).mean()
    assert ratio == pytest.approx(worked, abs=0.015)


@pytest.mark.parametrize(("name", "worked"), [("q10", 1.23), ("quadratic", 1.44)])
def test_three_degrees_warmer_in_southern_england(name, worked):
    """Worked arithmetic, two decimals; 0.01 for other rounding of the remembered normals."""
    response = RESPONSES[name]
    assert response(HARPENDEN + 3.0).mean() / response(HARPENDEN).mean() == pytest.approx(worked, abs=0.01)
