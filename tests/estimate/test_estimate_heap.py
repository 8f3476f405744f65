import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.estimate.heap import (
    beside_window,
    carbon_to_nitrogen,
    finish,
    fresh_for_one,
    mass_of,
    mix,
    nitrogen_share,
    volume_by_rule,
)

feedstock = st.tuples(
    st.floats(1, 5000), st.floats(0.05, 1), st.floats(0.30, 0.55), st.floats(0.002, 0.06), st.floats(60, 900)
)
feedstocks = st.lists(feedstock, min_size=1, max_size=6)
green = {"dry_matter": [0.20], "carbon": [0.44], "nitrogen": [0.03], "density": [500.0]}


def heaped(parts):
    mass, dry_matter, carbon, nitrogen, density = zip(*parts, strict=True)
    return mix(mass, dry_matter=dry_matter, carbon=carbon, nitrogen=nitrogen, density=density)


@given(feedstocks, st.floats(0.0, 0.7), st.floats(0.9, 1.0), st.floats(0.0, 1.0), st.floats(0.2, 1.0))
def test_the_mass_balance_closes(parts, dry_loss, carbon_part, nitrogen_part, dry_matter):
    # Carbon is lost nearly in step with dry mass, so that no draw contradicts itself.
    start = heaped(parts)
    made = finish(
        start,
        dry_loss=dry_loss,
        carbon_loss=dry_loss * carbon_part,
        nitrogen_loss=dry_loss * nitrogen_part,
        dry_matter=dry_matter,
        density=650,
    )
    # 1e-14: five roundings of 1e-16 in sums of a few terms.
    assert float(made.mass + made.dry_lost + made.water_lost) == pytest.approx(start.mass, rel=1e-14)
    assert float(made.dry + made.dry_lost) == pytest.approx(start.dry, rel=1e-14)
    assert float(made.carbon + made.carbon_lost) == pytest.approx(start.carbon, rel=1e-14)
    assert float(made.nitrogen + made.nitrogen_lost) == pytest.approx(start.nitrogen, rel=1e-14)
    assert start.water + start.dry == pytest.approx(start.mass, rel=1e-14)


@given(feedstocks)
def test_a_blend_lies_between_its_feedstocks(parts):
    start = heaped(parts)
    alone = [carbon / nitrogen for _, _, carbon, nitrogen, _ in parts]
    assert min(alone) * (1 - 1e-12) <= start.carbon_to_nitrogen <= max(alone) * (1 + 1e-12)
    weights = [weight for *_, weight in parts]
    assert min(weights) * (1 - 1e-12) <= start.density <= max(weights) * (1 + 1e-12)


@given(feedstocks, st.floats(0.01, 100))
def test_a_larger_heap_is_the_same_heap(parts, times):
    one, many = heaped(parts), heaped([(part[0] * times, *part[1:]) for part in parts])
    assert many.carbon_to_nitrogen == pytest.approx(one.carbon_to_nitrogen)
    assert many.moisture == pytest.approx(one.moisture, abs=1e-12)
    assert many.volume == pytest.approx(one.volume * times)


def test_by_volume_and_by_mass_are_one_heap():
    by_volume = mix(
        mass_of([2.0, 1.0], [300, 130]),
        dry_matter=[0.18, 0.86],
        carbon=0.44,
        nitrogen=0.02,
        density=[300, 130],
    )
    assert by_volume.mass == 730
    assert by_volume.volume == pytest.approx(3.0)


def test_a_ratio_of_sums_is_not_a_mean_of_ratios():
    found = carbon_to_nitrogen([100, 100], [0.2, 0.86], [0.44, 0.45], [0.03, 0.0057])
    assert found != pytest.approx((0.44 / 0.03 + 0.45 / 0.0057) / 2, rel=0.05)


def test_losses_as_a_range_keep_their_order():
    made = finish(
        mix([500.0], **green),
        dry_loss=[0.3, 0.45, 0.6],
        carbon_loss=[0.4, 0.5, 0.65],
        nitrogen_loss=[0.1, 0.25, 0.4],
        dry_matter=0.45,
        density=650,
    )
    assert np.all(np.diff(made.volume) < 0)
    assert made.carbon_to_nitrogen.shape == (3,)
    assert np.all(np.diff(fresh_for_one(1.0, made.volume)) > 0)


def test_dry_feedstock_needs_water_added():
    straw = mix([100.0], dry_matter=[0.86], carbon=[0.45], nitrogen=[0.006], density=[130.0])
    made = finish(straw, dry_loss=0.3, carbon_loss=0.3, nitrogen_loss=0.0, dry_matter=0.4, density=500)
    assert float(made.water_lost) < 0


def test_a_window_holds_its_ends():
    assert [beside_window(value, 25, 30) for value in (24.9, 25, 30, 30.1)] == [
        "below",
        "within",
        "within",
        "above",
    ]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (
            lambda: carbon_to_nitrogen([1], [0.2], [0.0], [0.03]),
            "there is no carbon in this mix: a C:N of 0 is no compost",
        ),
        (
            lambda: carbon_to_nitrogen([1], [0.2], [0.4], [0.0]),
            "the nitrogen of the mix must be above 0; 0 is not",
        ),
        (lambda: nitrogen_share(0.4, 0), "C:N must be above 0; 0 is not"),
        (lambda: mix([], **green), "there is nothing in this heap; give at least one feedstock"),
        (lambda: mix([-5], **green), "the mass of a feedstock must be above 0; -5 is not"),
        (
            lambda: mix([5], dry_matter=[0.2], carbon=[0.9], nitrogen=[0.2], density=[500]),
            "carbon and nitrogen together are more than the dry mass",
        ),
        (lambda: volume_by_rule(1, 55), "the loss of volume is a share of 0 to 1; 55 is not"),
        (lambda: beside_window(1, 3, 2), "a window goes from low to high; 3 to 2 does not"),
    ],
)
def test_nonsense_is_refused_in_one_clear_line(call, message):
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole message is compared below
        call()
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("losses", "message"),
    [
        ((1.0, 1.0, 1.0), "all of the dry mass cannot be lost: nothing would be left to spread"),
        ((0.1, 0.6, 0.1), "more carbon and nitrogen .* would be lost than dry mass; the losses disagree"),
        ((0.6, 0.0, 0.0), "more carbon and nitrogen .* would be kept than dry mass; the losses disagree"),
    ],
)
def test_losses_that_disagree_are_refused(losses, message):
    dry_loss, carbon_loss, nitrogen_loss = losses
    with pytest.raises(ValueError, match=message):
        finish(
            mix([500.0], **green),
            dry_loss=dry_loss,
            carbon_loss=carbon_loss,
            nitrogen_loss=nitrogen_loss,
            dry_matter=0.45,
            density=650,
        )
