"""What is spread: a material's composition, a heap's by mass balance, and what one spreading weighs."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from somsim.errors import InputError
from somsim.plan.actions import Spread
from somsim.plan.fields import Placed
from somsim.plan.mistakes import at
from somsim.plan.samples import HeapPart
from somsim.timeline.ground import Happening
from somsim.timeline.world import START, Array, Lane, Load, World

NUTRIENTS = ("nitrogen", "phosphorus", "potassium")
LOST = {"nitrogen": "nitrogen_loss", "phosphorus": "phosphorus_loss", "potassium": "potassium_loss"}


@dataclass(frozen=True)
class Material:
    """A material as spread (draw,): shares of its dry matter, and kg/m3; None where nobody knows.

    ``dry_matter`` is a share of the fresh mass.
    """

    dry_matter: Array
    bulk_density: Array | None
    carbon: Array
    organic: Array | None
    nitrogen: Array | None
    phosphorus: Array | None
    potassium: Array | None


def material(world: World, name: str, part: Placed) -> Material:
    """The composition of a material of the plan or the library; of a home-made heap by what went onto it.

    Raises
    ------
    InputError
        at ``part``, when a figure is missing in plan and library.
    """
    figures, own = world.figures, world.figures.plan.materials.get(name)
    dry_matter = _needed(world, name, "dry_matter", part)
    density = world.maybe(figures.of_thing("materials", name, "bulk_density"))
    if own is not None and own.heap is not None and own.carbon is None:
        return _heaped(world, name, own.heap, dry_matter, density)
    carbon, organic = _carbon_and_organic(world, name, part)
    nutrients = [world.maybe(figures.of_thing("materials", name, quantity)) for quantity in NUTRIENTS]
    return Material(dry_matter, density, carbon, organic, *nutrients)


def _needed(world: World, name: str, quantity: str, part: Placed) -> Array:
    address = world.figures.of_thing("materials", name, quantity)
    hint = f"give {quantity} under materials: {name}:"
    return world.need(address, part, f"{quantity.replace('_', ' ')} of {name}", hint)


def _carbon_and_organic(world: World, name: str, part: Placed) -> tuple[Array, Array | None]:
    """Carbon and organic matter of a material, shares of its dry matter (draw,).

    They go together: a sample rich in one is rich in the other.  So one is drawn, and the other follows in the
    proportion of the best values, unless the plan gives both.
    """
    figures, own = world.figures, world.figures.plan.materials.get(name)
    carbon = figures.of_thing("materials", name, "carbon")
    organic = figures.of_thing("materials", name, "organic_matter")
    if organic is None or carbon is None:
        return _needed(world, name, "carbon", part), None
    typed = [own is not None and getattr(own, key) is not None for key in ("carbon", "organic_matter")]
    if all(typed):
        return world.draws.of(carbon), world.draws.of(organic)
    entry = figures.entry("materials", name)
    assert entry is not None
    per_carbon = entry.value("organic_matter").best / entry.value("carbon").best
    if typed[1]:
        share = world.draws.of(organic)
        return share / per_carbon, share
    likely = figures.unknowns[carbon].best
    if likely * per_carbon > 1.0:
        message = f"{100 * likely:.3g} % carbon in {name} would be {100 * likely * per_carbon:.3g} % organic matter"
        place = own.place_of("carbon") if own is not None else part.place
        hint = "give organic_matter too, or a smaller share of carbon"
        raise InputError([at(place, message, figures.plan.source, hint)])
    share = world.draws.of(carbon)
    return share, np.minimum(share * per_carbon, 1.0)


@dataclass(frozen=True)
class Heap:
    """What went onto a heap (draw,), kg: fresh, dry, carbon and nutrients; None where nobody knows."""

    fresh: Array
    dry: Array
    carbon: Array
    nutrients: Mapping[str, Array | None]

    @property
    def carbon_to_nitrogen(self) -> Array | None:
        """C:N of the mix, by mass (draw,)."""
        nitrogen = self.nutrients["nitrogen"]
        return None if nitrogen is None else self.carbon / nitrogen


def heap(world: World, parts: Sequence[HeapPart]) -> Heap:
    """What went onto a heap of a plan, all parts together.

    Raises
    ------
    InputError
        at a part, when a figure is missing in plan and library.
    """
    fresh, dry, carbon = (np.zeros(world.draws.count) for _ in range(3))
    nutrients: dict[str, Array | None] = {quantity: np.zeros(world.draws.count) for quantity in NUTRIENTS}
    for part in parts:
        table, wet, mass = _feedstock(world, part)
        fresh, dry = fresh + wet, dry + mass
        carbon = carbon + mass * _feed_share(world, table, part, "carbon")
        for quantity, so_far in nutrients.items():
            share = _feed_nutrient(world, table, part, quantity)
            nutrients[quantity] = None if share is None or so_far is None else so_far + mass * share
    return Heap(fresh, dry, carbon, nutrients)


def _heaped(world: World, name: str, parts: Sequence[HeapPart], dry_matter: Array, density: Array | None) -> Material:
    """Composition of a finished heap: what went on, less what composting loses of each."""
    made = heap(world, parts)
    left = made.dry * (1.0 - world.loss("dry_matter_loss"))
    entry = world.figures.entry("materials", name)
    assert entry is not None
    per_carbon = entry.value("organic_matter").best / entry.value("carbon").best
    share = made.carbon * (1.0 - world.loss("carbon_loss")) / left
    kept = [
        None if amount is None else amount * (1.0 - world.loss(LOST[quantity])) / left
        for quantity, amount in made.nutrients.items()
    ]
    return Material(dry_matter, density, share, np.minimum(share * per_carbon, 1.0), *kept)


def _feedstock(world: World, part: HeapPart) -> tuple[str, Array, Array]:
    """The table that a feedstock stands in, its fresh mass and its dry mass in kg (draw,)."""
    figures, name = world.figures, part.feedstock
    table = "materials" if figures.entry("materials", name) or name in figures.plan.materials else "covers"
    path = figures.path(part)
    if part.volume is None:
        fresh = world.draws.of(f"{path}/mass")
    else:
        density = figures.of_thing("materials", name, "bulk_density") if table == "materials" else None
        hint = "give its mass, or a material whose density is known"
        fresh = world.draws.of(f"{path}/volume") * world.need(density, part, f"bulk density of {name}", hint)
    return table, fresh, fresh * _feed_share(world, table, part, "dry_matter")


def _feed_share(world: World, table: str, part: HeapPart, quantity: str) -> Array:
    name = part.feedstock
    if table == "covers" and quantity == "carbon":
        return world.carbon_share(table, name)
    ending = "_vegetative" if table == "covers" else ""
    address = world.figures.of_thing(table, name, f"{quantity}{ending}", quantity)
    return world.need(address, part, f"{quantity.replace('_', ' ')} of {name}", f"give it under {table}: {name}:")


def _feed_nutrient(world: World, table: str, part: HeapPart, quantity: str) -> Array | None:
    ending = "_vegetative" if table == "covers" else ""
    if table == "covers" and quantity != "nitrogen":
        return world.maybe(world.figures.of_thing(table, part.feedstock, quantity))
    return world.maybe(world.figures.of_thing(table, part.feedstock, f"{quantity}{ending}", quantity))


def carbon_per_volume(world: World, name: str, part: Placed) -> Array:
    """kg C in each m3 of a material as spread (draw,)."""
    made = material(world, name, part)
    density = made.bulk_density if made.bulk_density is not None else _needed(world, name, "bulk_density", part)
    return np.asarray(density * made.dry_matter * made.carbon)


def organic_per_carbon(world: World, lane: Lane, soil: Array) -> Array:
    """Organic matter per carbon of what has not yet become humus in a lane (draw,).

    Compost and plants by their own carbon, what was in the soil at the start by the ``soil`` factor.
    """
    if lane.source == START:
        return soil
    if lane.table == "materials":
        made = material(world, lane.thing, world.figures.plan)
        if made.organic is not None:
            return made.organic / made.carbon
    return world.constant("plant_organic_matter") / world.constant("plant_carbon")


def spread_load(world: World, one: Happening, action: Spread, heaped: Sequence[Load]) -> Load:
    """What one spreading weighs, per m2 of treated bed, from whichever amount the plan gives.

    ``heaped`` are the loads that went to the heap in the twelve months before.
    """
    made = material(world, action.material, action)
    if action.heap_share is not None:
        dry, nutrients = _from_heap(world, one, action, made, heaped)
    else:
        dry = _dry(world, one, action, made)
        nutrients = [
            None if share is None else share * dry for share in (made.nitrogen, made.phosphorus, made.potassium)
        ]
    fresh = dry / made.dry_matter
    nitrogen, phosphorus, potassium = nutrients
    return Load(
        date=one.occurrence.first,
        happening=one,
        name=action.material,
        kind="material",
        fate=action.then,
        dry=dry,
        carbon=dry * made.carbon,
        nitrogen=nitrogen,
        phosphorus=phosphorus,
        potassium=potassium,
        fresh=fresh,
        volume=None if made.bulk_density is None else fresh / made.bulk_density,
        ash=None if made.organic is None else dry * (1.0 - made.organic),
        basis=_basis(world, action),
    )


def _basis(world: World, action: Spread) -> str:
    """How what is spread is known, where the plan does not say it outright."""
    own = world.figures.plan.materials.get(action.material)
    if action.heap_share is not None:
        return f"{action.heap_share.text} of the heap of twelve months"
    return "composed of what went onto the heap, less its losses" if own is not None and own.heap is not None else ""


def _dry(world: World, one: Happening, action: Spread, made: Material) -> Array:
    """Dry mass of a spreading, kg per m2 of treated bed (draw,)."""
    path = world.figures.path(action)
    area = world.figures.plan.site.beds.bed_area * sum(high - low for low, high in one.where)
    if action.dry_mass is not None:
        return world.draws.of(f"{path}/dry_mass")
    if action.mass is not None:
        fresh = world.draws.of(f"{path}/mass") / area
    elif action.mass_per_area is not None:
        fresh = world.draws.of(f"{path}/mass_per_area")
    else:
        density = _needed(world, action.material, "bulk_density", action)
        deep = world.draws.of(f"{path}/depth") if action.depth is not None else world.draws.of(f"{path}/volume") / area
        fresh = deep * density
    return np.asarray(fresh * made.dry_matter)


def _from_heap(
    world: World, one: Happening, action: Spread, made: Material, heaped: Sequence[Load]
) -> tuple[Array, list[Array | None]]:
    """Dry mass and nutrients that the heap gives, kg per m2 of treated bed (draw,): carbon in, less its loss."""
    share = world.draws.of(f"{world.figures.path(action)}/heap_share")
    treated = sum(high - low for low, high in one.where)
    carbon = np.sum([load.carbon * load.share for load in heaped], axis=0) if heaped else np.zeros(world.draws.count)
    dry = share * carbon * (1.0 - world.loss("carbon_loss")) / treated / made.carbon
    nutrients: list[Array | None] = []
    for quantity in NUTRIENTS:
        parts = [getattr(load, quantity) for load in heaped]
        if any(part is None for part in parts):
            nutrients.append(None)
            continue
        total = np.sum([part * load.share for part, load in zip(parts, heaped, strict=True)], axis=0)
        nutrients.append(share * total * (1.0 - world.loss(LOST[quantity])) / treated * np.ones(world.draws.count))
    return np.asarray(dry), nutrients
