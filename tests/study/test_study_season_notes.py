"""Covers that nobody weighed and that stand into frost or past flowering are told of, with the day."""

import pytest

from somsim.plan import parse_plan
from somsim.study.compare import compare_study

PLAN = """\
title: a season
start: 2027-08-01
horizon: 2 years
site:
  climate: {climate}
  shelter: open ground
  beds: {{area: 50 m2}}
  soil: {{texture: loam, organic_matter: 3 %, method: unknown, bulk_density: 1.3 g/cm3}}
strategies:
  green manure:
    - cover: {{name: {cover}, sow: {sow}, cut: {cut}, every: {every}, then: {then}{more}}}
"""


KINDS = ("frost", "seed", "late cut", "cut before frost", "heavy")


def notes(cover, sow, cut, more="", climate="netherlands", frost=None, every="year", then="left on surface"):
    text = PLAN.format(cover=cover, sow=sow, cut=cut, more=more, climate=climate, every=every, then=then)
    if frost is not None:
        text = text.replace("  beds:", f"  frost: {frost}\n  beds:")
    return [text for kind, text in compare_study(parse_plan(text), draws=2).notes if kind in KINDS]


@pytest.mark.parametrize(
    ("cover", "sow", "cut", "said"),
    [
        ("white mustard", "15 Aug", "15 Mar", "white mustard dies when its leaves reach -5 deg C"),
        ("cereal rye", "15 Sep", "20 Jun", "cereal rye would be in flower, or past it, by 2028-06-20"),
        # Rye and vetch "to vetch flower" ends on 31 May in the library: so does hairy vetch by itself.
        ("hairy vetch", "15 Sep", "10 Jun", "hairy vetch would be in flower, or past it, by 2028-06-10"),
        ("fodder radish", "15 Aug", "15 Mar", "fodder radish dies of frost, and monthly means show no single night"),
        ("grass-clover ley", "2 Sep", "[20 May, 20 Aug]", "grass-clover ley: cut 2 (2027-08-20) comes after more"),
    ],
)
def test_what_stands_too_long_is_told(cover, sow, cut, said):
    assert any(text.startswith(said) for text in notes(cover, sow, cut))


def test_a_cover_cut_in_time_or_weighed_is_left_in_peace():
    assert notes("cereal rye", "15 Sep", "20 Apr") == []
    assert notes("white mustard", "15 Aug", "15 Mar", ", dry_tops: 2 t/ha") == []


def test_vetch_cut_before_it_flowers_is_left_in_peace():
    assert notes("hairy vetch", "15 Sep", "25 Apr") == []


def test_where_the_plan_says_when_frost_comes_the_day_is_told():
    text, *_ = notes("white mustard", "15 Aug", "15 Mar", frost="{hard: 25 Nov}")
    assert text == (
        "white mustard is killed by the frost of 2027-11-25, before it is cut on 2028-03-15: "
        "from then on it lies as dead litter on its bed."
    )
    assert not any("frost" in text for text in notes("white mustard", "15 Aug", "20 Nov", frost="{hard: 25 Nov}"))


def test_a_stand_cut_shortly_before_frost_goes_weak_into_winter():
    # Red clover: the last cut 5 to 6 weeks before frost (from memory).
    cuts = "[20 May, 5 Jul, {day}, 20 May year 2]"
    said = notes("red clover", "2 Sep", cuts.format(day="20 Sep year 2"), frost="{first: 10 Oct}", every="2 years")
    assert any("the cut of 2028-09-20 comes 20 days before the first frost (2028-10-10)" in text for text in said)
    said = notes("red clover", "2 Sep", cuts.format(day="25 Aug"), frost="{first: 10 Oct}", every="2 years")
    assert not any("before the first frost" in text for text in said)


def test_a_sample_carried_past_all_that_is_in_print_is_told():
    # Hairy vetch: 5.6 t/ha at most (Clark 2007, from memory). 1.9 kg/m2 on 25 March would be some 12 t/ha in June.
    sample = ", sample: {fresh: [0.8 kg, 1.1 kg], area: 0.5 m2, on: 25 Mar}"
    said = notes("hairy vetch", "20 Sep", "10 Jun", sample)
    assert any("more than the 5.6 t/ha that is the most in print" in text for text in said)
    assert not any("in print" in text for text in notes("hairy vetch", "20 Sep", "1 Apr", sample))


def test_a_plant_that_grows_again_is_not_in_seed_at_every_further_cut():
    said = notes("red clover", "2 Sep", "[25 May, 15 Jul, 28 Aug]")
    assert said == []


def test_dead_litter_is_told_apart_from_dead_stuff_that_is_carted():
    said = notes("white mustard", "15 Aug", "15 Mar", frost="{hard: 25 Nov}", then="to the heap")
    assert any("what is carted then is dead and dry, and is counted as it stood: weigh it." in text for text in said)


def test_southern_winters_are_in_june():
    plan = notes("white mustard", "15 Feb", "15 Sep", climate="canterbury-nz")
    assert any("dies when its leaves reach" in text for text in plan)


def test_growth_ends_when_the_mean_of_a_day_kills():
    # Wisconsin's normals fall under the -5 deg C that kill mustard in December: what is cut later weighs no more.
    def mass(cut):
        keys = {"cover": "white mustard", "sow": "15 Aug", "every": "year", "climate": "wisconsin"}
        plan = parse_plan(PLAN.format(cut=cut, more="", then="left on surface", **keys))
        return compare_study(plan, draws=2).answers[0].added.best

    assert mass("10 May") == pytest.approx(mass("25 Dec"), rel=0.02)
