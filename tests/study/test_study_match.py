"""Cover against compost: the answers, put into plans and run; and what cannot be."""

from __future__ import annotations

import datetime
import math
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from study_plans import COVER, PLAIN, SPREAD, plan

from somsim.errors import InputError
from somsim.plan import parse_plan, write_plan
from somsim.simulate import simulate
from somsim.study.match import By, Match, match_study
from somsim.study.pairing import cover_sources, left_from
from somsim.study.rewriting import worlds

SAME = 1e-6  # relative: what an inverse answer is held to
STEADY = {  # the climate of the reference, no tillage factor, one number for everything
    "climate": "{factor: 1 ratio}",
    "soil": "{carbon_stock: 40 t C/ha, bulk_density: 1.3 g/cm3, humus_decay: 0.006 per year}",
    "site": "tillage: dug once a year",
    "start": "2027-01-01",
    "extra": PLAIN,
}
LEY = "cover: {name: ley, sow: 1 Mar, cut: 1 Jun, every: year, then: dug in}"
TOMATO = "crop: {name: tomato, from: 20 Jun, to: 10 Oct, every: year, then: carted off}"
PER_MM = 0.001 * 600 * 0.60 * 0.20  # kg C/m2: 1 mm x 600 kg/m3 x 60 % dry x 20 % carbon
TOPS = 0.4 * 0.45  # kg C/m2: 4 t/ha of tops, 45 % carbon


def brown(depth: str, on: str = "1 Jun") -> str:
    return f"spread: {{material: plain compost, depth: {depth}, on: {on}, every: year, then: dug in}}"


def match(green: list[str], compost: list[str], by: By = "crops", draws: int = 8, **site: str) -> Match:
    return match_study(plan({"green": green, "brown": compost}, **site), "green", "brown", by=by, draws=draws)


def left_in(found: Match, made: object, strategy: str, sources: tuple[str, ...]) -> float:
    """kg C/m2 left, by best values, of a plan written as text and read again."""
    again = parse_plan(write_plan(made))  # type: ignore[arg-type]  # a plan
    return float(left_from(simulate(worlds(again, 2, 1)[0], strategy), sources)[0])


def left(decay: float, humified: float, years: float) -> float:
    """What is left of one unit of residue: itself and the humus made of it (two pools, first order)."""
    residue = math.exp(-decay * years)
    return residue + humified * decay * (math.exp(-0.006 * years) - residue) / (decay - 0.006)


def test_how_many_crops_is_worked_out_by_hand() -> None:
    """Worked arithmetic: both go down on 1 June, three times; all figures are single numbers."""
    found = match([LEY], [brown("8 mm")], **STEADY)
    ages = [(datetime.date(2030, 1, 1) - datetime.date(year, 6, 1)).days / 365.25 for year in (2027, 2028, 2029)]
    cover = TOPS * sum(left(2.0, 0.12, age) for age in ages)
    compost = 8 * PER_MM * sum(left(0.4, 0.45, age) for age in ages)
    assert found.lasting.best == pytest.approx(compost / cover, rel=1e-9)
    assert found.lasting.p10 == pytest.approx(found.lasting.p90, rel=1e-9)
    assert found.on_the_day.best == pytest.approx(8 * PER_MM / TOPS, rel=1e-12)
    assert found.number.whole == found.number.sure == math.ceil(compost / cover)
    assert found.as_grown is not None
    assert found.as_grown.yearly.best == pytest.approx(0.008 * cover / compost, rel=1e-9)


def test_a_number_that_fits_is_run_and_one_less_is_not_enough() -> None:
    """92 days a crop: four hold the year, two beside tomatoes.  Later crops have had less time, so count for more."""
    found = match([LEY, TOMATO], [brown("1.2 mm"), TOMATO], **STEADY)
    assert found.number.fits == 2
    assert 1.0 < found.lasting.best < 2.0
    checked = found.number.checked
    assert checked is not None
    assert (checked.number, checked.chance, checked.chance_of_one_less) == (2, 1.0, 0.0)
    covers = [one for one in checked.plan.strategies["green"] if one.action == "cover"]
    assert [(one.sow.text, one.cut[0].on.text) for one in covers] == [("1 Mar", "1 Jun"), ("10 Oct", "10 Jan")]
    assert left_in(found, checked.plan, "green", cover_sources("ley")) > found.left_of_compost.best


def test_more_than_fit_cannot_be_and_the_nearest_thing_is_told() -> None:
    found = match([LEY, TOMATO], [brown("20 mm"), TOMATO], **STEADY)
    assert not found.number.possible
    assert found.number.whole > found.number.fits == 2
    assert "only 2 such crops fit into a year" in found.number.why
    assert found.beside is not None
    together = left_in(found, found.beside.plan, "green", (*cover_sources("ley"), "plain compost"))
    assert together == pytest.approx(found.left_of_compost.best, rel=SAME)


