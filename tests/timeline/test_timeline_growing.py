"""What a cover weighs at dates of its own, where nobody weighed it: warmth, light, shelter, hemisphere, stage."""

import datetime

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from worked_plans import months_of, plan_text, run, setting_of

from somsim.draws import Draws
from somsim.errors import InputError
from somsim.growth.standing import share_grown
from somsim.library import read_library
from somsim.timeline.cuts import GIVEN, GROWN
from somsim.timeline.growing import grown_share, growth, regrown_share, shape_of
from somsim.timeline.world import World

# A steady 14 deg C, 10 degrees over the base of a cool-season plant (4 deg C, judged), on the equator, where no
# day is short: every day gives 10 K d, so shares of degree days are shares of days.
STEADY = "{temperature: " + months_of([14] * 12) + " deg C, rain: " + months_of([60] * 12) + " mm, latitude: LAT}"
EQUATOR = STEADY.replace("LAT", "0 N")
LIKE = "covers:\n  our mix: {like: rye and vetch, dry_tops: 3 t/ha}\n"


def masses(sow, cut, *, name="rye and vetch", climate="oregon-valley", draws=None, more="", **site):
    action = f"cover: {{name: {name}, sow: {sow}, cut: {cut}, then: left on surface{more}}}"
    made = run(plan_text(action, climate=climate, **site), draws=draws)
    return [load.dry if draws else float(load.dry[0]) for load in made.timeline.arrivals.loads]


def season_of(name, *days, climate="oregon-valley", shelter="open ground"):
    text = plan_text("idle: {as: bare}", climate=climate, shelter=shelter)
    shared = setting_of(text)
    dates = tuple(datetime.date.fromisoformat(day) for day in days)
    entry = read_library().find("covers", name)
    return growth(shared.figures, entry, dates, covered=shelter != "open ground"), shape_of(shared.world)


def test_in_its_usual_season_it_has_the_published_mass():
    # Lawson et al. (2015), PLoS ONE 10:e0129597: 5.1 t/ha of rye and 4.1 t/ha of rye and vetch, mid September to
    # late April; the row's own dates, so the mass comes back as printed, at any place.
    assert masses("2027-09-15", "2028-04-25", name="cereal rye") == pytest.approx([0.51], rel=1e-12)
    for climate in ("oregon-valley", "netherlands", "wisconsin"):
        assert masses("2027-09-15", "2028-04-25", climate=climate) == pytest.approx([0.41], rel=1e-12)


def test_a_curve_in_even_warmth_by_hand():
    # Autumn beans are sown on 15 August and end on 15 November: 92 days. Sown 46 days later, they have half of the
    # degree days at the same end.
    season, shape = season_of("faba bean, autumn", "2027-09-30", "2027-11-15", climate=EQUATOR)
    assert season.known_share == 1.0
    assert season.shares == pytest.approx((46 / 92,), rel=1e-12)
    # The logistic through 3 % at 0.10, 50 % at 0.55 and 100 % at 1 (judged), with the steepness 7.6548 and ceiling
    # 1.0341 that two lines of algebra give: 1.0341 / (1 + exp(-7.6548 x (0.50 - m))), m from 0.5 at 0.55.
    middle = 0.55 + np.log(1.0341 / 0.5 - 1.0) / 7.6548
    by_hand = 1.0341 / (1.0 + np.exp(-7.6548 * (0.5 - middle)))
    # 1e-3: steepness and ceiling are rounded to four digits.
    assert float(grown_share(season, shape)[0][0]) == pytest.approx(by_hand, rel=1e-3)
    bean = masses("2027-09-30", "2027-11-15", name='"faba bean, autumn"', climate=EQUATOR)
    assert bean == pytest.approx([0.13 * by_hand], rel=1e-3)  # 1.3 t/ha in its usual season


def test_regrowth_starts_again_at_each_cut():
    season, shape = season_of("oats", "2027-08-15", "2027-10-15", "2027-12-15", climate=EQUATOR)
    assert season.shares == pytest.approx((0.5, 1.0), rel=1e-12)
    first, second = regrown_share(season, shape)
    assert float(second[0]) == pytest.approx(float(first[0]), rel=1e-12)  # 61 days each
    assert float(grown_share(season, shape)[1][0]) == pytest.approx(1.0, rel=1e-12)


def test_sown_later_gives_less_and_cut_later_more():
    late = [masses(f"2027-{day}", "2028-04-25")[0] for day in ("08-25", "09-05", "09-15", "09-25", "10-05", "10-15")]
    assert late == sorted(late, reverse=True) and len(set(late)) == 6
    cut = [masses("2027-09-15", f"2028-{day}")[0] for day in ("03-10", "03-25", "04-10", "04-25", "05-10", "05-31")]
    assert cut == sorted(cut) and len(set(cut)) == 6


