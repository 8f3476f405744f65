"""Carbon that arrives on the beds: what each round of an action brings, when, to which stock, per draw."""

from __future__ import annotations

import datetime
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from somsim.draws import Draws
from somsim.errors import InputError
from somsim.estimate.roots import beta_from_share, exudate_inflow, root_carbon, to_layer
from somsim.plan.actions import Cover, Crop, Idle, Input, Spread
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

    ``kept`` tells whether it stays on the beds.
    """

    date: Date
    happening: Happening
    name: str
    kind: str
    kept: bool
    dry: Array
    carbon: Array
    nitrogen: Array | None
    phosphorus: Array | None
    potassium: Array | None
    fresh: Array | None
    volume: Array | None
    ash: Array | None


@dataclass(frozen=True)
class Arrivals:
    """Everything that arrives in a strategy on all groups.

    ``below`` is carbon of roots under the layer, kg C/m2 (draw,) by date: it is shown, not followed.
    """

    arrivals: tuple[Arrival, ...]
    flows: tuple[Flow, ...]
    loads: tuple[Load, ...]
    below: tuple[tuple[Date, Happening, Array], ...]


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


def arrivals(world: World, happening: tuple[Happening, ...], here: tuple[tuple[int, ...], ...]) -> Arrivals:
    """What the rounds bring; ``here`` holds, round by round, the numbers of the groups it happens on."""
    found: list[Arrival | Flow | Load | tuple[Date, Happening, Array]] = []
    for one, numbers in zip(happening, here, strict=True):
        found.extend(_of(world, one, numbers))
    return Arrivals(
        tuple(item for item in found if isinstance(item, Arrival)),
        tuple(item for item in found if isinstance(item, Flow)),
        tuple(item for item in found if isinstance(item, Load)),
        tuple(item for item in found if isinstance(item, tuple)),
    )


Found = Iterator[Arrival | Flow | Load | tuple[Date, Happening, Array]]


def _of(world: World, one: Happening, numbers: tuple[int, ...]) -> Found:
    action = one.action
    if isinstance(action, Spread):
        yield from _spread(world, one, action, numbers)
    elif isinstance(action, Cover):
        yield from _cover(world, one, action, numbers)
    elif isinstance(action, Crop):
        yield from _crop(world, one, action, numbers)
    elif isinstance(action, Input):
        yield from _input(world, one, action, numbers)
    elif isinstance(action, Idle):
        yield from _weeds(world, one, action, numbers)


def treated_area(world: World, one: Happening) -> float:
    """m2 of bed on which a round happens."""
    return world.figures.plan.site.beds.bed_area * sum(high - low for low, high in one.where)


def _spread(world: World, one: Happening, action: Spread, numbers: tuple[int, ...]) -> Found:
    load = spread_load(world, one, action)
    yield load
    for number in numbers:
        lane = Lane(action.material, "materials", action.material, "", number)
        yield Arrival(one.occurrence.first, lane, STOCK_OF[action.then], load.carbon, one)


def spread_load(world: World, one: Happening, action: Spread) -> Load:
    """What one spreading weighs, per m2 of treated bed, from whichever amount the plan gives."""
    figures, name = world.figures, action.material

    def of(quantity: str) -> str | None:
        return figures.of_thing("materials", name, quantity)

    def needed(quantity: str) -> Array:
        hint = f"give {quantity} under materials: {name}:"
        return world.need(of(quantity), action, f"{quantity.replace('_', ' ')} of {name}", hint)

    dry_matter = needed("dry_matter")
    if action.dry_mass is not None:
        dry = world.draws.of(f"{figures.path(action)}/dry_mass")
        fresh = dry / dry_matter
    else:
        fresh = _fresh(world, one, action, needed)
        dry = fresh * dry_matter
    density = world.maybe(of("bulk_density"))
    carbon, organic = composition(world, name, action)
    parts = [world.maybe(of(quantity)) for quantity in ("nitrogen", "phosphorus", "potassium")]
    nitrogen, phosphorus, potassium = (None if part is None else part * dry for part in parts)
    return Load(
        one.occurrence.first,
        one,
        name,
        "material",
        True,
        dry,
        dry * carbon,
        nitrogen,
        phosphorus,
        potassium,
        fresh,
        None if density is None else fresh / density,
        None if organic is None else dry * (1.0 - organic),
    )


def composition(world: World, name: str, part: Placed) -> tuple[Array, Array | None]:
    """Carbon and organic matter of a material, shares of its dry matter (draw,).

    They go together: a sample rich in one is rich in the other.  So one is drawn, and the other follows in the
    proportion of the best values, unless the plan gives both.
    """
    figures, own = world.figures, world.figures.plan.materials.get(name)
    carbon = figures.of_thing("materials", name, "carbon")
    organic = figures.of_thing("materials", name, "organic_matter")
    hint = f"give carbon under materials: {name}:"
    if organic is None or carbon is None:
        return world.need(carbon, part, f"carbon of {name}", hint), None
    typed = [own is not None and getattr(own, key) is not None for key in ("carbon", "organic_matter")]
    if all(typed):
        return world.draws.of(carbon), world.draws.of(organic)
    entry = figures.entry("materials", name)
    assert entry is not None
    per_carbon = entry.value("organic_matter").best / entry.value("carbon").best
    if typed[1]:
        share = world.draws.of(organic)
        return share / per_carbon, share
    share = world.draws.of(carbon)
    return share, np.minimum(share * per_carbon, 1.0)


def carbon_per_depth(world: World, name: str, part: Placed) -> Array:
    """kg C in each m3 of a material as spread (draw,)."""
    figures = world.figures
    parts = [
        world.need(
            figures.of_thing("materials", name, quantity),
            part,
            f"{quantity.replace('_', ' ')} of {name}",
            f"give {quantity} under materials: {name}:",
        )
        for quantity in ("bulk_density", "dry_matter")
    ]
    return np.asarray(parts[0] * parts[1] * composition(world, name, part)[0])


def organic_per_carbon(world: World, lane: Lane, soil: Array) -> Array:
    """Organic matter per carbon of what has not yet become humus in a lane (draw,).

    Compost and plants by their own carbon, what was in the soil at the start by the ``soil`` factor.
    """
    if lane.source == START:
        return soil
    if lane.table == "materials":
        carbon, organic = composition(world, lane.thing, world.figures.plan)
        if organic is not None:
            return organic / carbon
    return world.constant("plant_organic_matter") / world.constant("plant_carbon")


def _fresh(world: World, one: Happening, action: Spread, needed: object) -> Array:
    assert callable(needed)
    path = world.figures.path(action)
    if action.depth is not None:
        return np.asarray(world.draws.of(f"{path}/depth") * needed("bulk_density"))
    if action.volume is not None:
        volume = world.draws.of(f"{path}/volume") / treated_area(world, one)
        return np.asarray(volume * needed("bulk_density"))
    if action.mass is not None:
        return np.asarray(world.draws.of(f"{path}/mass") / treated_area(world, one))
    return world.draws.of(f"{path}/mass_per_area")


def stage_of(figures: Figures, action: Cover, name: str) -> str:
    """The stage at which a cover ends: the plan's, else the usual one of its season."""
    entry = figures.entry("covers", name)
    return action.stage or (entry.about.get("stage_at_end") if entry is not None else None) or "vegetative"


