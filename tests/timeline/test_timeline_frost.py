"""Covers that frost kills before they are cut: they stop growing, lie as litter from that day, and are told of."""

import datetime

import pytest
from worked_plans import months_of, plan_text, run

from somsim.errors import InputError
from somsim.timeline.world import SURFACE

# Steady 14 deg C on the equator: 10 K d a day for a cool-season plant, so shares of warmth are shares of days.
STEADY = "{temperature: " + months_of([14] * 12) + " deg C, rain: " + months_of([60] * 12) + " mm, latitude: 0 N}"


def arrivals_of(cover, sow, cut, frost="", then="left on surface", climate=STEADY, more="", shelter="open ground"):
    action = f"cover: {{name: {cover}, sow: {sow}, cut: {cut}, then: {then}{more}}}"
    site = f"frost: {frost}" if frost else ""
    return run(plan_text(action, climate=climate, site=site, shelter=shelter)).timeline.arrivals


def tops_of(arrivals):
    return [one for one in arrivals.arrivals if one.lane.source.endswith(": tops")]


@pytest.mark.parametrize(
    ("cover", "frost", "dies"),
    [
        ("buckwheat", "{first: 20 Jul}", "2027-07-20"),  # the first frost kills it (judged)
        ("white mustard", "{first: 1 Oct, hard: 20 Oct}", "2027-10-20"),  # a light one does not: -5 deg C (judged)
        ("fodder radish", "{hard: 20 Oct}", "2027-10-20"),  # killed by frost, no temperature published: by a hard one
        ("cereal rye", "{first: 1 Oct, hard: 20 Oct}", None),  # alive at -15 deg C (judged)
        ("barley", "{first: 1 Oct, hard: 20 Oct}", None),  # no figure published
        ("white mustard", "{first: 20 Oct}", None),  # when hard frost comes is not said
    ],
)
def test_the_day_of_the_frost_that_kills(cover, frost, dies):
    sow, cut = ("2027-06-15", "2027-08-20") if cover == "buckwheat" else ("2027-08-15", "2027-11-30")
    found = arrivals_of(cover, sow, cut, frost)
    (top,) = tops_of(found)
    assert str(top.date) == (dies or cut)
    # Roots die with it, and what living roots give off ends that day.
    assert {str(one.date) for one in found.arrivals} == {dies or cut}
    assert {str(one.last) for one in found.flows} == {dies or cut}


def test_it_weighs_what_it_weighed_on_the_day_it_died():
    killed = arrivals_of("white mustard", "2027-08-15", "2027-11-30", "{hard: 15 Oct}").loads[0].dry[0]
    cut = arrivals_of("white mustard", "2027-08-15", "2027-10-15").loads[0].dry[0]
    grown = arrivals_of("white mustard", "2027-08-15", "2027-11-30").loads[0].dry[0]
    assert killed == pytest.approx(cut, rel=1e-12)
    assert killed < grown


def test_dead_tops_lie_on_the_surface_until_they_are_dug_in():
    (top,) = tops_of(arrivals_of("white mustard", "2027-08-15", "2028-03-01", "{hard: 15 Nov}", then="dug in"))
    assert (top.stock, str(top.date)) == (SURFACE, "2027-11-15")


def test_litter_from_the_day_of_frost_decays_longer_than_tops_cut_late():
    def left(frost):
        action = "cover: {name: white mustard, sow: 2027-08-15, cut: 2028-02-01, then: left on surface}"
        site = f"frost: {frost}" if frost else ""
        # From 15 November to February nothing grows here: days are too short, so both weigh the same.
        made = run(plan_text(action, climate="netherlands", site=site, horizon="2 years"))
        mine = [number for number, lane in enumerate(made.timeline.lanes) if lane.source.endswith(": tops")]
        return float(made.stocks.total[-1, mine].sum()), float(made.timeline.arrivals.loads[0].dry[0])

    (dead, mass), (cut, same) = left("{hard: 20 Nov}"), left("")
    assert mass == pytest.approx(same, rel=1e-9)
    assert dead < cut


def test_a_mass_that_was_typed_or_weighed_at_the_cut_is_left_alone():
    for more in (", dry_tops: 2 t/ha", ", sample: {fresh: 2 kg, area: 1 m2, dry_matter: 20 %}"):
        (top,) = tops_of(arrivals_of("white mustard", "2027-08-15", "2028-03-01", "{hard: 15 Nov}", more=more))
        assert str(top.date) == "2028-03-01"


def test_a_second_cut_of_what_is_dead_is_refused():
    with pytest.raises(InputError, match="cut 2 finds nothing: sunn hemp is dead since the frost of 2027-08-20"):
        arrivals_of("sunn hemp", "2027-05-15", "[2027-08-25, 2027-10-20]", "{first: 20 Aug}")


def test_frost_comes_every_year():
    action = "cover: {name: white mustard, sow: 15 Aug, cut: 1 Mar, every: year, then: left on surface}"
    found = run(plan_text(action, climate=STEADY, site="frost: {hard: 20 Nov}")).timeline.arrivals
    days = {one.date for one in tops_of(found)}
    assert {datetime.date(year, 11, 20) for year in (2027, 2028, 2029)} <= days
    assert {(day.month, day.day) for day in days} == {(11, 20)}


def test_without_a_day_it_dies_when_the_mean_of_a_day_is_cold_enough():
    # Wisconsin's means fall under -5 deg C in December, and the Netherlands' never (both rows from memory).
    (top,) = tops_of(arrivals_of("white mustard", "2027-08-15", "2028-03-01", climate="wisconsin"))
    assert top.date.strftime("%Y-%m") == "2027-12"
    (top,) = tops_of(arrivals_of("white mustard", "2027-08-15", "2028-03-01", climate="netherlands"))
    assert str(top.date) == "2028-03-01"
    # A tunnel three degrees warmer (judged) is warm enough for a while longer.
    (inside,) = tops_of(
        arrivals_of("white mustard", "2027-08-15", "2028-03-01", climate="wisconsin", shelter="unheated tunnel")
    )
    assert inside.date > datetime.date(2027, 12, 31)
