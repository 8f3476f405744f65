"""Sowing later costs growth: the judged logistic against two published outcomes.

Sources
- Handboek Bodem & Bemesting (Netherlands), organic matter of green manures by sowing date: kg/ha of tops and
  roots still in the soil one year after turning in (read; rows printed left-aligned, so a row shorter than
  the dates is taken to start at the earliest). The share that lasts a year is one number a crop, so the row
  has the shape of the crop's own mass, up to a scale.
- Lawson, Cogger, Bary & Fortuna (2015), PLoS ONE 10:e0129597, western Washington: rye sown 2.5 weeks later
  than mid September made half as much by late April; ending in late March instead cost about as much (read).

Method: the scale is fitted on every second printed date (mean of the logarithms), the dates between are
tested, then the other way round. Nothing else is fitted: half at 0.55 of the window, 0.03 of the mass at
0.10, no gain under 9.5 h, base 4 deg C (judged). Tolerance 25 %: the printed figures are rounded to
50 kg/ha, and two Dutch sources differ by more for mustard "before 1 September" (875 against 500 and 1,250).

What does not hold is kept as a strict expected failure, so that a change that mends it is noticed. In short:
over all printed dates the logistic fails for every crop; over the autumn sowings it holds for ryegrass both
ways and for vetch, phacelia and radish one way. That rests on the middle of "August or September" as the
start of the window: with 15 August ryegrass misses by 29 and 26 % and vetch holds both ways (8 and 21 %).
A crop's own printed row, read between its dates, holds for every crop.
"""

import numpy as np
import pytest

from somsim.climate.sun import day_length, extraterrestrial_radiation
from somsim.growth import degree_days, standing

TOLERANCE = 0.25
SOWN = ["07-15", "08-01", "08-15", "09-01", "09-15", "10-01", "10-15"]
DAY_OF_YEAR = [196, 213, 227, 244, 258, 274, 288]
PRINTED = {
    "bristle oat": [1650, 1000, 550, 400, 350, 300],
    "fodder radish": [2050, 1600, 950, 650, 350, 150],
    "white mustard": [1800, 1250, 750, 500, 350, 250],
    "Italian ryegrass": [1850, 1600, 1250, 1000, 750, 450, 200],
    "phacelia": [1100, 600, 350, 150, 50],
    "common vetch": [800, 700, 500, 350, 250],
}
FIRST_AUTUMN = 2  # 15 August, the first of the printed dates that falls in the crops' usual sowing time

# Usual windows (remembered): sown in August and killed by frost; ryegrass sown in August or September and
# ended in April, vetch in May. The middle of the time named is taken. Phacelia, 8 to 10 weeks between May and
# August: 15 July and 9 weeks.
WINDOWS = {
    "bristle oat": ("2026-08-15", "2026-12-31"),
    "fodder radish": ("2026-08-15", "2026-12-31"),
    "white mustard": ("2026-08-15", "2026-12-31"),
    "Italian ryegrass": ("2026-09-01", "2027-04-15"),
    "phacelia": ("2026-07-15", "2026-09-16"),
    "common vetch": ("2026-09-01", "2027-05-15"),
}
TURNED_IN = {"Italian ryegrass": "2027-04-15", "common vetch": "2027-05-15"}  # the others die by themselves

# Monthly means, January first. De Bilt, about 1981-2010 (remembered, +-1 deg C). Seattle 2012-2015, middle of
# daily extremes (NOAA, in the package vega_datasets; read), the nearest open series to the Washington trial.
DE_BILT = [3.6, 3.9, 6.5, 9.9, 13.4, 16.2, 18.3, 17.9, 14.7, 10.9, 7.0, 4.2]
SEATTLE = [5.5, 7.0, 8.6, 10.7, 14.5, 17.3, 20.1, 20.4, 17.1, 12.9, 7.9, 5.8]
DAYS = np.arange("2026-07-01", "2027-07-01", dtype="datetime64[D]")
NUMBER = (DAYS - DAYS.astype("datetime64[Y]")).astype(int) + 1
SHAPE = standing.logistic_shape(0.55, 0.10, 0.03)


def gain(normals, latitude, *, by_light=False):
    warm = degree_days.daily_gain(degree_days.daily_from_normals(normals, DAYS), 4.0)
    lit = degree_days.gain_in_light(warm, day_length(latitude, NUMBER), 9.5)
    # Warmth times light, after the photothermal units of Nuttonson (1948, remembered); the unit cancels.
    return lit * extraterrestrial_radiation(latitude, NUMBER) if by_light else lit


def warmth(daily, start, end):
    return float(degree_days.degree_days_between(daily, DAYS, start, end))


def worst_miss(printed, modelled, fitted_from):
    """Largest relative miss on the dates not fitted; 0 fits the first, third, ... date, 1 the others."""
    printed, modelled = np.asarray(printed, dtype=float), np.asarray(modelled)
    scale = np.exp(np.log(printed[fitted_from::2] / modelled[fitted_from::2]).mean())
    tested = slice(1 - fitted_from, None, 2)
    return float(np.abs(scale * modelled[tested] / printed[tested] - 1.0).max())


