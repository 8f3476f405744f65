"""What a cover brings: the mass of each cut, its tops, its roots, and the exudates while it grows."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from somsim.draws.distribution import TAIL
from somsim.errors import InputError
from somsim.estimate.roots import beta_from_share, exudate_inflow, root_carbon, to_layer
from somsim.library import Entry
from somsim.plan.actions import Cover, Cut
from somsim.plan.mistakes import at
from somsim.timeline.figures import Figures
from somsim.timeline.ground import Happening
from somsim.timeline.growing import grown_share, growth, regrown_share, shape_of
from somsim.timeline.world import DAYS_A_YEAR, RESIDUE, STOCK_OF, SURFACE, Array, Arrival, Date, Flow, Lane, Load, World

GIVEN = "given in the plan"
GROWN = "the library's for its usual season, carried to these dates by warmth and day length"
Found = Iterator[Arrival | Flow | Load | tuple[Date, Happening, Array]]


@dataclass(frozen=True)
class Cutting:
    """One cut of one plant of a cover: dry tops, kg/m2 of bed (draw,), how old they are, and how the mass is known."""

    mass: Array
    stage: str
    basis: str


def plants_of(action: Cover) -> dict[str, float]:
    """The plants of a cover and their share of its dry mass."""
    if action.mix is None:
        return {action.name: 1.0}
    return {name: share.best for name, share in action.mix.items()}


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
        yield from _roots(world, one, action, name, [cut.mass for cut in cuttings], (sown, dates[-1]), numbers)
    if action.stubble is not None:
        stubble = world.draws.of(f"{world.figures.path(action)}/stubble")
        name = next(iter(plants_of(action)))
        carbon = stubble * world.carbon_share("covers", name)
        ending = f"_{stage_of(world.figures, action, name)}"
        for number in numbers:
            lane = Lane(f"{action.name}: tops", "covers", name, ending, number)
            stock = STOCK_OF.get(action.fate(len(dates) - 1), SURFACE)
            yield Arrival(dates[-1], lane, stock, carbon, one)


def stage_of(figures: Figures, action: Cover, name: str) -> str:
    """The stage at which a cover ends: the plan's, else the usual one of its season."""
    entry = figures.entry("covers", name)
    return action.stage or (entry.about.get("stage_at_end") if entry is not None else None) or "vegetative"


def cuttings_of(world: World, one: Happening, action: Cover, name: str, share: float) -> list[Cutting]:
    """The cuts of one plant of a cover: weighed, typed, or carried from the library to these dates.

    Of several cuts for which one mass is known together, each is smaller than the one before, in the library's
    proportion.
    """
    figures, stage = world.figures, stage_of(world.figures, action, name)
    whole = figures.of_plan(action, "dry_tops")
    if whole is not None:
        mass = world.draws.of(whole)
        return [Cutting(share * mass * part, stage, GIVEN) for part in _decline(world, action)]
    told = [_told(world, action, cut, name, stage, share) for cut in action.cut]
    if all(cutting is not None for cutting in told):
        return [cutting for cutting in told if cutting is not None]
    own = figures.plan.covers.get(name)
    if own is not None and own.dry_tops is not None:
        mass = world.draws.of(f"plan/covers/{name}/dry_tops")
        found = [Cutting(share * mass * part, stage, GIVEN) for part in _decline(world, action)]
    else:
        found = _from_library(world, one, action, name, share, stage)
    return [own_cut or grown for own_cut, grown in zip(told, found, strict=True)]


def _decline(world: World, action: Cover) -> list[Array]:
    """Share of each cut in all cuts together (draw,)."""
    steps = [world.constant(f"cut_decline_{min(number, 4)}") for number in range(1, len(action.cut) + 1)]
    return [step / np.sum(steps, axis=0) for step in steps]


def _told(world: World, action: Cover, cut: Cut, name: str, stage: str, share: float) -> Cutting | None:
    """A cut that the grower weighed or estimated, or None."""
    typed = world.figures.of_plan(cut, "dry_tops")
    if typed is not None:
        return Cutting(share * world.draws.of(typed), stage, GIVEN)
    sample = cut.sample or action.sample
    if sample is None:
        return None
    path = world.figures.path(sample)
    fresh = world.draws.of(f"{path}/fresh_per_area")
    if sample.wet is not None and sample.dry is not None:
        dry: Array = np.full(world.draws.count, sample.dry.best / sample.wet.best)
    elif sample.dry_matter is not None:
        dry = world.draws.of(f"{path}/dry_matter")
    else:
        address = world.figures.of_thing("covers", name, f"dry_matter_{stage}", "dry_matter")
        hint = "dry a weighed part, and give wet and dry"
        dry = world.need(address, sample, f"dry matter of {name}", hint)
    count = len(sample.fresh)
    return Cutting(share * fresh * dry, stage, f"{count} sample{'s' if count > 1 else ''} of {sample.area.text}")


