"""Months as they came, in place of the usual ones."""

import numpy as np
from worked_plans import plan_text, setting_of

from somsim.timeline.weather import Ground

PLANTED = Ground(planted=True, watered=False, covered=False, sheet=False, tillage="dug_once_factor")
HEADER = "year,month,temperature_deg_C,rain_mm\n"


def _factors(tmp_path, rows, weather="{file: came.csv}"):
    (tmp_path / "came.csv").write_text(HEADER + rows)
    site = f"weather: {weather}" if weather else ""
    text = plan_text("idle: {as: bare}", climate="south-east-england", site=site)
    made = setting_of(text, name=str(tmp_path / "plan.yaml")).weather
    rows = made.temperature.shape[0]
    return np.array([[float(made.factor((row, month), PLANTED)[0]) for month in range(12)] for row in range(rows)])


def test_a_warm_wet_month_moves_that_month_and_no_other(tmp_path):
    usual = _factors(tmp_path, "", weather="")[0]
    came = _factors(tmp_path, "2028,6,24.0,120\n")
    assert came.shape[0] == 4  # a row for each calendar year of the plan: 2027 to 2030
    assert came[1, 5] > 1.2 * usual[5]
    came[1, 5] = usual[5]
    np.testing.assert_allclose(came, np.tile(usual, (4, 1)), rtol=1e-12)


def test_the_usual_months_written_out_change_nothing(tmp_path):
    text = plan_text("idle: {as: bare}", climate="south-east-england")
    plain = setting_of(text).weather
    rows = "".join(
        f"2027,{month + 1},{plain.temperature[0, month, 0]:.10f},{plain.rain[0, month, 0]:.10f}\n"
        for month in range(12)
    )
    came = _factors(tmp_path, rows)
    np.testing.assert_allclose(came, np.tile(came[2], (4, 1)), rtol=1e-9)


def test_months_after_the_last_day_and_outside_the_plan_are_not_used(tmp_path):
    usual = _factors(tmp_path, "", weather="")[0]
    rows = "2026,6,24.0,120\n2028,6,24.0,120\n2028,7,24.0,120\n"
    came = _factors(tmp_path, rows, "{file: came.csv, until: 2028-07-30}")
    assert came[1, 5] > usual[5]
    np.testing.assert_allclose(came[1, 6], usual[6], rtol=1e-12)
    np.testing.assert_allclose(came[0], usual, rtol=1e-12)


def test_a_rain_free_winter_slows_open_ground(tmp_path):
    dry = _factors(tmp_path, "2028,4,9.0,0\n2028,5,12.0,0\n")
    assert dry[1, 4] < dry[0, 4]
