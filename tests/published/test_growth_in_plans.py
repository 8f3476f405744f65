"""Growth inside a plan: the dates of a cover typed, its mass taken from the library, against two published outcomes.

Sources
- the Dutch table of green manures by sowing date (``dutch_sowings``; read);
- Lawson, Cogger, Bary & Fortuna (2015), PLoS ONE 10:e0129597, western Washington: rye sown 2.5 weeks later than mid
  September made half as much by late April; ending in late March instead of late April cost about as much (read).

Tolerance 25 %, as for the curve by itself (test_sowing_dates.py). What is new here is what a plan adds: the windows
and flowering dates of the library, its climate rows (from memory), and its refusal of cuts not worth making. What
does not hold is asserted with its size, so that a change that mends it or makes it worse is noticed.
"""

import pytest
from dutch_sowings import FIRST_AUTUMN, PRINTED, SOWN, TOLERANCE, worst_miss

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


def tops(name, sow, cut, climate):
    """Dry tops at the cut, t/ha."""
    library = read_library()
    known = figures(parse_plan(PLAN.format(name=name, sow=sow, cut=cut, climate=climate), "plan", library), library)
    run = simulate(setting(known, best_values(known.unknowns)), "a")
    (load,) = run.timeline.arrivals.loads
    return 10.0 * float(load.dry[0])


# Turned in when winter has killed it, or in spring. Dates as the plan is asked for, from 15 August on; those that
# it refuses as not worth cutting are left out of the comparison and named in REFUSED.
TURNED_IN = {"Italian ryegrass": "2027-04-15", "common vetch": "2027-05-15"}
REFUSED = {"bristle oat": ["10-01"], "fodder radish": ["10-01"], "white mustard": ["10-01"]}
# The largest miss on the dates not fitted, fitting the first, third ... date or the others.
MISSES = {
    "Italian ryegrass": (0.07, 0.16),
    "fodder radish": (0.14, 0.14),
    "common vetch": (0.04, 0.28),
    "phacelia": (0.07, 0.30),
    "white mustard": (0.31, 0.34),
    "bristle oat": (0.41, 0.47),
}


def sowings(crop):
    return [day for day in SOWN[FIRST_AUTUMN : len(PRINTED[crop])] if day not in REFUSED.get(crop, [])]


@pytest.mark.parametrize("crop", MISSES)
def test_dutch_autumn_sowings_through_plans(crop):
    name, end = {"bristle oat": "oats"}.get(crop, crop), TURNED_IN.get(crop, "2026-12-31")
    modelled = [tops(name, f"2026-{day}", end, "netherlands") for day in sowings(crop)]
    assert modelled == sorted(modelled, reverse=True)
    printed = PRINTED[crop][FIRST_AUTUMN : FIRST_AUTUMN + len(modelled)]
    misses = [worst_miss(printed, modelled, fold) for fold in (0, 1)]
    assert misses == pytest.approx(MISSES[crop], abs=0.01)  # two decimals are written above
    held = {"Italian ryegrass": 2, "fodder radish": 2, "common vetch": 1, "phacelia": 1}
    assert sum(miss <= TOLERANCE for miss in misses) == held.get(crop, 0)


@pytest.mark.parametrize("crop", REFUSED)
def test_a_catch_crop_sown_in_october_is_refused_where_the_table_still_has_some(crop):
    # The table has 150 to 300 kg/ha left after a year, a sixth to a half of what 15 August gives: a crop that a plan
    # puts at less than 0.3 to 0.4 t/ha of dry tops and won't cut. Weighed, it is taken.
    with pytest.raises(InputError, match="too early"):
        tops({"bristle oat": "oats"}.get(crop, crop), "2026-10-01", "2026-12-31", "netherlands")
    kept = PRINTED[crop][SOWN.index("10-01")] / PRINTED[crop][FIRST_AUTUMN]
    assert 0.15 < kept < 0.55


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


def test_ending_rye_in_late_march_costs_less_in_a_plan_than_it_did():
    # About half was measured; a plan says 0.67 in the Oregon valley and 0.64 at Seattle, a quarter to a third too
    # much. The curve runs to the flowering of the library's row, 31 May ("late May or June"): with 10 June the curve
    # by itself gives 0.60 (test_sowing_dates.py). And March is warm there beside April, while the rye in the trial
    # grew most in its last month.
    shares = [share_of_usual(climate, cut="2027-03-25") for climate in ("oregon-valley", SEATTLE)]
    assert shares == pytest.approx([0.67, 0.64], abs=0.01)
    assert all(share > 0.5 * (1 + TOLERANCE) for share in shares)


def test_rye_left_to_flower_stays_within_the_range_printed_for_it():
    # Cereal rye to flowering: 7.5 (3.4 to 11.2) t/ha, Clark (2007), Managing Cover Crops Profitably, chart 2 (from
    # memory). The curve through the April mass makes less than the middle of it.
    grown = tops("cereal rye", "2026-09-15", "2027-05-31", "oregon-valley")
    assert 3.4 < grown < 7.5
    assert tops("full-season rye", "2026-09-15", "2027-05-31", "oregon-valley") == pytest.approx(7.5)
