"""What soil tests were expected to say, in every draw, in the terms of the laboratory."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from somsim.errors import InputError
from somsim.estimate.soil_test import equal_mass_stock, log_likelihood, result_error
from somsim.outcomes import carbon
from somsim.plan.measured import Measured
from somsim.plan.mistakes import at
from somsim.simulate import Array, Trajectory, simulate
from somsim.timeline import Setting

DEEPER = 1.1  # of the layer's own soil mass: deeper cores hold soil that the model knows nothing of


@dataclass(frozen=True)
class Expected:
    """One soil test beside what was expected: shares of the dry soil (draw,), and the result's own error (draw,)."""

    test: Measured
    found: float
    expected: Array
    error: Array

    @property
    def log_likelihood(self) -> Array:
        """How well each draw foretold the result (draw,)."""
        return log_likelihood(self.found, self.expected, self.error)


def expected_tests(shared: Setting, strategy: str, tests: Sequence[Measured]) -> tuple[Expected, ...]:
    """Run a strategy to the day of each test and read it as the laboratory would.

    Raises
    ------
    InputError
        for cores that went deeper than the layer that the plan follows.
    """
    ran: dict[datetime.date, Trajectory] = {}
    found = []
    for test in tests:
        if test.date not in ran:
            ran[test.date] = simulate(shared, strategy, end=max(test.date, _next_day(shared)))
        found.append(_read(shared, test, ran[test.date], first=test.date <= shared.figures.plan.start))
    return tuple(found)


def _next_day(shared: Setting) -> datetime.date:
    return shared.figures.plan.start + datetime.timedelta(days=1)


def _read(shared: Setting, test: Measured, ran: Trajectory, *, first: bool) -> Expected:
    where = _on_beds(shared, test, ran)
    begun, then = (_share(shared, test, ran, when, where) for when in (0, -1))
    amount = test.carbon or test.organic_matter
    assert amount is not None
    expected = begun if first else _at_equal_mass(shared, test, begun, then)
    return Expected(test, amount.best, expected, _error(shared, test))


def _share(shared: Setting, test: Measured, ran: Trajectory, when: int, where: Array) -> Array:
    """What the laboratory would find in the layer, by the test's own method (draw,)."""
    layer, organic, mineral = (
        (values[when] * where).sum(axis=0)
        for values in (carbon.carbon_in_layer(ran), carbon.organic_matter(ran), ran.timeline.mineral)
    )
    if test.method == "carbon x 1.724":
        content = layer * shared.world.constant("organic_matter_per_carbon_conventional")
    else:
        content = layer if test.carbon is not None else organic
    return np.asarray(content / (mineral + organic))


def _on_beds(shared: Setting, test: Measured, ran: Trajectory) -> Array:
    """How much each group of beds counts in a sample (group, 1)."""
    beds = shared.figures.plan.site.beds
    count = beds.number
    rows = sorted({place for word in test.beds or () for place in beds.row(word)}) or list(range(count))
    shares = [
        sum(
            max(0.0, min(high, (row + 1) / count) - max(low, row / count))
            for low, high in group.interval
            for row in rows
        )
        for group in ran.timeline.groups
    ]
    whole = sum(shares)
    return np.array([[share / whole] for share in shares])


def _at_equal_mass(shared: Setting, test: Measured, begun: Array, then: Array) -> Array:
    """The share that the laboratory finds in the soil that the cores held.

    A layer is as rich at its foot as at its top, so cores of less soil than the layer find the layer's share; those of
    a little more bring soil from below, as rich as the layer was on the first day.

    Raises
    ------
    InputError
        for cores that went deeper than that.
    """
    soil = shared.figures.plan.site.soil
    density = test.bulk_density.best if test.bulk_density is not None else soil.bulk_density.best
    sampled, layer = density * test.depth.best, soil.bulk_density.best * soil.depth.best
    if sampled > DEEPER * layer:
        said = f"the cores went to {test.depth.text}; the plan follows the uppermost {soil.depth.text}"
        hint = "follow a deeper layer (depth under soil:), or leave this test out"
        raise InputError([at(test.place_of("depth"), said, shared.figures.plan.source, hint)])
    if sampled <= layer:
        return then
    stock = equal_mass_stock(then, layer_mass=layer, reference_mass=sampled, share_below=begun)
    return np.asarray(stock / sampled)


def _error(shared: Setting, test: Measured) -> Array:
    """Standard deviation of a result as a share of it (draw,): cores and laboratory together."""
    world = shared.world
    cores = test.cores if test.cores is not None else world.constant("cores_pooled")
    if test.laboratory_error is not None:
        laboratory: Array | float = test.laboratory_error.best
    else:
        burnt = test.method in ("loss on ignition", "unknown")
        laboratory = world.constant("ignition_variation" if burnt else "combustion_variation")
    return result_error(cores, between_cores=world.constant("core_carbon_variation"), laboratory=laboratory)
