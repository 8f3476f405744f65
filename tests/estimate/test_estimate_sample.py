import itertools
import math

import numpy as np
import pytest
import scipy.stats
from hypothesis import assume, given
from hypothesis import strategies as st

from somsim.estimate import Share, share_from_range
from somsim.estimate.sample import (
    estimate_sample,
    half_width,
    mean_per_area,
    outliers,
    samples_to_halve,
    share_from_drying,
    standard_error,
    variance_shares,
)

EXACT = Share(1.0, 0.0)
masses = st.lists(st.floats(0.01, 50), min_size=2, max_size=12)


def of(fresh, area, **given_too):
    settings = {"dry_matter": EXACT, "carbon": EXACT, "level": 0.9, **given_too}
    return estimate_sample(fresh, area, **settings)


@given(masses)
def test_equal_areas_give_the_ordinary_standard_error_of_scipy(fresh):
    assert standard_error(fresh, [1.0] * len(fresh)) == pytest.approx(scipy.stats.sem(fresh), abs=1e-12)


@given(masses)
def test_the_interval_is_that_of_scipy(fresh):
    assume(np.std(fresh) > 1e-6)
    found = of(fresh, [1.0] * len(fresh)).fresh.interval
    low, high = scipy.stats.t.interval(0.9, len(fresh) - 1, np.mean(fresh), scipy.stats.sem(fresh))
    assert (found.low, found.high) == pytest.approx((max(0, low), high), rel=1e-9)


def test_every_sample_of_a_small_bed_gives_the_true_variance_on_average():
    # Cochran (1977), theorem 2.4: over all samples without replacement, the estimated variance with the
    # correction 1 - n/N averages to the variance of the sample means. Exact, so only rounding is allowed.
    bed = [0.9, 1.4, 2.0, 2.2, 3.1, 1.7]
    taken = list(itertools.combinations(bed, 3))
    squares = [standard_error(each, [1.0] * 3, sampled_share=0.5) ** 2 for each in taken]
    assert np.mean(squares) == pytest.approx(np.var([np.mean(each) for each in taken]), rel=1e-12)


def test_unequal_areas_come_near_the_true_variance_on_average():
    # The ratio estimate is right to first order only: 10 % here, where plots differ twofold in size.
    area = np.array([1.0, 1.4, 2.0, 1.2, 1.8, 1.6, 1.1, 1.5])
    fresh = area * np.array([2.0, 2.3, 2.1, 1.8, 2.2, 1.9, 2.4, 2.05])
    taken = [list(each) for each in itertools.combinations(range(8), 4)]
    squares = [standard_error(fresh[each], area[each], sampled_share=0.5) ** 2 for each in taken]
    truth = np.mean(
        [(mean_per_area(fresh[each], area[each]) - fresh.sum() / area.sum()) ** 2 for each in taken]
    )
    assert np.mean(squares) == pytest.approx(truth, rel=0.10)


@given(masses, st.integers(2, 6))
def test_the_error_falls_with_the_root_of_the_samples(fresh, times):
    # The same spread seen in `times` as many samples: s/sqrt(n), with s over n - 1.
    assume(np.std(fresh) > 1e-6)
    count = len(fresh)
    few = standard_error(fresh, [1.0] * count)
    many = standard_error(fresh * times, [1.0] * count * times)
    assert many / few == pytest.approx(math.sqrt((count - 1) / (count * times - 1)), rel=1e-9)


@given(masses, st.floats(0.1, 100), st.floats(1.01, 50))
def test_totals_scale_with_the_bed_and_masses_with_the_unit(fresh, unit, times):
    area = [1.0] * len(fresh)
    small, large = (of(fresh, area, bed_area=size) for size in (100.0, 100.0 * times))
    assert large.dry.total == pytest.approx(small.dry.total * times)
    other = of([mass * unit for mass in fresh], area, bed_area=100.0)
    assert other.carbon.total == pytest.approx(small.carbon.total * unit)
    assert other.carbon.standard_error == pytest.approx(small.carbon.standard_error * unit, abs=1e-9)


@given(masses, st.floats(0.05, 20))
def test_square_feet_and_square_metres_agree(fresh, plot):
    foot = 0.3048**2
    metric = of(fresh, [plot] * len(fresh), bed_area=plot * 100)
    feet = of(fresh, [plot / foot] * len(fresh), bed_area=plot * 100 / foot)
    assert feet.carbon.total == pytest.approx(metric.carbon.total)
    assert feet.carbon.total_interval.high == pytest.approx(metric.carbon.total_interval.high)


@given(st.integers(2, 60), st.sampled_from([0.5, 0.8, 0.9, 0.95]))
def test_the_samples_asked_for_halve_the_interval_and_one_fewer_does_not(count, level):
    def width(samples):
        return half_width(1 / math.sqrt(samples), freedom=samples - 1, level=level)

    wanted = samples_to_halve(count, level=level)
    assert width(wanted) <= width(count) / 2 < width(wanted - 1)


def test_fewer_samples_halve_it_where_they_use_up_the_bed():
    assert samples_to_halve(10, level=0.9, sampled_share=0.5) < samples_to_halve(10, level=0.9)


def test_relative_variances_of_independent_factors_add():
    # Against a simulation of the product: 200,000 draws leave about 0.2 % in a standard deviation; the terms
    # of second order that the rule drops are below 0.5 % here.
    draws = np.random.default_rng(4).normal([2.0, 0.17, 0.44], [0.2, 0.015, 0.02], (200_000, 3))
    fresh = [1.8, 2.2]  # standard error 0.2
    found = of(fresh, [1.0, 1.0], dry_matter=Share(0.17, 0.015), carbon=Share(0.44, 0.02))
    assert found.fresh.standard_error == pytest.approx(0.2)
    assert found.carbon.standard_error == pytest.approx(np.prod(draws, axis=1).std(), rel=0.01)