def _from_library(world: World, one: Happening, action: Cover, name: str, share: float, stage: str) -> list[Cutting]:
    """The library's mass, carried to the plan's dates by warmth and light where its season is known."""
    figures, entry = world.figures, world.figures.entry("covers", name)
    several = len(action.cut) > 1
    rows = [_row_of_cut(figures, name, number + 1) if several else None for number in range(len(action.cut))]
    whole = figures.of_thing("covers", name, "dry_tops")
    covered = figures.plan.site.shelter != "open ground"
    season = growth(figures, entry, one.occurrence.dates, covered=covered) if entry is not None else None
    if entry is not None:
        _limits(world, one, action, entry)
    if all(row is not None for row in rows):
        return [Cutting(share * world.draws.of(str(row)), stage, "the library's, cut by cut") for row in rows]
    hint = "give dry_tops: for example 4 t/ha, or a sample"
    mass = world.need(whole, action, f"dry mass of {name}", hint)
    if season is None or entry is None:
        return [Cutting(share * mass * part, stage, "the library's") for part in _decline(world, action)]
    shape = shape_of(world)
    first = grown_share(season, shape)[0]
    regrown = regrown_share(season, shape)
    steps = [world.constant(f"cut_decline_{min(number, 4)}") for number in range(1, len(action.cut) + 1)]
    found = [mass * (first if n == 0 else np.minimum(first * step, regrown[n])) for n, step in enumerate(steps)]
    _worth_cutting(world, one, action, found, str(whole))
    basis = GROWN
    stages = [action.stage or grown for grown in season.stages]
    return [Cutting(share * one_mass, how_old, basis) for one_mass, how_old in zip(found, stages, strict=True)]


def _row_of_cut(figures: Figures, name: str, number: int) -> str | None:
    for quantity in (f"cut_mass_{number}", "cut_mass", *(f"cut_mass_{n}" for n in range(number, 0, -1))):
        if (address := figures.of_thing("covers", name, quantity)) is not None:
            return address
    return None


def _refuse(world: World, action: Cover, cut: Cut, message: str, hint: str) -> InputError:
    place = cut.place if cut.place.line else action.place
    return InputError([at(place, message, world.figures.plan.source, hint)])


def _limits(world: World, one: Happening, action: Cover, entry: Entry) -> None:
    """Refuse more cuts, or sooner ones, than the plant is known to bear."""
    if len(action.cut) < 2:
        return
    most, wait = entry.values.get("cuts"), entry.values.get("cut_interval")
    if most is not None and len(action.cut) > most.high:
        message = f"{len(action.cut)} cuts: {entry.name} bears at most {most.high:g} in a season"
        raise _refuse(world, action, action.cut[int(most.high)], message, "give dry_tops for each if yours did")
    dates = one.occurrence.dates[1:]
    for number in range(1, len(dates)):
        weeks = (dates[number] - dates[number - 1]).days / 7.0
        shortest = wait.low * DAYS_A_YEAR / 7.0 if wait is not None else 0.0
        if weeks < shortest - 0.5:
            message = (
                f"cut {number + 1} comes {weeks:.1f} weeks after cut {number}: "
                f"{entry.name} needs {shortest:.0f} to grow again"
            )
            raise _refuse(world, action, action.cut[number], message, "cut later, or give dry_tops for each cut")


def _worth_cutting(world: World, one: Happening, action: Cover, masses: list[Array], address: str) -> None:
    """Refuse a cut that would find next to nothing, even where the crop does as well as the library's high end."""
    unknown = world.figures.unknowns[address]
    least = world.figures.unknowns["constants/lowest_useful_cut/value"].best
    for number, mass in enumerate(masses):
        found = float(np.median(mass))
        if found * unknown.high / unknown.best < least:
            cut = action.cut[number]
            message = (
                f"too early: on {one.occurrence.dates[number + 1]} only some {10 * found:.2g} t/ha of {action.name} "
                f"would stand, less than the {10 * least:.2g} t/ha worth cutting"
            )
            hint = "sow earlier, cut later, or give dry_tops or a sample if you know better"
            raise _refuse(world, action, cut, message, hint)


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
            phosphorus=None,  # of covers the library has neither phosphorus
            potassium=None,  # nor potassium
            fresh=fresh,
            volume=None,
            ash=None,
            basis=cut.basis,
            plant=name,
        )
        for group in numbers if fate in STOCK_OF else ():
            lane = Lane(f"{action.name}: tops", "covers", name, f"_{cut.stage}", group)
            yield Arrival(date, lane, STOCK_OF[fate], cut.mass * carbon, one)


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
