"""Edges of the temperature responses: cold ends, hot ends, refusals, shapes."""

import numpy as np
import pytest

from somsim.climate.temperature import RESPONSES, ipcc_2019, lloyd_taylor, q10, quadratic


@pytest.mark.parametrize("name", sorted(RESPONSES))
def test_defined_from_deep_frost_to_desert(name):
    temperature = np.linspace(-90.0, 60.0, 301)
    speed = RESPONSES[name](temperature)
    assert speed.shape == temperature.shape
    assert np.all(np.isfinite(speed))
    assert np.all(speed >= 0.0)


@pytest.mark.parametrize("name", sorted(RESPONSES))
def test_faster_when_warmer_up_to_30(name):
    assert np.all(np.diff(RESPONSES[name](np.arange(-3.0, 31.0))) > 0.0)


def test_lloyd_taylor_ends_at_its_own_cold_limit():
    assert [float(value) for value in lloyd_taylor([-46.02, -60.0])] == [0.0, 0.0]


def test_own_constants_are_used():
    # The peak moves with `best` and the end with `highest`; q10 of 3 gives 3 for 10 degrees.
    assert float(ipcc_2019(30.7, best=30.7)) == pytest.approx(1.0, abs=1e-12)
    assert float(ipcc_2019(42.0, highest=41.0)) == 0.0
    assert float(q10(25.0, factor=3.0, reference=15.0)) == pytest.approx(3.0, abs=1e-12)
    assert float(quadratic(0.0, lowest=-10.0, reference=10.0)) == pytest.approx(0.25, abs=1e-12)


@pytest.mark.parametrize(
    "call",
    [
        lambda: ipcc_2019(10.0, best=45.0, highest=45.0),
        lambda: quadratic(10.0, lowest=30.0, reference=30.0),
        lambda: q10(10.0, factor=0.0),
    ],
)
def test_constants_that_cannot_be_are_refused(call):
    with pytest.raises(ValueError, match="above"):
        call()


def test_registry_cannot_be_changed():
    with pytest.raises(TypeError):
        RESPONSES["mine"] = q10
