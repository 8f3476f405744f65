"""What must hold of any problem whatever its numbers, in both engines: no carbon lost, linear, and so on."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from somsim.decay import Addition, Inflow, Problem, Transfer, balance, exact, ivp, solve
from somsim.decay.rounds import Proportions

FIELDS = ("surface", "residue", "humus", "decomposed", "humus_respired", "added")
# Frozen ground, equal rates and a very fast lane come up often, not once in a thousand.
RATES = st.sampled_from([0.0, 1e-9, 0.006, 0.8, 0.8, 2.1, 12.0]) | st.floats(0.0, 20.0)
# No carbon, or enough that the stepwise engine's absolute tolerance (1e-13 kg/m2) is beside the point.
CARBON = st.just(0.0) | st.floats(1e-3, 20.0)
HUMIFIED = st.sampled_from([0.0, 0.13, 0.95]) | st.floats(0.0, 0.95)


@st.composite
def problems(draw, most_spans=7):
    spans, patterns = draw(st.integers(1, most_spans)), draw(st.integers(1, 3))
    lanes, draws = draw(st.integers(1, 3)), draw(st.integers(1, 3))
    pattern = draw(arrays(np.int64, spans, elements=st.integers(0, patterns - 1)))
    lengths = draw(arrays(np.float64, patterns, elements=st.floats(0.01, 3.0)))

    def rate():
        shape = (patterns, draw(st.sampled_from([1, lanes])), draw(st.sampled_from([1, draws])))
        return draw(arrays(np.float64, shape, elements=RATES))

    def amount():
        return draw(arrays(np.float64, draw(st.sampled_from([1, draws])), elements=CARBON))

    lane, boundary = st.integers(0, lanes - 1), st.integers(0, spans)
    inflow = []
    for _ in range(draw(st.integers(0, 2))):
        first = draw(st.integers(0, spans - 1))
        inflow.append(Inflow(first, draw(st.integers(first + 1, spans)), draw(lane), amount()))
    stock = st.integers(0, 2)
    additions = [
        Addition(draw(boundary), draw(lane), draw(stock), amount()) for _ in range(draw(st.integers(0, 3)))
    ]
    transfers = [
        Transfer(draw(boundary), np.unique([draw(lane), draw(lane)]), draw(st.sampled_from([1.0, 0.4])))
        for _ in range(draw(st.integers(0, 2)))
    ]
    start = draw(st.sampled_from([0.0, 1.0])) * draw(arrays(np.float64, (3, lanes, draws), elements=CARBON))
    return Problem(
        years=lengths[pattern],
        pattern=pattern,
        surface_rate=rate(),
        residue_rate=rate(),
        humus_rate=rate(),
        humified=draw(arrays(np.float64, (lanes, draws), elements=HUMIFIED)),
        inflow=tuple(inflow),
        start=start,
        additions=tuple(additions),
        transfers=tuple(transfers),
        record=np.arange(spans + 1),
    )


def largest_difference(left, right):
    """Over all fields, as a share of the carbon handled so far by all lanes together."""
    handled = np.sum(left.start, axis=(0, 1)) + np.sum(left.added, axis=1)
    largest = 0.0
    for field in FIELDS:
        apart = np.max(np.abs(getattr(left, field) - getattr(right, field)), axis=1)
        assert not np.any(apart[handled == 0.0])
        largest = max(largest, float(np.max(apart[handled > 0.0] / handled[handled > 0.0], initial=0.0)))
    return largest


def twenty_years(draws=3, seed=7):
    """Twenty like years of twenty-four spans: what joining of stretches is for."""
    rng = np.random.default_rng(seed)
    spans, lanes = 24 * 20, 5
    first_spans = range(5, spans, 24)
    places = [(span, lane) for span in first_spans for lane in range(lanes)]
    pulses = [Addition(span, lane, lane % 3, rng.uniform(0, 1, draws)) for span, lane in places]
    return Problem(
        years=np.full(spans, 1 / 24),
        pattern=np.arange(spans) % 24,
        surface_rate=rng.uniform(0, 2, (24, lanes, draws)),
        residue_rate=rng.uniform(0, 4, (24, lanes, draws)),
        humus_rate=rng.uniform(0, 0.04, (24, 1, draws)),
        humified=rng.uniform(0.1, 0.5, (lanes, draws)),
        inflow=tuple(Inflow(span + 4, span + 12, 2, rng.uniform(0, 1, draws)) for span in first_spans[:-1]),
        start=rng.uniform(0, 5, (3, lanes, draws)),
        additions=tuple(pulses),
        transfers=tuple(Transfer(span, np.array([0, 3])) for span in first_spans),
        record=np.arange(0, spans + 1, 24),
    )


@given(problems())
def test_carbon_balance_closes(problem):
    assert balance.imbalance(exact.solve(problem)) <= 1e-12


@settings(max_examples=60, deadline=None)
@given(problems(most_spans=4))
def test_engines_agree_and_both_balance(problem):
    closed, stepwise = exact.solve(problem), ivp.solve(problem)
    assert largest_difference(closed, stepwise) <= 1e-8
    assert balance.imbalance(stepwise) <= 1e-12


def by_climate(problem):
    """The same problem with rates that differ only by a climate factor from span to span."""
    season = np.linspace(0.0, 2.0, len(problem.residue_rate))[:, np.newaxis, np.newaxis]
    names = ("surface_rate", "residue_rate", "humus_rate")
    return replace(problem, **{name: getattr(problem, name)[:1] * season for name in names})


@pytest.mark.parametrize("make", [lambda problem: problem, by_climate], ids=["any rates", "one climate"])
def test_engines_agree_where_years_repeat(make):
    problem = make(twenty_years())
    closed, stepwise = solve(problem), solve(problem, engine="ivp")
    assert largest_difference(closed, stepwise) <= 1e-8


def test_spans_are_taken_together_only_where_the_climate_alone_differs():
    problem = twenty_years()
    patterns = tuple(range(24))
    assert Proportions(by_climate(problem), slice(0, 4)).kept(patterns)
    assert not Proportions(problem, slice(0, 4)).kept(patterns)
    tilled = by_climate(problem)
    tilled.residue_rate[6, 4, 1] *= 1.0 + 1e-12
    assert not Proportions(tilled, None).kept(patterns)
    assert Proportions(tilled, None).kept(patterns[:6])


@given(problems(), st.floats(0.05, 0.95))
def test_splitting_spans_changes_nothing(problem, share):
    """Every span cut in two at some share of its length, each half with its own pattern."""
    patterns = int(problem.pattern.max()) + 1
    halves = np.stack([problem.pattern, problem.pattern + patterns], axis=1).ravel()
    rates = {
        name: np.concatenate([getattr(problem, name)[:patterns]] * 2)
        for name in ("surface_rate", "residue_rate", "humus_rate")
    }
    years = np.stack([problem.years * share, problem.years * (1.0 - share)], axis=1).ravel()
    split = replace(
        problem,
        years=years,
        pattern=halves,
        **rates,
        inflow=tuple(replace(flow, first=2 * flow.first, last=2 * flow.last) for flow in problem.inflow),
        additions=tuple(replace(addition, span=2 * addition.span) for addition in problem.additions),
        transfers=tuple(replace(transfer, span=2 * transfer.span) for transfer in problem.transfers),
        record=2 * problem.record,
    )
    assert largest_difference(exact.solve(problem), exact.solve(split)) <= 1e-12


def test_joining_stretches_changes_nothing():
    """Recording every boundary leaves nothing to join: the same years then go span by span."""
    joined = by_climate(twenty_years())
    singly = replace(joined, record=np.arange(joined.spans + 1))
    whole, parts = exact.solve(joined), exact.solve(singly)
    at_year_ends = replace(parts, **{field: getattr(parts, field)[joined.record] for field in FIELDS})
    assert largest_difference(whole, at_year_ends) <= 1e-12


@given(problems(), st.floats(0.01, 100.0))
def test_linear_in_what_comes_in(problem, times):
    """The start alone, and `times` the inputs alone, add up to the start with `times` the inputs."""
    more = tuple(replace(addition, amount=times * addition.amount) for addition in problem.additions)
    faster = tuple(replace(flow, amount=times * flow.amount) for flow in problem.inflow)
    both = exact.solve(replace(problem, additions=more, inflow=faster))
    start_alone = exact.solve(replace(problem, additions=(), inflow=()))
    inputs_alone = exact.solve(replace(problem, start=np.zeros_like(problem.start)))
    sums = {field: getattr(start_alone, field) + times * getattr(inputs_alone, field) for field in FIELDS}
    summed = replace(both, **sums)
    assert largest_difference(both, summed) <= 1e-12


@given(problems(), st.randoms(use_true_random=False))
def test_order_of_what_happens_on_one_day_is_of_no_matter(problem, random):
    additions, inflow = list(problem.additions), list(problem.inflow)
    random.shuffle(additions)
    random.shuffle(inflow)
    shuffled = replace(problem, additions=tuple(additions), inflow=tuple(inflow))
    assert largest_difference(exact.solve(problem), exact.solve(shuffled)) <= 1e-14


@pytest.mark.parametrize("make", [lambda problem: problem, by_climate], ids=["any rates", "one climate"])
@pytest.mark.parametrize("block", [1, 2, 7, 101, 2048, None])
def test_bits_do_not_depend_on_the_block(block, make):
    problem = make(twenty_years(draws=211))
    whole, pieces = exact.solve(problem, block=211), exact.solve(problem, block=block)
    for field in FIELDS:
        assert np.array_equal(getattr(whole, field), getattr(pieces, field)), field
    totals = exact.solve_totals(problem), exact.solve_totals(problem, block=block)
    for left, right in zip(*totals, strict=True):
        assert np.array_equal(left, right)


def test_bits_do_not_depend_on_the_other_draws():
    """Draw 40 alone, as a problem of its own, has the bits it has among 211."""
    problem = twenty_years(draws=211)
    one = slice(40, 41)
    alone = replace(
        problem,
        surface_rate=problem.surface_rate[..., one],
        residue_rate=problem.residue_rate[..., one],
        humus_rate=problem.humus_rate[..., one],
        humified=problem.humified[..., one],
        start=problem.start[..., one],
        additions=tuple(replace(addition, amount=addition.amount[one]) for addition in problem.additions),
        inflow=tuple(replace(flow, amount=flow.amount[one]) for flow in problem.inflow),
    )
    among, by_itself = exact.solve(problem), exact.solve(alone)
    for field in FIELDS:
        assert np.array_equal(getattr(among, field)[..., one], getattr(by_itself, field)), field


def test_totals_are_the_sums_over_lanes():
    problem = twenty_years()
    carbon, humus = exact.solve_totals(problem)
    stocks = exact.solve(problem)
    np.testing.assert_allclose(carbon, stocks.total.sum(axis=1), rtol=1e-14)
    np.testing.assert_allclose(humus, stocks.humus.sum(axis=1), rtol=1e-14)
