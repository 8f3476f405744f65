"""Samples scaled up by the study: options against the pure functions, and what cannot be."""

import math

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from study_plans import plan

from somsim.errors import InputError
from somsim.library import read_library
from somsim.study.envelope_sample import SampleTyped, sample_study
from somsim.timeline import figures
from somsim.units import parse_amount

masses = st.lists(st.floats(0.5, 5), min_size=2, max_size=8)


def amounts(dimension, *texts):
    return tuple(parse_amount(text, dimension) for text in texts)


def typed(*fresh, area="0.5 m2", dry_matter="17 %", bed_area=None, **more):
    return SampleTyped(
        amounts("mass", *fresh),
        amounts("area", area) if area else (),
        dry_matter=parse_amount(dry_matter, "share") if dry_matter else None,
        bed_area=parse_amount(bed_area, "area") if bed_area else None,
        **more,
    )


def of(numbers, bed_area="108 m2", **more):
    return sample_study(typed(*(f"{mass:.6f} kg" for mass in numbers), bed_area=bed_area, **more))


@settings(deadline=None, max_examples=40)  # scipy is loaded in the first of them
@given(masses, st.integers(2, 20))
def test_totals_are_linear_in_the_area_of_the_beds(fresh, times):
    few, many = of(fresh, "10000 m2"), of(fresh, f"{10000 * times} m2")
    assert many.carbon.total == pytest.approx(times * few.carbon.total)
    assert many.dry.per_area == pytest.approx(few.dry.per_area)


@settings(deadline=None, max_examples=40)  # scipy is loaded in the first of them
@given(masses)
def test_units_agree(fresh):
    metric = of(fresh)
    us = sample_study(
        SampleTyped(
            amounts("mass", *(f"{mass / 0.45359237:.9f} lb" for mass in fresh)),
            amounts("area", f"{0.5 / 0.09290304:.9f} ft2"),
            dry_matter=parse_amount("170 g/kg", "share"),
            bed_area=parse_amount(f"{108 / 0.09290304:.9f} ft2", "area"),
        )
    )
    # Six and nine decimals are typed: 1e-5 of a mass of 0.5 kg and more.
    assert us.carbon.total == pytest.approx(metric.carbon.total, rel=1e-5)
    assert us.dry.at_80.high == pytest.approx(metric.dry.at_80.high, rel=1e-4)


@settings(deadline=None, max_examples=40)  # scipy is loaded in the first of them
@given(masses, st.integers(2, 5))
def test_the_error_falls_with_the_root_of_the_number_of_samples(fresh, times):
    # The same spread seen in more samples: s / sqrt(n), with s over n - 1 (worked arithmetic).
    assume(max(fresh) - min(fresh) > 0.01)
    count = len(fresh)
    few, many = of(fresh, None).fresh, of(fresh * times, None).fresh
    expected = math.sqrt((count - 1) / (count * times - 1))
    assert many.standard_error / few.standard_error == pytest.approx(expected, rel=1e-6)


def test_the_95_interval_holds_the_80_one():
    dry = of([1.9, 2.3, 2.6]).dry
    assert dry.at_95.low < dry.at_80.low < dry.per_area < dry.at_80.high < dry.at_95.high


def test_three_ways_to_tell_the_ground_agree():
    common = {"fresh": amounts("mass", "3 kg"), "dry_matter": parse_amount("15 %", "share")}
    bed = parse_amount("60 m2", "area")
    by_area = sample_study(SampleTyped(area=amounts("area", "0.75 m2"), bed_area=bed, **common))
    by_length = sample_study(
        SampleTyped(
            bed_length=amounts("length", "1 m"), bed_width=parse_amount("75 cm", "length"), bed_area=bed, **common
        )
    )
    by_share = sample_study(SampleTyped(share=amounts("share", "1.25 %"), bed_area=bed, **common))
    assert by_area.dry.total == pytest.approx(by_length.dry.total) == pytest.approx(by_share.dry.total)


def test_drying_takes_doubt_away():
    rough = sample_study(typed("1.9 kg", "2.3 kg", "2.6 kg", dry_matter=None, crop="rye and vetch"))
    dried = sample_study(
        typed(
            "1.9 kg",
            "2.3 kg",
            "2.6 kg",
            dry_matter=None,
            crop="rye and vetch",
            wet=amounts("mass", "200 g", "210 g"),
            dry=amounts("mass", "34 g", "35 g"),
        )
    )
    assert (rough.dried, dried.dried) == (False, True)
    assert rough.doubt["dry matter"] > 0.5 > dried.doubt["dry matter"]
    assert rough.dry.standard_error > dried.dry.standard_error
    # Weighed fresh alone: the +-30 % of the library, which is wider than its row for this crop.
    assert (rough.dry_matter.low, rough.dry_matter.high) == pytest.approx((0.16 * 0.7, 0.16 * 1.3))


