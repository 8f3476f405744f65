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

What does not hold is asserted beside what does, with the size of the miss, so that a change that mends it or
makes it worse is noticed. In short: over all printed dates the logistic fails for every crop; over the autumn
sowings it holds for ryegrass both ways and for vetch, phacelia and radish one way, and never for mustard and oat,
where it is off by 67 to 134 %. That rests on the middle of "August or September" as the start of the window: with
15 August ryegrass misses by 29 and 26 % and vetch holds both ways (8 and 21 %).
A crop's own printed row, read between its dates, holds for every crop.
"""

import numpy as np
import pytest
from dutch_sowings import DAY_OF_YEAR, FIRST_AUTUMN, PRINTED, SOWN, TOLERANCE, worst_miss

from somsim.climate.sun import day_length, extraterrestrial_radiation
from somsim.growth import degree_days, standing

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


def logistic(crop, daily):
    window = warmth(daily, *WINDOWS[crop])
    end = TURNED_IN.get(crop, "2026-12-31")
    sown = SOWN[FIRST_AUTUMN : len(PRINTED[crop])]
    return standing.share_grown([warmth(daily, f"2026-{day}", end) / window for day in sown], SHAPE)


# The largest miss on the dates not fitted, fitting the first, third ... date or the others, as worked out here. Where
# it is over the tolerance the curve does not hold: its slow start costs late sowings more than the table says.
AUTUMN = {
    "Italian ryegrass": (0.07, 0.16),
    "common vetch": (0.05, 0.28),  # 28 % off at 15 August, 27 % at 15 September; only the date between is fitted
    "phacelia": (0.09, 0.33),  # 33 % off at 15 August, 26 % at 15 September; only the date between is fitted
    "fodder radish": (0.38, 0.22),
    "white mustard": (0.67, 0.75),
    "bristle oat": (0.77, 1.34),
}


@pytest.mark.parametrize("crop", AUTUMN)
def test_logistic_against_the_dutch_autumn_sowings(crop):
    modelled = logistic(crop, gain(DE_BILT, 52.1))
    misses = [worst_miss(PRINTED[crop][FIRST_AUTUMN:], modelled, fold) for fold in (0, 1)]
    assert misses == pytest.approx(AUTUMN[crop], abs=0.01)  # two decimals are written above


def test_the_crops_for_which_the_logistic_holds_in_autumn():
    held = {crop: [miss <= TOLERANCE for miss in misses] for crop, misses in AUTUMN.items()}
    assert [crop for crop, holds in held.items() if all(holds)] == ["Italian ryegrass"]
    assert [crop for crop, holds in held.items() if not any(holds)] == ["white mustard", "bristle oat"]


@pytest.mark.parametrize("crop", ["white mustard", "bristle oat", "fodder radish"])
def test_counting_light_makes_the_catch_crops_worse(crop):
    # Late autumn days then count for still less, and they already count for too little.
    plain, lit = (logistic(crop, gain(DE_BILT, 52.1, by_light=by_light)) for by_light in (False, True))
    for fold in (0, 1):
        misses = [worst_miss(PRINTED[crop][FIRST_AUTUMN:], modelled, fold) for modelled in (plain, lit)]
        assert misses[1] > misses[0]
    assert max(worst_miss(PRINTED[crop][FIRST_AUTUMN:], lit, fold) for fold in (0, 1)) > TOLERANCE


# No slow start and no ceiling: a closed crop grows about evenly with warmth. All printed dates. The six rows differ
# too much in shape for one curve: from 15 July to 15 September a crop keeps 5 to 41 % of its mass.
EVENLY = {
    "white mustard": (0.18, 0.22),
    "common vetch": (0.08, 0.06),
    "Italian ryegrass": (0.17, 0.27),
    "bristle oat": (0.35, 0.47),
    "fodder radish": (0.67, 0.31),
    "phacelia": (0.38, 2.02),
}


@pytest.mark.parametrize("crop", EVENLY)
def test_mass_in_plain_proportion_to_warmth_until_the_short_days(crop):
    daily = gain(DE_BILT, 52.1)
    modelled = [warmth(daily, f"2026-{day}", "2026-12-31") for day in SOWN[: len(PRINTED[crop])]]
    misses = [worst_miss(PRINTED[crop], modelled, fold) for fold in (0, 1)]
    assert misses == pytest.approx(EVENLY[crop], abs=0.01)
    assert (max(misses) <= TOLERANCE) == (crop in ("white mustard", "common vetch"))


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


def test_a_curve_that_ends_at_the_april_cut_does_not_halve_rye():
    # Nearly full at the April cut, it leaves the late crop little to lack: 0.85 where half was measured. So the
    # curve of a crop cut young must run to its flowering.
    late = share_of_april_cut(sown="2026-10-02", window_end="2027-04-25")
    assert late == pytest.approx(0.85, abs=0.01)
    assert late > 0.5 * (1 + TOLERANCE)
