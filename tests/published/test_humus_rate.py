"""Yearly decay of humus taken as one pool, against the example in print.

Mary & Guerif (1994), as printed on INRAE's page on its long-term compost trial (read): 11 deg C, 150 g/kg
clay and no lime give 0.0206 a year. Half of the last printed digit is the tolerance; 0.020571 is worked
arithmetic.
"""

import pytest

from somsim.climate.factor import humus_rate_single_pool


def test_example_in_print():
    rate = float(humus_rate_single_pool(11.0, 150.0, 0.0))
    assert rate == pytest.approx(0.0206, abs=0.00005)
    assert rate == pytest.approx(0.020571, abs=0.0000005)


def test_lime_slows_it_as_the_equation_says():
    # Worked arithmetic: 0.03 / 1.75 / 1.3 at 10 deg C, 150 g/kg clay, 200 g/kg lime.
    assert float(humus_rate_single_pool(10.0, 150.0, 200.0)) == pytest.approx(0.0131868, abs=1e-7)
