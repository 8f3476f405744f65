"""The nitrogen of a strategy, kg N/m2 of bed: where each kg came from and where it is, per group and draw.

What is put on the beds splits in three.  A quick part is free within weeks (plants) or a year (materials), or ties
nitrogen up; a part stays in the humus that its carbon becomes; the rest is held in a store that returns over some
months.  Humus sets nitrogen free as its carbon is used up.  What is free and not taken by plants is the surplus:
below nought, plants need more than is counted here.
"""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from somsim.outcomes.release import first_weeks, fixed_by_legumes, from_humus, reached
from somsim.plan.actions import Cover, Crop
from somsim.simulate import Array, Trajectory
from somsim.timeline import Load, World
from somsim.timeline.world import DAYS_A_YEAR, HEAP, START

PLANT_KINDS = ("mulch", "green")  # materials that are plants, and follow the line of plants when dug in
MANURED = ("compost", "manure", "litter")  # kinds of material that make a soil rich
LEDGER = "nitrogen ledger"
A_YEAR = datetime.timedelta(days=365)


@dataclass(frozen=True)
class Parcel:
    """The nitrogen of one load that stays on the beds, kg/m2 (draw,), in its three parts.

    ``quick`` is free evenly over ``quick_years``; ``held`` returns evenly over ``held_years`` after that;
    ``bound`` is for the humus that its carbon becomes.
    """

    load: Load
    quick: Array
    quick_years: Array
    held: Array
    held_years: Array
    bound: Array


@dataclass(frozen=True)
class Ledger:
    """Nitrogen since the start, kg/m2 of bed (time, group, draw): what came, and where it is.

    ``brought`` by materials and ``fixed`` from the air came in.  ``harvested`` and ``carted`` left with plants
    (``carted`` with what lies on a heap), ``to_air`` is what heaps lost, ``in_humus`` how much more humus holds,
    ``held`` is not yet free, ``surplus`` was free and not taken.  ``quick``, ``returned`` and ``from_humus`` are what
    became free, ``taken`` what plants took up, ``into_humus`` what humus took of it beyond its own.
    """

    brought: Array
    fixed: Array
    harvested: Array
    carted: Array
    to_air: Array
    in_humus: Array
    held: Array
    surplus: Array
    quick: Array
    returned: Array
    from_humus: Array
    taken: Array
    into_humus: Array

    @property
    def freed(self) -> Array:
        """All that became free since the start."""
        return np.asarray(self.quick + self.returned + self.from_humus)

    @property
    def unaccounted(self) -> Array:
        """What came less where it is: nought, but for rounding."""
        there = self.harvested + self.carted + self.to_air + self.in_humus + self.held + self.surplus
        return np.asarray(self.brought + self.fixed - there)


def ledger(one: Trajectory) -> Ledger:
    """Follow all nitrogen of a strategy to each recorded time."""
    if LEDGER not in one.worked:
        one.worked[LEDGER] = _stacked([_of_group(one, group) for group in range(len(one.timeline.groups))])
    made: Ledger = one.worked[LEDGER]
    return made


def _stacked(parts: list[Ledger]) -> Ledger:
    return Ledger(**{name: np.stack([getattr(one, name) for one in parts], axis=1) for name in vars(parts[0])})


def _of_group(one: Trajectory, group: int) -> Ledger:
    """The ledger of one group of beds: (time, draw)."""
    world, here = one.world, one.timeline.groups[group]
    loads = [load for load in one.timeline.arrivals.loads if load.happening.on(here) and load.nitrogen is not None]
    parcels = [parcel(one, load, group) for load in loads if load.kept]
    made = _sums(one)
    brought = made.total((load.date, load.nitrogen) for load in loads if load.kind == "material")
    plants = [load for load in loads if load.kind != "material"]
    grown = made.total((load.date, load.nitrogen) for load in plants)
    fixed = made.total((load.date, fixed_of(one, load)) for load in plants)
    gone = made.total((load.date, load.nitrogen) for load in plants if not load.kept)
    heaped = made.total((load.date, load.nitrogen) for load in plants if load.fate == HEAP)
    lost = heaped * world.loss("nitrogen_loss")
    harvest = made.total(harvests(one, "nitrogen", group))
    quick = made.total((p.load.date, p.quick * made.ramp(p.load.date, p.quick_years)) for p in parcels)
    returned = made.total((p.load.date, p.held * made.ramp(p.load.date, p.held_years, p.quick_years)) for p in parcels)
    put_by = made.total((p.load.date, p.quick + p.held) for p in parcels)
    formed, own, waiting = _humus_of(one, group, parcels, made)
    freed = from_humus(_lanes(one, group, one.stocks.humus_respired), world.constant("humus_carbon_nitrogen"))
    taken = grown - fixed + harvest
    into = formed - own
    return Ledger(
        brought=brought,
        fixed=fixed,
        harvested=harvest,
        carted=gone - lost,
        to_air=lost,
        in_humus=formed - freed,
        held=put_by - quick - returned + waiting,
        surplus=quick + returned + freed - taken - into,
        quick=quick,
        returned=returned,
        from_humus=freed,
        taken=taken,
        into_humus=into,
    )


