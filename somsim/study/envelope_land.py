"""Land that would feed the compost: by organic matter and by nitrogen, beside the ratios in print."""

from __future__ import annotations

from dataclasses import dataclass

from somsim.estimate.land import feed_land, harvest_given_up, layer_content, ratio_from_share, yield_to_compost
from somsim.library import Entry, Library, read_library
from somsim.study.envelope import (
    Closing,
    Figure,
    Inputs,
    PlanLines,
    combined,
    constant,
    entry_named,
    exact,
    of_amount,
    of_value,
    one_number,
    percent,
    refused,
    said_plainly,
    typed_range,
    watches,
)
from somsim.study.envelope_sample import HECTARE_TONNE, usual_days
from somsim.units import Amount

DEEPEST = 1.0  # m
DEFAULT_COMPOST = "garden compost"
RESULTS = {
    "organic_needed": "mass_per_area",
    "nitrogen_needed": "mass_per_area",
    "by_organic_matter": "ratio",
    "by_nitrogen": "ratio",
    "larger": "ratio",
}
# Rows of the library's composting table: the ratio, and the layer (m) it was worked out or told for.
PRINTED = {
    "land_clover_25_mm": 0.025,
    "land_clover_10_mm": 0.010,
    "land_clover_6_mm": 0.006,
    "land_manure": 0.0254,
}


@dataclass(frozen=True)
class LandTyped:
    """A yearly layer on an area of beds, and the cover that would feed it."""

    layer: Amount
    area: Amount
    cover: str
    dry_yield: Amount | None = None
    compost: str | None = None
    crop: str | None = None


@dataclass(frozen=True)
class PrintedRatio:
    """A published area of feeding land for each area of bed: as told, for which layer, and in proportion for yours."""

    name: str
    ratio: Figure
    layer: Figure | None
    for_yours: Figure | None
    known: str
    source: str


@dataclass(frozen=True)
class LandAnswer(Closing):
    """Area of the cover for each area of bed (ratios) and in all (m2); what it would have grown instead (kg fresh)."""

    cover: str
    compost: str
    layer: Figure
    beds: float
    dry_yield: Figure
    organic_needed: Figure
    nitrogen_needed: Figure
    by_organic_matter: Figure
    by_nitrogen: Figure
    area_by_organic_matter: Figure
    area_by_nitrogen: Figure
    larger_area: Figure
    printed: tuple[PrintedRatio, ...]
    crop: str | None
    instead: Figure | None
    portions: Figure | None


def land_study(typed: LandTyped, library: Library | None = None) -> LandAnswer:
    """Work out how much land a layer of compost takes.

    Raises
    ------
    InputError
        for a name that is not known, a layer that is none, or a cover without a published yield.
    """
    known = library or read_library()
    if typed.layer.high > DEEPEST:
        why = f"is past {DEEPEST:g} m: no yearly layer"
        raise refused("--layer", typed.layer.text, why, "is the unit right? for example 25 mm")
    beds = one_number("--area", typed.area)
    cover = entry_named(known, "covers", typed.cover, "--with")
    compost = entry_named(known, "materials", typed.compost or DEFAULT_COMPOST, "--compost")
    crop = entry_named(known, "crops", typed.crop, "--crop") if typed.crop else None
    inputs = _inputs(typed, cover, compost, known)
    with said_plainly("--layer, --yield"):
        found = combined(_worked_out, inputs, RESULTS)
    instead = None if crop is None else _instead(found["larger"].times(beds, "area"), crop)
    layer = inputs["depth"]
    return LandAnswer(
        cover=cover.name,
        compost=compost.name,
        layer=layer,
        beds=beds,
        dry_yield=inputs["yield"],
        organic_needed=found["organic_needed"],
        nitrogen_needed=found["nitrogen_needed"],
        by_organic_matter=found["by_organic_matter"],
        by_nitrogen=found["by_nitrogen"],
        area_by_organic_matter=found["by_organic_matter"].times(beds, "area"),
        area_by_nitrogen=found["by_nitrogen"].times(beds, "area"),
        larger_area=found["larger"].times(beds, "area"),
        printed=_printed(known, layer),
        crop=crop.name if crop else None,
        instead=instead,
        portions=None if instead is None else instead.times(1.0 / constant(known, "portion").best, "ratio"),
        assumed=_assumed(typed, cover, compost, inputs),
        plan_lines=_plan_lines(typed, cover, compost, inputs["yield"]),
        watch=watches(known, {"heap", "spreading by hand"}),
    )


