"""What has to be at hand: bought materials by the day they are spread, seed by the day it is sown."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from somsim.outcomes.money import WHOLE, bought, seed_rates
from somsim.plan.actions import Cover, Crop
from somsim.simulate import Array, Trajectory
from somsim.study.equivalence import Spread, spread_of
from somsim.study.season_cautions import Minded
from somsim.study.season_ground import share_of
from somsim.study.season_tasks import Year, slug
from somsim.study.season_types import Date, Order, Pack, Task
from somsim.timeline.ground import Happening

MOST_PACKS = 60  # nobody carries more bags than that: larger sizes alone are told
PACKETS = tuple(f"seed_packet_{number}" for number in range(1, 7))


@dataclass
class _Wanted:
    """One order on its way: amounts (draw,) by best values and in all draws, as far as they are known."""

    kind: str
    name: str
    needed: Date
    area: float = 0.0
    volume: list[Array] | None = field(default_factory=lambda: [np.zeros(1), np.zeros(1)])
    mass: list[Array] | None = field(default_factory=lambda: [np.zeros(1), np.zeros(1)])
    happenings: list[Happening] = field(default_factory=list)

    def add(self, area: float, volume: list[Array] | None, mass: list[Array] | None, one: Happening) -> None:
        """Add what one round wants, on all its beds."""
        self.area += area
        self.volume = _plus(self.volume, volume)
        self.mass = _plus(self.mass, mass)
        self.happenings.append(one)


def _plus(total: list[Array] | None, more: list[Array] | None) -> list[Array] | None:
    if total is None or more is None:
        return None
    return [one + other for one, other in zip(total, more, strict=True)]


def orders(
    best: Trajectory, many: Trajectory, year: Year, tasks: Sequence[Task], mind: Minded, ahead: int
) -> tuple[Order, ...]:
    """Everything that is bought for a year: each material by the day, as it is delivered; each kind of seed."""
    found = [*_materials(best, many, year), *_seeds(best, many, year), *_plantings(best, year), *_sheets(tasks)]
    found.sort(key=lambda one: (one.needed, one.kind, one.name))
    made, seen = [], dict[str, int]()
    for one in found:
        stem = f"{year[0]}-order-{one.kind}" + (f"-{slug(one.name)}" if one.name else "")
        seen[stem] = seen.get(stem, 0) + 1
        made.append(_order(one, f"{stem}-{seen[stem]}", best, many, tasks, mind, ahead))
    return tuple(made)


def _in(year: Year, day: Date) -> bool:
    return year[1] <= day < year[2]


def _materials(best: Trajectory, many: Trajectory, year: Year) -> Iterator[_Wanted]:
    """Materials by day of spreading, each a delivery of its own as in the costs."""
    wanted: dict[tuple[Date, str], _Wanted] = {}
    area = best.world.figures.plan.site.beds.bed_area
    for likely, drawn in zip(bought(best), bought(many), strict=True):
        if _in(year, likely.date):
            one = wanted.setdefault((likely.date, likely.name), _Wanted("material", likely.name, likely.date))
            here = likely.share * area
            volume = None if likely.volume is None or drawn.volume is None else [likely.volume, drawn.volume]
            mass = None if likely.fresh is None or drawn.fresh is None else [likely.fresh, drawn.fresh]
            one.add(here, _times(volume, here), _times(mass, here), likely.happening)
    yield from wanted.values()


def _times(pair: list[Array] | None, area: float) -> list[Array] | None:
    return None if pair is None else [values * area for values in pair]


def _seeds(best: Trajectory, many: Trajectory, year: Year) -> Iterator[_Wanted]:
    """Seed of each plant by day of sowing, of all beds together."""
    wanted: dict[tuple[Date, str], _Wanted] = {}
    beds = best.world.figures.plan.site.beds
    for one in best.timeline.happenings:
        day = one.occurrence.first
        if isinstance(one.action, Cover) and _in(year, day):
            here = share_of(one.where) * beds.bed_area
            likely, drawn = (seed_rates(run, one) for run in (best, many))
            for name, rate in likely.items():
                other = drawn[name]
                mass = None if rate is None or other is None else [rate * here, other * here]
                wanted.setdefault((day, name), _Wanted("seed", name, day)).add(here, None, mass, one)
    yield from wanted.values()


def _plantings(best: Trajectory, year: Year) -> Iterator[_Wanted]:
    """Plants or seed of crops: no amount is published, so the area alone is told."""
    wanted: dict[tuple[Date, str], _Wanted] = {}
    beds = best.world.figures.plan.site.beds
    for one in best.timeline.happenings:
        day = one.occurrence.first
        if isinstance(one.action, Crop) and _in(year, day):
            name, here = one.action.name, share_of(one.where) * beds.bed_area
            wanted.setdefault((day, name), _Wanted("planting", name, day)).add(here, None, None, one)
    yield from wanted.values()


def _sheets(tasks: Sequence[Task]) -> Iterator[_Wanted]:
    for task in tasks:
        if task.kind == "sheet":
            yield _Wanted("sheet", "", task.first, task.area, None, None)


KIND_OF_TASK = {"material": "spread", "seed": "sow", "planting": "plant", "sheet": "sheet"}


def _order(
    one: _Wanted, name: str, best: Trajectory, many: Trajectory, tasks: Sequence[Task], mind: Minded, ahead: int
) -> Order:
    material = one.kind == "material"
    volume = None if one.volume is None else spread_of(one.volume[0][0], one.volume[1])
    mass = None if one.mass is None else spread_of(one.mass[0][0], one.mass[1])
    kind = KIND_OF_TASK[one.kind]
    called = {getattr(happening.action, "material" if material else "name") for happening in one.happenings}
    return Order(
        id=name,
        kind=one.kind,
        name=one.name,
        needed=one.needed,
        order_by=one.needed - datetime.timedelta(days=ahead),
        area=one.area,
        volume=volume,
        mass=mass,
        dry_matter=_of_material(best, many, one.name, "dry_matter") if material else None,
        density=_of_material(best, many, one.name, "bulk_density") if material else None,
        packs=_loads(best, one) if material else _packets(best, one) if one.kind == "seed" else (),
        tasks=tuple(
            task.id
            for task in tasks
            if task.kind == kind and task.first == one.needed and (task.what in called or kind == "sheet")
        ),
        cautions=mind.buying(one.name) if material else (),
    )


def _of_material(best: Trajectory, many: Trajectory, name: str, quantity: str) -> Spread | None:
    """A figure of a material as delivered, by best values and in all draws."""
    address = best.world.figures.of_thing("materials", name, quantity)
    if address is None:
        return None
    return spread_of(float(best.world.draws.of(address)[0]), many.world.draws.of(address))


def _loads(best: Trajectory, one: _Wanted) -> tuple[Pack, ...]:
    """Loads of the size that the plan names, as they are paid for; else the usual sizes, each by itself enough."""
    if one.volume is None:
        return ()
    money = best.world.figures.plan.money
    if money is not None and money.load is not None:
        return (_pack("load", money.load.best, one.volume),)
    sizes = {words: float(best.world.constant(row)[0]) for row, words in BULK.items()}
    made = [_pack(words, size, one.volume) for words, size in sizes.items()]
    return tuple(pack for pack in made if pack.count <= MOST_PACKS) or (made[-1],)


BULK = {"shop_bag": "shop bag", "big_bag": "big bag", "bulk_load": "bulk load"}


def _pack(name: str, size: float, volume: list[Array]) -> Pack:
    """Whole packs, a hundredth of a millilitre over not counted, as in the costs."""
    counts = spread_of(_whole(volume[0], size)[0], _whole(volume[1], size))
    return Pack(name, size, round(counts.best), math.floor(counts.p10), math.ceil(counts.p90))


def _whole(volume: Array, size: float) -> Array:
    return np.asarray(np.ceil(volume / size - WHOLE))


def _packets(best: Trajectory, one: _Wanted) -> tuple[Pack, ...]:
    """Packets of the usual sizes that hold the seed in the middle world, together."""
    if one.mass is None:
        return ()
    sizes = [float(best.world.constant(row)[0]) for row in PACKETS]
    found = packets(float(np.median(one.mass[1])), sizes)
    return tuple(Pack("packet", size, count, count, count) for size, count in found)


def packets(mass: float, sizes: Sequence[float]) -> tuple[tuple[float, int], ...]:
    """How many packets of which size hold a mass of seed: the largest first, the rest in the smallest that holds it.

    >>> packets(1.51, (0.1, 0.25, 0.5, 1.0, 5.0))
    ((1.0, 1), (0.5, 1), (0.1, 1))
    """
    left, counts = mass, dict.fromkeys(sorted(sizes, reverse=True), 0)
    for size in counts:
        counts[size] = math.floor(left / size + WHOLE)
        left = max(left - counts[size] * size, 0.0)
    if left > WHOLE * mass:
        counts[min(size for size in sizes if size >= left)] += 1
    return tuple((size, count) for size, count in counts.items() if count)
