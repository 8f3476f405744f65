"""The sun's edges: poles, equator, the other hemisphere, the year's shape."""

import numpy as np
import pytest

from somsim.climate.sun import (
    MONTH_DAYS,
    day_length,
    declination,
    extraterrestrial_radiation,
    month_middles,
)

DAYS = np.arange(1, 367)


def test_months_make_the_mean_year():
    assert sum(MONTH_DAYS) == 365.25
    assert month_middles()[-1] == pytest.approx(365.25 - 15.5, abs=1e-12)


def test_polar_day_and_night():
    # Above 66.6 degrees the sun does not set at midsummer (day 172) nor rise at midwinter (day 355).
    np.testing.assert_allclose(day_length([75.0, 90.0, -75.0, -90.0], 172), [24.0, 24.0, 0.0, 0.0])
    np.testing.assert_allclose(day_length([75.0, 90.0, -75.0, -90.0], 355), [0.0, 0.0, 24.0, 24.0])
    assert np.all(extraterrestrial_radiation([75.0, 90.0], 355) == 0.0)


@pytest.mark.parametrize("latitude", [-90.0, -66.6, -43.5, 0.0, 59.8, 66.6, 90.0])
def test_every_day_everywhere_is_a_number(latitude):
    hours = day_length(latitude, DAYS)
    radiation = extraterrestrial_radiation(latitude, DAYS)
    assert np.all((hours >= 0.0) & (hours <= 24.0))
    assert np.all(np.isfinite(radiation) & (radiation >= 0.0))


def test_equator_and_hemispheres():
    np.testing.assert_allclose(day_length(0.0, DAYS), 12.0)
    np.testing.assert_allclose(day_length(45.0, DAYS) + day_length(-45.0, DAYS), 24.0)


def test_sun_stands_highest_at_the_solstice():
    # 20-22 June is day 171-173 and the tilt of the axis 23.4 degrees (astronomy; FAO-56 rounds to 0.409).
    assert declination(DAYS).argmax() + 1 in (171, 172, 173)
    assert np.degrees(declination(DAYS).max()) == pytest.approx(23.44, abs=0.02)


@pytest.mark.parametrize("bad", [90.1, -91.0, float("nan")])
def test_no_such_latitude(bad):
    with pytest.raises(ValueError, match="between -90 and 90"):
        extraterrestrial_radiation(bad, 1)
