"""Sun and evaporation against worked examples in print.

Allen, Pereira, Raes & Smith (1998), Crop evapotranspiration, FAO Irrigation and Drainage Paper 56, chapters
3-4. Example 8 and the evaporation of example 20 were read; the others, and the temperatures of example 20,
are remembered. A printed number is known to half of its last digit, and that is the tolerance. Where a
finer figure stands beside it, it is worked arithmetic with the same equations, held to its own last digit.

Thornthwaite (1948), Geogr. Rev. 38:55-94 (remembered): at 26.5 deg C a standard month evaporates 135 mm
whatever the yearly heat, the point in which all lines of his nomogram meet. The printed coefficients meet
there only nearly: 2 mm is allowed. His class B'1 (570-712 mm a year) holds lowland England.
"""

import numpy as np
import pytest

from somsim.climate.evaporation import hargreaves, thornthwaite, thornthwaite_standard
from somsim.climate.sun import day_length, declination, extraterrestrial_radiation, radiation_as_water
from somsim.climate.sun import sunset_hour_angle as hour_angle


@pytest.mark.parametrize(
    ("latitude", "day", "printed", "half_digit", "worked"),
    [
        (-20.0, 246, 32.2, 0.05, 32.194),  # example 8, 3 September, read
        (-22.9, 135, 25.1, 0.05, 25.111),  # example 10, Rio de Janeiro, 15 May, remembered
        (13 + 44 / 60, 105, 38.06, 0.005, 38.058),  # example 17, Bangkok, 15 April, remembered
    ],
)
def test_radiation_above_the_air(latitude, day, printed, half_digit, worked):
    radiation = float(extraterrestrial_radiation(latitude, day))
    assert radiation == pytest.approx(printed, abs=half_digit)
    assert radiation == pytest.approx(worked, abs=0.0015)  # worked arithmetic; latitude typed to a tenth


def test_steps_of_example_8():
    assert float(declination(246)) == pytest.approx(0.120, abs=0.0005)
    assert float(hour_angle(-20.0, 246)) == pytest.approx(1.527, abs=0.0005)
    assert float(radiation_as_water(32.194)) == pytest.approx(13.1, abs=0.05)


@pytest.mark.parametrize(("latitude", "day", "printed"), [(-20.0, 246, 11.7), (-22.9, 135, 10.9)])
def test_day_length_of_examples_9_and_10(latitude, day, printed):
    assert float(day_length(latitude, day)) == pytest.approx(printed, abs=0.05)


def test_lyon_in_july_example_20():
    mid_july = 196  # 15 July
    radiation = float(extraterrestrial_radiation(45 + 43 / 60, mid_july))
    assert radiation == pytest.approx(40.55, abs=0.01)  # remembered; the latitude is printed to the minute
    water = float(hargreaves((26.6 + 14.8) / 2, 26.6, 14.8, radiation_as_water(radiation)))
    assert water == pytest.approx(5.0, abs=0.05)


@pytest.mark.parametrize("heat_index", [20.0, 40.0, 60.0, 80.0, 100.0, 120.0])
def test_all_lines_meet_at_135_mm(heat_index):
    assert float(thornthwaite_standard(26.5, heat_index)) == pytest.approx(135.0, abs=2.0)


def test_hot_branch_takes_over_without_a_jump_that_matters():
    # Willmott, Rowe & Mintz (1985), J. Climatol. 5:589 (remembered): 136.5 mm just above 26.5 deg C.
    assert float(thornthwaite_standard(26.5001, 100.0)) == pytest.approx(135.0, abs=2.0)


def test_uppsala_year():
    """Worked arithmetic on remembered normals, with slightly other day lengths: so 1 mm a month."""
    normals = [-4.2, -4.3, -0.8, 4.0, 10.3, 15.0, 16.4, 15.2, 10.9, 6.6, 1.3, -2.6]
    expected = [0.0, 0.0, 0.0, 28.7, 82.7, 122.5, 131.8, 106.6, 62.6, 32.0, 5.2, 0.0]
    np.testing.assert_allclose(thornthwaite(normals, 59.8), expected, atol=1.0)


def test_lowland_england_is_in_its_class():
    # Monthly normals of Harpenden, about 1981-2020, from memory.
    normals = [4.2, 4.4, 6.4, 8.6, 11.8, 14.8, 17.1, 16.9, 14.3, 10.8, 7.0, 4.5]
    assert 570.0 < float(thornthwaite(normals, 51.8).sum()) < 712.0