def test_what_fits_by_dates_may_still_not_grow() -> None:
    """Mustard of the library's mass: after the first there is room by dates for more, but nothing grows in winter."""
    mustard = "cover: {name: white mustard, sow: 15 Aug, cut: 5 Nov, every: year, then: left on surface}"
    kept = "crop: {name: onion, from: 1 Apr, to: 10 Aug, every: year, then: left on surface}"
    found = match([mustard, kept], [SPREAD.replace("5 mm", "9 mm"), kept])
    assert not found.number.possible
    assert found.number.fits == 1
    assert "a plan with 2 cannot be: too early" in found.number.why


def test_years_are_those_in_which_the_cover_is_grown() -> None:
    one_dressing = "spread: {material: plain compost, depth: 6 mm, on: 2027-06-01, then: dug in}"
    found = match([LEY], [one_dressing], "years", horizon="12 years", **STEADY)
    checked = found.number.checked
    assert checked is not None
    assert 1 < checked.number < 12
    assert (checked.chance, checked.chance_of_one_less) == (1.0, 0.0)
    (cover,) = checked.plan.strategies["green"]
    assert cover.last_year == checked.number
    wanted = found.left_of_compost.best
    assert left_in(found, checked.plan, "green", cover_sources("ley")) >= wanted
    fewer = plan(
        {"green": [LEY.replace("then:", f"last_year: {checked.number - 1}, then:")]}, horizon="12 years", **STEADY
    )
    assert left_in(found, fewer, "green", cover_sources("ley")) < wanted


def test_more_years_than_the_plan_has_cannot_be() -> None:
    found = match([LEY], [brown("20 mm")], "years", **STEADY)
    assert not found.number.possible
    assert found.number.fits == 3
    assert found.number.needed.best == pytest.approx(3 * found.lasting.best, rel=1e-9)
    assert found.number.why == "the plan ends after 3 years of it"


def test_square_metres_of_beds() -> None:
    """Four beds of 15 m x 1.2 m are 72 m2; grown on that share of them it leaves as much, and no less."""
    found = match([LEY], [brown("0.5 mm")], "area", **STEADY)
    checked = found.number.checked
    assert found.number.needed.best == pytest.approx(72 * found.lasting.best, rel=1e-9)
    assert checked is not None
    assert checked.number == math.ceil(found.number.needed.best) < 72
    here, wanted = left_in(found, checked.plan, "green", cover_sources("ley")), found.left_of_compost.best
    assert here * (checked.number - 1) / checked.number < wanted <= here


def test_beds_on_which_something_else_grows_are_not_counted_on() -> None:
    half = LEY.replace("every:", "beds: 1 to 2, every:")
    other = "crop: {name: tomato, from: 1 Apr, to: 1 Oct, every: year, beds: 3 to 4, then: carted off}"
    found = match([half, other], [brown("9 mm")], "area", **STEADY)
    assert not found.number.possible
    assert found.number.fits == 36
    assert found.number.why.startswith("it stands on 36 m2, and elsewhere: ")


def test_cuts_go_on_as_the_plant_bears_them_and_each_is_smaller() -> None:
    grass = (
        "cover: {name: Italian ryegrass, sow: 1 Sep, cut: 1 May, every: year, then: left on surface, dry_tops: 3 t/ha}"
    )
    found = match([grass], [SPREAD.replace("5 mm", "2.2 mm")], "cuts", draws=16)
    checked = found.number.checked
    assert checked is not None
    assert 1 < checked.number <= found.number.fits == 4
    (cover,) = checked.plan.strategies["green"]
    masses = [cut.dry_tops.best for cut in cover.cut]
    assert masses[0] == pytest.approx(0.3, rel=1e-9)
    assert masses == sorted(masses, reverse=True)
    assert checked.chance >= 0.5 > (checked.chance_of_one_less or 0.0)
    days = [cut.on.in_year(2027) for cut in cover.cut]
    assert all((b - a).days >= 28 for a, b in pairwise(days))  # four weeks at the least


def test_cuts_of_a_plant_of_which_nothing_is_known_are_those_of_the_plan() -> None:
    found = match([LEY], [brown("20 mm")], "cuts", **STEADY)
    assert not found.number.possible
    assert found.number.fits == 1
    assert "how often ley bears cutting is not known" in found.number.why


def test_a_cover_that_leaves_nothing_equals_nothing() -> None:
    nothing = LEY.replace("dug in}", "dug in, dry_tops: 0 t/ha}")
    found = match([nothing], [brown("1 mm")], **STEADY)
    assert not found.number.possible
    assert found.number.needed.p50 == 1e6


def test_a_pressed_volume_is_told_beside_the_others() -> None:
    """4 l/m2 pressed are 4 mm a crop, less what composting takes (library); compost is 8 mm a year."""
    pressed = LEY.replace("dug in}", "dug in, pressed_volume: 4 l/m2}")
    found = match([pressed], [brown("8 mm")], **STEADY)
    known = worlds(plan({"green": [pressed]}, **STEADY), 2, 1)[0].figures.unknowns["composting/volume_loss/value"]
    assert found.volume is not None
    assert found.volume.best == pytest.approx(8.0 / (4.0 * (1.0 - known.best)), rel=1e-9)
    assert match([LEY], [brown("8 mm")], **STEADY).volume is None


