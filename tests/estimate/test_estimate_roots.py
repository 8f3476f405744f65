import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.estimate.roots import (
    beta_from_share,
    disagreement,
    exudate_inflow,
    measured_ratio,
    root_carbon,
    share_above,
    to_layer,
)

betas = st.floats(0.80, 0.99)
depths = st.floats(0.05, 1.5)
ratios = st.floats(0.01, 2.0)
given_off = st.floats(0.0, 1.5)


@given(betas, depths)
def test_a_share_and_its_beta_are_one_distribution(beta, depth):
    part = float(share_above(depth, beta))
    if part < 0.999:
        assert float(beta_from_share(part, depth)) == pytest.approx(beta, rel=1e-9)


def test_all_roots_lie_above_no_bottom():
    assert share_above(math.inf, 0.961) == 1
    assert share_above(0, 0.961) == 0


@given(ratios, depths, betas, given_off)
def test_a_ratio_already_in_the_definition_stays_as_it_is(ratio, depth, beta, exudates):
    found = to_layer(ratio, depth=depth, layer=depth, beta=beta, exudates=exudates, includes_exudates=True)
    assert float(found.in_layer) == pytest.approx(ratio)


@given(ratios, depths, depths, betas, given_off)
def test_down_and_back_up_again_is_the_same_ratio(ratio, depth, layer, beta, exudates):
    once = to_layer(ratio, depth=depth, layer=layer, beta=beta, exudates=exudates, includes_exudates=False)
    back = to_layer(
        once.in_layer, depth=layer, layer=depth, beta=beta, exudates=exudates, includes_exudates=True
    )
    assert float(back.structural) == pytest.approx(ratio)


@given(ratios, depths, betas, given_off)
def test_layer_and_below_together_are_all_roots(ratio, layer, beta, exudates):
    found = to_layer(
        ratio, depth=math.inf, layer=layer, beta=beta, exudates=exudates, includes_exudates=False
    )
    assert float(found.structural + found.structural_below) == pytest.approx(ratio)
    assert float(found.exudates + found.exudates_below) == pytest.approx(ratio * exudates, abs=1e-12)


def test_a_deeper_layer_holds_more_and_arrays_keep_their_shape():
    layers = np.array([0.1, 0.2, 0.3])
    found = to_layer(0.4, depth=0.2, layer=layers, beta=0.961, exudates=0.65, includes_exudates=False)
    assert found.in_layer.shape == found.exudates_below.shape == (3,)
    assert np.all(np.diff(found.in_layer) > 0)


def test_structure_counts_once_and_exudates_follow_every_cut():
    ratio = to_layer(0.5, depth=0.2, layer=0.2, beta=0.94, exudates=0.6, includes_exudates=False)
    one = root_carbon(ratio, largest_standing=0.3, total_growth=0.3, carbon=0.45)
    three = root_carbon(ratio, largest_standing=0.3, total_growth=0.9, carbon=0.45)
    assert float(three.structural) == float(one.structural) == pytest.approx(0.5 * 0.3 * 0.45)
    assert float(three.exudates) == pytest.approx(3 * float(one.exudates))
    assert float(exudate_inflow(three.exudates, 0.5)) == pytest.approx(2 * float(three.exudates))


def test_own_measurement_is_used_as_a_ratio():
    assert float(measured_ratio(0.06, 0.24)) == 0.25


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: share_above(-0.1, 0.96), "a depth cannot be negative"),
        (lambda: share_above(0.1, 1.0), "beta lies between 0 and 1; at 1 the roots would never end"),
        (lambda: beta_from_share(1.0, 0.2), "some roots lie deeper: a share of 1 gives no distribution"),
        (lambda: measured_ratio(0.1, 0), "shoot mass must be above 0; 0 is not"),
        (lambda: disagreement([]), "there is no ratio to compare"),
        (
            lambda: to_layer(0.4, depth=0, layer=0.2, beta=0.96, exudates=0.5, includes_exudates=False),
            "roots to a depth of 0 are none; give the depth of the roots and of the layer",
        ),
        (
            lambda: to_layer(-0.4, depth=0.2, layer=0.2, beta=0.96, exudates=0.5, includes_exudates=False),
            "the root ratio cannot be negative; -0.4 is",
        ),
    ],
)
def test_nonsense_is_refused_in_one_clear_line(call, message):
    with pytest.raises(ValueError) as caught:  # noqa: PT011 - the whole message is compared below
        call()
    assert str(caught.value) == message


def test_more_cannot_stand_than_grew():
    ratio = to_layer(0.5, depth=0.2, layer=0.2, beta=0.94, exudates=0.6, includes_exudates=False)
    with pytest.raises(ValueError, match="more cannot have stood at once than grew in all"):
        root_carbon(ratio, largest_standing=0.5, total_growth=0.3, carbon=0.45)
