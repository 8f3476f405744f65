"""A sample weighed before the cut is carried on to it, along the curve that the cover grows by."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from worked_plans import months_of, plan_text, run

from somsim.errors import InputError

STEADY = "{temperature: " + months_of([14] * 12) + " deg C, rain: " + months_of([60] * 12) + " mm, latitude: 0 N}"


def load_of(cut, *, name="cereal rye", sow="2027-09-15", climate=STEADY, draws=None, site="", more=""):
    action = f"cover: {{name: {name}, sow: {sow}, cut: {cut}, then: left on surface{more}}}"
    loads = run(plan_text(action, climate=climate, site=site), draws=draws).timeline.arrivals.loads
    return loads[-1]


def weighed(on="", dry=", dry_matter: 20 %"):
    day = f", on: {on}" if on else ""
    return f", sample: {{fresh: [2 kg, 2 kg], area: 1 m2{dry}{day}}}"


def test_weighed_at_the_cut_it_is_what_was_weighed():
    for on in ("", "25 Apr"):
        assert float(load_of("2028-04-25", more=weighed(on)).dry[0]) == pytest.approx(0.4, rel=1e-12)


def test_by_hand_in_even_warmth():
    # 10 K d every day: rye sown on 15 September flowers on 10 June, 269 days on (a leap day is not counted); weighed
    # after 181 days, on 15 March, and cut after 222, on 25 April. The logistic through 3 % at 0.10, 50 % at 0.55 and
    # 100 % at 1 (judged) has steepness 7.6548 and ceiling 1.0341.
    middle = 0.55 + np.log(1.0341 / 0.5 - 1.0) / 7.6548

    def curve(days):
        return 1.0341 / (1.0 + np.exp(-7.6548 * (days / 268 - middle)))

    load = load_of("2028-04-25", more=weighed("15 Mar"))
    # 1e-3: the constants are rounded to four digits.
    assert float(load.dry[0]) == pytest.approx(0.4 * curve(222) / curve(181), rel=1e-3)
    assert load.basis == "2 samples of 1 m2 on 15 Mar, times 1.3 for what grew until the cut"


def test_the_same_as_growing_to_the_mass_that_was_weighed():
    # Weighed to be just what the library's curve has on the day, it comes to the library's mass at the cut.
    young = float(load_of("2028-03-15", climate="oregon-valley").dry[0])
    sample = f", sample: {{fresh: {young * 5.0:.9f} kg, area: 1 m2, dry_matter: 20 %, on: 15 Mar}}"
    carried = float(load_of("2028-04-25", climate="oregon-valley", more=sample).dry[0])
    assert carried == pytest.approx(float(load_of("2028-04-25", climate="oregon-valley").dry[0]), rel=1e-6)


@settings(max_examples=25, deadline=None)
@given(days=st.tuples(st.integers(20, 200), st.integers(20, 200)))
def test_the_younger_the_sample_the_heavier_the_cut(days):
    first, second = (np.datetime64("2027-09-15") + day for day in sorted(days))
    samples = [weighed(day.astype(object).strftime("%d %b")) for day in (first, second)]
    masses = [float(load_of("2028-04-25", more=more).dry[0]) for more in samples]
    assert masses[0] >= masses[1] >= 0.4


def test_a_young_sample_carries_the_doubt_of_the_curve():
    spread = [
        np.ptp(load_of("2028-04-25", more=weighed(on), draws=64).dry) / 0.4 for on in ("20 Apr", "15 Mar", "15 Jan")
    ]
    assert spread == sorted(spread)
    assert spread[0] < 0.2 < spread[2]


def test_undried_it_is_as_wet_as_it_was_on_the_day_it_was_weighed():
    # Rye in leaf has 17 % dry matter, in flower 24 % (from memory). Weighed in March, cut in late June, in flower.
    load = load_of("2028-06-25", more=weighed("15 Mar", dry=""))
    ripe = load_of("2028-06-25", more=weighed("15 Mar"))
    assert float(load.dry[0] / ripe.dry[0]) == pytest.approx(0.17 / 0.20, rel=1e-9)
    assert float(load.dry[0] / load.fresh[0]) == pytest.approx(0.24)


def test_a_later_cut_is_carried_from_the_cut_before():
    cut = "[{on: 2028-05-25}, {on: 2028-07-13, sample: {fresh: 1 kg, area: 1 m2, dry_matter: 20 %, on: 22 Jun}}]"
    load = load_of(cut, name="grass-clover ley", sow="2027-09-02")
    # Six weeks from cut to cut are usual (5 to 7, from memory). Weighed after four, at the cut after seven it is full.
    middle = 0.55 + np.log(1.0341 / 0.5 - 1.0) / 7.6548
    by_hand = 1.0341 / (1.0 + np.exp(-7.6548 * (28 / 42 - middle)))
    assert float(load.dry[0]) == pytest.approx(0.2 / by_hand, rel=1e-3)


def test_a_plant_that_frost_has_killed_grows_no_more():
    load = load_of(
        "2028-02-20", name="white mustard", sow="2027-08-15", site="frost: {hard: 20 Oct}", more=weighed("25 Oct")
    )
    assert float(load.dry[0]) == pytest.approx(0.4, rel=1e-12)


COLD_AUTUMN = STEADY.replace(months_of([14] * 12), months_of([1, 1, 1, 9, 9, 9, 9, 9, 1, 1, 1, 1]))


@pytest.mark.parametrize(
    ("more", "climate", "said"),
    [
        (weighed("20 Jun"), STEADY, "the sample of 20 Jun does not fall between sowing (2027-09-15) and the cut"),
        (weighed("15 Mar"), "{factor: 1 ratio}", "nothing is known of how cereal rye grows here from 15 Mar"),
        (weighed("16 Sep"), COLD_AUTUMN, "nothing of cereal rye had grown by 2027-09-16"),
    ],
)
def test_a_day_from_which_nothing_can_be_carried_is_refused(more, climate, said):
    with pytest.raises(InputError) as refused:
        load_of("2028-04-25", climate=climate, more=more)
    assert said in str(refused.value)
