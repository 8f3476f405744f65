"""How much compost one over-winter green manure is worth: plans run by the package against published coefficients.

Every case is a plan read as text and run by the real engines; what is compared is the carbon left of one
round of a cover beside that of 1 mm of the reference compost (600 kg/m3, 60 % dry matter, 40 % organic matter:
AHDB Nutrient Management Guide RB209, section 2, from memory), dug in on the same day.

Nobody published these equivalences in mm. Published are coefficients; the mm are worked arithmetic on them, and
each is set beside the package at its own horizon and with its own roots. Where the two differ, the test
says by how much and docs/checks-equivalence.md says why. No constant was bent.
"""

from dataclasses import replace
from functools import lru_cache, partial

import numpy as np
import pytest

from somsim.decay import solve
from somsim.draws import best_values
from somsim.library import read_library
from somsim.outcomes.carbon import carbon_by_source
from somsim.plan import parse_plan
from somsim.simulate import simulate
from somsim.timeline import figures, setting
from somsim.timeline.pulse import covers_of, pulse
from somsim.timeline.world import START

FAMILIES = ("uppsala", "isohumic")
CLIMATES = ("reference", "south-east-england", "netherlands", "central-germany", "wisconsin", "tennessee")
# Sown and ended as in the windows of the library: mid September to late April and so on.
COVERS = {
    "cereal rye": ("15 Sep", "25 Apr"),
    "winter mustard": ("15 Oct", "1 Mar"),
    "Italian ryegrass": ("1 Sep", "15 Apr"),
    "rye and vetch": ("15 Sep", "25 Apr"),
}
HORIZONS = (12, 120, 360)  # months
# Worked arithmetic on the published coefficients gives 0.76 to 1.53 mm; the wider range is judged.
LEAST, MOST = 0.6, 1.6

PLAN = """
title: one green manure beside one millimetre of compost
start: 2026-08-01
horizon: 30 years
compare_with: reference compost
site:
  climate: {climate}
  shelter: open ground
  beds: {{area: 100 m2}}
  soil: {{texture: loam, carbon: 2 %, bulk_density: 1.3 g/cm3}}
always:
  - idle: {{as: weeds}}
strategies:
  green manure:
    - cover: {{name: {cover}, sow: {sow}, cut: {cut}, every: year, then: {then}, dry_tops: {tops}{roots}}}
  compost:
    - spread: {{material: reference compost, depth: 1 mm, on: {cut}, every: year, then: {then}}}
"""


def prepared(text, family="uppsala"):
    """A plan as text, ready to run with its best values in one family of coefficients."""
    known = figures(parse_plan(text), read_library())
    return replace(setting(known, best_values(known.unknowns)), isohumic=np.array([family == "isohumic"]))


@lru_cache
def followed(
    climate,
    cover,
    then="dug in",
    family="uppsala",
    tops="4 t/ha",
    roots=None,
    season=None,
    months=HORIZONS,
    engine="exact",
):
    sow, cut = season or COVERS[cover]
    typed = "" if roots is None else f", root_ratio: {roots} ratio"
    text = PLAN.format(climate=climate, cover=cover, sow=sow, cut=cut, then=then, tops=tops, roots=typed)
    shared = prepared(text, family)
    happening = covers_of(shared, "green manure")[cover]
    run = partial(solve, engine=engine)
    return pulse(shared, "green manure", happening, "reference compost", months, run)


def millimetres(*case, **more):
    """mm of compost that leave as much carbon as the cover, at each horizon."""
    return followed(*case, **more).lasting[:, 0]


# 1. The ordinary green manure: 4 t/ha of dry tops.


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("cover", COVERS)
@pytest.mark.parametrize("climate", CLIMATES)
def test_an_ordinary_green_manure_is_worth_about_a_millimetre(climate, cover, family):
    worth = millimetres(climate, cover, family=family)
    assert np.all((worth >= LEAST) & (worth <= MOST)), worth


