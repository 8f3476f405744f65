"""What travels from a plan to the decay model: lanes, what arrives in them, and the figures in one set of draws."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from somsim.draws import Draws
from somsim.errors import InputError
from somsim.plan.fields import Placed
from somsim.plan.mistakes import at
from somsim.timeline.figures import Figures
from somsim.timeline.ground import Happening

Array = NDArray[np.float64]
Date = datetime.date
DAYS_A_YEAR = 365.25
SURFACE, RESIDUE, HUMUS = 0, 1, 2
STOCK_OF = {"left on surface": SURFACE, "dug in": RESIDUE}
START = "soil at the start"
HEAP = "to the heap"


@dataclass(frozen=True)
class Lane:
    """One source of carbon on one group of beds: everything in it decays alike.

    ``source`` is what people are shown; ``table``, ``thing`` and ``ending`` say whose decay it has.
    """

    source: str
    table: str
    thing: str
    ending: str
    group: int


@dataclass(frozen=True)
class Arrival:
    """Carbon put down on one day, kg C per m2 of the group's bed (draw,)."""

    date: Date
    lane: Lane
    stock: int
    carbon: Array
    happening: Happening


@dataclass(frozen=True)
class Flow:
    """Carbon that trickles in between two dates, kg C per m2 and year (draw,)."""

    first: Date
    last: Date
    lane: Lane
    rate: Array
    happening: Happening


@dataclass(frozen=True)
class Load:
    """What a spreading or a cut weighs, per m2 of the beds it is on (draw,): kg, and m3 for the volume.

    ``fate`` is what the plan does with it, such as "left on surface" or "to the heap"; ``basis`` how its mass is known;
    ``plant`` which plant of a cover, that may be a mix, it is; ``died`` the day on which frost had killed it.
    """

    date: Date
    happening: Happening
    name: str
    kind: str
    fate: str
    dry: Array
    carbon: Array
    nitrogen: Array | None
    phosphorus: Array | None
    potassium: Array | None
    fresh: Array | None
    volume: Array | None
    ash: Array | None
    basis: str = ""
    plant: str = ""
    died: Date | None = None

    @property
    def kept(self) -> bool:
        """Whether it stays on the beds."""
        return self.fate in STOCK_OF

    @property
    def share(self) -> float:
        """Share of the bed area that it is on."""
        return sum(high - low for low, high in self.happening.where)


@dataclass(frozen=True)
class Arrivals:
    """Everything that arrives in a strategy on all groups.

    ``below`` is carbon of roots under the layer, kg C/m2 (draw,) by date: it is shown, not followed.
    """

    arrivals: tuple[Arrival, ...]
    flows: tuple[Flow, ...]
    loads: tuple[Load, ...]
    below: tuple[tuple[Date, Happening, Array], ...]

    @property
    def days(self) -> set[Date]:
        """Every day on which something arrives, or begins or ends to."""
        ends = {day for flow in self.flows for day in (flow.first, flow.last)}
        return {one.date for one in self.arrivals} | ends


@dataclass(frozen=True)
class World:
    """The figures of a plan and one set of draws of them."""

    figures: Figures
    draws: Draws

    def need(self, address: str | None, part: Placed, what: str, hint: str) -> Array:
        """Values (draw,) of a number the plan cannot do without.

        Raises
        ------
        InputError
            at the action, when neither the plan nor the library has it.
        """
        if address is None:
            source = self.figures.plan.source
            raise InputError([at(part.place, f"no published figure: {what}", source, hint)])
        return self.draws.of(address)

    def maybe(self, address: str | None) -> Array | None:
        """Values (draw,) of a number that may be missing."""
        return None if address is None else self.draws.of(address)

    def constant(self, name: str) -> Array:
        """Values (draw,) of a constant of the library."""
        return self.draws.of(f"constants/{name}/value")

    def loss(self, name: str) -> Array:
        """Share that composting loses of something (draw,)."""
        return self.draws.of(f"composting/{name}/value")

    def carbon_share(self, table: str, name: str) -> Array:
        """Carbon in the dry matter of a plant (draw,)."""
        return self.draws.of(self.figures.of_thing(table, name, "carbon") or "constants/plant_carbon/value")