def test_one_sample_of_a_known_crop_has_the_published_range_and_says_so():
    # Lawson et al. (2015): 4.1 (2.5 to 7) t/ha as the library has it, so +-55 % is the middle 90 %: worked arithmetic.
    found = sample_study(typed("2 kg", crop="rye and vetch", bed_area="100 m2"))
    assert found.fresh.standard_error is None
    assert found.samples_to_halve is None
    assert found.fresh.at_80.high / found.fresh.per_area == pytest.approx(1 + 4.5 / 8.2 * 1.2816 / 1.6449, rel=1e-3)
    assert any("One sample cannot say how much the bed varies" in said for said in found.assumed)


def test_one_sample_of_an_unknown_crop_takes_what_fresh_weight_is_worth():
    # 30 % either way, from memory: the middle 90 %, which is how a plan takes a range.
    found = sample_study(typed("2 kg"))
    ends = (found.for_plan.low, found.for_plan.high)
    assert ends == pytest.approx((0.7 * found.dry.per_area, 1.3 * found.dry.per_area))
    assert any("+-30 % is taken" in said for said in found.assumed)


def test_one_sample_is_as_sure_in_a_plan_as_here():
    sample = "sample: {fresh: 1.2 kg, area: 0.5 m2, dry_matter: 20 %}"
    cover = f"cover: {{name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: dug in, {sample}}}"
    unknowns = figures(plan({"a": [cover]}), read_library()).unknowns
    (fresh,) = [one for name, one in unknowns.items() if name.endswith("fresh_per_area")]
    found = sample_study(typed("1.2 kg", dry_matter="20 %", crop="rye and vetch"))
    assert (0.2 * fresh.low, 0.2 * fresh.high) == pytest.approx((found.for_plan.low, found.for_plan.high), rel=1e-9)


def test_what_is_not_published_has_no_figure():
    found = sample_study(typed("2 kg"))
    assert found.nutrients == {"nitrogen": None, "phosphorus": None, "potassium": None}


def test_a_whole_bed_weighed_has_no_error_of_sampling():
    found = sample_study(typed("30 kg", area="10 m2", bed_area="10 m2"))
    assert found.fresh.standard_error == 0
    assert any("whole bed was weighed" in said for said in found.assumed)


def test_an_outlier_is_shown_and_kept():
    found = of([4.1, 4.4, 3.9, 4.2, 9.8])
    assert found.outliers == (5,)
    assert found.fresh.per_area == pytest.approx(26.4 / 2.5)


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (typed(), "--fresh: there are 0 samples; at least one is needed"),
        (typed("1 kg", area=None), "--area: how much ground was cut for a sample?"),
        (typed("1 kg", dry_matter=None), "--dry-matter: how much of the fresh mass is dry matter?"),
        (typed("1 kg", bed_area="0.1 m2"), "the samples cover 0.5 m2, more than the 0.1 m2 of bed"),
        (typed("1 kg", crop="rye and vech"), '--crop "rye and vech": nothing is called so among the covers'),
        (typed("1 kg", stage="flower"), '--stage "flower": a stage goes with --crop'),
        (typed("1 kg", crop="rye", stage="old"), '--stage "old": is no stage'),
        (typed("1 to 2 kg"), '--fresh "1 to 2 kg": is a range; this can be measured'),
        (typed("100 kg"), "comes to 34 kg of dry matter on a m2; no crop leaves over 20"),
        (typed("0 kg"), "the mass of all samples together must be above 0"),
        (
            typed("1 kg", dry_matter=None, wet=amounts("mass", "34 g"), dry=amounts("mass", "200 g")),
            '--dry-subsample "200 g": dry cannot outweigh wet (34 g)',
        ),
        (
            typed("1 kg", dry_matter=None, wet=amounts("mass", "34 g")),
            "--wet-subsample and --dry-subsample: go in pairs, each weighed wet and dry",
        ),
        (
            typed("1 kg", wet=amounts("mass", "200 g"), dry=amounts("mass", "34 g")),
            '--dry-matter "17 %": the dried subsample says it too',
        ),
        (
            SampleTyped(amounts("mass", "1 kg", "2 kg", "3 kg"), amounts("area", "1 m2", "2 m2"), dry_matter=None),
            "--area: 2 given for 3 samples",
        ),
    ],
)
def test_nonsense_is_refused_in_one_clear_line(given, said):
    with pytest.raises(InputError) as caught:
        sample_study(given)
    first, *_, last = str(caught.value).splitlines()
    assert said in first
    assert last == "1 mistake; nothing was estimated."
