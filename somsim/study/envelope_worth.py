"""The first question asked at the bed: how much compost is this green manure worth?  Answered without a plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from textwrap import indent

import numpy as np
from numpy.typing import NDArray

from somsim.draws import Draws, best_values
from somsim.errors import InputError
from somsim.library import Entry, Library, read_library
from somsim.plan import Plan, parse_plan
from somsim.plan.days import Day, read_day
from somsim.plan.fields import FieldError
from somsim.study.compare import DEFAULT_DRAWS, DEFAULT_SEED
from somsim.study.envelope import (
    NOTHING_DONE,
    Closing,
    Figure,
    PlanLines,
    entry_named,
    one_number,
    refused,
    tags_of,
    typed_range,
    watches,
)
from somsim.study.envelope_sample import HECTARE_TONNE, SampleAnswer, SampleTyped, sample_study, usual_days
from somsim.study.equivalence import Equivalence, Spread, equivalences
from somsim.timeline import Figures, Setting, figures, setting
from somsim.units import Amount

Array = NDArray[np.float64]
MONTHS = (6, 12, 36, 120, 360)  # this season, 1, 3, 10 and 30 years
DECIDING = 120  # months after the cut at which the doubt is taken apart
MILLIMETRE = 0.001  # m
SHELTERS = ("open ground", "unheated tunnel", "heated glasshouse")
FATES = ("left on surface", "dug in")
MOST_NAMED = 5
LEAST_SHARE = 0.03  # of the variance of the ranks: less is not worth a line
DEFAULT_COMPOST = "garden compost"
REFERENCE = "reference"
STRATEGY = "cover"
START_YEAR = 2027  # any: the normals of the climate rows are the same in every year


@dataclass(frozen=True)
class WorthTyped:
    """A sample and what it is to be held against.  Whatever is None is assumed, and the answer says so.

    ``pressed_volume`` is the volume of all samples pressed together (m3), or that of each m2 where
    ``pressed_per_area`` (m).
    """

    sample: SampleTyped
    shelter: str | None = None
    climate: str | None = None
    compost: str | None = None
    pressed_volume: Amount | None = None
    pressed_per_area: Amount | None = None
    layer_wanted: Amount | None = None
    then: str | None = None
    sow: str | None = None
    cut: str | None = None


@dataclass(frozen=True)
class Doubt:
    """One unknown behind the range: in words, its share of the variance (of ranks), and which way it pulls."""

    what: str
    share: float
    more_is_more: bool | None


@dataclass(frozen=True)
class WorthAnswer(Closing):
    """What one round of a cover is worth, in m of compost on the same beds (as spreads over the draws).

    ``lasting`` by months after the cut; ``volume`` None where no volume was measured.  ``on_beds`` m3 of compost by
    months, None without a bed area; ``of_layer`` the share of a wanted layer by months, None without one.
    """

    sample: SampleAnswer
    compost: str
    lasting: Mapping[int, Spread]
    on_the_day: Spread
    volume: Spread | None
    on_beds: Mapping[int, Spread] | None
    on_beds_today: Spread | None
    of_layer: Mapping[int, Spread] | None
    layer_wanted: float | None
    doubts: tuple[Doubt, ...]
    carbon: Spread
    draws: int
    seed: int


def worth_study(
    typed: WorthTyped, *, draws: int = DEFAULT_DRAWS, seed: int = DEFAULT_SEED, library: Library | None = None
) -> WorthAnswer:
    """Build a small plan around a sample and ask what its cover is worth.

    Raises
    ------
    InputError
        for whatever `sample_study` refuses, a name that is not known, or dates that cannot be.
    """
    known = library or read_library()
    if not typed.sample.crop:
        raise refused("--crop", "", "which plant is it?", 'for example --crop "rye and vetch"')
    sample = sample_study(typed.sample, known)
    cover = entry_named(known, "covers", typed.sample.crop, "--crop")
    compost = entry_named(known, "materials", typed.compost or DEFAULT_COMPOST, "--compost")
    lines = _cover_lines(typed, sample, cover)
    plan_figures = figures(_plan(typed, known, compost, lines), known)
    found, drawn = _equivalence(plan_figures, draws, seed)
    scale = {month: _times(spread, MILLIMETRE) for month, spread in found.lasting.items() if month in MONTHS}
    beds = None if typed.sample.bed_area is None else one_number("--bed-area", typed.sample.bed_area)
    wanted = None if typed.layer_wanted is None else one_number("--layer-wanted", typed.layer_wanted)
    today = _times(found.on_the_day, MILLIMETRE)
    return WorthAnswer(
        sample=sample,
        compost=compost.name,
        lasting=scale,
        on_the_day=today,
        volume=None if found.volume is None else _times(found.volume, MILLIMETRE),
        on_beds=None if beds is None else {month: _times(spread, beds) for month, spread in scale.items()},
        on_beds_today=None if beds is None else _times(today, beds),
        of_layer=None if wanted is None else {month: _times(one, 1.0 / wanted) for month, one in scale.items()},
        layer_wanted=wanted,
        doubts=_doubts(plan_figures, drawn, found.draws),
        carbon=found.carbon,
        draws=draws,
        seed=seed,
        assumed=(*_assumed(typed, cover, compost), *sample.assumed),
        plan_lines=(PlanLines("under a strategy", lines), PlanLines("at the top", f"compare_with: {compost.name}\n")),
        watch=watches(known, tags_of(compost) | {"spreading by hand"}),
    )


def _times(spread: Spread, factor: float) -> Spread:
    return Spread(spread.best * factor, spread.p10 * factor, spread.p50 * factor, spread.p90 * factor)


def _cover_lines(typed_in: WorthTyped, sample: SampleAnswer, cover: Entry) -> str:
    then = typed_in.then or FATES[0]
    if then not in FATES:
        raise refused("--then", then, "is not what can become of a cut here", "one of: " + ", ".join(FATES))
    sow, cut, every = usual_days(cover)
    sow, cut = (
        usual if own is None else _option_day(option, own).text
        for option, own, usual in (("--sow", typed_in.sow, sow), ("--cut", typed_in.cut, cut))
    )
    lines = (
        "- cover:\n"
        f"    name: {cover.name}\n"
        f"    sow: {sow}\n"
        f"    cut: {cut}\n"
        f"    every: {every}\n"
        f"    then: {then}\n"
        f"    stage: {sample.stage}\n"
        f"    dry_tops: {typed_range(sample.for_plan, 't/ha', HECTARE_TONNE)}\n"
    )
    pressed = _pressed(typed_in, sample)
    return lines if pressed is None else f"{lines}    pressed_volume: {typed_range(pressed, 'l/m2', 0.001)}\n"


def _pressed(typed_in: WorthTyped, sample: SampleAnswer) -> Figure | None:
    amount = typed_in.pressed_per_area or typed_in.pressed_volume
    if amount is None:
        return None
    area = 1.0 if typed_in.pressed_per_area is not None else sample.sampled_area
    figure = Figure(amount.best / area, amount.low / area, amount.high / area, "volume_per_area")
    fresh = sum(sample.per_sample) / len(sample.per_sample)
    if not 50.0 <= fresh / figure.best <= 1100.0:
        why = f"the fresh mass would weigh {fresh / figure.best:.3g} kg/m3 pressed"
        hint = "it is the volume of all the samples pressed together; greens weigh some 300 to 700 kg/m3"
        raise refused("--pressed-volume", amount.text, why, hint)
    return figure


def _plan(typed_in: WorthTyped, known: Library, compost: Entry, lines: str) -> Plan:
    """The smallest plan that holds the cover.  Its soil is a stand-in: a round is followed on its own."""
    shelter = typed_in.shelter or SHELTERS[0]
    if shelter not in SHELTERS:
        raise refused("--shelter", shelter, "is no shelter", "one of: " + ", ".join(SHELTERS))
    climate = entry_named(known, "climates", typed_in.climate or REFERENCE, "--climate")
    sown = next(line for line in lines.splitlines() if line.strip().startswith("sow:")).split(":")[1]
    text = (
        f"title: worth of a sample\nstart: {_option_day('--sow', sown).in_year(START_YEAR)}\n"
        f"horizon: {DECIDING // 12} years\ncompare_with: {compost.name}\n"
        f"site:\n  climate: {climate.id}\n  shelter: {shelter}\n  beds: {{area: 1 m2}}\n"
        "  soil: {carbon_stock: 40 t C/ha, bulk_density: 1.3 g/cm3}\n"
        f"strategies:\n  {STRATEGY}:\n{indent(lines, '    ')}"
    )
    try:
        return parse_plan(text, "the plan made from the sample", known)
    except InputError as error:
        raise InputError(error.problems, NOTHING_DONE) from None


def _option_day(option: str, text: str) -> Day:
    try:
        day = read_day(text)
    except FieldError as error:
        raise refused(option, text, str(error), error.hint) from None
    if day.year is not None:
        raise refused(option, text, "a day without its year is needed", f"for example {day.day} Apr")
    return day


def _equivalence(plan_figures: Figures, draws: int, seed: int) -> tuple[Equivalence, Setting]:
    correlation = plan_figures.unknowns["constants/like_materials_correlation/value"].best
    best = setting(plan_figures, best_values(plan_figures.unknowns))
    drawn = setting(plan_figures, Draws(draws, seed, plan_figures.unknowns, correlation))
    return equivalences(best, drawn, MONTHS)[0], drawn


def _doubts(known: Figures, drawn: Setting, worth: Array) -> tuple[Doubt, ...]:
    """The unknowns whose draws go with the worth: squared rank correlation, the largest first."""
    if float(np.ptp(worth)) == 0.0:
        return ()
    target = _ranks(worth)
    found: dict[str, Doubt] = {}
    for name in sorted(drawn.draws.asked):
        unknown = known.unknowns[name]
        if not unknown.is_range:
            continue
        own = "sample" if name.endswith("/dry_tops") else unknown.scored_as or name
        words = "the dry mass of your sample" if own == "sample" else unknown.label
        doubt = _doubt(words, drawn.draws.of(name), target)
        if own not in found or doubt.share > found[own].share:
            found[own] = doubt
    family = _doubt("which of two families of published coefficients holds", drawn.isohumic.astype(float), target)
    found["family"] = Doubt(family.what, family.share, None)
    most = sorted(found.values(), key=lambda one: -one.share)[:MOST_NAMED]
    return tuple(one for one in most if one.share >= LEAST_SHARE)


def _doubt(words: str, values: Array, target: Array) -> Doubt:
    if float(np.ptp(values)) == 0.0:
        return Doubt(words, 0.0, None)
    correlation = float(np.corrcoef(_ranks(values), target)[0, 1])
    return Doubt(words, correlation**2, correlation > 0.0)


def _ranks(values: Array) -> Array:
    """Ranks, the mean rank where values are the same: Spearman (1904), Am. J. Psychol. 15:72 (from memory)."""
    from scipy.stats import rankdata

    return np.asarray(rankdata(values), dtype=np.float64)


def _assumed(typed_in: WorthTyped, cover: Entry, compost: Entry) -> tuple[str, ...]:
    said = []
    if typed_in.climate is None:
        said.append("Climate: the reference climate (Uppsala), where the rates were fitted; give --climate for yours.")
    if typed_in.shelter is None:
        said.append("Open ground; under a tunnel things decay faster: give --shelter.")
    if typed_in.compost is None:
        said.append(f"Held against {compost.name}; another with --compost.")
    if typed_in.then is None:
        said.append("The cut is left on the surface; dug in with --then.")
    if typed_in.sow is None or typed_in.cut is None:
        days = f"sown {cover.about['window_sow']}, cut {cover.about['window_end']}"
        said.append(f"The usual season of {cover.name} where you gave no --sow and --cut: {days}.")
    if typed_in.pressed_volume is None and typed_in.pressed_per_area is None:
        said.append("By volume is not told: no bucket was filled (--pressed-volume).")
    said.append("Roots are the library's. Nothing else stands on the bed; the compost lies on it from the same day.")
    said.append(
        "The layer is 20 cm deep; clay and lime of the soil are not known; what is in the soil does not matter."
    )
    return tuple(said)
