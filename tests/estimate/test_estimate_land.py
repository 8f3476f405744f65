import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.estimate.land import (
    area_ratio,
    feed_land,
    harvest_given_up,
    layer_content,
    layer_from_land,
    ratio_from_share,
    share_from_ratio,
    yield_to_compost,
)

compost = {"density": 600.0, "dry_matter": 0.60, "content": 0.40}
depths = st.floats(0.001, 0.2)


@given(depths, st.floats(0.1, 3.0), st.floats(0.0, 0.9))
def test_the_land_for_a_layer_feeds_that_layer(depth, dry_yield, loss):
    brought = yield_to_compost(dry_yield, content=0.9, loss=loss)
    ratio = area_ratio(layer_content(depth, **compost), brought)
    assert float(layer_from_land(ratio, brought=brought, **compost)) == pytest.approx(depth)


@given(depths, st.floats(1.0, 10.0))
def test_a_deeper_layer_takes_land_in_proportion(depth, times):
    one, many = (area_ratio(layer_content(each, **compost), 0.5) for each in (depth, depth * times))
    assert float(many) == pytest.approx(float(one) * times)


@given(st.floats(0.0, 0.99))
def test_shares_and_ratios_of_land_are_one_thing(part):
    assert float(share_from_ratio(ratio_from_share(part))) == pytest.approx(part)


def test_the_scarcer_of_the_two_decides():
    both = feed_land([3.6, 3.6], [0.1, 0.5], brought_organic=0.5, brought_nitrogen=0.02)
    assert both.larger.tolist() == pytest.approx([7.2, 25.0])


def test_what_it_would_have_grown_is_area_times_yield():
    assert harvest_given_up([10, 20], 4.5).tolist() == [45, 90]


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: ratio_from_share(1.0), "with all land under the cover there are no beds to feed"),
        (lambda: ratio_from_share(60), "the share of land is a share of 0 to 1; 60 is not"),
        (lambda: area_ratio(3.6, 0), "what the cover brings must be above 0; 0 is not"),
        (lambda: layer_content(-0.01, **compost), "the depth must be above 0; -0.01 is not"),
        (lambda: harvest_given_up(-1, 4), "the area cannot be negative; -1 is"),
    ],
)
def test_nonsense_is_refused_in_one_clear_line(call, message):
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole message is compared below
        call()
    assert str(caught.value) == message
