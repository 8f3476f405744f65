"""`somsim estimate`: sums on the back of an envelope, done with their error, without a plan."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated, Any

import typer

from somsim.cli.options import DrawsOption, JsonOption, SeedOption, Units, UnitsOption, console, print_json

if TYPE_CHECKING:
    from somsim.study.envelope_sample import SampleTyped
    from somsim.units import Amount

app = typer.Typer(
    help="Sums on the back of an envelope, with their error: a sample, its worth, roots, a layer, a heap, land.",
    no_args_is_help=True,
    context_settings={"help_option_names": ["-h", "--help"]},
)


def _option(name: str, words: str) -> Any:
    return typer.Option(name, help=words, show_default=False)


Text = str | None
Texts = list[str] | None
Fresh = Annotated[Texts, _option("--fresh", "Fresh mass of a sample, 2.3 kg; once for each sample.")]
Area = Annotated[Texts, _option("--area", "Ground of a sample, 0.5 m2; one for all, or one for each.")]
BedLength = Annotated[Texts, _option("--bed-length", "Or: length of bed cut for a sample, 1 m.")]
BedWidth = Annotated[Text, _option("--bed-width", "Width of that bed, 1.2 m.")]
ShareOfBed = Annotated[Texts, _option("--share", "Or: share of --bed-area cut for a sample, 5 %.")]
Wet = Annotated[Texts, _option("--wet-subsample", "A part weighed fresh, 200 g; may be repeated.")]
Dry = Annotated[Texts, _option("--dry-subsample", "The same part weighed dry, 34 g.")]
DryMatter = Annotated[Text, _option("--dry-matter", "Or: dry matter in the fresh mass, 17 % or 15 to 19 %.")]
Cover = Annotated[Text, _option("--crop", "A cover of the library, such as rye and vetch.")]
Stage = Annotated[Text, _option("--stage", "How old it was: vegetative, flower, mature.")]
BedArea = Annotated[Text, _option("--bed-area", "Area of all the beds, 108 m2, for totals.")]
Compost = Annotated[Text, _option("--compost", "A material of the library; garden compost if left out.")]
Price = Annotated[Text, _option("--price", "What it costs: 35 per m3; also per yd3, t, kg.")]


def _amount(option: str, text: str | None, dimension: str, **limits: Any) -> Amount | None:
    from somsim.study.envelope import read_amount

    return None if text is None else read_amount(option, text, dimension, **limits)


def _amounts(option: str, texts: list[str] | None, dimension: str, **limits: Any) -> tuple[Amount, ...]:
    from somsim.study.envelope import read_amount

    return tuple(read_amount(option, text, dimension, **limits) for text in texts or ())


def _needed(option: str, text: str, dimension: str, **limits: Any) -> Amount:
    from somsim.study.envelope import read_amount

    return read_amount(option, text, dimension, **limits)


def _answer(found: object, show: Callable[..., None], units: Units, json: bool) -> None:
    if json:
        from somsim.report.envelope import as_json

        print_json(as_json(found))
    else:
        show(found, console(), units.value)


def _sample(
    fresh: Texts,
    area: Texts,
    bed_length: Texts,
    bed_width: Text,
    share: Texts,
    wet: Texts,
    dry: Texts,
    dry_matter: Text,
    crop: Text,
    stage: Text,
    bed_area: Text,
) -> SampleTyped:
    from somsim.study.envelope_sample import SampleTyped

    return SampleTyped(
        fresh=_amounts("--fresh", fresh, "mass", zero=True),
        area=_amounts("--area", area, "area"),
        bed_length=_amounts("--bed-length", bed_length, "length"),
        bed_width=_amount("--bed-width", bed_width, "length"),
        share=_amounts("--share", share, "share"),
        wet=_amounts("--wet-subsample", wet, "mass"),
        dry=_amounts("--dry-subsample", dry, "mass"),
        dry_matter=_amount("--dry-matter", dry_matter, "share"),
        crop=crop,
        stage=stage,
        bed_area=_amount("--bed-area", bed_area, "area"),
    )


@app.command()
def sample(
    fresh: Fresh = None,
    area: Area = None,
    bed_length: BedLength = None,
    bed_width: BedWidth = None,
    share: ShareOfBed = None,
    wet_subsample: Wet = None,
    dry_subsample: Dry = None,
    dry_matter: DryMatter = None,
    crop: Cover = None,
    stage: Stage = None,
    bed_area: BedArea = None,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """Scale cut samples of known area up to the beds: dry matter, carbon, nitrogen, and how sure.

    Needed: --fresh, the ground of a sample, and its dry matter (weighed, typed, or from the library by --crop).
    """
    from somsim.report.envelope_sample import show_sample
    from somsim.study.envelope_sample import sample_study

    typed = _sample(
        fresh,
        area,
        bed_length,
        bed_width,
        share,
        wet_subsample,
        dry_subsample,
        dry_matter,
        crop,
        stage,
        bed_area,
    )
    _answer(sample_study(typed), show_sample, units, json)


@app.command()
def worth(
    crop: Cover = None,
    fresh: Fresh = None,
    area: Area = None,
    bed_length: BedLength = None,
    bed_width: BedWidth = None,
    share: ShareOfBed = None,
    wet_subsample: Wet = None,
    dry_subsample: Dry = None,
    dry_matter: DryMatter = None,
    stage: Stage = None,
    bed_area: BedArea = None,
    shelter: Annotated[
        Text, _option("--shelter", "open ground, unheated tunnel or heated glasshouse; open ground if left out.")
    ] = None,
    climate: Annotated[
        Text, _option("--climate", "A row of: somsim library climates; the reference climate if left out.")
    ] = None,
    compost: Compost = None,
    pressed_volume: Annotated[
        Text, _option("--pressed-volume", "All the samples pressed into a bucket, 12 l; or for each m2, 8 l/m2.")
    ] = None,
    layer_wanted: Annotated[Text, _option("--layer-wanted", "A layer of compost to be matched, 25 mm.")] = None,
    then: Annotated[Text, _option("--then", "left on surface or dug in; left on surface if left out.")] = None,
    sow: Annotated[Text, _option("--sow", "When it was sown, 5 Oct; its usual day if left out.")] = None,
    cut: Annotated[Text, _option("--cut", "When it was cut, 20 Apr; its usual day if left out.")] = None,
    draws: DrawsOption = 256,
    seed: SeedOption = 1,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """How much compost is this green manure worth?  By what lasts, by carbon on the day, by volume.

    Needed: --crop, --fresh and the ground of a sample.
    """
    from somsim.report.envelope_worth import show_worth
    from somsim.study.envelope import read_either
    from somsim.study.envelope_worth import WorthTyped, worth_study

    pressed = {}
    if pressed_volume is not None:
        by, amount = read_either("--pressed-volume", pressed_volume, "volume", "volume_per_area")
        pressed["pressed_per_area" if by == "volume_per_area" else "pressed_volume"] = amount
    typed = WorthTyped(
        _sample(
            fresh,
            area,
            bed_length,
            bed_width,
            share,
            wet_subsample,
            dry_subsample,
            dry_matter,
            crop,
            stage,
            bed_area,
        ),
        shelter=shelter,
        climate=climate,
        compost=compost,
        layer_wanted=_amount("--layer-wanted", layer_wanted, "length", most=1.0, limit="is past 1 m: no layer"),
        then=then,
        sow=sow,
        cut=cut,
        **pressed,
    )
    _answer(worth_study(typed, draws=draws, seed=seed), show_worth, units, json)


@app.command()
def roots(
    tops: Annotated[str, _option("--tops", "Dry mass of the tops that stood, 4 t/ha or 0.4 kg/m2.")],
    crop: Cover = None,
    kind: Annotated[Text, _option("--kind", "Or a kind of root: cereal, annual legume, ryegrass, ley ...")] = None,
    layer: Annotated[Text, _option("--layer", "Depth of the layer; 20 cm if left out.")] = None,
    measured_roots: Annotated[
        Text, _option("--measured-roots", "Roots you dug, washed and dried, 0.1 kg/m2; they replace the library's.")
    ] = None,
    measured_depth: Annotated[
        Text, _option("--measured-depth", "How deep you dug them; the layer if left out.")
    ] = None,
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
        _needed("--tops", tops, "mass_per_area", **dry),
        crop,
        kind,
        layer=_amount("--layer", layer, "length", **deep),
        measured_roots=_amount("--measured-roots", measured_roots, "mass_per_area", **dry),
        measured_depth=_amount("--measured-depth", measured_depth, "length", **deep),
    )
    _answer(roots_study(typed), show_roots, units, json)


@app.command()
def layer(
    depth: Annotated[Text, _option("--depth", "25 mm or 1 in.")] = None,
    area: Annotated[Text, _option("--area", "108 m2.")] = None,
    volume: Annotated[Text, _option("--volume", "2.7 m3 or 4 yd3.")] = None,
    mass: Annotated[Text, _option("--mass", "Mass as spread, 1600 kg.")] = None,
    bulk_density: Annotated[Text, _option("--bulk-density", "600 kg/m3 or 1000 lb/yd3.")] = None,
    dry_matter: Annotated[Text, _option("--dry-matter", "Of the fresh mass, 60 %; or a dry mass, 970 kg.")] = None,
    organic_matter: Annotated[Text, _option("--organic-matter", "Of the dry mass, 40 %; or its mass, 390 kg.")] = None,
    carbon: Annotated[Text, _option("--carbon", "Of the dry mass, 22 %; or its mass, 210 kg.")] = None,
    material: Annotated[
        Text, _option("--material", "A material of the library for whatever is not given, such as garden compost.")
    ] = None,
    nitrogen: Annotated[Text, _option("--nitrogen", "Nitrogen in the dry mass, 1.5 %, for the limit.")] = None,
    phosphorus: Annotated[Text, _option("--phosphorus", "Phosphorus in the dry mass, 0.3 %.")] = None,
    phosphorus_limit: Annotated[
        Text, _option("--phosphorus-limit", "Phosphorus (P) your rules allow, 50 kg/ha.")
    ] = None,
    price: Price = None,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """Any three of depth, area, volume, mass and what is in it give the rest; loads, hours, money, limits.

    Needed: enough that something follows, such as --depth and --area with --material.
    """
    from somsim.report.envelope_layer import show_layer
    from somsim.study.envelope import read_either
    from somsim.study.envelope_layer import LayerTyped, layer_study, read_price

    given = {
        "depth": _amount("--depth", depth, "length"),
        "area": _amount("--area", area, "area"),
        "volume": _amount("--volume", volume, "volume"),
        "density": _amount("--bulk-density", bulk_density, "density"),
        "mass": _amount("--mass", mass, "mass"),
    }
    for option, text, as_share, as_mass in (
        ("--dry-matter", dry_matter, "dry_matter", "dry"),
        ("--organic-matter", organic_matter, "organic_share", "organic"),
        ("--carbon", carbon, "carbon_share", "carbon"),
    ):
        if text is not None:
            by, amount = read_either(option, text, "share", "mass")
            given[as_mass if by == "mass" else as_share] = amount
    typed = LayerTyped(
        {name: amount for name, amount in given.items() if amount is not None},
        material,
        nitrogen=_amount("--nitrogen", nitrogen, "share"),
        phosphorus=_amount("--phosphorus", phosphorus, "share"),
        phosphorus_limit=_amount("--phosphorus-limit", phosphorus_limit, "mass_per_area"),
        price=None if price is None else read_price(price),
    )
    _answer(layer_study(typed), show_layer, units, json)


@app.command()
def heap(
    add: Annotated[
        Texts,
        _option(
            "--add",
            '"straw = 20 kg", "cereal rye @ flower = 1 m3"; own figures after semicolons: '
            '"haulm = 50 kg; dry matter 20 %; carbon 44 %; C:N 25; density 300 kg/m3". Once for each part.',
        ),
    ] = None,
    compost: Compost = None,
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
    layer: Annotated[str, _option("--layer", "The yearly layer of compost, 25 mm.")],
    area: Annotated[str, _option("--area", "Area of the beds, 108 m2.")],
    with_: Annotated[str, _option("--with", "The cover that would feed the heap, such as white clover.")],
    yield_: Annotated[Text, _option("--yield", "Its dry yield a year, 10 t/ha; the library's if left out.")] = None,
    compost: Compost = None,
    crop: Annotated[Text, _option("--crop", "What that land would have grown instead, such as cabbage.")] = None,
    units: UnitsOption = Units.metric,
    json: JsonOption = False,
) -> None:
    """Area of a cover or ley that would feed the compost for the beds, by organic matter and by nitrogen.

    Needed: --layer, --area and --with.
    """
    from somsim.report.envelope_land import show_land
    from somsim.study.envelope_land import LandTyped, land_study

    typed = LandTyped(
        _needed("--layer", layer, "length"),
        _needed("--area", area, "area"),
        with_,
        _amount("--yield", yield_, "mass_per_area", most=20.0, limit="no crop gives over 20 kg/m2 (200 t/ha)"),
        compost,
        crop,
    )
    _answer(land_study(typed), show_land, units, json)
