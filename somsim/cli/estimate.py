"""`somsim estimate`: sums on the back of an envelope, done with their error, without a plan."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import typer

from somsim.cli import estimate_options as ask
from somsim.cli.options import (
    DEFAULT_DRAWS,
    DrawsOption,
    JsonOption,
    SeedOption,
    Units,
    UnitsOption,
    console,
    print_json,
)

if TYPE_CHECKING:
    from somsim.study.envelope_sample import SampleTyped
    from somsim.units import Amount

app = typer.Typer(
    help="Sums on the back of an envelope, with their error: a sample, its worth, roots, a layer, a heap, land.",
    no_args_is_help=True,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _answer(found: object, show: Callable[..., None], units: Units, json: bool) -> None:
    if json:
        from somsim.report.envelope import as_json

        print_json(as_json(found))
    else:
        show(found, console(), units.value)


def _sample(
    fresh: ask.Texts,
    area: ask.Texts,
    bed_length: ask.Texts,
    bed_width: ask.Text,
    share: ask.Texts,
    wet: ask.Texts,
    dry: ask.Texts,
    dry_matter: ask.Text,
    crop: ask.Text,
    stage: ask.Text,
    bed_area: ask.Text,
) -> SampleTyped:
    from somsim.study.envelope_sample import SampleTyped

    return SampleTyped(
        fresh=ask.amounts("--fresh", fresh, "mass", zero=True),
        area=ask.amounts("--area", area, "area"),
        bed_length=ask.amounts("--bed-length", bed_length, "length"),
        bed_width=ask.amount("--bed-width", bed_width, "length"),
        share=ask.amounts("--share", share, "share"),
        wet=ask.amounts("--wet-subsample", wet, "mass"),
        dry=ask.amounts("--dry-subsample", dry, "mass"),
        dry_matter=ask.amount("--dry-matter", dry_matter, "share"),
        crop=crop,
        stage=stage,
        bed_area=ask.amount("--bed-area", bed_area, "area"),
    )


@app.command()
def sample(
    fresh: ask.Fresh = None,
    area: ask.Area = None,
    bed_length: ask.BedLength = None,
    bed_width: ask.BedWidth = None,
    share: ask.ShareOfBed = None,
    wet_subsample: ask.Wet = None,
    dry_subsample: ask.Dry = None,
    dry_matter: ask.DryMatter = None,
    crop: ask.Cover = None,
    stage: ask.Stage = None,
    bed_area: ask.BedArea = None,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """Scale cut samples of known area up to the beds: dry matter, carbon, nitrogen, and how sure.

    Needed: --fresh, the ground of a sample, and its dry matter (weighed, typed, or from the library by --crop).
    """
    from somsim.report.envelope_sample import show_sample
    from somsim.study.envelope_sample import sample_study

    typed = _sample(
        fresh, area, bed_length, bed_width, share, wet_subsample, dry_subsample, dry_matter, crop, stage, bed_area
    )
    _answer(sample_study(typed), show_sample, units, json)


@app.command()
def worth(
    crop: ask.Cover = None,
    fresh: ask.Fresh = None,
    area: ask.Area = None,
    bed_length: ask.BedLength = None,
    bed_width: ask.BedWidth = None,
    share: ask.ShareOfBed = None,
    wet_subsample: ask.Wet = None,
    dry_subsample: ask.Dry = None,
    dry_matter: ask.DryMatter = None,
    stage: ask.Stage = None,
    bed_area: ask.BedArea = None,
    shelter: ask.Shelter = None,
    climate: ask.Climate = None,
    compost: ask.Compost = None,
    pressed_volume: ask.Pressed = None,
    layer_wanted: ask.LayerWanted = None,
    then: ask.Then = None,
    sow: ask.Sown = None,
    cut: ask.Cut = None,
    draws: DrawsOption = DEFAULT_DRAWS,
    seed: SeedOption = 1,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """How much compost is this green manure worth?  By what lasts, by carbon on the day, by volume.

    Needed: --crop, --fresh and the ground of a sample.
    """
    from somsim.report.envelope_worth import show_worth
    from somsim.study.envelope_worth import WorthTyped, worth_study

    typed = WorthTyped(
        _sample(
            fresh, area, bed_length, bed_width, share, wet_subsample, dry_subsample, dry_matter, crop, stage, bed_area
        ),
        shelter=shelter,
        climate=climate,
        compost=compost,
        then=then,
        sow=sow,
        cut=cut,
        layer_wanted=ask.amount("--layer-wanted", layer_wanted, "length", most=1.0, limit="is past 1 m: no layer"),
        **_pressed(pressed_volume),
    )
    _answer(worth_study(typed, draws=draws, seed=seed), show_worth, units, json)


def _pressed(text: str | None) -> dict[str, Amount]:
    """The pressed volume, of all the samples or for each m2, under the name the study has for it."""
    from somsim.study.envelope import read_either

    if text is None:
        return {}
    by, volume = read_either("--pressed-volume", text, "volume", "volume_per_area")
    return {"pressed_per_area" if by == "volume_per_area" else "pressed_volume": volume}


@app.command()
def roots(
    tops: ask.Tops = None,
    crop: ask.Cover = None,
    kind: ask.RootKind = None,
    layer: ask.LayerDepth = None,
    measured_roots: ask.RootsDug = None,
    measured_depth: ask.DepthDug = None,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """Root carbon under a cover, from every published ratio brought to one depth and definition.

    Needed: --tops, and --crop or --kind.
    """
    from somsim.report.envelope_roots import show_roots
    from somsim.study.envelope_roots import RootsTyped, roots_study

    deep = {"most": 1.5, "limit": "is past 1.5 m"}
    dry = {"most": 20.0, "limit": "no crop leaves over 20 kg/m2 (200 t/ha)"}
    typed = RootsTyped(
        ask.needed("--tops", tops, "mass_per_area", "how much stood above the ground, dry?", **dry),
        crop,
        kind,
        layer=ask.amount("--layer", layer, "length", **deep),
        measured_roots=ask.amount("--measured-roots", measured_roots, "mass_per_area", **dry),
        measured_depth=ask.amount("--measured-depth", measured_depth, "length", **deep),
    )
    _answer(roots_study(typed), show_roots, units, json)


@app.command()
def layer(
    depth: ask.SpreadDepth = None,
    area: ask.SpreadArea = None,
    volume: ask.SpreadVolume = None,
    mass: ask.SpreadMass = None,
    bulk_density: ask.BulkDensity = None,
    dry_matter: ask.DryPart = None,
    organic_matter: ask.OrganicPart = None,
    carbon: ask.CarbonPart = None,
    material: ask.Material = None,
    nitrogen: ask.Nitrogen = None,
    phosphorus: ask.Phosphorus = None,
    phosphorus_limit: ask.PhosphorusLimit = None,
    price: ask.Price = None,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """Any three of depth, area, volume, mass and what is in it give the rest; loads, hours, money, limits.

    Needed: enough that something follows, such as --depth and --area with --material.
    """
    from somsim.report.envelope_layer import show_layer
    from somsim.study.envelope_layer import LayerTyped, layer_study, read_price

    whole = {
        "depth": ask.amount("--depth", depth, "length"),
        "area": ask.amount("--area", area, "area"),
        "volume": ask.amount("--volume", volume, "volume"),
        "density": ask.amount("--bulk-density", bulk_density, "density"),
        "mass": ask.amount("--mass", mass, "mass"),
    }
    given = {name: one for name, one in whole.items() if one is not None}
    typed = LayerTyped(
        given | _parts(dry_matter, organic_matter, carbon),
        material,
        nitrogen=ask.amount("--nitrogen", nitrogen, "share"),
        phosphorus=ask.amount("--phosphorus", phosphorus, "share"),
        phosphorus_limit=ask.amount("--phosphorus-limit", phosphorus_limit, "mass_per_area"),
        price=None if price is None else read_price(price),
    )
    _answer(layer_study(typed), show_layer, units, json)


def _parts(dry_matter: ask.Text, organic_matter: ask.Text, carbon: ask.Text) -> dict[str, Amount]:
    """What is in a layer, each as a share or as a mass, under the names the study has for the two."""
    from somsim.study.envelope import read_either

    found = {}
    for option, text, as_share, as_mass in (
        ("--dry-matter", dry_matter, "dry_matter", "dry"),
        ("--organic-matter", organic_matter, "organic_share", "organic"),
        ("--carbon", carbon, "carbon_share", "carbon"),
    ):
        if text is not None:
            by, part = read_either(option, text, "share", "mass")
            found[as_mass if by == "mass" else as_share] = part
    return found


@app.command()
def heap(
    add: ask.Parts = None,
    compost: ask.Compost = None,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """A mix of feedstocks: C:N, moisture and density against the published windows, and the compost it makes.

    Needed: --add, once or more.
    """
    from somsim.report.envelope_heap import show_heap
    from somsim.study.envelope_heap import HeapTyped, heap_study, read_part

    typed = HeapTyped(tuple(read_part(text) for text in add or ()), compost)
    _answer(heap_study(typed), show_heap, units, json)


@app.command()
def land(
    layer: ask.LandLayer = None,
    area: ask.LandArea = None,
    with_: ask.LandCover = None,
    yield_: ask.LandYield = None,
    compost: ask.Compost = None,
    crop: ask.CropInstead = None,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """Area of a cover or ley that would feed the compost for the beds, by organic matter and by nitrogen.

    Needed: --layer, --area and --with.
    """
    from somsim.report.envelope_land import show_land
    from somsim.study.envelope_land import LandTyped, land_study

    typed = LandTyped(
        ask.needed("--layer", layer, "length", "how deep a layer, every year?"),
        ask.needed("--area", area, "area", "how large are the beds?"),
        ask.said("--with", with_, "which cover would feed the heap?", "white clover"),
        ask.amount("--yield", yield_, "mass_per_area", most=20.0, limit="no crop gives over 20 kg/m2 (200 t/ha)"),
        compost,
        crop,
    )
    _answer(land_study(typed), show_land, units, json)
