"""The divided differences against 400-digit arithmetic of the decimal module, at every limit they promise."""

from decimal import Decimal, localcontext

import numpy as np
import pytest

from somsim.decay import equations

# From frozen ground to far faster than any span holds, with pairs that meet, nearly meet, and straddle 1
# (where the series hands over to the quotient).
NUMBERS = [0.0, 1e-30, 1e-12, 3e-5, 0.02, 0.3, 0.7, 0.9999999, 1.0, 1.0000001, 1.4, 2.7, 9.0, 60.0, 700.0]
PAIRS = [(a, b) for a in NUMBERS for b in NUMBERS]
PAIRS += [(a * (1.0 + gap), a) for a in NUMBERS[2:] for gap in (2.3e-16, 1e-13, 1e-9, 1e-6, 1e-3, 0.4)]
# Rounding is 1.1e-16. Sums of some twenty terms and one subtraction that keeps a third: a few of those.
TOLERANCE = 2e-15


def divided_difference(*points: float) -> float:
    """Of e^-z, times (-1)^order: the plain quotients, with points that meet moved apart by 1e-70."""
    with localcontext() as context:
        context.prec = 400
        z = [Decimal(point) + index * Decimal("1e-70") for index, point in enumerate(sorted(points))]
        values = [(-point).exp() for point in z]
        for order in range(1, len(z)):
            values = [(values[i] - values[i + 1]) / (z[i + order] - z[i]) for i in range(len(values) - 1)]
        return float(values[0])


@pytest.mark.parametrize(
    ("function", "points"),
    [
        (equations.first_difference_between, lambda a, b: (a, b)),
        (equations.second_difference, lambda a, b: (0.0, a, b)),
        (equations.third_difference, lambda a, b: (0.0, 0.0, a, b)),
    ],
)
def test_differences_of_two_rates_keep_their_digits(function, points):
    a, b = (np.array(values) for values in zip(*PAIRS, strict=True))
    expected = np.array([divided_difference(*points(*pair)) for pair in PAIRS])
    np.testing.assert_allclose(function(a, b), expected, rtol=TOLERANCE, atol=0.0)


def test_differences_of_one_rate_keep_their_digits():
    a = np.array(NUMBERS)
    expected = np.array([divided_difference(0.0, value) for value in NUMBERS])
    np.testing.assert_allclose(equations.first_difference(a), expected, rtol=TOLERANCE, atol=0.0)
    left = np.array([divided_difference(value) for value in NUMBERS])
    np.testing.assert_allclose(equations.share_left(a), left, rtol=TOLERANCE, atol=0.0)


def test_one_element_has_the_same_bits_in_any_company():
    """Numpy takes an array several elements at a time; its place must not show in its last bit."""
    rng = np.random.default_rng(20)
    a, b = rng.uniform(0.0, 3.0, 211), rng.uniform(0.0, 3.0, 211)
    for order in ("first_difference_between", "second_difference", "third_difference"):
        function = getattr(equations, order)
        alone = np.array([float(function(x, y)) for x, y in zip(a, b, strict=True)])
        for cut in (1, 2, 7, 64, 210):
            pieces = np.concatenate([function(a[:cut], b[:cut]), function(a[cut:], b[cut:])])
            assert np.array_equal(pieces, alone)


def test_chain_closes_in_its_equations():
    """What left the residue is in humus or respired: 1 - e^-a = a e2(a, b) + a b psi(a, b), to rounding."""
    a, b = (np.array(values) for values in zip(*PAIRS, strict=True))
    there = a * equations.first_difference_between(a, b) + a * b * equations.second_difference(a, b)
    np.testing.assert_allclose(there, equations.share_gone(a), rtol=TOLERANCE, atol=0.0)


def test_no_steady_stock_without_decay():
    with pytest.raises(ValueError, match="no steady stock"):
        equations.steady_residue(1.0, [0.5, 0.0])
    with pytest.raises(ValueError, match="no steady stock"):
        equations.steady_humus(1.0, humified=0.2, humus_decay=0.0)
    with pytest.raises(ValueError, match="nothing becomes humus"):
        equations.inflow_to_hold(6.3, humified=0.0, humus_decay=0.02)