def plants_of(action: Cover) -> dict[str, float]:
    """The plants of a cover and their share of its dry mass."""
    if action.mix is None:
        return {action.name: 1.0}
    return {name: share.best for name, share in action.mix.items()}


def _cover(world: World, one: Happening, action: Cover, numbers: tuple[int, ...]) -> Found:
    sown, *cuts = one.occurrence.dates
    for name, share in plants_of(action).items():
        masses = cut_masses(world, action, name, share)
        yield from _tops(world, one, action, name, masses, numbers)
        yield from _roots(world, one, action, name, masses, (sown, cuts[-1]), numbers)
    if action.stubble is not None:
        stubble = world.draws.of(f"{world.figures.path(action)}/stubble")
        name = next(iter(plants_of(action)))
        carbon = stubble * _carbon(world, "covers", name, action)
        ending = f"_{stage_of(world.figures, action, name)}"
        for number in numbers:
            lane = Lane(f"{action.name}: tops", "covers", name, ending, number)
            stock = STOCK_OF.get(action.fate(len(cuts) - 1), SURFACE)
            yield Arrival(cuts[-1], lane, stock, carbon, one)


def _carbon(world: World, table: str, name: str, part: Placed) -> Array:
    address = world.figures.of_thing(table, name, "carbon") or "constants/plant_carbon/value"
    return world.draws.of(address)


