"""How much of what is added stays: plans run by the package against long trials, a labelled pulse, field figures.

Which number is what, said at each check:
- published: a figure printed by the source;
- worked arithmetic: our own sums on published numbers.
A "known difference" is one between the package and a publication: the test holds it to the size that
docs/checks-equivalence.md explains, so that it can neither grow nor vanish unseen. No constant was bent.
"""

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from somsim.draws import Draws, best_values, quantile
from somsim.library import read_library
from somsim.outcomes.carbon import carbon_by_source
from somsim.plan import parse_plan
from somsim.simulate import simulate
from somsim.timeline import figures, setting
from somsim.timeline.world import START

FAMILIES = ("uppsala", "isohumic")
ENGINES = ("exact", "ivp")

PLAN = """
title: what is added and what stays
start: {start}
horizon: {horizon}
site:
  climate: {climate}
  shelter: open ground
  tillage: dug once a year
  beds: {{area: 100 m2}}
  soil: {{{soil}, bulk_density: 1.44 g/cm3}}
{own}
always:
  - idle: {{as: {idle}}}
strategies:
  one:
    - {action}
"""


@lru_cache
def ran(
    action,
    *,
    horizon,
    climate="south-east-england",
    family="uppsala",
    engine="exact",
    own="",
    idle="weeds",
    start="2026-09-15",
    soil="texture: loam, carbon: 1.5 %",
):
    """kg C/ha of all that was added: what is there at each year (time,), and what had come in (time,)."""
    text = PLAN.format(action=action, horizon=horizon, climate=climate, own=own, idle=idle, start=start, soil=soil)
    known = figures(parse_plan(text), read_library())
    shared = replace(setting(known, best_values(known.unknowns)), isohumic=np.array([family == "isohumic"]))
    done = simulate(shared, "one", engine=engine)
    new = [number for number, name in enumerate(done.sources) if name != START]
    there = carbon_by_source(done)[new, :, 0, 0].sum(axis=0)
    added = done.by_source(done.stocks.added)[new, :, 0, 0].sum(axis=0)
    return 1e4 * there, 1e4 * added


# 1. Uppsala frame trial, 37 years: Gerzabek et al. (1997), European Journal of Soil Science 48:273-282 (read). Of
# the carbon added, 2.0 t/ha a year, still in the soil: green manure 12.8 %, animal manure 27.3 %, peat 56.7 %.
KEPT = {"green manure": 0.128, "animal manure": 0.273, "peat": 0.567}
ROWS = {"green manure": "soft_green", "animal manure": "manure", "peat": "peat"}
# Worked arithmetic: the coefficient that the two-pool equations need for those shares, at 0.8 and 0.006 a year and a
# climate factor of 1.1.
IMPLIED = {"green manure": 0.113, "animal manure": 0.281, "peat": 0.621}
FACTOR = "{factor: 1.1 ratio}"


def steady(residue):
    return f"input: {{name: amendment, residue: {residue}, carbon: 2.0 t C/ha/yr}}"


def kept(residue, **more):
    there, added = ran(steady(residue), horizon="37 years", **{"climate": FACTOR, **more})
    assert added[-1] == pytest.approx(37 * 2000, rel=1e-3)  # 37 calendar years are not 37 times 365.25 days
    return there[-1] / added[-1]


@pytest.mark.parametrize("engine", ENGINES)
@pytest.mark.parametrize("amendment", KEPT)
def test_worked_arithmetic_the_implied_coefficients_give_the_printed_shares_back(amendment, engine):
    # Half of the last printed digit.
    own = f"residues:\n  amendment: {{decay: 0.8 per year, humified: {IMPLIED[amendment]} share}}"
    assert kept("amendment", own=own, engine=engine) == pytest.approx(KEPT[amendment], abs=0.0005)


