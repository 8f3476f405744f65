"""Ranges carried through a formula, and what is read from options."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from somsim.draws import value_at
from somsim.errors import InputError
from somsim.library import read_library
from somsim.study.envelope import Figure, combined, exact, read_amount, typed_range, watches

factors = st.tuples(st.floats(0.1, 100), st.floats(1.01, 3), st.floats(1.01, 3)).map(
    lambda one: Figure(one[0], one[0] / one[1], one[0] * one[2], "ratio")
)


def product(given):
    return {"y": float(np.prod(list(given.values())))}


def test_a_product_has_the_middle_90_percent_of_many_draws():
    # The peer is brute force: 200,000 draws of each factor by the rule that plans are drawn by (the ends at the 5 and
    # 95 % points).  That rule cuts each factor at three standard scores and is not quite smooth at its best value:
    # 3 % of an end that lies 40 % and more from the middle.
    parts = {"a": Figure(600, 450, 750, "ratio"), "b": Figure(0.6, 0.45, 0.7, "ratio"), "c": Figure(2, 1, 4, "ratio")}
    scores = np.random.default_rng(3).standard_normal((3, 200_000))
    drawn = [value_at(score, one.low, one.best, one.high) for score, one in zip(scores, parts.values(), strict=True)]
    many = np.prod(drawn, axis=0)
    found = combined(product, parts, {"y": "ratio"})["y"]
    assert (found.low, found.high) == pytest.approx(tuple(np.quantile(many, [0.05, 0.95])), rel=0.03)


@settings(deadline=None)
@given(st.lists(factors, min_size=1, max_size=4))
def test_the_best_value_is_the_formula_of_the_best_and_lies_inside(parts):
    found = combined(product, {str(n): one for n, one in enumerate(parts)}, {"y": "ratio"})["y"]
    assert found.best == pytest.approx(np.prod([one.best for one in parts]))
    assert 0 < found.low < found.best < found.high


@settings(deadline=None)
@given(factors, st.integers(2, 6))
def test_equal_factors_widen_with_the_root_of_their_number(one, count):
    # Worked arithmetic: variances of logarithms add, so n equal factors are sqrt(n) times as wide.
    found = combined(product, {str(n): one for n in range(count)}, {"y": "ratio"})["y"]
    assert np.log(found.high / found.best) == pytest.approx(np.sqrt(count) * np.log(one.high / one.best))


def test_a_sum_below_nought_is_carried_as_it_is():
    wide = Figure(0.0, -1.0, 2.0, "ratio")
    found = combined(lambda x: {"y": x["a"] + x["b"]}, {"a": wide, "b": exact(1.0, "ratio")}, {"y": "ratio"})["y"]
    assert (found.low, found.best, found.high) == pytest.approx((0.0, 1.0, 3.0))


def test_an_end_that_cannot_be_is_left_out():
    def formula(x):
        if x["a"] > 1:
            raise ValueError("too much")
        return {"y": x["a"]}

    found = combined(formula, {"a": Figure(0.8, 0.5, 1.2, "share")}, {"y": "share"})["y"]
    assert (found.low, found.high) == pytest.approx((0.5, 0.8))


@pytest.mark.parametrize(
    ("text", "dimension", "said"),
    [
        ("-2 m2", "area", '--x "-2 m2": an area cannot be negative\n  for example 0.5 m2'),
        ("0 kg", "mass", '--x "0 kg": a mass must be more than 0\n  for example 2.3 kg'),
        ("170 %", "share", '--x "170 %": a share of a whole is at most 100 %\n  for example 17 %; is the unit right?'),
        ("3", "mass", '--x "3": a bare number; say the unit, e.g. 3 kg'),
        ("3 m", "mass", '--x "3 m": m is a length; here a mass is needed: kg, g, lb'),
    ],
)
def test_what_cannot_be_is_refused_with_the_option_and_what_would_do(text, dimension, said):
    with pytest.raises(InputError) as caught:
        read_amount("--x", text, dimension)
    assert str(caught.value) == f"{said}\n1 mistake; nothing was estimated."


def test_a_range_is_typed_as_a_plan_takes_it():
    assert typed_range(Figure(0.77, 0.5708, 0.9706, "mass_per_area"), "t/ha", 0.1) == "5.71 to 9.71 t/ha"


def test_cautions_of_health_come_with_their_tags_the_most_serious_first():
    found = [one.id for one in watches(read_library(), {"heap", "dust", "spreading by hand"})]
    assert found == ["legionella", "spores", "lifting"]