def logistic(crop, daily):
    window = warmth(daily, *WINDOWS[crop])
    end = TURNED_IN.get(crop, "2026-12-31")
    sown = SOWN[FIRST_AUTUMN : len(PRINTED[crop])]
    return standing.share_grown([warmth(daily, f"2026-{day}", end) / window for day in sown], SHAPE)


def does_not_hold(why):
    return pytest.mark.xfail(strict=True, raises=AssertionError, reason=why)


def fails(crop, fitted_from, why):
    return pytest.param(crop, fitted_from, marks=does_not_hold(why), id=f"{crop}-{fitted_from}")


LAG = "the logistic's slow start costs late sowings more than the table says"
CASES = [
    pytest.param("Italian ryegrass", 0, id="Italian ryegrass-0"),
    pytest.param("Italian ryegrass", 1, id="Italian ryegrass-1"),
    pytest.param("common vetch", 0, id="common vetch-0"),
    fails("common vetch", 1, "28 % off at 15 August, 27 % at 15 September; only the date between is fitted"),
    pytest.param("phacelia", 0, id="phacelia-0"),
    fails("phacelia", 1, "33 % off at 15 August, 26 % at 15 September; only the date between is fitted"),
    pytest.param("fodder radish", 1, id="fodder radish-1"),
    fails("fodder radish", 0, LAG),
    *[fails(crop, fold, LAG) for crop in ("white mustard", "bristle oat") for fold in (0, 1)],
]


@pytest.mark.parametrize(("crop", "fitted_from"), CASES)
def test_logistic_gives_the_dutch_autumn_sowings(crop, fitted_from):
    modelled = logistic(crop, gain(DE_BILT, 52.1))
    assert worst_miss(PRINTED[crop][FIRST_AUTUMN:], modelled, fitted_from) <= TOLERANCE


@does_not_hold("late autumn days count for still less by light, and they already count for too little")
@pytest.mark.parametrize("crop", ["white mustard", "bristle oat", "fodder radish"])
def test_counting_light_mends_the_catch_crops(crop):
    modelled = logistic(crop, gain(DE_BILT, 52.1, by_light=True))
    assert max(worst_miss(PRINTED[crop][FIRST_AUTUMN:], modelled, fold) for fold in (0, 1)) <= TOLERANCE


SPREAD = "the six rows differ too much in shape for one curve: 15 July to 15 September keeps 5 to 41 %"


@pytest.mark.parametrize(
    "crop",
    [
        "white mustard",
        "common vetch",
        *[
            pytest.param(crop, marks=does_not_hold(SPREAD))
            for crop in ("bristle oat", "fodder radish", "Italian ryegrass", "phacelia")
        ],
    ],
)
def test_mass_in_plain_proportion_to_warmth_until_the_short_days(crop):
    # No slow start and no ceiling: a closed crop grows about evenly with warmth. All printed dates.
    daily = gain(DE_BILT, 52.1)
    modelled = [warmth(daily, f"2026-{day}", "2026-12-31") for day in SOWN[: len(PRINTED[crop])]]
    assert max(worst_miss(PRINTED[crop], modelled, fold) for fold in (0, 1)) <= TOLERANCE


@pytest.mark.parametrize("crop", PRINTED)
@pytest.mark.parametrize("fitted_from", [0, 1])
def test_own_printed_row_gives_the_dates_between(crop, fitted_from):
    amounts = PRINTED[crop]
    days = DAY_OF_YEAR[: len(amounts)]
    known_days, known = days[fitted_from::2], amounts[fitted_from::2]
    tested = 0
    for day, amount in zip(days[1 - fitted_from :: 2], amounts[1 - fitted_from :: 2], strict=True):
        if known_days[0] <= day <= known_days[-1]:
            share = standing.sowing_share(day, known_days[0], days=known_days, amounts=known)
            assert known[0] * share == pytest.approx(amount, rel=TOLERANCE)
            tested += 1
    assert tested >= 1


# Lawson et al.: sown 15 September or 17 days later, ended 25 April or 25 March. Rye cut in April is still
# growing, so its curve runs to flowering, "late May or June" (Clark 2007, remembered): 10 June, the middle.
# Both rest on that date: 0.56 and 0.60 with it, 0.61 and 0.64 with 31 May, 0.68 and 0.71 with 20 May.
def share_of_april_cut(*, sown="2026-09-15", cut="2027-04-25", window_end="2027-06-10"):
    daily = gain(SEATTLE, 47.2)
    window = warmth(daily, "2026-09-15", window_end)
    asked, usual = (
        float(standing.share_grown(warmth(daily, *dates) / window, SHAPE))
        for dates in ((sown, cut), ("2026-09-15", "2027-04-25"))
    )
    return asked / usual


def test_rye_sown_two_and_a_half_weeks_later_makes_about_half():
    assert share_of_april_cut(sown="2026-10-02") == pytest.approx(0.5, rel=TOLERANCE)


def test_rye_ended_in_late_march_makes_about_half():
    assert share_of_april_cut(cut="2027-03-25") == pytest.approx(0.5, rel=TOLERANCE)


@does_not_hold("0.85: a curve nearly full at the April cut leaves the late crop little to lack")
def test_rye_halves_also_if_its_curve_ends_at_the_april_cut():
    late = share_of_april_cut(sown="2026-10-02", window_end="2027-04-25")
    assert late == pytest.approx(0.5, rel=TOLERANCE)