@pytest.mark.parametrize("climate", [FACTOR, "reference"])
@pytest.mark.parametrize("amendment", KEPT)
def test_library_rows_after_37_years(amendment, climate):
    # Published. 10 %, as for the stocks of this trial: one site, one soil sampling. "reference" is the trial's own
    # climate by its monthly normals, where the factor is 1 and not the plot's 1.1.
    assert kept(ROWS[amendment], climate=climate) == pytest.approx(KEPT[amendment], rel=0.10)


def test_the_order_of_amendments_holds_in_both_families():
    for family in FAMILIES:
        shares = [kept(ROWS[amendment], family=family) for amendment in KEPT]
        assert shares == sorted(shares)


def test_known_difference_the_isohumic_family_keeps_more_green_manure_at_the_trial():
    # Where the climate factor is typed, no temperature is known and the textbook rate of 2 % a year holds; at the
    # trial's own temperature the printed line is near its floor (5.5 deg C). Either way the family's
    # one coefficient of young green matter, per dry mass, is above what this trial found. With the
    # typed factor manure is a fifth below and peat a tenth above.
    typed = {amendment: kept(ROWS[amendment], family="isohumic") for amendment in KEPT}
    assert typed["green manure"] == pytest.approx(0.128, rel=0.25)
    assert typed["animal manure"] == pytest.approx(0.273, rel=0.25)
    assert typed["peat"] == pytest.approx(0.567, rel=0.25)
    there = kept("soft_green", climate="reference", family="isohumic")
    assert 1.3 < there / KEPT["green manure"] < 1.8


# 2. Labelled ryegrass in bare soil at Rothamsted. Jenkinson (1977), Journal of Soil Science 28:424-434 (read): about
# a third left after 1 year, an eighth after 10. Jenkinson (1965), J. Soil Sci. 16:104-115 (read): about a third after
# half a year, a fifth after 4.
LABELLED = {1: 1 / 3, 4: 1 / 5, 10: 1 / 8}
# The 1977 curve, 0.7 x 2^(-t/0.25) + 0.3 x 2^(-t/8), as two pools in series: worked arithmetic.
CURVE = {1: 0.3189, 4: 0.2121, 10: 0.1261}
OWN_CURVE = "decay: 2.7725887 per year, humified: 29.0625 %"
GRASS = "bulk_density: 300 kg/m3, dry_matter: 20 %, carbon: 44 %, residue: soft_green"


def pulse_left(start="2026-05-01", horizon="10 years", numbers="", **more):
    """Share of one dressing of ryegrass left at each year (time,)."""
    own = f"materials:\n  labelled ryegrass: {{{GRASS}{', ' if numbers else ''}{numbers}}}"
    action = f"spread: {{material: labelled ryegrass, dry_mass: 4 t/ha, on: {start}, then: dug in}}"
    there, added = ran(action, horizon=horizon, own=own, idle="bare", start=start, **more)
    return there / added[-1]


@pytest.mark.parametrize("engine", ENGINES)
def test_the_published_curve_through_a_plan(engine):
    soil = "carbon: 1.5 %, humus_decay: 0.0866434 per year"
    left = pulse_left(numbers=OWN_CURVE, climate="{factor: 1 ratio}", soil=soil, engine=engine)
    for year in LABELLED:
        # Worked arithmetic: 0.001, for calendar years are not 365.25 days. Published words: within 0.02.
        assert left[year] == pytest.approx(CURVE[year], abs=0.001)
        assert left[year] == pytest.approx(LABELLED[year], abs=0.02)


def test_soft_green_at_that_place_after_ten_years():
    # Published: an eighth; 0.02 as above.
    assert pulse_left()[10] == pytest.approx(LABELLED[10], abs=0.02)


