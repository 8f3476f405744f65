"""What each cut of a cover weighs: weighed by the grower, typed, or carried from the library to the plan's dates."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from somsim.errors import InputError
from somsim.growth.standing import Shape, share_grown
from somsim.library import Entry
from somsim.plan.actions import Cover, Cut
from somsim.plan.mistakes import at
from somsim.plan.model import shift
from somsim.plan.samples import Sample
from somsim.timeline.figures import Figures
from somsim.timeline.ground import Happening
from somsim.timeline.growing import Growth, grown_share, growth, regrown_share, shape_of
from somsim.timeline.world import DAYS_A_YEAR, Array, Date, World

GIVEN = "given in the plan"
GROWN = "the library's for its usual season, carried to these dates by warmth and day length"
CUT_BY_CUT = "the library's cut by cut, no more than could stand on these dates"
ESTIMATED = (GROWN, CUT_BY_CUT)


@dataclass(frozen=True)
class Cutting:
    """One cut of one plant of a cover: dry tops, kg/m2 of bed (draw,), how old they are, and how the mass is known.

    ``died`` is the day on which frost killed what is cut, where nobody weighed it later.
    """

    mass: Array
    stage: str
    basis: str
    died: Date | None = None


def plants_of(action: Cover) -> dict[str, float]:
    """The plants of a cover and their share of its dry mass."""
    if action.mix is None:
        return {action.name: 1.0}
    return {name: share.best for name, share in action.mix.items()}


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
    told = [_told(world, one, action, number, name, stage, share) for number in range(len(action.cut))]
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


def _told(
    world: World, one: Happening, action: Cover, number: int, name: str, stage: str, share: float
) -> Cutting | None:
    """A cut that the grower weighed or estimated, or None."""
    cut = action.cut[number]
    typed = world.figures.of_plan(cut, "dry_tops")
    if typed is not None:
        return Cutting(share * world.draws.of(typed), stage, GIVEN)
    sample = cut.sample or action.sample
    if sample is None:
        return None
    count = len(sample.fresh)
    words = f"{count} sample{'s' if count > 1 else ''} of {sample.area.text}"
    if sample.on is None:
        return Cutting(share * _weighed(world, sample, name, stage), stage, words)
    grown = carried(world, one, action, number, sample, name)
    young, ripe = (action.stage or how_old for how_old in grown.stages)
    mass = share * _weighed(world, sample, name, young) * grown.times
    words += f" on {sample.on.text}, times {float(np.median(grown.times)):.2g} for what grew until the cut"
    return Cutting(mass, ripe, words, grown.died)


def _weighed(world: World, sample: Sample, name: str, stage: str) -> Array:
    """Dry mass of a sample, kg/m2 (draw,)."""
    path = world.figures.path(sample)
    fresh = world.draws.of(f"{path}/fresh_per_area")
    if sample.wet is not None and sample.dry is not None:
        return fresh * (sample.dry.best / sample.wet.best)
    if sample.dry_matter is not None:
        return fresh * world.draws.of(f"{path}/dry_matter")
    address = world.figures.of_thing("covers", name, f"dry_matter_{stage}", "dry_matter")
    return fresh * world.need(address, sample, f"dry matter of {name}", "dry a weighed part, and give wet and dry")


@dataclass(frozen=True)
class Carried:
    """How many times heavier a plant is at its cut than when it was sampled (draw,), and its stages at the two."""

    times: Array
    stages: tuple[str, ...]
    died: Date | None


def carried(world: World, one: Happening, action: Cover, number: int, sample: Sample, name: str) -> Carried:
    """Growth of a plant from the day of a sample to its cut, along the curve that would give it its published mass.

    Raises
    ------
    InputError
        where the day is not one between, or nothing is known of its growth here.
    """
    figures, before, cut = world.figures, one.occurrence.dates[number], one.occurrence.dates[number + 1]
    assert sample.on is not None
    day, place, source = sample.on.on_or_after(before), sample.place_of("on"), figures.plan.source
    if not before < day <= cut:
        begun = "sowing" if number == 0 else f"cut {number}"
        message = f"the sample of {sample.on.text} does not fall between {begun} ({before}) and the cut ({cut})"
        raise InputError([at(place, message, source, "leave on out if it was weighed at the cut")])
    entry = figures.entry("covers", name)
    covered = figures.plan.site.shelter != "open ground"
    season = growth(figures, entry, (before, day, cut), covered=covered) if entry is not None else None
    then, now = _two_masses(season, number > 0, shape_of(world)) if season is not None else (None, None)
    if season is None or then is None or now is None:
        message = f"nothing is known of how {name} grows here from {sample.on.text} to the cut"
        raise InputError([at(place, message, source, "weigh at the cut and leave on out, or give dry_tops")])
    if float(np.median(then)) <= 0.0:
        message = f"by this reckoning nothing of {name} had grown by {day}, so a sample cannot be carried on from it"
        raise InputError([at(place, message, source, "weigh nearer to the cut, or give dry_tops")])
    return Carried(now / then, season.stages, season.died)


def _two_masses(season: Growth, regrown: bool, shape: Shape) -> list[Array]:
    """Mass on two days of one growth, in any unit (draw,)."""
    if regrown and season.since is not None:
        return [np.asarray(share_grown(min(one, 1.0), shape)) for one in np.cumsum(season.since)]
    return grown_share(season, shape)


def _from_library(world: World, one: Happening, action: Cover, name: str, share: float, stage: str) -> list[Cutting]:
    """The library's mass, carried to the plan's dates by warmth and light where its season is known."""
    figures, entry = world.figures, world.figures.entry("covers", name)
    several = len(action.cut) > 1
    rows = [_row_of_cut(figures, name, number + 1) if several else None for number in range(len(action.cut))]
    whole = figures.of_thing("covers", name, "dry_tops")
    covered = figures.plan.site.shelter != "open ground"
    season = growth(figures, entry, one.occurrence.dates, covered=covered) if entry is not None else None
    if entry is not None:
        _limits(world, one, action, entry, season)
    printed = [row for row in rows if row is not None]
    if len(printed) == len(rows):
        return _cut_by_cut(world, one, action, entry, season, printed, whole, share, stage)
    hint = "give dry_tops: for example 4 t/ha, or a sample"
    mass = world.need(whole, action, f"dry mass of {name}", hint)
    if season is None:
        return [Cutting(share * mass * part, stage, "the library's") for part in _decline(world, action)]
    shape = shape_of(world)
    first, regrown = grown_share(season, shape)[0], regrown_share(season, shape)
    steps = [world.constant(f"cut_decline_{min(number, 4)}") for number in range(1, len(action.cut) + 1)]
    found = [mass * (first if n == 0 else np.minimum(first * step, regrown[n])) for n, step in enumerate(steps)]
    _worth_cutting(world, one, action, found, [str(whole)] * len(found))
    stages = [action.stage or grown for grown in season.stages]
    return [
        Cutting(share * each, how_old, GROWN, _dead_at(season, day))
        for each, how_old, day in zip(found, stages, one.occurrence.dates[1:], strict=True)
    ]


def _dead_at(season: Growth, day: Date) -> Date | None:
    return season.died if season.died is not None and season.died < day else None


def _cut_by_cut(
    world: World,
    one: Happening,
    action: Cover,
    entry: Entry | None,
    season: Growth | None,
    rows: list[str],
    whole: str | None,
    share: float,
    stage: str,
) -> list[Cutting]:
    """The printed mass of each cut, or less where its date comes too soon after the one before.

    A further cut takes the published weeks between two cuts to grow to its printed mass.
    """
    printed = [world.draws.of(row) for row in rows]
    if entry is None or season is None or season.since is None:
        return [Cutting(share * mass, stage, "the library's, cut by cut") for mass in printed]
    shape = shape_of(world)
    found = [mass * share_grown(min(gone, 1.0), shape) for mass, gone in zip(printed, season.since, strict=True)]
    found[0] = _first_cut(world, entry, season, season.since[0], printed[0], whole)
    _worth_cutting(world, one, action, found, rows)
    dates = one.occurrence.dates[1:]
    return [
        Cutting(share * mass, stage, CUT_BY_CUT, _dead_at(season, day)) for mass, day in zip(found, dates, strict=True)
    ]


def _first_cut(
    world: World, entry: Entry, season: Growth, since: float, printed: Array, whole: str | None
) -> Array:
    """The first of several cuts (draw,): printed, or what can stand by then.

    A stand that is there already grows as it does after a cut.  Where the season's mass is that of all its cuts, the
    first has its part of the season's warmth to grow in; else it is no more than stands of the one growth by then.
    """
    shape, number = shape_of(world), entry.values.get("cuts")
    if entry.about.get("established") == "yes":
        return np.asarray(printed * share_grown(min(since, 1.0), shape))
    if entry.about.get("dry_tops_of") == "all cuts" and number is not None:
        gone = season.shares[0] / season.known_share * number.best
        return np.asarray(printed * share_grown(min(gone, 1.0), shape))
    if whole is None:
        return printed
    return np.minimum(printed, world.draws.of(whole) * grown_share(season, shape)[0])


def _row_of_cut(figures: Figures, name: str, number: int) -> str | None:
    for quantity in (f"cut_mass_{number}", "cut_mass", *(f"cut_mass_{n}" for n in range(number, 0, -1))):
        if (address := figures.of_thing("covers", name, quantity)) is not None:
            return address
    return None


def _refuse(world: World, action: Cover, cut: Cut, message: str, hint: str) -> InputError:
    place = cut.place if cut.place.line else action.place
    return InputError([at(place, message, world.figures.plan.source, hint)])


def _limits(world: World, one: Happening, action: Cover, entry: Entry, season: Growth | None) -> None:
    """Refuse more cuts in twelve months, or sooner ones, than the plant is known to bear, and any after its death."""
    if len(action.cut) < 2:
        return
    most, wait = entry.values.get("cuts"), entry.values.get("cut_interval")
    dates = one.occurrence.dates[1:]
    for number, day in enumerate(dates):
        of_twelve_months = sum(shift(day, -12) < other <= day for other in dates)
        if most is not None and of_twelve_months > most.high:
            message = f"{of_twelve_months} cuts: {entry.name} bears at most {most.high:g} in a season"
            raise _refuse(world, action, action.cut[number], message, "give dry_tops for each if yours did")
        if number == 0:
            continue
        weeks = (day - dates[number - 1]).days / 7.0
        shortest = wait.low * DAYS_A_YEAR / 7.0 if wait is not None else 0.0
        if weeks < shortest - 0.5:
            message = (
                f"cut {number + 1} comes {weeks:.1f} weeks after cut {number}: "
                f"{entry.name} needs {shortest:.0f} to grow again"
            )
            raise _refuse(world, action, action.cut[number], message, "cut later, or give dry_tops for each cut")
        if season is not None and season.died is not None and season.died <= dates[number - 1]:
            message = f"cut {number + 1} finds nothing: {entry.name} is dead since the frost of {season.died}"
            raise _refuse(world, action, action.cut[number], message, "leave it out, or give dry_tops for each cut")


def _worth_cutting(world: World, one: Happening, action: Cover, masses: list[Array], addresses: list[str]) -> None:
    """Refuse a cut that would find next to nothing, even where the crop does as well as the library's high end."""
    least = world.figures.unknowns["constants/lowest_useful_cut/value"].best
    for number, (mass, address) in enumerate(zip(masses, addresses, strict=True)):
        unknown = world.figures.unknowns[address]
        found = float(np.median(mass))
        if found * unknown.high / unknown.best < least:
            cut = action.cut[number]
            message = (
                f"too early: on {one.occurrence.dates[number + 1]} only some {10 * found:.2g} t/ha of {action.name} "
                f"would stand, less than the {10 * least:.2g} t/ha worth cutting"
            )
            hint = "sow earlier, cut later, or give dry_tops or a sample if you know better"
            raise _refuse(world, action, cut, message, hint)
