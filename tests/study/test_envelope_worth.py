"""What a sample is worth: against a plan written by hand, and what is said when something is not given."""

import pytest

from somsim.draws import Draws, best_values
from somsim.errors import InputError
from somsim.library import read_library
from somsim.plan import parse_plan
from somsim.study.envelope_sample import SampleTyped
from somsim.study.envelope_worth import MONTHS, WorthTyped, worth_study
from somsim.study.equivalence import equivalences
from somsim.timeline import figures, setting
from somsim.units import parse_amount

DRAWS = 64
BY_HAND = """
title: by hand
start: 2027-10-05
horizon: 10 years
compare_with: leaf mould
site: {climate: netherlands, shelter: unheated tunnel, beds: {area: 50 m2},
       soil: {carbon: 3 %, method: carbon, bulk_density: 1.1 g/cm3}}
strategies:
  rye:
    - cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: dug in, stage: vegetative,
              dry_tops: 4 t/ha, pressed_volume: 8 l/m2}
"""


def sample(crop="rye and vetch", **more):
    return SampleTyped(
        (parse_amount("1.25 kg", "mass"),),
        (parse_amount("0.5 m2", "area"),),
        dry_matter=parse_amount("16 %", "share"),
        crop=crop,
        bed_area=parse_amount("0.5 m2", "area"),  # the whole bed: no error of sampling, so 4.0 t/ha and no range
        **more,
    )


@pytest.fixture(scope="module")
def plain():
    return worth_study(WorthTyped(sample()), draws=DRAWS)


@pytest.fixture(scope="module")
def full():
    typed = WorthTyped(
        sample(),
        shelter="unheated tunnel",
        climate="netherlands",
        compost="leaf mould",
        pressed_volume=parse_amount("4 l", "volume"),
        layer_wanted=parse_amount("25 mm", "length"),
        then="dug in",
        sow="5 Oct",
        cut="20 Apr",
    )
    return worth_study(typed, draws=DRAWS)


def test_it_is_what_a_plan_written_by_hand_says(full):
    plan = figures(parse_plan(BY_HAND), read_library())
    best = setting(plan, best_values(plan.unknowns))
    drawn = setting(
        plan, Draws(DRAWS, 1, plan.unknowns, plan.unknowns["constants/like_materials_correlation/value"].best)
    )
    hand = equivalences(best, drawn, MONTHS)[0]
    for month in MONTHS:
        assert full.lasting[month].best == pytest.approx(hand.lasting[month].best / 1000, rel=1e-3)
    assert full.on_the_day.best == pytest.approx(hand.on_the_day.best / 1000, rel=1e-3)
    assert full.volume.best == pytest.approx(hand.volume.best / 1000, rel=1e-9)


def test_all_times_that_were_asked_for_are_there(plain):
    assert tuple(plain.lasting) == MONTHS == (6, 12, 36, 120, 360)
    for spread in plain.lasting.values():
        assert 0 < spread.p10 < spread.p50 < spread.p90


def test_depth_on_the_beds_and_share_of_a_layer(full):
    for month, spread in full.lasting.items():
        assert full.on_beds[month].p50 == pytest.approx(0.5 * spread.p50)
        assert full.of_layer[month].p90 == pytest.approx(spread.p90 / 0.025)


def test_what_was_not_given_is_said_and_never_assumed_in_silence(plain, full):
    assert plain.volume is None
    for words in ("reference climate", "Open ground", "garden compost", "left on the surface", "no bucket was filled"):
        assert any(words in said for said in plain.assumed), words
        assert not any(words in said for said in full.assumed), words


def test_the_doubt_is_told_in_words_the_largest_first(plain):
    shares = [one.share for one in plain.doubts]
    assert shares == sorted(shares, reverse=True)
    assert shares[0] > 0.1
    assert all("/" not in one.what for one in plain.doubts)
    compost = next(one for one in plain.doubts if one.what == "carbon of garden compost")
    assert compost.more_is_more is False


def test_a_wider_sample_takes_a_larger_part_of_the_doubt():
    rough = SampleTyped((parse_amount("1.25 kg", "mass"),), (parse_amount("0.5 m2", "area"),), crop="rye and vetch")
    found = worth_study(WorthTyped(rough), draws=DRAWS)
    assert found.doubts[0].what == "the dry mass of your sample"
    assert found.doubts[0].more_is_more is True


def test_a_cover_that_stands_a_year_can_be_weighed():
    assert worth_study(WorthTyped(sample("red clover")), draws=2).lasting[120].best > 0


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ({"climate": "Lodnon"}, '--climate "Lodnon": nothing is called so among the climates'),
        ({"compost": "gardn compost"}, '--compost "gardn compost": nothing is called so among the materials'),
        ({"shelter": "tent"}, '--shelter "tent": is no shelter'),
        ({"then": "burnt"}, '--then "burnt": is not what can become of a cut here'),
        ({"sow": "31 Feb"}, '--sow "31 Feb"'),
        ({"cut": "2027-04-20"}, '--cut "2027-04-20": a day without its year is needed'),
        ({"pressed_volume": parse_amount("1 m3", "volume")}, "would weigh 1.25 kg/m3 pressed"),
    ],
)
def test_nonsense_is_refused_in_one_clear_line(given, said):
    with pytest.raises(InputError) as caught:
        worth_study(WorthTyped(sample(), **given), draws=2)
    assert said in str(caught.value).splitlines()[0]


def test_without_a_crop_there_is_nothing_to_follow():
    with pytest.raises(InputError, match="--crop: which plant is it"):
        worth_study(WorthTyped(sample(None)), draws=2)