def _inputs(typed: LandTyped, cover: Entry, compost: Entry, known: Library) -> dict[str, Figure]:
    stage = cover.about.get("stage_at_end") or "vegetative"
    if typed.dry_yield is None and "dry_tops" not in cover.values:
        raise refused("--yield", "", f"no dry yield is published for {cover.name}", 'for example --yield "6 t/ha"')
    dry = of_value(cover.value("dry_tops")) if typed.dry_yield is None else of_amount(typed.dry_yield, "mass_per_area")
    needed = ("bulk_density", "dry_matter", "nitrogen", "organic_matter")
    missing = [name for name in needed if name not in compost.values]
    if missing:
        words = missing[0].replace("_", " ")
        raise refused("--compost", compost.name, f"the library has no {words} for it", "for example garden compost")
    return {
        "depth": of_amount(typed.layer, "length"),
        "density": of_value(compost.value("bulk_density")),
        "dry_matter": of_value(compost.value("dry_matter")),
        "organic": of_value(compost.value("organic_matter")),
        "nitrogen": of_value(compost.value("nitrogen")),
        "yield": dry,
        "plant_organic": of_value(cover.value("organic_matter")),
        "plant_nitrogen": of_value(cover.value(f"nitrogen_{stage}")),
        "organic_lost": constant(known, "carbon_loss", "composting"),
        "nitrogen_lost": constant(known, "nitrogen_loss", "composting"),
    }


def _worked_out(given: Inputs) -> Inputs:
    layer = {"density": given["density"], "dry_matter": given["dry_matter"]}
    organic = layer_content(given["depth"], **layer, content=given["organic"])
    nitrogen = layer_content(given["depth"], **layer, content=given["nitrogen"])
    land = feed_land(
        organic,
        nitrogen,
        brought_organic=yield_to_compost(given["yield"], content=given["plant_organic"], loss=given["organic_lost"]),
        brought_nitrogen=yield_to_compost(given["yield"], content=given["plant_nitrogen"], loss=given["nitrogen_lost"]),
    )
    return {
        "organic_needed": float(organic),
        "nitrogen_needed": float(nitrogen),
        "by_organic_matter": float(land.by_organic_matter),
        "by_nitrogen": float(land.by_nitrogen),
        "larger": float(land.larger),
    }


def _instead(area: Figure, crop: Entry) -> Figure:
    return combined(
        lambda given: {"harvest": float(harvest_given_up(given["area"], given["yield"]))},
        {"area": area, "yield": of_value(crop.value("yield"))},
        {"harvest": "mass"},
    )["harvest"]


def _printed(known: Library, layer: Figure) -> tuple[PrintedRatio, ...]:
    """Each ratio in print; in proportion to the layer where it names one."""
    table = known.tables["composting"]
    found = []
    for name, depth in PRINTED.items():
        value = table[name].value("value")
        ratio = of_value(value)
        yours = ratio.times(layer.best / depth)
        row = (table[name].name, ratio, exact(depth, "length"), yours, value.known)
        found.append(PrintedRatio(*row, known.sources[value.source].title))
    value, depth_row = table["land_carbon_share"].value("value"), table["land_compost_depth"].value("value")
    best, low, high = (float(ratio_from_share(end)) for end in (value.best, value.low, value.high))
    ratio, for_layer = Figure(best, low, high, "ratio"), of_value(depth_row)
    yours = ratio.times(layer.best / for_layer.best)
    title = known.sources[value.source].title
    found.append(PrintedRatio(table["land_carbon_share"].name, ratio, for_layer, yours, value.known, title))
    return tuple(found)


def _assumed(typed: LandTyped, cover: Entry, compost: Entry, inputs: dict[str, Figure]) -> tuple[str, ...]:
    said = []
    if typed.dry_yield is None:
        said.append(f"The library's dry yield of {cover.name} in its usual season; your own with --yield.")
    if typed.compost is None:
        said.append(f"The layer is {compost.name}; another with --compost.")
    said += [
        "One layer a year from one year's cut; everything cut is carted to the heap.",
        f"The heap loses organic matter as it loses carbon, {percent(inputs['organic_lost'])}, "
        f"and nitrogen, {percent(inputs['nitrogen_lost'])}.",
        "The layer that goes with the share of compost crops has soil in it (a quarter to half, from memory), so its "
        "ratio asks for the least land.",
    ]
    if typed.crop is not None:
        said.append("Instead: one crop a year on the larger of the two areas, at the library's yield.")
    return tuple(said)


def _plan_lines(typed: LandTyped, cover: Entry, compost: Entry, dry: Figure) -> tuple[PlanLines, ...]:
    sow, cut, every = usual_days(cover)
    spread = (
        f"- spread:\n    material: {compost.name}\n    depth: {typed.layer.text}\n"
        "    on: 20 Apr    # put your own day\n    every: year\n    then: left on surface\n"
    )
    feeding = (
        f"- cover:    # on the land that feeds the heap\n    name: {cover.name}\n    sow: {sow}    # the usual days\n"
        f"    cut: {cut}\n    every: {every}\n    then: carted off\n"
        f"    dry_tops: {typed_range(dry, 't/ha', HECTARE_TONNE)}\n"
    )
    return (PlanLines("under a strategy", spread), PlanLines("under another strategy", feeding))
