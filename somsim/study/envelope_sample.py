"""A cut sample scaled up: dry mass, carbon and nutrients on the beds, how sure, and what would make it surer."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass
from statistics import NormalDist

from somsim.draws.distribution import TAIL
from somsim.estimate import Share
from somsim.estimate.sample import Quantity, SampleEstimate, estimate_sample
from somsim.estimate.sampling import share_from_drying
from somsim.library import Entry, Library, read_library
from somsim.plan.days import Day, read_day
from somsim.study.envelope import (
    Closing,
    Figure,
    PlanLines,
    constant,
    entry_named,
    exact,
    of_amount,
    of_value,
    one_number,
    refused,
    said_plainly,
    typed,
    typed_range,
)
from somsim.timeline.samples import lone_error, published_spread
from somsim.units import Amount

LEVELS = (0.80, 0.90, 0.95)  # the middle one is what a range in a plan means
COMMON = 2025  # a year without a leap day
HECTARE_TONNE = 0.1  # kg/m2 in 1 t/ha
MOST_DRY = 20.0  # kg/m2, as in a plan
STAGES = ("vegetative", "flower", "mature")
NUTRIENTS = ("nitrogen", "phosphorus", "potassium")


@dataclass(frozen=True)
class SampleTyped:
    """What somebody weighed and measured.

    The ground of a sample by ``area``, or ``bed_length`` and ``bed_width``, or ``share`` of ``bed_area``; one for all
    samples or one for each.  Dry matter by ``wet`` and ``dry`` subsamples, or ``dry_matter``, or from the library by
    ``crop`` and ``stage``.
    """

    fresh: tuple[Amount, ...]
    area: tuple[Amount, ...] = ()
    bed_length: tuple[Amount, ...] = ()
    bed_width: Amount | None = None
    share: tuple[Amount, ...] = ()
    wet: tuple[Amount, ...] = ()
    dry: tuple[Amount, ...] = ()
    dry_matter: Amount | None = None
    crop: str | None = None
    stage: str | None = None
    bed_area: Amount | None = None


@dataclass(frozen=True)
class Scaled:
    """One thing on the beds: kg/m2 with its intervals at 80 and 95 %, and kg in all where the bed area is known.

    Without a standard error of its own the intervals come from published ranges; what has none of these has none.
    """

    per_area: float
    standard_error: float | None
    at_80: Figure | None
    at_95: Figure | None
    total: float | None
    total_at_80: Figure | None
    total_at_95: Figure | None


@dataclass(frozen=True)
class SampleAnswer(Closing):
    """What a sample says.  ``per_sample`` kg/m2 fresh; ``outliers`` count from 1; ``doubt`` shares of the variance.

    ``for_plan`` is the dry mass with the middle 90 %, as a plan takes a range.  ``sampled_area`` m2.
    """

    per_sample: tuple[float, ...]
    outliers: tuple[int, ...]
    sampled_area: float
    sampled_share: float
    dry_matter: Figure
    dried: bool
    fresh: Scaled
    dry: Scaled
    carbon: Scaled
    nutrients: Mapping[str, Scaled | None]
    samples_to_halve: int | None
    doubt: Mapping[str, float]
    undried_error: float
    drying_time: float
    for_plan: Figure
    crop: str | None
    stage: str | None


def sample_study(typed_in: SampleTyped, library: Library | None = None) -> SampleAnswer:
    """Scale samples up to the beds.

    Raises
    ------
    InputError
        when something is missing, said twice or cannot be; with one line that names the option.
    """
    known = library or read_library()
    entry = entry_named(known, "covers", typed_in.crop, "--crop") if typed_in.crop else None
    stage = _stage(typed_in, entry)
    masses = [one_number("--fresh", amount) for amount in typed_in.fresh]
    if not masses:
        raise refused("--fresh", "", "there are 0 samples; at least one is needed", 'for example --fresh "2.3 kg"')
    ground = _ground(typed_in, len(masses))
    beds = None if typed_in.bed_area is None else one_number("--bed-area", typed_in.bed_area)
    dry_matter, dried = _dry_matter(typed_in, entry, stage, known)
    carbon = of_value(entry.value("carbon")) if entry else constant(known, "plant_carbon")
    nutrients = _nutrients(entry, stage)
    variation = lone_error(() if entry is None else (entry,), known)
    shares = {"dry matter": dry_matter, "carbon": share_of(carbon)}
    shares |= {name: share_of(figure) for name, figure in nutrients.items()}
    found = _at_levels(masses, ground, shares, beds, variation)
    middle = found[1]
    for_plan = _for_plan(middle.dry)
    return SampleAnswer(
        per_sample=tuple(mass / size for mass, size in zip(masses, ground, strict=True)),
        outliers=tuple(at + 1 for at in middle.outliers),
        sampled_area=sum(ground),
        sampled_share=middle.sampled_share,
        dry_matter=_as_figure(dry_matter),
        dried=dried,
        fresh=_scaled([one.fresh for one in found]),
        dry=_scaled([one.dry for one in found]),
        carbon=_scaled([one.carbon for one in found]),
        nutrients={
            name: _scaled([one.nutrients[name] for one in found]) if name in nutrients else None for name in NUTRIENTS
        },
        samples_to_halve=found[0].samples_to_halve,
        doubt=middle.variance_shares,
        undried_error=constant(known, "undried_error").best,
        drying_time=constant(known, "drying_time").best,
        for_plan=for_plan,
        crop=entry.name if entry else None,
        stage=stage if entry else None,
        assumed=_assumed(typed_in, entry, stage, middle, variation, known),
        plan_lines=(plan_lines(typed_in, entry, stage, for_plan, dry_matter.best),),
    )


def _at_levels(
    masses: list[float], ground: list[float], shares: dict[str, Share], beds: float | None, variation: float
) -> list[SampleEstimate]:
    """The same estimate at each level; ``variation`` is the half-width that is the middle 90 %."""
    nutrients = {name: share for name, share in shares.items() if name in NUTRIENTS}
    with said_plainly("--fresh, --area"):
        found = [
            estimate_sample(
                masses,
                ground,
                dry_matter=shares["dry matter"],
                carbon=shares["carbon"],
                level=level,
                nutrients=nutrients,
                bed_area=beds,
                variation=variation * _normal(level) / TAIL,
            )
            for level in LEVELS
        ]
    if found[0].dry.per_area > MOST_DRY:
        why = f"comes to {found[0].dry.per_area:.3g} kg of dry matter on a m2; no crop leaves over {MOST_DRY:g}"
        raise refused("--fresh, --area", "", why, "is one of the units wrong?")
    return found


def share_of(figure: Figure) -> Share:
    """A share whose range is the middle 90 %, as everywhere in somsim; one number has no error that is known."""
    return Share(figure.best, (figure.high - figure.low) / (2.0 * TAIL) if figure.is_range else None)


def _as_figure(part: Share) -> Figure:
    half = TAIL * (part.standard_error or 0.0)
    return Figure(part.best, max(part.best - half, 0.0), min(part.best + half, 1.0), "share")


def _normal(level: float) -> float:
    return NormalDist().inv_cdf(0.5 + level / 2.0)


def _stage(typed_in: SampleTyped, entry: Entry | None) -> str:
    if typed_in.stage is not None and entry is None:
        raise refused("--stage", typed_in.stage, "a stage goes with --crop", 'for example --crop "rye and vetch"')
    if typed_in.stage is not None and typed_in.stage not in STAGES:
        raise refused("--stage", typed_in.stage, "is no stage", "one of: " + ", ".join(STAGES))
    return typed_in.stage or (entry.about.get("stage_at_end", "") if entry else "") or "vegetative"


def _ground(typed_in: SampleTyped, count: int) -> list[float]:
    ways = {"--area": typed_in.area, "--bed-length": typed_in.bed_length, "--share": typed_in.share}
    given = [name for name, amounts in ways.items() if amounts]
    hint = 'one of: --area "0.5 m2"; --bed-length "1 m" --bed-width "1.2 m"; --share "5 %" --bed-area "60 m2"'
    if not given:
        raise refused("--area", "", "how much ground was cut for a sample?", hint)
    if len(given) > 1:
        raise refused(" and ".join(given), "", "each say how much ground was cut", "keep one of them")
    if (typed_in.bed_width is None) != (given != ["--bed-length"]):
        raise refused("--bed-width", "", "--bed-length and --bed-width go together", hint)
    sizes = [one_number(given[0], amount) for amount in ways[given[0]]]
    if given == ["--bed-length"] and typed_in.bed_width is not None:
        sizes = [size * one_number("--bed-width", typed_in.bed_width) for size in sizes]
    if given == ["--share"]:
        if typed_in.bed_area is None:
            raise refused("--share", typed_in.share[0].text, "a share of how much?", 'add --bed-area "60 m2"')
        sizes = [size * one_number("--bed-area", typed_in.bed_area) for size in sizes]
    if len(sizes) not in (1, count):
        said = f"{len(sizes)} given for {count} sample{'s' if count > 1 else ''}"
        raise refused(given[0], "", said, "give one for all samples, or one for each")
    return sizes * count if len(sizes) == 1 else sizes


def _dry_matter(typed_in: SampleTyped, entry: Entry | None, stage: str, known: Library) -> tuple[Share, bool]:
    """The dry matter share with its error, and whether it was measured."""
    measured = bool(typed_in.wet or typed_in.dry)
    if measured and typed_in.dry_matter is not None:
        raise refused("--dry-matter", typed_in.dry_matter.text, "the dried subsample says it too", "keep one of them")
    if measured:
        return _dried(typed_in), True
    if typed_in.dry_matter is not None:
        return share_of(of_amount(typed_in.dry_matter, "share")), True
    if entry is None:
        hint = 'one of: --wet-subsample "200 g" --dry-subsample "34 g"; --dry-matter "17 %"; --crop "rye and vetch"'
        raise refused("--dry-matter", "", "how much of the fresh mass is dry matter?", hint)
    row = f"dry_matter_{stage}"
    if row not in entry.values:
        raise refused("--stage", stage, f"no published dry matter of {entry.name} at that stage", "give --dry-matter")
    held, off = of_value(entry.value(row)), constant(known, "undried_error").best
    low, high = min(held.low, held.best * (1.0 - off)), max(held.high, held.best * (1.0 + off))
    return share_of(Figure(held.best, low, high, "share")), False


def _dried(typed_in: SampleTyped) -> Share:
    if len(typed_in.wet) != len(typed_in.dry):
        hint = 'for example --wet-subsample "200 g" --dry-subsample "34 g"'
        raise refused("--wet-subsample and --dry-subsample", "", "go in pairs, each weighed wet and dry", hint)
    for wet, dry in zip(typed_in.wet, typed_in.dry, strict=True):
        if one_number("--dry-subsample", dry) > one_number("--wet-subsample", wet):
            why = f"dry cannot outweigh wet ({wet.text})"
            raise refused("--dry-subsample", dry.text, why, "were the two weights swapped?")
    return share_from_drying([amount.best for amount in typed_in.wet], [amount.best for amount in typed_in.dry])


def _nutrients(entry: Entry | None, stage: str) -> dict[str, Figure]:
    if entry is None:
        return {}
    rows = {name: (f"{name}_{stage}", name) for name in NUTRIENTS}
    return {
        name: of_value(entry.values[row]) for name, names in rows.items() for row in names[:2] if row in entry.values
    }


def _scaled(found: list[Quantity]) -> Scaled:
    first = found[0]
    ends = [one.interval or one.published for one in found]
    spans = [None if end is None else Figure(first.per_area, end.low, end.high, "mass_per_area") for end in ends]
    area = first.bed_area
    totals = [None if span is None or area is None else span.times(area, "mass") for span in spans]
    return Scaled(first.per_area, first.standard_error, spans[0], spans[2], first.total, totals[0], totals[2])


def _for_plan(dry: Quantity) -> Figure:
    """The middle 90 %; a plan takes the middle of a range as best, so both ends are kept as far from the mean."""
    ends = dry.interval or dry.published
    if ends is None:
        return exact(dry.per_area, "mass_per_area")
    half = min(ends.high - dry.per_area, 0.95 * dry.per_area)
    return Figure(dry.per_area, dry.per_area - half, dry.per_area + half, "mass_per_area")


def _assumed(
    typed_in: SampleTyped,
    entry: Entry | None,
    stage: str,
    found: SampleEstimate,
    variation: float,
    known: Library,
) -> tuple[str, ...]:
    said = []
    if entry is not None and typed_in.stage is None:
        said.append(f"{entry.name} was cut at its usual stage, {stage}; say otherwise with --stage.")
    if entry is None:
        said.append("Carbon is that of plants in general; nitrogen needs --crop.")
    if not (typed_in.wet or typed_in.dry_matter):
        said.append("Dry matter is the library's, not yours: nothing was dried.")
    elif len(typed_in.wet) == 1 or (typed_in.dry_matter is not None and not typed_in.dry_matter.is_range):
        said.append("One figure for dry matter says nothing of its own error: that is counted as none.")
    if found.count == 1 and found.sampled_share < 1.0:
        said.append(f"One sample cannot say how much the bed varies, so {_instead(entry, variation)}.")
    if found.sampled_share == 1.0:
        said.append("The whole bed was weighed: there is no error of sampling.")
    if typed_in.bed_area is None:
        said.append("The samples are a small part of the beds; give --bed-area for totals.")
    said.append("A range of the library is taken as the middle 90 % of what is possible (judged).")
    return tuple(said)


def _instead(entry: Entry | None, variation: float) -> str:
    """What stands in for the interval that one sample cannot give."""
    if entry is not None and published_spread(entry) is not None:
        return f"the published range of {entry.name} (+-{100 * variation:.0f} %, from place to place) stands in"
    said = "is published for this crop" if entry is not None else "is known without --crop"
    return f"+-{100 * variation:.0f} % is taken, what fresh weight alone is worth (from memory): no spread {said}"


def usual_days(cover: Entry) -> tuple[str, str, str]:
    """When a cover is usually sown and ended, and how often it comes back: every year.

    One that stands a whole year ends the day before it is sown again, or it would meet itself.
    """
    sow, cut = cover.about["window_sow"], cover.about["window_end"]
    if sow != cut:
        return sow, cut, "year"
    eve = read_day(sow).in_year(COMMON) - datetime.timedelta(1)
    return sow, Day(eve.day, eve.month).text, "year"


def plan_lines(typed_in: SampleTyped, entry: Entry | None, stage: str, dry: Figure, dry_matter: float) -> PlanLines:
    """The cover with its dry mass as a plan takes it, and the sample itself as a remark."""
    text = typed_range(dry, "t/ha", HECTARE_TONNE)
    remark = _remark(typed_in, dry_matter)
    if entry is None:
        return PlanLines("inside a cover", f"{remark}\ndry_tops: {text}\n")
    sow, cut, every = usual_days(entry)
    return PlanLines(
        "under a strategy",
        "- cover:\n"
        f"    name: {entry.name}\n"
        f"    sow: {sow}    # the usual days: put your own\n"
        f"    cut: {cut}\n"
        f"    every: {every}\n"
        "    then: left on surface\n"
        f"    stage: {stage}\n"
        f"    {remark}\n"
        f"    dry_tops: {text}\n",
    )


def _remark(typed_in: SampleTyped, dry_matter: float) -> str:
    """The sample in the words of a plan where one area holds for all, so that it can stand instead of dry_tops."""
    weighed = ", ".join(amount.text for amount in typed_in.fresh)
    share = typed(dry_matter, "%", 0.01)
    if len(typed_in.area) == 1:
        sample = f"{{fresh: [{weighed}], area: {typed_in.area[0].text}, dry_matter: {share}}}"
        return f"# instead of dry_tops: sample: {sample}"
    ground = ", ".join(amount.text for amount in typed_in.area or typed_in.bed_length or typed_in.share)
    width = f" of a bed of {typed_in.bed_width.text}" if typed_in.bed_width is not None else ""
    return f"# from: fresh {weighed}; ground {ground}{width}; dry matter {share}"
