"""Options of `somsim estimate` by name, and how what is typed for them is read."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from somsim.units import Amount


def option(name: str, words: str) -> Any:
    """An option whose default is told in its words, or not at all."""
    return typer.Option(name, help=words, show_default=False)


Text = str | None
Texts = list[str] | None
Fresh = Annotated[Texts, option("--fresh", "Fresh mass of a sample, 2.3 kg; once for each sample.")]
Area = Annotated[Texts, option("--area", "Ground of a sample, 0.5 m2; one for all, or one for each.")]
BedLength = Annotated[Texts, option("--bed-length", "Or: length of bed cut for a sample, 1 m.")]
BedWidth = Annotated[Text, option("--bed-width", "Width of that bed, 1.2 m.")]
ShareOfBed = Annotated[Texts, option("--share", "Or: share of --bed-area cut for a sample, 5 %.")]
Wet = Annotated[Texts, option("--wet-subsample", "A part weighed fresh, 200 g; may be repeated.")]
Dry = Annotated[Texts, option("--dry-subsample", "The same part weighed dry, 34 g.")]
DryMatter = Annotated[Text, option("--dry-matter", "Or: dry matter in the fresh mass, 17 % or 15 to 19 %.")]
Cover = Annotated[Text, option("--crop", "A cover of the library, such as rye and vetch.")]
Stage = Annotated[Text, option("--stage", "How old it was: vegetative, flower, mature.")]
BedArea = Annotated[Text, option("--bed-area", "Area of all the beds, 108 m2, for totals.")]
Compost = Annotated[Text, option("--compost", "A material of the library; garden compost if left out.")]
Price = Annotated[Text, option("--price", "What it costs: 35 per m3; also per yd3, t, kg.")]
Shelter = Annotated[
    Text, option("--shelter", "open ground, unheated tunnel or heated glasshouse; open ground if left out.")
]
Climate = Annotated[
    Text, option("--climate", "A row of: somsim library climates; the reference climate if left out.")
]
Pressed = Annotated[
    Text, option("--pressed-volume", "All the samples pressed into a bucket, 12 l; or for each m2, 8 l/m2.")
]
LayerWanted = Annotated[Text, option("--layer-wanted", "A layer of compost to be matched, 25 mm.")]
Then = Annotated[Text, option("--then", "left on surface or dug in; left on surface if left out.")]
Sown = Annotated[Text, option("--sow", "When it was sown, 5 Oct; its usual day if left out.")]
Cut = Annotated[Text, option("--cut", "When it was cut, 20 Apr; its usual day if left out.")]
Tops = Annotated[Text, option("--tops", "Dry mass of the tops that stood, 4 t/ha or 0.4 kg/m2.")]
RootKind = Annotated[Text, option("--kind", "Or a kind of root: cereal, annual legume, ryegrass, ley ...")]
LayerDepth = Annotated[Text, option("--layer", "Depth of the layer; 20 cm if left out.")]
RootsDug = Annotated[
    Text, option("--measured-roots", "Roots you dug, washed and dried, 0.1 kg/m2; they replace the library's.")
]
DepthDug = Annotated[Text, option("--measured-depth", "How deep you dug them; the layer if left out.")]
SpreadDepth = Annotated[Text, option("--depth", "25 mm or 1 in.")]
SpreadArea = Annotated[Text, option("--area", "108 m2.")]
SpreadVolume = Annotated[Text, option("--volume", "2.7 m3 or 4 yd3.")]
SpreadMass = Annotated[Text, option("--mass", "Mass as spread, 1600 kg.")]
BulkDensity = Annotated[Text, option("--bulk-density", "600 kg/m3 or 1000 lb/yd3.")]
DryPart = Annotated[Text, option("--dry-matter", "Of the fresh mass, 60 %; or a dry mass, 970 kg.")]
OrganicPart = Annotated[Text, option("--organic-matter", "Of the dry mass, 40 %; or its mass, 390 kg.")]
CarbonPart = Annotated[Text, option("--carbon", "Of the dry mass, 22 %; or its mass, 210 kg.")]
Material = Annotated[
    Text, option("--material", "A material of the library for whatever is not given, such as garden compost.")
]
Nitrogen = Annotated[Text, option("--nitrogen", "Nitrogen in the dry mass, 1.5 %, for the limit.")]
Phosphorus = Annotated[Text, option("--phosphorus", "Phosphorus in the dry mass, 0.3 %.")]
PhosphorusLimit = Annotated[Text, option("--phosphorus-limit", "Phosphorus (P) your rules allow, 50 kg/ha.")]
Parts = Annotated[
    Texts,
    option(
        "--add",
        '"straw = 20 kg", "cereal rye @ flower = 1 m3"; own figures after semicolons: '
        '"haulm = 50 kg; dry matter 20 %; carbon 44 %; C:N 25; density 300 kg/m3". Once for each part.',
    ),
]
LandLayer = Annotated[Text, option("--layer", "The yearly layer of compost, 25 mm.")]
LandArea = Annotated[Text, option("--area", "Area of the beds, 108 m2.")]
LandCover = Annotated[Text, option("--with", "The cover that would feed the heap, such as white clover.")]
LandYield = Annotated[Text, option("--yield", "Its dry yield a year, 10 t/ha; the library's if left out.")]
CropInstead = Annotated[Text, option("--crop", "What that land would have grown instead, such as cabbage.")]


def amount(option: str, text: str | None, dimension: str, **limits: Any) -> Amount | None:
    """A quantity typed for an option; None when it was left out."""
    from somsim.study.envelope import read_amount

    return None if text is None else read_amount(option, text, dimension, **limits)


def amounts(option: str, texts: list[str] | None, dimension: str, **limits: Any) -> tuple[Amount, ...]:
    """The quantities typed for an option that may be repeated."""
    from somsim.study.envelope import read_amount

    return tuple(read_amount(option, text, dimension, **limits) for text in texts or ())


def needed(option: str, text: str | None, dimension: str, question: str, **limits: Any) -> Amount:
    """A quantity typed for an option that must be there.

    Raises
    ------
    InputError
        where it is not, with the question that it answers.
    """
    from somsim.study.envelope import EXAMPLES, read_amount

    return read_amount(option, said(option, text, question, EXAMPLES[dimension]), dimension, **limits)


def said(option: str, text: str | None, question: str, example: str) -> str:
    """What was typed for an option that must be there.

    Raises
    ------
    InputError
        where nothing was, with the question that it answers.
    """
    from somsim.study.envelope import refused

    if text is None:
        raise refused(option, "", question, f'for example {option} "{example}"')
    return text
