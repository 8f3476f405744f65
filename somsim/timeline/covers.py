"""What a cover brings: the mass of each cut, its tops, its roots, and the exudates while it grows."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from somsim.draws.distribution import TAIL
from somsim.estimate.roots import beta_from_share, exudate_inflow, root_carbon, to_layer
from somsim.plan.actions import Cover
from somsim.timeline.cuts import Cutting, cuttings_of, plants_of, stage_of
from somsim.timeline.ground import Happening
from somsim.timeline.world import DAYS_A_YEAR, RESIDUE, STOCK_OF, SURFACE, Array, Arrival, Date, Flow, Lane, Load, World

Found = Iterator[Arrival | Flow | Load | tuple[Date, Happening, Array]]


def cover(world: World, one: Happening, action: Cover, numbers: tuple[int, ...]) -> Found:
    """Everything that one round of a cover brings to the groups of beds it is on.

    Raises
    ------
    InputError
        where a mass is not known, or a cut cannot be made by then.
    """
    sown, *dates = one.occurrence.dates
    for name, share in plants_of(action).items():
        cuttings = cuttings_of(world, one, action, name, share)
        yield from _tops(world, one, action, name, cuttings, numbers)
        season = (sown, cuttings[-1].died or dates[-1])
        yield from _roots(world, one, action, name, [cut.mass for cut in cuttings], season, numbers)
    if action.stubble is not None:
        stubble = world.draws.of(f"{world.figures.path(action)}/stubble")
        name = next(iter(plants_of(action)))
        carbon = stubble * world.carbon_share("covers", name)
        ending = f"_{stage_of(world.figures, action, name)}"
        for number in numbers:
            lane = Lane(f"{action.name}: tops", "covers", name, ending, number)
            stock = STOCK_OF.get(action.fate(len(dates) - 1), SURFACE)
            yield Arrival(dates[-1], lane, stock, carbon, one)


def _tops(
    world: World, one: Happening, action: Cover, name: str, cuttings: list[Cutting], numbers: tuple[int, ...]
) -> Found:
    carbon = world.carbon_share("covers", name)
    for number, (date, cut) in enumerate(zip(one.occurrence.dates[1:], cuttings, strict=True)):
        fate = action.fate(number)
        nitrogen = world.maybe(world.figures.of_thing("covers", name, f"nitrogen_{cut.stage}", "nitrogen"))
        wet = world.maybe(world.figures.of_thing("covers", name, f"dry_matter_{cut.stage}", "dry_matter"))
        rich = None if nitrogen is None else cut.mass * nitrogen
        fresh = None if wet is None else cut.mass / wet
        yield Load(
            date=date,
            happening=one,
            name=action.name,
            kind="tops",
            fate=fate,
            dry=cut.mass,
            carbon=cut.mass * carbon,
            nitrogen=rich,
            phosphorus=_part(world, name, "phosphorus", cut),
            potassium=_part(world, name, "potassium", cut),
            fresh=fresh,
            volume=None,
            ash=None,
            basis=cut.basis,
            plant=name,
            died=cut.died,
        )
        for group in numbers if fate in STOCK_OF else ():
            lane = Lane(f"{action.name}: tops", "covers", name, f"_{cut.stage}", group)
            # What frost has killed lies as litter from that day on; a last cut dug in takes it along.
            day, stock = (cut.died, SURFACE) if cut.died is not None else (date, STOCK_OF[fate])
            yield Arrival(day, lane, stock, cut.mass * carbon, one)


def _part(world: World, name: str, nutrient: str, cut: Cutting) -> Array | None:
    """kg/m2 of a nutrient in a cut (draw,); None where none is published for such a plant."""
    share = world.maybe(world.figures.of_thing("covers", name, nutrient))
    return None if share is None else cut.mass * share


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
        includes_exudates=not typed,
    )
    grown, largest = np.sum(masses, axis=0), np.max(masses, axis=0)
    carbon = root_carbon(
        found,
        largest_standing=largest + _follows_growth(world, str(address)) * (grown - largest),
        total_growth=grown,
        carbon=world.carbon_share("covers", name),
    )
    first, last = season
    rate = exudate_inflow(carbon.exudates, (last - first).days / DAYS_A_YEAR)
    for number in numbers:
        lane = Lane(f"{action.name}: roots", "covers", name, "_roots", number)
        yield Arrival(last, lane, RESIDUE, carbon.structural, one)
        yield Flow(first, last, lane, rate, one)
    yield (last, one, carbon.structural_below + carbon.exudates_below)


def _follows_growth(world: World, address: str) -> Array:
    """How far roots follow all growth rather than the largest standing crop: not at all at best, wholly at the high.

    Drawn with the ratio itself, whose high bound stands for roots that are renewed after every cut.
    """
    return np.clip(world.draws.score_of(address) / TAIL, 0.0, 1.0)
