"""Growth inside a plan: the dates of a cover typed, its mass taken from the library, against two published outcomes.

Sources
- the Dutch table of green manures by sowing date (``dutch_sowings``; read);
- Lawson, Cogger, Bary & Fortuna (2015), PLoS ONE 10:e0129597, western Washington: rye sown 2.5 weeks later than mid
  September made half as much by late April; ending in late March instead of late April cost about as much (read).

Tolerance 25 %, as for the curve by itself (test_sowing_dates.py). A cover with a row of its own in the Dutch table
takes it from there, as mass against degree days at the library's Dutch climate (from memory), so a plan at that place
gives the table back; the check is on the dates between, with every second date of the row taken out of the library,
from 15 August on (sooner sowings meet the most that is published for the cover). The logistic by itself misses these
crops (test_sowing_dates.py); all other covers have it. What does not hold is asserted with its size.
"""

from dataclasses import replace

import pytest
from dutch_sowings import FIRST_AUTUMN, PRINTED, SOWN, TOLERANCE

from somsim.draws import best_values
from somsim.errors import InputError
from somsim.library import read_library
from somsim.plan import parse_plan
from somsim.simulate import simulate
from somsim.timeline import figures, setting

PLAN = """
title: One cover, its mass not typed
start: 2026-01-01
horizon: 3 years
site:
  climate: {climate}
  shelter: open ground
  beds: {{area: 1 ha}}
  soil: {{carbon_stock: 40 t C/ha, bulk_density: 1.3 g/cm3}}
strategies:
  a:
    - cover: {{name: {name}, sow: {sow}, cut: {cut}, then: dug in}}
"""


def tops(name, sow, cut, climate, library=None):
    """Dry tops at the cut, t/ha."""
    library = library or read_library()
    known = figures(parse_plan(PLAN.format(name=name, sow=sow, cut=cut, climate=climate), "plan", library), library)
    run = simulate(setting(known, best_values(known.unknowns)), "a")
    (load,) = run.timeline.arrivals.loads
    return 10.0 * float(load.dry[0])


# Turned in when winter has ended growth, or in spring. Dates from 15 August on; a sowing that a plan refuses as not
# worth cutting is left out and named.
TURNED_IN = {"Italian ryegrass": "2027-04-15", "common vetch": "2027-05-15"}
REFUSED = {("phacelia", "09-15")}
NAMES = {"bristle oat": "oats"}


def sowings(crop):
    days = SOWN[FIRST_AUTUMN : len(PRINTED[crop])]
    return [day for day in days if (crop, day) not in REFUSED]


def masses(crop, days, library=None):
    name, end = NAMES.get(crop, crop), TURNED_IN.get(crop, "2026-12-31")
    return [tops(name, f"2026-{day}", end, "netherlands", library) for day in days]


def printed(crop, day):
    return PRINTED[crop][SOWN.index(day)]


@pytest.mark.parametrize("crop", PRINTED)
def test_a_plan_at_the_place_of_the_table_says_what_the_table_says(crop):
    days = sowings(crop)
    shares = [mass / printed(crop, day) for mass, day in zip(masses(crop, days), days, strict=True)]
    assert shares == pytest.approx([shares[0]] * len(days), rel=1e-9)


@pytest.mark.parametrize("crop", PRINTED)
@pytest.mark.parametrize("fitted_from", [0, 1])
def test_the_dates_between_follow_from_every_second_printed_one(crop, fitted_from):
    # The library with every second date of the row alone; the others are asked for.
    whole, name, count = read_library(), NAMES.get(crop, crop), len(PRINTED[crop])
    row = whole.sowings_of(whole.find("covers", name).id)
    fitted = range(fitted_from, count, 2)
    library = replace(whole, sowings=tuple(row[number] for number in fitted), _words={})
    known = [SOWN[number] for number in fitted if SOWN[number] in sowings(crop)]
    between = range(fitted_from + 1, fitted[-1], 2)
    asked = [SOWN[number] for number in between if SOWN[number] in sowings(crop)]
    (usual,) = masses(crop, known[:1], library)
    assert asked
    for day, mass in zip(asked, masses(crop, asked, library), strict=True):
        assert mass / usual == pytest.approx(printed(crop, day) / printed(crop, known[0]), rel=TOLERANCE)


def test_a_sowing_too_late_to_be_worth_cutting_is_refused():
    # Printed: 50 kg/ha of phacelia sown on 15 September are left after a year, where 15 July leaves 1,100.
    with pytest.raises(InputError, match="too early"):
        tops("phacelia", "2026-09-15", "2026-12-31", "netherlands")


def test_no_sowing_makes_more_than_the_most_that_is_published():
    # Sown on 15 July mustard leaves 2.4 times as much as on 15 August, by the table; of tops 4.5 t/ha is the most that
    # is published for the cover where 3.5 is the middle.
    july, august = masses("white mustard", ["07-15", "08-15"])
    assert (july, august) == pytest.approx((4.5, 3.5), rel=1e-9)


# Monthly means of daily middles at Seattle, 2012-2015 (NOAA, in the package vega_datasets; read): the nearest open
# series to the trial. Rain is of no matter for growth here.
SEATTLE = (
    "{temperature: 5.5 7.0 8.6 10.7 14.5 17.3 20.1 20.4 17.1 12.9 7.9 5.8 deg C, "
    "rain: 60 60 60 60 60 60 60 60 60 60 60 60 mm, latitude: 47.2 N}"
)


def share_of_usual(climate, *, sow="2026-09-15", cut="2027-04-25", name="cereal rye"):
    return tops(name, sow, cut, climate) / tops(name, "2026-09-15", "2027-04-25", climate)


@pytest.mark.parametrize("climate", ["oregon-valley", SEATTLE], ids=["oregon-valley", "Seattle"])
@pytest.mark.parametrize("name", ["cereal rye", "rye and vetch"])
def test_rye_sown_two_and_a_half_weeks_later_makes_about_half_in_a_plan(climate, name):
    # Measured for rye; the mix with vetch has the same window and the same curve.
    assert share_of_usual(climate, sow="2026-10-02", name=name) == pytest.approx(0.5, rel=TOLERANCE)


def test_ending_rye_in_late_march_makes_about_half_in_a_plan():
    # The curve runs to the flowering of the library's row, 10 June: the middle of "late May or June". At Seattle, near
    # the trial, a plan is within the tolerance; in the Oregon valley it is just outside. March is warm there beside
    # April, while the rye of the trial grew most in its last month: degree days know warmth and no light.
    oregon, seattle = (share_of_usual(climate, cut="2027-03-25") for climate in ("oregon-valley", SEATTLE))
    assert seattle == pytest.approx(0.5, rel=TOLERANCE)
    assert (oregon, seattle) == pytest.approx((0.63, 0.60), abs=0.01)  # two decimals are written here and in the docs


def test_rye_left_to_flower_stays_within_the_range_printed_for_it():
    # Cereal rye to flowering: 7.5 (3.4 to 11.2) t/ha, Clark (2007), Managing Cover Crops Profitably, chart 2 (from
    # memory). The curve through the April mass makes less than the middle of it.
    grown = tops("cereal rye", "2026-09-15", "2027-06-10", "oregon-valley")
    assert 3.4 < grown < 7.5
    assert tops("full-season rye", "2026-09-15", "2027-06-10", "oregon-valley") == pytest.approx(7.5)