def cut_masses(world: World, action: Cover, name: str, share: float) -> list[Array]:
    """Dry tops of each cut of one plant of a cover, kg/m2 of bed (draw,).

    A cut's own mass; else the mass of the whole cover shared out over its cuts, each smaller than the one before;
    else the library's mass of each cut, where it has one.
    """
    figures = world.figures
    count = len(action.cut)
    decline = [world.constant(f"cut_decline_{min(number, 4)}") for number in range(1, count + 1)]
    total = figures.of_plan(action, "dry_tops")
    masses = []
    for number, cut in enumerate(action.cut, start=1):
        own = figures.of_plan(cut, "dry_tops")
        row = _row_of_cut(figures, name, number) if count > 1 and total is None else None
        if own is not None:
            masses.append(share * world.draws.of(own))
        elif row is not None:
            masses.append(share * world.draws.of(row))
        else:
            address = total or figures.of_thing("covers", name, "dry_tops")
            whole = world.need(address, action, f"dry mass of {name}", "give dry_tops: for example 4 t/ha")
            masses.append(share * whole * decline[number - 1] / np.sum(decline, axis=0))
    return masses


def _row_of_cut(figures: Figures, name: str, number: int) -> str | None:
    own = figures.plan.covers.get(name)
    if own is not None and own.dry_tops is not None:
        return None  # that is the mass of the whole cover, all cuts together
    for quantity in (f"cut_mass_{number}", "cut_mass", *(f"cut_mass_{n}" for n in range(number, 0, -1))):
        if (address := figures.of_thing("covers", name, quantity)) is not None:
            return address
    return None


def _tops(
    world: World, one: Happening, action: Cover, name: str, masses: list[Array], numbers: tuple[int, ...]
) -> Found:
    stage = stage_of(world.figures, action, name)
    carbon = _carbon(world, "covers", name, action)
    nitrogen = world.maybe(world.figures.of_thing("covers", name, f"nitrogen_{stage}", "nitrogen"))
    wet = world.maybe(world.figures.of_thing("covers", name, f"dry_matter_{stage}", "dry_matter"))
    for number, (date, mass) in enumerate(zip(one.occurrence.dates[1:], masses, strict=True)):
        fate = action.fate(number)
        stays = fate in STOCK_OF
        yield Load(
            date,
            one,
            action.name,
            "tops",
            stays,
            mass,
            mass * carbon,
            None if nitrogen is None else mass * nitrogen,
            None,
            None,
            None if wet is None else mass / wet,
            None,
            None,
        )
        for group in numbers if stays else ():
            lane = Lane(f"{action.name}: tops", "covers", name, f"_{stage}", group)
            yield Arrival(date, lane, STOCK_OF[fate], mass * carbon, one)


