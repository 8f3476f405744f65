import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.growth.degree_days import (
    daily_from_normals,
    daily_from_series,
    daily_gain,
    degree_days_between,
    degree_days_since,
    gain_in_light,
)


def dates(start, end):
    return np.arange(start, end, dtype="datetime64[D]")


def monthly_means(daily, days):
    months = days.astype("datetime64[M]")
    return np.array([daily[..., months == month].mean(axis=-1) for month in np.unique(months)]).T


# Christchurch, southern hemisphere, and a continental climate; about 1981-2010 (remembered).
CHRISTCHURCH = [17.3, 17.0, 15.2, 12.3, 9.3, 6.5, 6.0, 7.2, 9.6, 11.6, 13.7, 16.0]
MADISON = [-7.4, -5.4, 1.0, 8.0, 14.6, 20.1, 22.2, 21.1, 16.8, 9.9, 2.6, -4.2]


@given(st.lists(st.floats(-40, 45), min_size=12, max_size=12))
def test_days_of_each_month_average_to_its_normal(normals):
    days = dates("2026-01-01", "2027-01-01")
    np.testing.assert_allclose(monthly_means(daily_from_normals(normals, days), days), normals, atol=1e-9)


def test_leap_february_stays_within_a_fiftieth_of_a_degree():
    # Normals are solved for 365 days; the 29th is one more day on the same line.
    days = dates("2028-02-01", "2028-03-01")
    assert daily_from_normals(MADISON, days).mean() == pytest.approx(MADISON[1], abs=0.02)


def test_normals_repeat_each_year_and_pass_new_year_without_a_step():
    days = dates("2026-12-20", "2027-01-12")
    daily = daily_from_normals(np.array([MADISON, CHRISTCHURCH]), days)
    assert daily.shape == (2, len(days))
    assert np.abs(np.diff(daily, axis=-1)).max() < 0.5
    same = daily_from_normals(MADISON, dates("2035-12-20", "2036-01-12"))
    np.testing.assert_allclose(same, daily[0], atol=1e-12)


def test_southern_winter_is_in_july():
    days = dates("2026-01-01", "2027-01-01")
    coldest = days[np.argmin(daily_from_normals(CHRISTCHURCH, days))]
    assert np.datetime64("2026-07-01") <= coldest <= np.datetime64("2026-07-31")


def test_lines_turn_at_noon_in_the_middle_of_the_month():
    # July has 31 days: its middle is noon on the 16th; the months beside it are about equally long.
    days = dates("2026-07-15", "2026-07-18")
    before, middle, after = daily_from_normals([0, 0, 0, 0, 0, 0, 10, 0, 0, 0, 0, 0], days)
    assert middle - before == pytest.approx(middle - after, rel=0.05)


def test_normals_must_be_twelve():
    with pytest.raises(ValueError, match="twelve"):
        daily_from_normals([1.0] * 11, dates("2026-01-01", "2026-01-02"))


@given(st.lists(st.floats(-40, 45), min_size=2, max_size=30))
def test_days_of_each_month_of_a_series_average_to_it(monthly):
    first = np.datetime64("2011-11", "M")
    days = dates(first.astype("datetime64[D]"), (first + len(monthly)).astype("datetime64[D]"))
    daily = daily_from_series(monthly, "2011-11", days)
    np.testing.assert_allclose(monthly_means(daily, days), monthly, atol=1e-9)


def test_a_series_of_the_same_year_again_is_the_normals():
    days = dates("2026-01-01", "2027-01-01")
    series = daily_from_series(CHRISTCHURCH * 3, "2025-01", days)
    np.testing.assert_allclose(series, daily_from_normals(CHRISTCHURCH, days), atol=1e-4)


def test_days_outside_a_series_are_refused():
    for day in ("2011-12-31", "2012-03-01"):
        with pytest.raises(ValueError, match="2012-01 to 2012-02"):
            daily_from_series([4.0, 6.0], "2012-01", [day])


@pytest.mark.parametrize(("base", "tolerance"), [(4.0, 0.03), (10.0, 0.10)])
def test_degree_days_of_months_against_the_daily_record_of_seattle(base, tolerance):
    # Daily extremes, Seattle 2012-2015 (NOAA, as carried by vega_datasets): degree days of the daily record
    # against those of its monthly means. Tolerance: months whose mean lies near the base lose their warm
    # spells; 3 % and 10 % of the yearly sum are small beside +-1 deg C in remembered normals.
    from vega_datasets import local_data

    table = local_data.seattle_weather()
    days = table["date"].to_numpy().astype("datetime64[D]")
    mean = (table["temp_max"].to_numpy() + table["temp_min"].to_numpy()) / 2
    from_months = daily_from_series(monthly_means(mean, days), "2012-01", days)
    truth, ours = (daily_gain(each, base).sum() for each in (mean, from_months))
    assert ours == pytest.approx(truth, rel=tolerance)
    assert ours < truth


def test_short_days_give_nothing_however_mild():
    gain = gain_in_light([[5.0, 5.0], [1.0, 2.0]], [9.49, 9.5], 9.5)
    assert gain.tolist() == [[0.0, 5.0], [0.0, 2.0]]


@given(st.lists(st.floats(0, 30), min_size=3, max_size=60), st.data())
def test_since_starts_at_nothing_never_falls_and_agrees_with_between(gain, data):
    days = np.datetime64("2026-12-15") + np.arange(len(gain))
    sown = data.draw(st.integers(0, len(gain) - 1))
    since = degree_days_since(gain, days, days[sown])
    assert np.all(since[: sown + 1] == 0)
    assert np.all(np.diff(since) >= 0)
    assert since[-1] == pytest.approx(float(degree_days_between(gain, days, days[sown], days[-1])), abs=1e-9)


def test_lost_or_disordered_days_are_refused():
    days = dates("2026-03-01", "2026-03-11")
    ones = np.ones(10)
    with pytest.raises(ValueError, match="begin on or before"):
        degree_days_since(ones, days, "2026-02-28")
    with pytest.raises(ValueError, match="without a gap"):
        degree_days_since(ones[1:], np.delete(days, 4), "2026-03-01")
    with pytest.raises(ValueError, match="every day"):
        degree_days_between(ones, days, "2026-03-01", "2026-03-12")
    with pytest.raises(ValueError, match="comes before"):
        degree_days_between(ones, days, "2026-03-05", "2026-03-04")