@settings(max_examples=40, deadline=None)
@given(sown=st.integers(0, 364), grows=st.integers(1, 700), name=st.sampled_from(["barley", "cereal rye", "buckwheat"]))
def test_never_negative_never_past_its_ceiling_and_never_shrinking(sown, grows, name):
    begin = datetime.date(2027, 1, 1) + datetime.timedelta(sown)
    cuts = [str(begin + datetime.timedelta(days)) for days in (grows, grows + 30)]
    season, shape = season_of(name, str(begin), *cuts)
    first, second = (float(share[0]) for share in grown_share(season, shape))
    # The curve levels off at 1.0341 of the mass at the end of its life; the published mass stands some way up it.
    middle = 0.55 + np.log(1.0341 / 0.5 - 1.0) / 7.6548
    published = 1.0341 / (1.0 + np.exp(-7.6548 * (season.known_share - middle)))
    assert 0.0 <= first <= second <= 1.0341 / published * 1.001  # the constants are rounded to four digits


@settings(max_examples=60, deadline=None)
@given(
    sown=st.integers(0, 364),
    later=st.integers(0, 60),
    grows=st.integers(61, 500),
    name=st.sampled_from(["oats", "white mustard", "phacelia", "Italian ryegrass", "fodder radish", "common vetch"]),
)
def test_a_cover_with_a_printed_row_keeps_to_it(sown, later, grows, name):
    begin = datetime.date(2027, 1, 1) + datetime.timedelta(sown)
    day, cuts = begin + datetime.timedelta(later), [begin + datetime.timedelta(grows + more) for more in (0, 30)]
    season, shape = season_of(name, str(begin), *map(str, cuts))
    delayed, _ = season_of(name, str(day), *map(str, cuts))
    first, second = (float(share[0]) for share in grown_share(season, shape))
    # Sowing later never gives more at the same cut, a later cut never less, and the published high is the most.
    assert float(grown_share(delayed, shape)[0][0]) <= first * (1.0 + 1e-12) and first <= second * (1.0 + 1e-12)
    value = read_library().find("covers", name).value("dry_tops")
    assert first >= 0.0 and second <= value.high / value.best * (1.0 + 1e-12)


def test_a_tunnel_grows_more_in_the_same_days_than_open_ground():
    days = ("2027-09-15", "2028-03-25")
    outside, inside = masses(*days)[0], masses(*days, shelter="unheated tunnel")[0]
    warmest = masses(*days, shelter="heated glasshouse")[0]
    assert outside < inside < warmest
    # The published window is an outdoor window wherever the bed is: warmth typed for the tunnel takes its place.
    assert masses(*days, shelter="unheated tunnel", site="uplift: 0 K")[0] == pytest.approx(outside, rel=1e-12)


def test_the_southern_year_is_the_northern_one_half_a_year_on():
    # The same place with its months moved by six and its latitude turned round; sowing and cut moved with them.
    # Half-years differ by up to four days, which the crop's own window has too: 3 % for what is left of that.
    north = [3.6, 3.9, 6.5, 9.9, 13.4, 16.2, 18.3, 17.9, 14.7, 10.9, 7.0, 4.2]
    rain = ", rain: " + months_of([60] * 12) + " mm, latitude: "
    up = "{temperature: " + months_of(north) + " deg C" + rain + "52 N}"
    down = "{temperature: " + months_of(north[6:] + north[:6]) + " deg C" + rain + "52 S}"
    usual = masses("2027-03-15", "2027-10-25", climate=down)
    assert usual == pytest.approx([0.41], rel=1e-12)
    late_north = masses("2027-10-05", "2028-04-25", climate=up)[0]
    late_south = masses("2027-04-05", "2027-10-25", climate=down)[0]
    assert late_south == pytest.approx(late_north, rel=0.03)
    # Read the northern way round, March to October is a whole summer: far more than the published winter.
    assert masses("2027-03-15", "2027-10-25", climate=up)[0] > 1.15 * usual[0]


def test_a_leap_day_makes_no_crop_heavier():
    plain, leap = (masses(f"{year}-09-15", f"{year + 1}-03-20") for year in (2028, 2027))
    assert plain == leap  # 29 February 2028 lies between sowing and cut; to the last bit
    assert masses("2027-09-15", "2028-02-29", name="cereal rye", climate="rhone-valley")[0] > 0.0


