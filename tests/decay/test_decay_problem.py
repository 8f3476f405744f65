"""What happens in which order at a boundary, and what a problem refuses."""

from dataclasses import replace

import numpy as np
import pytest

from somsim.decay import Addition, Inflow, Problem, Transfer, balance, exact, solve

# Nothing decays, so that what is recorded shows the order of events and nothing else.
FROZEN = Problem(
    years=np.ones(3),
    pattern=np.zeros(3, dtype=np.int64),
    surface_rate=np.zeros((1, 1, 1)),
    residue_rate=np.zeros((1, 1, 1)),
    humus_rate=np.zeros((1, 1, 1)),
    humified=np.full((1, 1), 0.2),
    inflow=(),
    start=np.zeros((3, 2, 1)),
    additions=(),
    transfers=(),
    record=np.arange(4),
)
ONE = np.ones(1)


def test_a_record_is_taken_before_the_additions_of_its_day():
    problem = replace(FROZEN, additions=(Addition(0, 0, 1, ONE), Addition(2, 0, 2, ONE)))
    stocks = solve(problem)
    assert stocks.residue[:, 0, 0].tolist() == [0.0, 1.0, 1.0, 1.0]
    assert stocks.humus[:, 0, 0].tolist() == [0.0, 0.0, 0.0, 1.0]
    assert stocks.added[:, 0, 0].tolist() == [0.0, 1.0, 1.0, 2.0]


@pytest.mark.parametrize("engine", ["exact", "ivp"])
def test_what_is_dated_at_the_last_boundary_is_never_made(engine):
    last_day = replace(FROZEN, additions=(Addition(3, 0, 1, ONE),), transfers=(Transfer(3, np.array([0])),))
    stocks = solve(last_day, engine=engine)
    assert stocks.residue[-1, 0, 0] == 0.0
    assert stocks.added[-1, 0, 0] == 0.0


def test_digging_in_comes_after_the_spread_of_the_same_day():
    spread, dig = Addition(1, 1, 0, 4.0 * ONE), Transfer(1, np.array([1]), share=0.75)
    stocks = solve(replace(FROZEN, additions=(spread,), transfers=(dig,)))
    assert stocks.surface[:, 1, 0].tolist() == [0.0, 0.0, 1.0, 1.0]
    assert stocks.residue[:, 1, 0].tolist() == [0.0, 0.0, 3.0, 3.0]
    assert not stocks.surface[:, 0].any()


def test_inflow_runs_up_to_its_last_boundary():
    stocks = solve(replace(FROZEN, inflow=(Inflow(1, 2, 0, 0.5 * ONE),)))
    assert stocks.residue[:, 0, 0].tolist() == [0.0, 0.0, 0.5, 0.5]
    assert stocks.added[:, 0, 0].tolist() == [0.0, 0.0, 0.5, 0.5]


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"years": np.array([1.0, 0.0, 1.0])}, "years: must be one axis"),
        ({"years": np.ones(2)}, "pattern: axis span is 3 long, not 2"),
        ({"years": np.array([1.0, 1.0, 2.0])}, "same pattern must have the same length"),
        ({"pattern": np.array([0, 0, 1])}, "surface_rate: axis pattern is 1 long, not 2"),
        ({"pattern": np.zeros(3)}, "pattern: must be an array of whole numbers"),
        ({"residue_rate": np.zeros((1, 3, 1))}, "residue_rate: axis lane is 3 long, not 2"),
        ({"humus_rate": np.zeros((1, 1, 2))}, "humus_rate: axis draw is 2 long, not 1"),
        ({"humus_rate": np.full((1, 1, 1), -0.1)}, "humus_rate: must be finite and 0 or more"),
        ({"surface_rate": np.full((1, 1, 1), np.nan)}, "surface_rate: must be finite and 0 or more"),
        ({"surface_rate": np.zeros((1, 1))}, "surface_rate: has 2 axes, not 3"),
        ({"humified": np.full((1, 1), 0.96)}, "humified: 0.96 is more than 0.95"),
        ({"start": np.zeros((2, 2, 1))}, "start: must be"),
        ({"additions": (Addition(4, 0, 1, ONE),)}, "addition: boundary 4 is not in 0 to 3"),
        ({"additions": (Addition(0, 2, 1, ONE),)}, "addition: lane 2 is not one of 2"),
        ({"additions": (Addition(0, 0, 3, ONE),)}, "addition: stock 3 is not"),
        ({"additions": (Addition(0, 0, 1, -ONE),)}, "addition amount: must be finite and 0 or more"),
        ({"additions": (Addition(0, 0, 1, np.ones(2)),)}, "addition amount: axis draw is 2 long, not 1"),
        ({"inflow": (Inflow(2, 2, 0, ONE),)}, "inflow: 2 to 2 is not a stretch"),
        ({"transfers": (Transfer(0, np.array([0, 0])),)}, "a lane is named twice"),
        ({"transfers": (Transfer(0, np.array([2])),)}, "transfer lanes: must lie between 0 and 1"),
        ({"transfers": (Transfer(0, np.array([0]), 1.1),)}, "transfer: share 1.1"),
        ({"record": np.array([0, 4])}, "record: must lie between 0 and 3"),
        ({"record": np.array([1, 1])}, "record: axis time must rise"),
    ],
)
def test_what_cannot_be_is_refused_with_its_name_and_axis(change, message):
    with pytest.raises(ValueError, match=message):
        replace(FROZEN, **change)


def test_unknown_engine_names_both():
    with pytest.raises(ValueError, match=r'"euler" is neither "exact" nor "ivp"'):
        solve(FROZEN, engine="euler")


def test_a_block_has_at_least_one_draw():
    with pytest.raises(ValueError, match="block: 0 is below 1"):
        exact.solve(FROZEN, block=0)


def test_lost_carbon_is_found():
    stocks = solve(replace(FROZEN, start=np.ones((3, 2, 1))))
    lossy = replace(stocks, humus=stocks.humus * (1.0 - 1e-11))
    with pytest.raises(ArithmeticError, match="does not close"):
        balance.check(lossy)
    with pytest.raises(ArithmeticError, match="does not close: nan"):
        balance.check(replace(stocks, humus=stocks.humus * np.nan))


def test_carbon_from_nothing_is_found():
    stocks = solve(FROZEN)
    assert balance.imbalance(stocks) == 0.0
    assert balance.imbalance(replace(stocks, humus=stocks.humus + 1e-9)) == np.inf
