"""Evaporation at its edges, over series of years, and south of the equator."""

import numpy as np
import pytest

from somsim.climate.evaporation import hargreaves, thornthwaite, thornthwaite_standard, yearly_heat_index

# Normals about 1981-2020, from memory: Christchurch NZ (43.5 S) and Uppsala (59.8 N, January read).
CHRISTCHURCH = np.array([17.3, 17.0, 15.2, 12.3, 9.3, 6.5, 6.0, 7.2, 9.6, 11.6, 13.7, 16.0])
UPPSALA = np.array([-4.2, -4.3, -0.8, 4.0, 10.3, 15.0, 16.4, 15.2, 10.9, 6.6, 1.3, -2.6])


def test_frozen_months_ask_for_nothing():
    assert np.all((thornthwaite(UPPSALA, 59.8) == 0.0) == (UPPSALA <= 0.0))


def test_a_year_without_thaw():
    assert np.all(thornthwaite([-5.0] * 12, 70.0) == 0.0)


def test_southern_summer_is_at_new_year():
    demand = thornthwaite(CHRISTCHURCH, -43.5)
    assert demand.argmax() == 0
    # January's days are longer at 43.5 S than at 43.5 N, whatever the temperature.
    assert demand[0] > thornthwaite(CHRISTCHURCH, 43.5)[0]


def test_places_and_years_are_axes():
    places = thornthwaite(np.stack([UPPSALA, CHRISTCHURCH]), [59.8, -43.5])
    np.testing.assert_array_equal(places[0], thornthwaite(UPPSALA, 59.8))
    np.testing.assert_array_equal(places[1], thornthwaite(CHRISTCHURCH, -43.5))


def test_one_hot_summer_leaves_other_months_alone():
    hot = CHRISTCHURCH.copy()
    hot[0] += 4.0
    years = np.stack([CHRISTCHURCH, hot])
    fixed = thornthwaite(years, -43.5, heat_index=yearly_heat_index(years.mean(axis=0)))
    own = thornthwaite(years, -43.5)
    np.testing.assert_array_equal(fixed[1, 1:], fixed[0, 1:])
    assert np.all(own[1, 1:] != own[0, 1:])


def test_hot_months_never_ask_for_less():
    assert np.all(np.diff(thornthwaite_standard(np.linspace(26.6, 50.0, 100), 150.0)) >= 0.0)


@pytest.mark.parametrize("months", [10.0, [10.0] * 11, [[10.0]] * 12])
def test_other_than_twelve_months_is_refused(months):
    with pytest.raises(ValueError, match="twelve months"):
        thornthwaite(months, 50.0)


def test_extremes_the_wrong_way_round():
    with pytest.raises(ValueError, match="below its lowest"):
        hargreaves(10.0, 5.0, 15.0, 10.0)


def test_hargreaves_in_deep_frost_and_still_air():
    assert float(hargreaves(-30.0, -25.0, -35.0, 5.0)) == 0.0
    assert float(hargreaves(10.0, 10.0, 10.0, 5.0)) == 0.0