@pytest.mark.parametrize("cover", COVERS)
def test_both_engines_say_the_same(cover):
    # 1e-8 is what the two engines are held to everywhere.
    exact, stepped = (millimetres("netherlands", cover, engine=name) for name in ("exact", "ivp"))
    assert stepped == pytest.approx(exact, rel=1e-8)


@pytest.mark.parametrize("cover", COVERS)
@pytest.mark.parametrize("climate", CLIMATES)
def test_left_on_the_surface_it_is_worth_as_much_in_the_end(climate, cover):
    worth = millimetres(climate, cover, "left on surface")
    assert np.all((worth[1:] >= LEAST) & (worth[1:] <= MOST)), worth
    if (climate, cover) != ("reference", "Italian ryegrass"):
        assert LEAST <= worth[0] <= MOST, worth


def test_known_difference_ryegrass_lying_in_the_cold_is_not_yet_rotten_after_a_year():
    # Outside the range, and only here: at Uppsala, on the surface (k x 0.6), much of the tops still lies
    # there as residue. Dug in, or after three years, it is inside; so it is a delay and not humus.
    lying = millimetres("reference", "Italian ryegrass", "left on surface", months=(12, 36))
    assert lying[0] > MOST
    assert LEAST <= lying[1] <= MOST
    assert millimetres("reference", "Italian ryegrass")[0] < MOST


# 2. Dutch effective organic matter: what is left of tops AND roots one year after turning in.

# Timmer et al. (2004), Teelthandleiding groenbemesters (PPO-WUR), table B1 (read); compost before 2017.
LEFT_AFTER_A_YEAR = {"soft_green": 0.20, "straw": 0.30, "roots": 0.35, "manure": 0.40, "compost": 0.75}
# Groeipartners, table after that handbook (read), sown before 1 September: organic matter of tops and roots, and
# what is left of it, kg/ha.
DUTCH = {"mustard": (3800, 875), "cereal rye": (3200, 840), "Italian ryegrass": (4200, 1100)}
DUTCH_MM = {"mustard": 0.81, "cereal rye": 0.78, "Italian ryegrass": 1.02}
MILLIMETRE_ORGANIC = 1440  # kg/ha: 6 t x 60 % x 40 %


def tops_and_roots(organic, effective):
    """Worked arithmetic: the one split into tops and roots that gives both printed figures, kg/ha organic matter."""
    tops, roots = LEFT_AFTER_A_YEAR["soft_green"], LEFT_AFTER_A_YEAR["roots"]
    below = (effective - tops * organic) / (roots - tops)
    return organic - below, below


@pytest.mark.parametrize("cover", DUTCH)
def test_dutch_one_year_figures(cover):
    organic, effective = DUTCH[cover]
    compost = MILLIMETRE_ORGANIC * LEFT_AFTER_A_YEAR["compost"]
    assert effective / compost == pytest.approx(DUTCH_MM[cover], abs=0.005)  # worked arithmetic, two decimals
    above, below = tops_and_roots(organic, effective)
    worth = millimetres(
        "netherlands",
        cover,
        tops=f"{above / 0.90 / 1000:.6f} t/ha",  # 90 % of dry matter is organic (library, from memory)
        roots=f"{below / above / 1.65:.6f}",  # all that is below ground: roots and the 0.65 of them given off
        season=("15 Aug", "15 Nov"),
        months=(12,),
    )
    # 15 %: the table counts organic matter, the package carbon, and a plant holds 0.49 kg of it per kg of organic
    # matter where compost holds 0.55: 12 %; and the amounts are printed to 25-50 kg.
    assert worth[0] == pytest.approx(DUTCH_MM[cover], rel=0.15)


ONE = """
title: one material, or one thing every year
start: {start}
horizon: {years} years
site:
  climate: {climate}
  shelter: open ground
  tillage: dug once a year
  beds: {{area: 100 m2}}
  soil: {{texture: loam, carbon: 2 %, bulk_density: 1.3 g/cm3}}
materials:
  trial material: {{residue: {residue}, bulk_density: 300 kg/m3, dry_matter: 20 %, carbon: 44 %}}
always:
  - idle: {{as: weeds}}
strategies:
  one:
    - {action}
"""