@dataclass(frozen=True)
class _Sums:
    """Adding up what happened by date at the recorded times; all (time, draw)."""

    times: tuple[datetime.date, ...]
    draws: int

    def ramp(self, date: datetime.date, length: Array, delay: Array | float = 0.0) -> Array:
        """How much of a steady release since a date is over."""
        since = np.array([[(time - date).days / DAYS_A_YEAR] for time in self.times])
        return reached(since, length, delay)

    def total(self, items: Iterator[tuple[datetime.date, Array | None]]) -> Array:
        """Add up amounts, (draw,) or (time, draw), from the day after their date on."""
        found = np.zeros((len(self.times), self.draws))
        for date, amount in items:
            if amount is not None:
                later = np.array([[time > date] for time in self.times])
                found += later * amount
        return found


def _sums(one: Trajectory) -> _Sums:
    return _Sums(one.timeline.times, one.timeline.problem.draws)


def _lanes(one: Trajectory, group: int, values: Array, source: str | None = None) -> Array:
    """Add up the lanes of a group, or of one source on it: (time, lane, draw) to (time, draw)."""
    lanes = one.timeline.lanes
    mine = [n for n, lane in enumerate(lanes) if lane.group == group and source in (None, lane.source)]
    return np.asarray(values[:, mine].sum(axis=1))


def _humus_of(one: Trajectory, group: int, parcels: list[Parcel], made: _Sums) -> tuple[Array, Array, Array]:
    """Nitrogen in humus formed since the start, the part that came with what formed it, and what waits for that.

    What forms humus and brought too little nitrogen for it, or roots whose nitrogen nobody published, takes the
    rest from the soil.
    """
    ratio = one.world.constant("humus_carbon_nitrogen")
    humified = one.timeline.problem.humified
    formed, own, waiting = (np.zeros((len(made.times), made.draws)) for _ in range(3))
    for source in one.sources:
        if source == START:
            continue
        will = from_humus(_lanes(one, group, one.stocks.added * humified, source), ratio)
        now = from_humus(_lanes(one, group, one.stocks.decomposed * humified, source), ratio)
        bound = made.total((p.load.date, p.bound) for p in parcels if source_of(p.load) == source)
        share = np.divide(bound, will, out=np.zeros_like(bound), where=will > 0.0)
        formed += now
        own += share * now
        waiting += bound - share * now
    return formed, own, waiting


def source_of(load: Load) -> str:
    """The source that the carbon of a load is shown under."""
    ending = {"material": "", "tops": ": tops", "leftovers": ": leaves and stems"}[load.kind]
    return load.name + ending


def parcel(one: Trajectory, load: Load, group: int) -> Parcel:
    """The three parts of the nitrogen of a load that stays on the beds."""
    world, source = one.world, source_of(load)
    assert load.nitrogen is not None
    quick, years = _quick(world, load, load.nitrogen)
    mine = [n for n, lane in enumerate(one.timeline.lanes) if lane.group == group and lane.source == source]
    lasting = one.timeline.problem.humified[mine].mean(axis=0) * load.carbon
    left = load.nitrogen - quick
    bound = np.clip(from_humus(lasting, world.constant("humus_carbon_nitrogen")), 0.0, np.maximum(left, 0.0))
    return Parcel(load, quick, years, left - bound, world.constant("held_nitrogen_time"), bound)


def _quick(world: World, load: Load, nitrogen: Array) -> tuple[Array, Array]:
    """The quick part of a load and the years it takes: the line of plants, or a material's own first-year share."""
    entry = world.figures.entry("materials", load.name) if load.kind == "material" else None
    plant = load.kind != "material" or (entry is not None and entry.kind in PLANT_KINDS and load.fate == "dug in")
    address = world.figures.of_thing("materials", load.name, "nitrogen_first_year")
    if plant:
        return plant_release(world, load, nitrogen), world.constant("available_nitrogen_time")
    year = np.ones(world.draws.count)
    return (nitrogen * world.draws.of(address) if address else 0.0 * nitrogen), year


def plant_release(world: World, load: Load, nitrogen: Array) -> Array:
    """What plants left on the beds release in the first weeks; on the surface a smaller part of it."""
    lying = np.minimum(world.constant("surface_nitrogen_share") / world.constant("dug_nitrogen_share"), 1.0)
    share = np.divide(nitrogen, load.dry, out=np.zeros_like(nitrogen), where=load.dry > 0.0)
    return first_weeks(
        load.dry,
        share,
        slope=world.constant("available_nitrogen_slope"),
        nothing_at=world.constant("available_nitrogen_from"),
        level_from=world.constant("available_nitrogen_to"),
        most_tied=world.constant("late_cereal_nitrogen"),
        contact=1.0 if load.fate == "dug in" else lying,
    )


