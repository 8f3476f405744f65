import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.growth.stage import between_stages, stage_at

AT = [0.6, 1.0, 1.5]
# Vetch: University of California Santa Cruz, Teaching Organic Farming & Gardening, unit 1.6: annual legumes
# 3.5-4 % nitrogen before flower, 3-3.5 % at flower (read); the last is general (remembered).
NITROGEN = [0.037, 0.032, 0.020]


def test_stages_begin_on_their_share():
    assert stage_at([0.0, 0.99, 1.0, 1.49, 1.5], flower_at=1.0, mature_at=1.5).tolist() == [
        "vegetative",
        "vegetative",
        "flower",
        "flower",
        "mature",
    ]
    assert stage_at(1.2, flower_at=[1.0, 1.3], mature_at=1.5).tolist() == ["flower", "vegetative"]


def test_maturity_before_flower_is_refused():
    with pytest.raises(ValueError, match="after flower"):
        stage_at(1.0, flower_at=1.0, mature_at=1.0)


def test_values_hold_at_their_stage_and_level_off_beyond():
    assert between_stages([0.0, *AT, 9.0], stages_at=AT, values=NITROGEN).tolist() == pytest.approx(
        [0.037, *NITROGEN, 0.020]
    )


@given(st.floats(0, 3), st.lists(st.floats(0.01, 3), min_size=3, max_size=3))
def test_never_outside_the_known_values(share, values):
    found = float(between_stages(share, stages_at=AT, values=values))
    assert min(values) * (1 - 1e-12) <= found <= max(values) * (1 + 1e-12)


def test_draws_of_the_values_broadcast_against_cuts():
    draws = np.array([NITROGEN, [0.02, 0.01, 0.005]])
    found = between_stages(np.array([[0.6], [1.25]]), stages_at=AT, values=draws)
    np.testing.assert_allclose(found, [[0.037, 0.02], [0.026, 0.0075]], rtol=1e-12)


@pytest.mark.parametrize(
    ("at", "values"), [([0.6, 0.6], [1.0, 2.0]), ([0.6, 1.0], [1.0]), ([0.6, 1.0], [1.0, np.nan])]
)
def test_unusable_stages_are_refused(at, values):
    with pytest.raises(ValueError, match=r"rise|left out"):
        between_stages(0.8, stages_at=at, values=values)
