"""Supply against demand, without 0/0, and months that are watered."""

import numpy as np
import pytest

from somsim.climate.water import supply_ratio, water_factor, watered_ratio


def test_no_demand_is_wet_with_or_without_rain():
    assert [float(ratio) for ratio in supply_ratio([0.0, 40.0], 0.0)] == [1.25, 1.25]


def test_no_supply_is_dry_where_something_is_asked():
    assert float(supply_ratio(0.0, 60.0)) == 0.0


def test_hardly_any_demand_does_not_overflow():
    assert float(supply_ratio(50.0, 1e-310)) == 1.25


def test_own_cap_is_used():
    np.testing.assert_allclose(supply_ratio([50.0, 200.0], 100.0, most=1.5), [0.5, 1.5])


def test_whole_numbers_do_not_truncate():
    np.testing.assert_allclose(supply_ratio([30, 90, 0], [60, 60, 0]), [0.5, 1.25, 1.25])


@pytest.mark.parametrize("bad", [-1.0, float("nan"), float("inf")])
def test_amounts_that_cannot_be_are_refused(bad):
    with pytest.raises(ValueError, match="supply must be 0 mm or more"):
        supply_ratio(bad, 50.0)
    with pytest.raises(ValueError, match="demand must be 0 mm or more"):
        supply_ratio(50.0, bad)


def test_wetter_is_faster_up_to_the_cap():
    assert np.all(np.diff(water_factor(np.linspace(0.0, 1.25, 50))) > 0.0)


def test_watering_never_dries():
    ratio = np.linspace(0.0, 1.25, 26)
    wet = watered_ratio(ratio, 1.0, supply=0.9)
    np.testing.assert_allclose(wet, np.maximum(ratio, 0.9))
    assert np.all(watered_ratio(ratio, 0.4, supply=0.9) >= ratio)


def test_watered_share_lies_between():
    # Ten of thirty days at 0.9, twenty at 0.3 (worked arithmetic).
    assert float(watered_ratio(0.3, 1 / 3, supply=0.9)) == pytest.approx(0.5, abs=1e-12)
    assert float(watered_ratio(0.3, 0.0, supply=0.9)) == pytest.approx(0.3, abs=1e-12)


@pytest.mark.parametrize("bad", [-0.1, 1.1, float("nan")])
def test_share_outside_0_to_1_is_refused(bad):
    with pytest.raises(ValueError, match="share of the month"):
        watered_ratio(0.5, bad, supply=0.9)