def test_an_error_that_is_not_the_samples_brings_the_interval_to_the_normal_law():
    found = of([2.0, 2.0002], [1, 1], dry_matter=Share(0.2, 0.02)).dry
    assert found.interval.high - found.per_area == pytest.approx(1.6449 * found.standard_error, rel=1e-4)


def test_one_sample_has_the_published_variation_and_says_so():
    found = of([3.0], [0.75], variation=0.30, bed_area=10)
    assert found.fresh.standard_error is None
    assert found.fresh.interval is None
    assert (found.fresh.published.low, found.fresh.published.high) == pytest.approx((2.8, 5.2))
    assert found.fresh.total_interval.high == pytest.approx(52)
    assert found.samples_to_halve is None
    assert found.notes == (
        "One sample cannot say how much the bed varies: the published variation of +-30% stands instead.",
    )


def test_one_sample_without_a_published_variation_has_no_interval_at_all():
    found = of([3.0], [0.75], bed_area=10)
    assert found.carbon.interval is found.carbon.published is found.carbon.total_interval is None
    assert found.variance_shares == {}
    assert "no published variation was given" in found.notes[0]


def test_the_whole_bed_weighed_has_no_sampling_error():
    found = of([3.0], [10.0], bed_area=10.0, dry_matter=Share(0.2, 0.02), variation=0.3)
    assert found.fresh.standard_error == 0
    assert found.dry.standard_error == pytest.approx(0.3 * 0.02)
    assert found.variance_shares["dry matter"] == 1


def test_the_weight_of_not_having_dried_it_is_told():
    found = of([1.9, 2.3, 2.6], [0.5] * 3, dry_matter=share_from_range(0.17, 0.11, 0.23))
    assert sum(found.variance_shares.values()) == pytest.approx(1)
    assert found.variance_shares["dry matter"] > found.variance_shares["sample"] > 0


def test_variance_shares_are_nothing_where_no_error_is_known():
    assert set(variance_shares(0.0, EXACT, EXACT).values()) == {0.0}


def test_an_outlier_is_shown_and_kept():
    fresh = [4.1, 4.4, 3.9, 4.2, 9.8]
    found = of(fresh, [1.0] * 5)
    assert found.outliers == (4,)
    assert found.fresh.per_area == pytest.approx(np.mean(fresh))
    assert "Sample 5 (9.8 kg/m2) stands out by Grubbs' two-sided test" in found.notes[-1]


def test_nutrients_follow_the_dry_matter():
    parts = {"nitrogen": Share(0.03, None), "potassium": Share(0.025, 0.0)}
    found = of([2.0, 2.2], [1, 1], dry_matter=Share(0.15, 0.0), nutrients=parts, bed_area=100)
    assert found.nutrients["nitrogen"].total == pytest.approx(2.1 * 0.15 * 0.03 * 100)
    assert set(found.nutrients) == {"nitrogen", "potassium"}


def test_drying_several_subsamples_gives_an_error_and_one_does_not():
    several = share_from_drying([200, 180, 210], [34, 29, 37])
    assert several.best == pytest.approx(100 / 590)
    assert several.standard_error > 0
    assert share_from_drying(200, 34).standard_error is None


def test_a_range_has_the_spread_of_its_triangle():
    expected = scipy.stats.triang(c=1 / 3, loc=0.10, scale=0.15).std()
    assert share_from_range(0.15, 0.10, 0.25).standard_error == pytest.approx(expected)


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: share_from_drying(200, 210), "dry cannot outweigh wet: 210 dry, 200 wet"),
        (lambda: share_from_drying([200, 100], [30]), "wet and dry masses go in pairs; there are 2 and 1"),
        (lambda: of([], []), "there are 0 samples; at least one is needed"),
        (lambda: of([1.0], [-2.0]), "the area of a sample must be above 0; -2 is not"),
        (lambda: of([-1.0], [2.0]), "the mass of a sample cannot be negative; -1 is"),
        (lambda: of([0.0, 0.0], [2.0, 2.0]), "the mass of all samples together must be above 0; 0 is not"),
        (lambda: of([1.0, 2.0], [2.0]), "masses and areas go in pairs; there are 2 and 1"),
        (lambda: of([1.0], [2.0], bed_area=1.0), "the samples cover 2 m2, more than the 1 m2 of bed"),
        (lambda: of([1.0], [2.0], level=90), "a level lies between 0 and 1; 90 does not"),
        (
            lambda: of([1.0], [2.0], dry_matter=Share(17, None)),
            "the share of dry matter is a share of 0 to 1; 17 is not",
        ),
        (lambda: of([math.nan], [2.0]), "the mass of a sample must be a number; nan is not one"),
        (lambda: standard_error([1.0], [1.0]), "one sample has no standard error; take at least two"),
        (lambda: samples_to_halve(1, level=0.9), "one sample has no interval to halve; take at least two"),
        (lambda: half_width(1.0, freedom=0, level=0.9), "an interval needs at least two samples"),
        (
            lambda: share_from_range(0.2, 0.3, 0.4),
            "low, best and high come in that order; 0.3, 0.2, 0.4 do not",
        ),
        (lambda: of([1.0], [1.0], variation=-0.3), "the published variation must be above 0; -0.3 is not"),
    ],
)
def test_nonsense_is_refused_in_one_clear_line(call, message):
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole message is compared below
        call()
    assert str(caught.value) == message


def test_two_samples_can_never_be_outliers():
    assert outliers([0.0, 100.0]) == ()
