"""Carbon that arrives on the beds: what each round of an action brings, when, to which stock, per draw."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from somsim.errors import InputError
from somsim.plan.actions import Cover, Crop, Idle, Input, Spread
from somsim.plan.mistakes import at
from somsim.plan.model import shift
from somsim.timeline.covers import cover
from somsim.timeline.ground import Happening
from somsim.timeline.materials import spread_load
from somsim.timeline.world import (
    DAYS_A_YEAR,
    HEAP,
    RESIDUE,
    STOCK_OF,
    Array,
    Arrival,
    Arrivals,
    Date,
    Flow,
    Lane,
    Load,
    World,
)

Found = Iterator[Arrival | Flow | Load | tuple[Date, Happening, Array]]
WHOLE = 1.0 + 1e-9  # of the heap, with room for rounding
TWELVE = 12  # months that a heap is filled before it is spread


def arrivals(world: World, happening: tuple[Happening, ...], here: tuple[tuple[int, ...], ...]) -> Arrivals:
    """What the rounds bring; ``here`` holds, round by round, the numbers of the groups it happens on.

    Spreadings come last: a heap must be filled before it is spread.
    """
    found: list[Arrival | Flow | Load | tuple[Date, Happening, Array]] = []
    spreadings = []
    for one, numbers in zip(happening, here, strict=True):
        if isinstance(one.action, Spread):
            spreadings.append((one, numbers))
        else:
            found.extend(_of(world, one, numbers))
    heaped = [item for item in found if isinstance(item, Load) and item.fate == HEAP]
    _spread_once(world, [one for one, _ in spreadings], heaped)
    for one, numbers in spreadings:
        found.extend(_spread(world, one, one.action, numbers, heaped))
    return Arrivals(
        tuple(item for item in found if isinstance(item, Arrival)),
        tuple(item for item in found if isinstance(item, Flow)),
        tuple(item for item in found if isinstance(item, Load)),
        tuple(item for item in found if isinstance(item, tuple)),
    )


def _of(world: World, one: Happening, numbers: tuple[int, ...]) -> Found:
    action = one.action
    if isinstance(action, Cover):
        yield from cover(world, one, action, numbers)
    elif isinstance(action, Crop):
        yield from _crop(world, one, action, numbers)
    elif isinstance(action, Input):
        yield from _input(world, one, action, numbers)
    elif isinstance(action, Idle):
        yield from _weeds(world, one, action, numbers)


def _spread(world: World, one: Happening, action: Spread, numbers: tuple[int, ...], heaped: list[Load]) -> Found:
    date = one.occurrence.first
    load = spread_load(world, one, action, in_twelve_months(heaped, date))
    yield load
    for number in numbers:
        lane = Lane(action.material, "materials", action.material, "", number)
        yield Arrival(date, lane, STOCK_OF[action.then], load.carbon, one)


def in_twelve_months(heaped: Sequence[Load], date: Date) -> list[Load]:
    """What went to the heap in the twelve months up to a day, by the calendar: a leap year loses nothing."""
    return [item for item in heaped if shift(date, -TWELVE) < item.date <= date]


def _spread_once(world: World, spreadings: Sequence[Happening], heaped: Sequence[Load]) -> None:
    """Refuse to spread more of the heap than all of it.

    Raises
    ------
    InputError
        at the spreading, where shares of what was carted on one day come to more than 100 %.
    """
    given: dict[int, float] = {}
    for one in sorted(spreadings, key=lambda one: one.occurrence.first):
        if not isinstance(one.action, Spread) or one.action.heap_share is None:
            continue
        for load in in_twelve_months(heaped, one.occurrence.first):
            given[id(load)] = given.get(id(load), 0.0) + one.action.heap_share.best
            if given[id(load)] > WHOLE:
                message = (
                    f"with this spreading {100 * given[id(load)]:.3g} % of the {load.name} carted to the heap on "
                    f"{load.date} would be spread"
                )
                hint = "shares of the heap within twelve months come to 100 % at most"
                raise InputError([at(one.action.place_of("heap_share"), message, world.figures.plan.source, hint)])


def _crop(world: World, one: Happening, action: Crop, numbers: tuple[int, ...]) -> Found:
    figures, name = world.figures, action.name
    typed = figures.of_plan(action, "residue")
    address = typed or figures.of_thing("crops", name, "residue", "dry_residue")
    left = world.need(address, action, f"what {name} leaves", "give residue: for example 0.2 kg/m2")
    carbon = left * world.carbon_share("crops", name)
    nitrogen = world.maybe(figures.of_thing("crops", name, "residue_nitrogen", "residue_nitrogen"))
    stays = action.then in STOCK_OF
    last = one.occurrence.last
    rich = None if nitrogen is None else left * nitrogen
    yield Load(last, one, name, "leftovers", action.then, left, carbon, rich, None, None, None, None, None)
    roots = _crop_roots(world, name)
    for number in numbers:
        if stays:
            lane = Lane(f"{name}: leaves and stems", "crops", name, "", number)
            yield Arrival(last, lane, STOCK_OF[action.then], carbon, one)
        if roots is not None:
            lane = Lane(f"{name}: roots", "crops", name, "_roots", number)
            yield Arrival(last, lane, RESIDUE, roots * world.carbon_share("crops", name), one)


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
