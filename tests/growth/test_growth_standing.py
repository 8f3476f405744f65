import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from somsim.growth.standing import (
    ceiling_mass,
    gain_while_alive,
    killed_by_frost,
    logistic_shape,
    magnified,
    share_grown,
    sowing_share,
    standing_mass,
)

# The judged ranges of the shape: half at 0.45-0.65 of the window, 0.01-0.06 of the mass at a tenth of it.
HALF = st.floats(0.45, 0.65)
EARLY = st.floats(0.01, 0.06)
WARMTH = st.lists(st.floats(-50, 5000), min_size=2, max_size=40)


@given(HALF, EARLY)
def test_the_curve_passes_its_three_points_over_the_whole_judged_range(half, early):
    shape = logistic_shape(half, 0.10, early)
    np.testing.assert_allclose(share_grown([0.10, half, 1.0], shape), [early, 0.5, 1.0], rtol=1e-9)


def test_equal_steps_have_a_closed_form():
    # Worked arithmetic: with 0.10, 0.55 and 1 in equal steps of 0.45 the reciprocals 100/3, 2 and 1 make
    # e^(0.45 s) = (100/3 - 2) / (2 - 1).
    steepness = float(logistic_shape(0.55, 0.10, 0.03).steepness)
    assert steepness == pytest.approx(np.log(94 / 3) / 0.45, rel=1e-12)


def test_shapes_of_many_draws_at_once_are_those_of_each():
    half, early = np.array([0.45, 0.55, 0.65]), np.array([0.06, 0.03, 0.01])
    together = share_grown(0.3, logistic_shape(half, 0.10, early))
    apart = [float(share_grown(0.3, logistic_shape(h, 0.10, e))) for h, e in zip(half, early, strict=True)]
    assert together.tolist() == apart


@pytest.mark.parametrize(
    ("half", "early_at", "early"), [(0.55, 0.6, 0.03), (1.0, 0.1, 0.03), (0.55, 0.1, 0.5), (0.9, 0.1, 0.3)]
)
def test_points_on_no_levelling_curve_are_refused(half, early_at, early):
    with pytest.raises(ValueError, match=r"needs|no logistic|never levels off"):
        logistic_shape(half, early_at, early)


@given(HALF, EARLY, WARMTH, st.floats(0, 3), st.floats(10, 3000), st.floats(100, 3000))
def test_never_negative_never_past_its_ceiling_never_falling(half, early, warmth, mass, known_at, window):
    shape = logistic_shape(half, 0.10, early)
    known = {"mass": mass, "at_degree_days": known_at, "window": window, "shape": shape}
    grown = standing_mass(np.sort(warmth), **known)
    assert np.all(grown >= 0)
    assert np.all(grown <= float(ceiling_mass(**known)) * (1 + 1e-12))
    assert np.all(np.diff(grown) >= 0)
    assert np.all(grown[np.sort(warmth) <= 0] == 0)


@given(HALF, EARLY, st.floats(0.01, 3), st.floats(10, 3000), st.floats(100, 3000))
def test_the_curve_passes_through_the_growers_own_sample(half, early, mass, known_at, window):
    shape = logistic_shape(half, 0.10, early)
    again = standing_mass(known_at, mass=mass, at_degree_days=known_at, window=window, shape=shape)
    assert float(again) == pytest.approx(mass, rel=1e-12)


def test_a_young_sample_is_carried_up_more_than_a_late_one():
    shape = logistic_shape(0.55, 0.10, 0.03)
    young, half, late = magnified([100.0, 550.0, 1000.0], window=1000.0, shape=shape)
    assert young > half > late == pytest.approx(1.0)


def test_known_mass_before_sowing_or_negative_is_refused():
    shape = logistic_shape(0.55, 0.10, 0.03)
    with pytest.raises(ValueError, match="after sowing"):
        standing_mass(100.0, mass=0.3, at_degree_days=0.0, window=1000.0, shape=shape)
    with pytest.raises(ValueError, match="negative"):
        standing_mass(100.0, mass=-0.3, at_degree_days=500.0, window=1000.0, shape=shape)


def test_frost_kills_once_and_only_what_stands():
    lowest = np.array([[-9.0, -2.0, -5.0, -6.0, 8.0]])
    stands = [False, True, True, True, True]
    dead = killed_by_frost(lowest, [[-5.0], [-np.inf]], stands)
    assert dead.tolist() == [[False, False, False, True, True], [False] * 5]
    assert gain_while_alive([2.0, 2.0, 2.0, 2.0, 2.0], dead).tolist() == [[2, 2, 2, 0, 0], [2, 2, 2, 2, 2]]


def test_sowing_share_keeps_the_printed_figures_and_makes_up_none():
    row = {"days": [213, 227, 244], "amounts": [1250.0, 750.0, 500.0]}
    assert sowing_share([213, 227, 244], 213, **row).tolist() == pytest.approx([1.0, 0.6, 0.4])
    assert float(sowing_share(220, 227, **row)) == pytest.approx(np.sqrt(1250 / 750))
    for day in (212, 245):
        with pytest.raises(ValueError, match="213 to 244"):
            sowing_share(day, 227, **row)
    with pytest.raises(ValueError, match="above 0"):
        sowing_share(220, 227, days=[213, 227], amounts=[1250.0, 0.0])