def test_short_days_give_nothing():
    # The same warmth at 0 and at 60 N, where days are under 9.5 h (judged) from late October to mid February.
    bright = masses("2027-11-05", "2028-02-05", name="white mustard", climate=EQUATOR)[0]
    season, _ = season_of("white mustard", "2027-11-05", "2028-02-05", climate=STEADY.replace("LAT", "60 N"))
    assert bright > 0.1
    assert season.shares == (0.0,)
    longer, _ = season_of("white mustard", "2027-11-05", "2028-03-05", climate=STEADY.replace("LAT", "60 N"))
    assert 0.0 < longer.shares[0] < 30 / 92  # at most the last 30 of the window's 92 days, few of them short


def test_a_warm_season_plant_counts_from_its_own_base():
    # Steady 14 deg C: 4 over the base of 10 deg C (judged); nothing at a steady 9 deg C, where oats still grow.
    cold = EQUATOR.replace("14", "9")
    # Where its published season gives no warmth at all, there is nothing to carry the mass by.
    assert season_of("buckwheat", "2027-06-15", "2027-08-03", climate=cold)[0] is None
    assert season_of("oats", "2027-08-15", "2027-12-15", climate=cold)[0].shares == pytest.approx((1.0,))
    assert season_of("buckwheat", "2027-06-15", "2027-08-03", climate=EQUATOR)[0].shares == pytest.approx((1.0,))


def stage_and_figures(sow, cut, more=""):
    made = run(
        plan_text(
            f"cover: {{name: cereal rye, sow: {sow}, cut: {cut}, then: left on surface{more}}}", climate="oregon-valley"
        )
    )
    (load,) = made.timeline.arrivals.loads
    (lane,) = {one.lane for one in made.timeline.arrivals.arrivals if one.lane.source.endswith(": tops")}
    return lane.ending, float(load.nitrogen[0] / load.dry[0]), float(load.dry[0] / load.fresh[0])


def test_past_flowering_it_is_drier_poorer_in_nitrogen_and_decays_as_stems():
    # Library: young rye 2.5 % N and 17 % dry matter, in flower 1.5 % and 24 %. Its flowering is the row of rye to
    # flower, 10 June.
    assert stage_and_figures("2027-09-15", "2028-04-25") == ("_vegetative", pytest.approx(0.025), pytest.approx(0.17))
    assert stage_and_figures("2027-09-15", "2028-06-15") == ("_flower", pytest.approx(0.015), pytest.approx(0.24))
    # Sown a month late it is not yet there on the same day, and what the plan says of it counts first.
    assert stage_and_figures("2027-10-15", "2028-06-15")[0] == "_vegetative"
    assert stage_and_figures("2027-09-15", "2028-04-25", ", stage: flower")[0] == "_flower"


@pytest.mark.parametrize("dates", [("2027-08-15", "2028-06-30"), ("2027-10-20", "2028-03-10")])
def test_a_mass_typed_in_the_plan_is_never_changed_by_growth(dates):
    assert masses(*dates, more=", dry_tops: 4 t/ha") == pytest.approx([0.4], rel=1e-12)
    assert masses(*dates, name="our mix", extra=LIKE) == pytest.approx([0.3], rel=1e-12)
    weighed = ", sample: {fresh: 2 kg, area: 1 m2, dry_matter: 20 %}"
    assert masses(*dates, more=weighed) == pytest.approx([0.4], rel=1e-12)


def test_where_no_temperature_is_known_the_library_mass_stands():
    assert masses("2027-10-15", "2028-03-01", climate="{factor: 1 ratio}") == pytest.approx([0.41], rel=1e-12)


def test_a_ley_has_its_printed_cuts_where_its_dates_allow_them():
    # From memory, as the library says of its row: 2.5 t/ha a cut of grass and clover, 5 to 7 weeks from cut to cut.
    full = masses("2027-09-02", "[2028-06-01, 2028-07-20, 2028-09-05]", name="grass-clover ley")
    assert full == pytest.approx([0.25, 0.25, 0.25], rel=1e-12)
    # Thirteen weeks after a sowing in March there is less of the first; what is cut after that has had its weeks.
    spring = masses("2027-03-01", "[2027-06-01, 2027-08-01]", name="grass-clover ley")
    assert 0.05 < spring[0] < 0.25 and spring[1] == pytest.approx(0.25)
    # A second cut five weeks on, the least that is published, finds nearly all in summer and little in March.
    summer, cold = (
        masses("2026-09-02", f"[{first}, {second}]", name="grass-clover ley")[1]
        for first, second in (("2027-06-20", "2027-07-25"), ("2027-10-05", "2027-11-25"))
    )
    assert cold < summer < 0.25