def _roots(
    world: World,
    one: Happening,
    action: Cover,
    name: str,
    masses: list[Array],
    season: tuple[Date, Date],
    numbers: tuple[int, ...],
) -> Found:
    figures, own_ratio = world.figures, world.figures.of_plan(action, "root_ratio")
    address = own_ratio or figures.of_thing("covers", name, "root_ratio")
    ratio = world.need(address, action, f"roots of {name}", "give root_ratio: for example 0.3 ratio")
    depth_row = figures.of_thing("covers", name, "root_depth", "root_ratio")
    typed = own_ratio is not None or (address or "").startswith("plan/")
    layer = figures.plan.site.soil.depth.best
    depth = layer if typed or depth_row is None else world.draws.of(depth_row)
    found = to_layer(
        ratio,
        depth=depth,
        layer=layer,
        beta=beta_from_share(world.constant("roots_in_topsoil"), 0.20),
        exudates=world.constant("exudates_per_root"),
        includes_exudates=True,
    )
    grown = np.sum(masses, axis=0)
    carbon = root_carbon(
        found,
        largest_standing=np.max(masses, axis=0),
        total_growth=grown,
        carbon=_carbon(world, "covers", name, action),
    )
    first, last = season
    rate = exudate_inflow(carbon.exudates, (last - first).days / DAYS_A_YEAR)
    for number in numbers:
        lane = Lane(f"{action.name}: roots", "covers", name, "_roots", number)
        yield Arrival(last, lane, RESIDUE, carbon.structural, one)
        yield Flow(first, last, lane, rate, one)
    yield (last, one, carbon.structural_below + carbon.exudates_below)


def _crop(world: World, one: Happening, action: Crop, numbers: tuple[int, ...]) -> Found:
    figures, name = world.figures, action.name
    typed = figures.of_plan(action, "residue")
    address = typed or figures.of_thing("crops", name, "residue", "dry_residue")
    left = world.need(address, action, f"what {name} leaves", "give residue: for example 0.2 kg/m2")
    carbon = left * _carbon(world, "crops", name, action)
    nitrogen = world.maybe(figures.of_thing("crops", name, "residue_nitrogen", "residue_nitrogen"))
    stays = action.then in STOCK_OF
    last = one.occurrence.last
    rich = None if nitrogen is None else left * nitrogen
    yield Load(last, one, name, "leftovers", stays, left, carbon, rich, None, None, None, None, None)
    roots = _crop_roots(world, name)
    for number in numbers:
        if stays:
            lane = Lane(f"{name}: leaves and stems", "crops", name, "", number)
            yield Arrival(last, lane, STOCK_OF[action.then], carbon, one)
        if roots is not None:
            lane = Lane(f"{name}: roots", "crops", name, "_roots", number)
            yield Arrival(last, lane, RESIDUE, roots * _carbon(world, "crops", name, action), one)


def _crop_roots(world: World, name: str) -> Array | None:
    """Fibrous roots: a share of all dry mass, which is the harvest's dry mass over the harvest index."""
    addresses = {
        quantity: world.figures.of_thing("crops", name, quantity, key)
        for quantity, key in (
            ("yield", "crop_yield"),
            ("dry_matter", "dry_matter"),
            ("harvest_index", "harvest_index"),
            ("fibrous_roots", "fibrous_roots"),
        )
    }
    if any(address is None for address in addresses.values()):
        return None
    harvest, dry, index, roots = (world.draws.of(str(address)) for address in addresses.values())
    return np.asarray(harvest * dry / index * roots)


def _input(world: World, one: Happening, action: Input, numbers: tuple[int, ...]) -> Found:
    rate = world.draws.of(f"{world.figures.path(action)}/carbon")
    for number in numbers:
        lane = Lane(action.name, "residues", action.residue, "", number)
        yield Flow(one.occurrence.first, one.occurrence.last, lane, rate, one)


def _weeds(world: World, one: Happening, action: Idle, numbers: tuple[int, ...]) -> Found:
    """Weeds die back bit by bit: their yearly mass comes in evenly while the ground is theirs."""
    if action.dry_tops is None:
        return
    dry = world.draws.of(f"{world.figures.path(action)}/dry_tops")
    first, last = one.occurrence.first, one.occurrence.last
    years = 1.0 if action.from_ is None else (last - first).days / DAYS_A_YEAR
    rate = dry * world.constant("plant_carbon") / years
    for number in numbers:
        yield Flow(first, last, Lane("weeds", "residues", "soft_green", "", number), rate, one)
