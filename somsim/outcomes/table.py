"""The outcomes there are: one row each in ``variables.csv``, one function of that name in its module."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from somsim.simulate import Array, Trajectory

if TYPE_CHECKING:
    import xarray


@dataclass(frozen=True)
class Variable:
    """One outcome: its dimensions, its unit, and what it means to a grower."""

    name: str
    module: str
    dims: tuple[str, ...]
    unit: str
    long_name: str
    meaning: str
    better: str


@cache
def variables() -> tuple[Variable, ...]:
    """All outcomes, in the order of the table."""
    with (Path(__file__).parent / "variables.csv").open(encoding="utf-8", newline="") as file:
        return tuple(_variable(row) for row in csv.DictReader(file))


def _variable(row: dict[str, str]) -> Variable:
    words = {name: text for name, text in row.items() if name != "dims"}
    return Variable(dims=tuple(row["dims"].split(",")), **words)


def of(variable: Variable, trajectory: Trajectory) -> Array:
    """Work out one outcome of one trajectory, in the dimensions of its row."""
    module = import_module(f"somsim.outcomes.{variable.module}")
    value: Array = getattr(module, variable.name)(trajectory)
    return value


def dataset(trajectories: Sequence[Trajectory]) -> xarray.Dataset:
    """Every outcome of several strategies as one labelled dataset.

    Dimensions strategy, source, time, group and draw; every variable with ``units`` and ``long_name``.  Sources
    that a strategy does not have are 0.
    """
    import xarray

    first = trajectories[0].timeline
    sources = tuple(dict.fromkeys(name for one in trajectories for name in one.sources))
    made = {}
    for variable in variables():
        values = np.stack([_padded(of(variable, one), variable, one, sources) for one in trajectories])
        attributes = {"units": variable.unit, "long_name": variable.long_name, "comment": variable.meaning}
        made[variable.name] = (("strategy", *variable.dims), values, attributes)
    coordinates = {
        "strategy": [one.timeline.strategy for one in trajectories],
        "source": list(sources),
        "time": ("time", np.array(first.times, dtype="datetime64[ns]"), {"long_name": "date"}),
        "group": [group.label for group in first.groups],
        "bed_share": (
            "group",
            [group.share for group in first.groups],
            {"units": "1", "long_name": "share of the bed area"},
        ),
    }
    return xarray.Dataset(made, coordinates)


def _padded(values: Array, variable: Variable, one: Trajectory, sources: tuple[str, ...]) -> Array:
    if variable.dims[0] != "source":
        return values
    padded = np.zeros((len(sources), *values.shape[1:]))
    padded[[sources.index(name) for name in one.sources]] = values
    return padded