def test_a_cut_by_hand_in_even_warmth():
    # Steady warmth: degree days are days. Between two cuts of Italian ryegrass 5 weeks (4 to 6; from memory) bring
    # 2.0 t/ha. After 4 weeks 0.8 of the interval is gone: 1.0341 / (1 + exp(-7.6548 x (0.8 - 0.5592))), with m
    # from the curve above, 0.55 + ln(1.0341 / 0.5 - 1) / 7.6548.
    first, second = masses("2027-01-01", "[2027-12-01, 2027-12-29]", name="Italian ryegrass", climate=EQUATOR)
    middle = 0.55 + np.log(1.0341 / 0.5 - 1.0) / 7.6548
    by_hand = 1.0341 / (1.0 + np.exp(-7.6548 * (0.8 - middle)))
    assert first == pytest.approx(0.2, rel=1e-12)
    assert second == pytest.approx(0.2 * by_hand, rel=1e-3)  # steepness and ceiling are rounded to four digits


def test_a_stand_of_years_needs_no_time_to_come_up():
    # Lucerne and comfrey are there already: what is "sown" in March is the start of growth. 3.5 t/ha a cut (from
    # memory).
    lucerne = masses("2027-03-01", "[2027-06-20, 2027-08-10]", name="lucerne")
    assert lucerne == pytest.approx([0.35, 0.35], rel=0.05)


def test_a_printed_cut_too_early_in_the_year_is_refused():
    with pytest.raises(InputError, match=r"too early: on 2028-02-10 only some 0\.\d+ t/ha of red clover"):
        masses("2027-10-20", "[2028-02-10, 2028-06-01]", name="red clover", climate="netherlands")


def test_cuts_are_counted_by_the_year_and_not_by_the_stand():
    years = [f"{year}-{day}" for year in (2028, 2029) for day in ("05-25", "07-10", "08-25")]
    assert len(masses("2027-09-02", f"[{', '.join(years)}]", name="red clover", horizon="4 years")) == 6
    many = [f"2028-{day}" for day in ("04-20", "06-05", "07-20", "09-05", "10-20")]
    with pytest.raises(InputError, match="5 cuts: red clover bears at most 4 in a season"):
        masses("2027-08-02", f"[{', '.join(many)}]", name="red clover")


def test_a_second_cut_without_a_printed_one_is_the_less_of_regrowth_and_decline():
    soon, late = (masses("2027-09-15", f"[2028-04-25, {second}]") for second in ("2028-06-01", "2028-12-01"))
    assert soon[0] == late[0] == pytest.approx(0.41)
    assert soon[1] < late[1]
    # 0.85 of the first (from memory) is the most that a second cut gives.
    assert late[1] == pytest.approx(0.85 * 0.41, rel=1e-12)


def test_each_mass_says_how_it_is_known():
    def basis(more, climate="oregon-valley"):
        action = f"cover: {{name: rye and vetch, sow: 2027-10-01, cut: 2028-04-25, then: dug in{more}}}"
        (load,) = run(plan_text(action, climate=climate)).timeline.arrivals.loads
        return load.basis

    assert basis("") == GROWN
    assert basis("", climate="{factor: 1 ratio}") == "the library's"
    assert basis(", dry_tops: 4 t/ha") == GIVEN
    assert basis(", sample: {fresh: [1 kg, 2 kg], area: 0.5 m2}") == "2 samples of 0.5 m2"


def test_the_curve_is_uncertain_away_from_the_published_season_and_not_at_it():
    usual = masses("2027-09-15", "2028-04-25", draws=256)[0]
    late = masses("2027-10-10", "2028-04-25", draws=256)[0]
    ratio = late / usual
    assert np.ptp(ratio) > 0.1
    assert np.all((ratio > 0.0) & (ratio < 1.0))


def test_a_late_half_and_a_large_early_share_are_no_growth_without_an_end():
    # Both three standard scores up: half of the mass at 0.55 x (0.65 / 0.55)^1.82 = 0.75 of the warmth, and 11 % of it
    # at a tenth.  Exponential growth from there to the end would have had 9 % (worked arithmetic).
    shared = setting_of(plan_text("idle: {as: bare}"), draws=4)
    far = np.array([0.0, 3.0, -3.0, 3.0])
    names = ("constants/growth_half_share/value", "constants/growth_early_share/value")
    given = dict(zip(names, (far, np.array([0.0, 3.0, 3.0, -3.0])), strict=True))
    draws = Draws(4, 1, shared.figures.unknowns, given=given)
    shape = shape_of(World(shared.figures, draws))
    grown = share_grown(np.array([[0.1], [1.0]]), shape)
    assert np.isfinite(grown).all()
    assert grown[1] == pytest.approx([1.0] * 4)
    plain = [draws.of(name) for name in names]
    assert share_grown(plain[0], shape) == pytest.approx([0.5] * 4)
    assert grown[0, [0, 2, 3]] == pytest.approx(plain[1][[0, 2, 3]])
    assert grown[0, 1] < plain[1][1]