@lru_cache
def gained(action, *, years, climate="south-east-england", family="uppsala", residue="soft_green", start="2026-09-15"):
    """kg C/ha at each year from all that was added, surface and layer (time,), and the carbon added (time,)."""
    text = ONE.format(action=action, years=years, climate=climate, residue=residue, start=start)
    ran = simulate(prepared(text, family), "one")
    new = [number for number, name in enumerate(ran.sources) if name != START]
    added = ran.by_source(ran.stocks.added)[new, :, 0, 0].sum(axis=0)
    return 1e4 * carbon_by_source(ran)[new, :, 0, 0].sum(axis=0), 1e4 * added


def left_after_a_year(residue, family="uppsala"):
    action = "spread: {material: trial material, dry_mass: 4 t/ha, on: 2026-09-15, then: dug in}"
    stock, added = gained(action, years=1, climate="netherlands", family=family, residue=residue)
    return stock[-1] / added[-1]


@pytest.mark.parametrize(
    ("residue", "low", "high"), [("soft_green", 0.10, 0.30), ("manure", 0.30, 0.50), ("compost", 0.60, 0.90)]
)
def test_dutch_shares_left_after_a_year_where_a_range_is_printed(residue, low, high):
    # Printed ranges: handbook summaries (read); compost 0.60 to 0.90, of which 0.90 is the figure since 2017.
    assert low <= left_after_a_year(residue) <= high


def test_known_difference_roots_and_straw_last_longer_in_their_first_year_than_the_dutch_say():
    # Printed without a range: straw 0.30, roots 0.35. At 0.8 a year and a climate factor of about 1.8 a quarter of
    # either is undecomposed after a year, which agrees; the rest is humus, and the 0.35 of roots that become
    # humus in the Uppsala trial are far more than the Dutch figure has room for (0.15). Green tops fall
    # short, and in a whole crop the two errors meet (above). The isohumic family agrees on roots.
    straw, roots = left_after_a_year("straw"), left_after_a_year("roots")
    assert straw == pytest.approx(0.30, abs=0.06)
    assert 0.35 + 0.10 < roots < 0.35 + 0.20
    assert left_after_a_year("soft_green") < 0.20
    assert left_after_a_year("roots", "isohumic") == pytest.approx(0.35, abs=0.05)


# 3. British field figures over 10 to 20 years, kg C/ha a year for each tonne of dry solids a year; no roots.

# Powlson et al. (2012), Agric. Ecosyst. Environ. 146:23 (read): straw 50 +- 15, green compost 60 +- 10.
STRAW, COMPOST = 50, 60
MILLIMETRE_DRY = 3.6  # t/ha
EVERY = "on: 15 Sep, every: year, then: dug in"
YEARLY_MM = f"spread: {{material: reference compost, depth: 1 mm, {EVERY}}}"
YEARLY_TOPS = f"spread: {{material: trial material, dry_mass: 4 t/ha, {EVERY}}}"
YEARLY_STRAW = f"spread: {{material: straw, dry_mass: 4 t/ha, {EVERY}}}"


def yearly(action, year, family="uppsala", climate="south-east-england"):
    return gained(action, years=30, family=family, climate=climate)[0][year]


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize("year", [10, 20])
def test_british_ratio_of_straw_to_compost(year, family):
    printed = 4 * STRAW / (MILLIMETRE_DRY * COMPOST)
    assert printed == pytest.approx(0.93, abs=0.005)  # worked arithmetic
    # The printed errors: 4 x 35 / (3.6 x 70) to 4 x 65 / (3.6 x 50).
    low, high = 4 * 35 / (MILLIMETRE_DRY * 70), 4 * 65 / (MILLIMETRE_DRY * 50)
    assert low <= yearly(YEARLY_STRAW, year, family) / yearly(YEARLY_MM, year, family) <= high