def test_known_difference_soft_green_at_that_place_in_the_first_years():
    # The library's class has one humification, 0.12, into a humus that hardly decays in ten years; the label
    # showed 0.3 into a stock with a half-life of 8 years. So the class has about half of it after 1 and 4
    # years, meets it after ten, and would hold more later. Its own range (0.20) comes near after 4.
    best = pulse_left()
    assert 0.35 < best[1] / LABELLED[1] < 0.55
    assert 0.45 < best[4] / LABELLED[4] < 0.70
    slow = pulse_left(numbers="decay: 1.3 per year, humified: 20 %")
    assert slow[1] == pytest.approx(LABELLED[1], abs=0.07)
    assert slow[4] == pytest.approx(LABELLED[4], abs=0.02)
    assert slow[10] > LABELLED[10] + 0.02


def test_known_difference_the_isohumic_family_meets_the_label_at_four_years():
    left = pulse_left(family="isohumic")
    assert left[4] == pytest.approx(LABELLED[4], abs=0.02)
    assert left[1] < LABELLED[1] - 0.05
    assert left[10] > LABELLED[10] + 0.02


def test_half_a_year_depends_on_the_season():
    # Published: a third after half a year. Summer's half takes the class below it, winter's half meets it: 0.02.
    summer, winter = (pulse_left(start, "6 months")[-1] for start in ("2026-05-01", "2026-11-01"))
    assert summer < winter == pytest.approx(1 / 3, abs=0.02)


# 3. British fields: Powlson et al. (2012), Agric. Ecosyst. Environ. 146:23 (read), kg C/ha a year for each tonne of
# dry solids a year, and the printed error.
BRITISH = {"reference compost": (60, 10), "cattle manure": (60, 20), "straw": (50, 15)}


def gain(material, year, family):
    action = f"spread: {{material: {material}, dry_mass: 1 t/ha, on: 15 Sep, every: year, then: dug in}}"
    return ran(action, horizon="20 years", family=family)[0][year] / year


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("year", [10, 20])
def test_known_difference_more_stays_than_in_british_fields(year, family):
    # Compost 1.6 to 1.9 times the printed mean, manure 1.9 to 2.8, both beyond the printed error; straw 1.3 to 1.6
    # times, at the edge of its error after 20 years.
    # The coefficients come from one cold trial and from French tables; the British figures are rises
    # measured in ordinary fields. The package reports the gap and does not close it.
    over = {material: gain(material, year, family) / mean for material, (mean, _) in BRITISH.items()}
    assert 1.2 < over["straw"] < 1.7
    assert 1.5 < over["reference compost"] < 2.0
    assert 1.8 < over["cattle manure"] < 2.9


@pytest.mark.parametrize(
    ("material", "reached"), [("reference compost", False), ("cattle manure", True), ("straw", True)]
)
def test_known_difference_what_eight_in_ten_draws_reach(material, reached):
    # The lower end of the draws, P10, against the upper end of the printed error: for compost not even they meet.
    text = PLAN.format(
        action=f"spread: {{material: {material}, dry_mass: 1 t/ha, on: 15 Sep, every: year, then: dug in}}",
        horizon="20 years",
        climate="south-east-england",
        own="",
        idle="weeds",
        start="2026-09-15",
        soil="texture: loam, carbon: 1.5 %",
    )
    known = figures(parse_plan(text), read_library())
    done = simulate(setting(known, Draws(512, 1, known.unknowns)), "one")
    (number,) = (number for number, name in enumerate(done.sources) if name != START)
    (least,) = quantile(1e4 * carbon_by_source(done)[number, -1, 0] / 20, (0.1,))
    mean, error = BRITISH[material]
    assert least > mean - error
    assert (least < mean + error) == reached


def test_known_difference_manure_against_the_mean_of_trials():
    # Maillard & Angers (2014), Glob. Change Biol. 20:666 (from memory): 12 +- 4 % of manure carbon stays after 18
    # years, mean of trials round the world. Uppsala's own coefficient gives more than twice that: two
    # families of publication that do not agree.
    there, added = ran(
        "spread: {material: cattle manure, dry_mass: 1 t/ha, on: 15 Sep, every: year, then: dug in}",
        horizon="20 years",
    )
    assert 2.0 < there[18] / added[18] / 0.12 < 3.0