def fixed_of(one: Trajectory, load: Load) -> Array | None:
    """Nitrogen in the tops of a cover that came from the air; None where no legume, or nothing is published.

    Less in rich soil: under cover, where compost or manure was spread on the same beds in the year before sowing.
    """
    figures, draws = one.world.figures, one.world.draws
    if load.kind != "tops" or load.nitrogen is None:
        return None
    quantity = "fixed_share_rich_soil" if _rich(one, load) else "fixed_share"
    fixed = figures.of_thing("covers", load.plant, quantity)
    entry = figures.entry("covers", load.plant)
    part = figures.of_thing("covers", load.plant, "legume_nitrogen_share")
    if fixed is None or (part is None and (entry is None or entry.kind != "legume")):
        return None
    return fixed_by_legumes(load.nitrogen, draws.of(fixed), 1.0 if part is None else draws.of(part))


def _rich(one: Trajectory, load: Load) -> bool:
    figures = one.world.figures
    if figures.plan.site.shelter == "open ground":
        return False
    sown = load.happening.occurrence.first
    for other in one.timeline.arrivals.loads:
        entry = figures.entry("materials", other.name) if other.kind == "material" else None
        if entry is None or entry.kind not in MANURED or not sown - A_YEAR < other.date <= load.date:
            continue
        if any(other.happening.on(group) and load.happening.on(group) for group in one.timeline.groups):
            return True
    return False


def harvests(one: Trajectory, nutrient: str, group: int | None = None) -> Iterator[tuple[datetime.date, Array | None]]:
    """The day on which each crop is cleared, and kg/m2 of a nutrient in its harvest; None where nobody knows it."""
    figures, draws, times = one.world.figures, one.world.draws, one.timeline.times
    for happening in one.timeline.happenings:
        last = happening.occurrence.last
        if not isinstance(happening.action, Crop) or not times[0] <= last < times[-1]:
            continue
        if group is not None and not happening.on(one.timeline.groups[group]):
            continue
        name = happening.action.name
        harvest = figures.of_thing("crops", name, "yield", "crop_yield")
        share = figures.of_thing("crops", name, f"removal_{nutrient}", nutrient)
        yield last, None if harvest is None or share is None else draws.of(harvest) * draws.of(share)


def unknown_nitrogen(one: Trajectory) -> tuple[str, ...]:
    """What a plan does whose nitrogen nobody has published: it counts as nothing."""
    figures = one.world.figures
    found: dict[str, None] = {}
    for load in one.timeline.arrivals.loads:
        if load.nitrogen is None:
            found[load.name] = None
    for happening in one.timeline.happenings:
        action = happening.action
        if isinstance(action, Crop) and figures.of_thing("crops", action.name, "removal_nitrogen", "nitrogen") is None:
            found[f"the harvest of {action.name}"] = None
        if isinstance(action, Cover):
            found |= dict.fromkeys(_unknown_fixing(one, action))
    return tuple(found)


def _unknown_fixing(one: Trajectory, action: Cover) -> Iterator[str]:
    """Covers that may hold legumes, of which nobody says how much of the nitrogen is theirs."""
    figures = one.world.figures
    for name in action.mix or (action.name,):
        entry = figures.entry("covers", name)
        part = figures.of_thing("covers", name, "legume_nitrogen_share")
        if entry is not None and entry.kind in ("mix", "ley") and part is None:
            yield f"the nitrogen that {name} takes from the air"


def nitrogen_fixed(trajectory: Trajectory) -> Array:
    """kg N/m2 that legumes took from the air since the start (time, group, draw)."""
    return ledger(trajectory).fixed


def nitrogen_removed(trajectory: Trajectory) -> Array:
    """kg N/m2 that left the beds with harvests and plants carted off since the start (time, group, draw)."""
    made = ledger(trajectory)
    return made.harvested + made.carted + made.to_air


def nitrogen_in_humus(trajectory: Trajectory) -> Array:
    """kg N/m2 more in humus than at the start (time, group, draw); below nought where humus was lost."""
    return ledger(trajectory).in_humus


def nitrogen_held(trajectory: Trajectory) -> Array:
    """kg N/m2 of what was put down that is neither free nor humus yet (time, group, draw)."""
    return ledger(trajectory).held


def nitrogen_surplus(trajectory: Trajectory) -> Array:
    """kg N/m2 that became free since the start and was not taken by plants (time, group, draw)."""
    return ledger(trajectory).surplus