@pytest.mark.parametrize("year", [10, 20])
def test_known_difference_green_tops_without_their_roots_fall_short_of_a_millimetre(year):
    # The 0.93 has straw stand in for green manure. Soft green tops leave less humus than straw in the
    # uppsala family (0.12 against 0.14), and without roots 4 t are under the judged range. In the isohumic
    # family they are inside it.
    assert 0.5 < yearly(YEARLY_TOPS, year) / yearly(YEARLY_MM, year) < LEAST
    isohumic = yearly(YEARLY_TOPS, year, "isohumic") / yearly(YEARLY_MM, year, "isohumic")
    assert LEAST <= isohumic <= MOST


# 4. German humus-C: long-run, no horizon; the material alone, and the credit of a winter catch crop apart.


def test_german_humus_carbon():
    # LfL Bayern (2013), Cross Compliance, table 2, after VDLUFA (2004) (read; columns put in order again from
    # memory): green manure of 10 % dry matter 8 kg C per fresh tonne, mature compost of 60 % 70 kg.
    green, compost = 4 / 0.10 * 8, 6 * 70
    assert green / compost == pytest.approx(0.76, abs=0.005)  # worked arithmetic
    tops = {
        name: yearly(YEARLY_TOPS, 30, name, "central-germany") / yearly(YEARLY_MM, 30, name, "central-germany")
        for name in FAMILIES
    }
    # The families lie on either side of it, and neither is it.
    assert tops["uppsala"] < green / compost < tops["isohumic"]
    # A winter catch crop is credited 120 kg C/ha besides (freudenberger.net, humus balance, read); that this
    # stands for its roots and stubble is our reading. With it 1.05, worked arithmetic. Whole covers in
    # the package bracket it: mustard has few roots, ryegrass many.
    whole = (green + 120) / compost
    worth = [millimetres("central-germany", cover)[-1] for cover in COVERS]
    assert min(worth) < whole < max(worth)
    assert np.mean(worth) == pytest.approx(whole, rel=0.15)


# 5. Mean of field trials with cover crops, whatever their size.


def cover_every_year(cover):
    sow, cut = COVERS[cover]
    return f"cover: {{name: {cover}, sow: {sow}, cut: {cut}, every: year, then: dug in, dry_tops: 4 t/ha}}"


def test_mean_of_cover_crop_trials():
    # Bolinder et al. (2020), Mitig. Adapt. Strateg. Glob. Change 25:929-952 (read): 331 kg C/ha a year, mean of
    # 176; Poeplau & Don (2015), Agric. Ecosyst. Environ. 200:33-41 (from memory): 320 +- 80. Size and length of
    # the trials are not fixed; 4 t over 20 years is our choice. So the claim is weak: the covers surround it
    # and each is less than twice as much.
    mean = 331
    printed = mean / (MILLIMETRE_DRY * COMPOST)
    assert printed == pytest.approx(1.53, abs=0.005)  # worked arithmetic, two sources
    # From August, so that all twenty covers are whole.
    gains = {cover: gained(cover_every_year(cover), years=20, start="2026-08-15")[0][20] / 20 for cover in COVERS}
    assert all(mean * 0.9 < gain < mean * 2 for gain in gains.values()), gains
    assert gains["winter mustard"] == pytest.approx(mean, rel=0.10)


# 6. Layers, volumes and masses through a plan.


def load_of(action, area="100 m2"):
    """What the first spreading or cut of a plan weighs, per m2 of bed."""
    text = ONE.format(action=action, years=1, climate="netherlands", residue="straw", start="2026-09-15")
    ran = simulate(prepared(text.replace("area: 100 m2", f"area: {area}")), "one")
    return ran.timeline.arrivals.loads[0]


ON = "on: 2026-10-01, then: dug in"