def test_chances_rise_with_the_number_and_agree_with_the_spread() -> None:
    found = match([COVER], [SPREAD], draws=64)
    numbers, chances = zip(*found.number.chances, strict=True)
    assert list(chances) == sorted(chances)
    assert dict(found.number.chances)[found.number.whole] >= 0.5
    assert dict(found.number.chances)[found.number.sure] >= 0.9 - 1 / 64
    assert numbers[-1] == found.number.sure


@settings(max_examples=10, deadline=None)
@given(
    depth=st.floats(0.5, 20.0),
    tops=st.floats(0.5, 8.0),
    then=st.sampled_from(["dug in", "left on surface"]),
    years=st.integers(1, 6),
    material=st.sampled_from(["garden compost", "composted cattle manure", "leaf mould"]),
    amount=st.sampled_from(["depth: {0:.3f} mm", "mass_per_area: {0:.3f} t/ha", "volume: {0:.4f} m3"]),
    always=st.booleans(),
)
def test_both_ways_round_over_random_plans(
    depth: float, tops: float, then: str, years: int, material: str, amount: str, always: bool
) -> None:
    """The compost equal to the cover, and the one beside it, written into plans, leave what they were to match."""
    green = COVER.replace("then: left on surface", f"then: {then}, dry_tops: {tops:.3f} t/ha")
    spread = f"spread: {{material: {material}, {amount.format(depth)}, on: 20 Apr, every: year, then: {then}}}"
    more = [SPREAD.replace("garden compost", "straw")] if always else []
    found = match([green, *more], [spread, *more], draws=2, horizon=f"{years} years")
    assert found.as_grown is not None
    equal = left_in(found, found.as_grown.plan, "brown", (material,))
    assert equal == pytest.approx(found.left_of_cover.best, rel=SAME)
    if found.beside is not None and found.beside.times.best > 0.0:
        together = left_in(found, found.beside.plan, "green", (*cover_sources("rye and vetch"), material))
        assert together == pytest.approx(found.left_of_compost.best, rel=SAME)


@settings(max_examples=6, deadline=None)
@given(times=st.floats(0.1, 10.0), then=st.sampled_from(["dug in", "left on surface"]))
def test_what_is_left_is_in_proportion_to_what_is_put_down(times: float, then: str) -> None:
    once = SPREAD.replace("left on surface", then)
    again = once.replace("5 mm", f"{5 * times:.9f} mm")
    one, other = (match([COVER], [spread], draws=2).left_of_compost.best for spread in (once, again))
    assert other == pytest.approx(times * one, rel=1e-8)


def test_compost_that_is_always_spread_is_not_counted() -> None:
    """Spread in every strategy, it is no part of what is matched; the model is linear, so nothing else changes."""
    always = (
        "always:\n  - spread: {material: plain compost, depth: 2 mm, on: 1 Jul, every: year, then: left on surface}\n"
    )
    one = match([LEY], [brown("8 mm")], **STEADY)
    site = STEADY | {"extra": PLAIN + always}
    other = match([LEY], [brown("8 mm")], **site)
    assert other.lasting.best == pytest.approx(one.lasting.best, rel=1e-9)
    assert other.on_the_day.best == pytest.approx(one.on_the_day.best, rel=1e-9)
    assert one.as_grown is not None and other.as_grown is not None
    assert other.as_grown.yearly.best == pytest.approx(one.as_grown.yearly.best, rel=1e-9)
    assert one.beside is not None and other.beside is not None
    assert other.beside.yearly.best == pytest.approx(one.beside.yearly.best, rel=1e-9)


def test_a_strategy_of_several_covers_can_be_asked_for_one() -> None:
    mustard = (
        "cover: {name: white mustard, sow: 1 Jul, cut: 1 Sep, every: year, then: left on surface, dry_tops: 2 t/ha}"
    )
    asked = plan({"green": [COVER, mustard], "brown": [SPREAD]})
    assert match_study(asked, "green", "brown", draws=2).cover == "rye and vetch"
    assert match_study(asked, "green", "brown", plant="white mustard", draws=2).cover == "white mustard"
    with pytest.raises(InputError) as caught:
        match_study(asked, "green", "brown", plant="rye", draws=2)
    assert str(caught.value) == (
        '--plant: "green" does not grow "rye"\n  it grows: rye and vetch, white mustard\n1 mistake; nothing was run.'
    )


@pytest.mark.parametrize(
    ("cover", "compost", "message"),
    [
        ("gren", "brown", '--cover: no strategy "gren" in the plan\n  nearest: green; all: green, brown'),
        ("green", "brwn", '--compost: no strategy "brwn" in the plan\n  nearest: brown; all: green, brown'),
        ("brown", "brown", '--cover: "brown" grows no cover of its own from sowing to cutting\n  one grows in: green'),
        ("green", "green", '--compost: "green" spreads nothing of its own\n  something is spread in: brown'),
    ],
)
def test_what_cannot_be_matched_is_said_with_what_could(cover: str, compost: str, message: str) -> None:
    with pytest.raises(InputError) as caught:
        match_study(plan({"green": [COVER], "brown": [SPREAD]}), cover, compost, draws=2)
    assert str(caught.value) == message + "\n1 mistake; nothing was run."