def test_25_mm_on_100_m2_is_two_and_a_half_cubic_metres():
    # Exact by definition of the litre; 1e-12 is rounding of doubles.
    load = load_of(f"spread: {{material: reference compost, depth: 25 mm, {ON}}}")
    assert 100 * load.volume[0] == pytest.approx(2.5, rel=1e-12)
    by_volume = load_of(f"spread: {{material: reference compost, volume: 2.5 m3, {ON}}}")
    assert by_volume.dry[0] == pytest.approx(load.dry[0], rel=1e-12)


def test_an_inch_on_an_acre():
    # Worked arithmetic: 43,560 ft2 / 12 is 3,630 ft3 or 102.8 m3, one decimal.
    load = load_of(f"spread: {{material: reference compost, depth: 1 in, {ON}}}", area="1 acre")
    assert 4046.8564224 * load.volume[0] == pytest.approx(102.8, abs=0.05)


@pytest.mark.parametrize(
    ("depth", "fresh", "organic", "nitrogen", "phosphate", "potash"),
    [
        ("1 mm", 6, 1.44, 45, 18, 41),
        ("5 mm", 30, 7.2, 225, 90, 204),
        ("10 mm", 60, 14.4, 450, 180, 408),
        ("25 mm", 150, 36.0, 1125, 450, 1020),
        ("50 mm", 300, 72.0, 2250, 900, 2040),
    ],
)
def test_layers_of_the_reference_compost(depth, fresh, organic, nitrogen, phosphate, potash):
    # Worked arithmetic on RB209 (from memory): 7.5 kg N, 3.0 kg P2O5, 6.8 kg K2O per fresh tonne. t and kg per
    # hectare. P2O5 x 0.4364 is P, K2O x 0.8301 is K. Whole kg, and the library's shares have four digits.
    load = load_of(f"spread: {{material: reference compost, depth: {depth}, {ON}}}")
    assert 10 * load.fresh[0] == pytest.approx(fresh, rel=1e-12)
    assert 10 * (load.dry[0] - load.ash[0]) == pytest.approx(organic, rel=1e-12)
    assert 1e4 * load.nitrogen[0] == pytest.approx(nitrogen, rel=1e-12)
    assert 1e4 * load.phosphorus[0] / 0.4364 == pytest.approx(phosphate, abs=0.5)
    assert 1e4 * load.potassium[0] / 0.8301 == pytest.approx(potash, abs=0.5)


@pytest.mark.parametrize(("depth", "millimetre", "tonnes"), [("5 in", 127, 5.7), ("8 in", 203, 9.1)])
def test_the_nitrogen_of_a_very_deep_layer(depth, millimetre, tonnes):
    # Worked arithmetic on a garden column's advice of 5 to 8 inches a year (read), with the compost above.
    load = load_of(f"spread: {{material: reference compost, depth: {depth}, {ON}}}")
    assert 1000 * load.volume[0] == pytest.approx(millimetre, abs=0.5)
    assert 10 * load.nitrogen[0] == pytest.approx(tonnes, abs=0.05)


def test_dry_mass_in_pounds_to_the_acre():
    # Funderburg (2001), quoted by USDA-NRCS (read second-hand): 200,000 lb of dry residue to the acre for 1 % of
    # organic matter. 22.4 kg/m2 is worked arithmetic, one decimal.
    load = load_of(f"spread: {{material: straw, dry_mass: 200000 lb/acre, {ON}}}")
    assert load.dry[0] == pytest.approx(22.4, abs=0.05)


def test_a_clipped_square_foot():
    # No-Till Farmer (read) has 20.8 g dry on a square foot as 2,000 lb/acre. Exact: 1,997.5 lb/acre, 2.24 t/ha.
    load = load_of(f"spread: {{material: straw, dry_mass: 1997.5 lb/acre, {ON}}}")
    assert 10 * load.dry[0] == pytest.approx(2.24, abs=0.005)
    assert 1000 * 0.09290304 * load.dry[0] == pytest.approx(20.8, abs=0.005)
