"""Roots under a cover: every published ratio brought to one depth and one definition, and the carbon they leave."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from somsim.estimate.roots import beta_from_share, disagreement, root_carbon, to_layer
from somsim.library import Entry, Library, Value, read_library
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
    times_over,
    typed_range,
)
from somsim.units import Amount

USUAL_LAYER = 0.20  # m, as in a plan
TOPSOIL = 0.20  # m, the depth that the library's share of roots in the topsoil goes to
DEEPEST = 1.5  # m
WHOLE = math.inf  # depth of a ratio that holds all roots
MOST_RATIO = 20.0  # as in a plan
ANY_PLANT = "field_mean_26_crops"
CARBON = "carbon_per_area"
# Words of the table that name no plant: two rows that share only these are not about the same plants.
NO_PLANTS = (
    "a and annual crop for full italian legume like little more mostly of other over perennial some stand sown take "
    "than that the 12 month with without year forage swollen root together"
)
RESULTS = {
    "in_layer": "ratio",
    "structural": CARBON,
    "exudates": CARBON,
    "left": CARBON,
    "below": CARBON,
    "tops": CARBON,
}


@dataclass(frozen=True)
class RootsTyped:
    """The tops that stood, which plant (``crop``, or ``kind`` of root), the layer, and roots washed by the grower."""

    tops: Amount
    crop: str | None = None
    kind: str | None = None
    layer: Amount | None = None
    measured_roots: Amount | None = None
    measured_depth: Amount | None = None


@dataclass(frozen=True)
class RootFamily:
    """One published ratio: as printed, and in the layer with what the roots give off, per dry mass of tops.

    ``depth`` m, None where not stated (then taken as all roots); ``exudates_in`` "yes", "no" or "unclear" (taken as
    no); ``near`` whether it speaks of such plants.
    """

    id: str
    name: str
    plants: str
    printed: Figure
    depth: float | None
    exudates_in: str
    in_layer: Figure
    near: bool
    known: str
    source: str


@dataclass(frozen=True)
class RootsAnswer(Closing):
    """What the roots leave, kg C/m2: in the layer (``structural`` and ``exudates``, ``left`` both) and ``below`` it.

    ``in_layer`` is the ratio used; ``printed_apart`` and ``alike_apart`` tell lowest, highest and how many times they
    lie apart for the families near such plants, before and after they are made alike.
    """

    used: str
    layer: float
    in_layer: Figure
    structural: Figure
    exudates: Figure
    left: Figure
    below: Figure
    tops: Figure
    families: tuple[RootFamily, ...]
    printed_apart: tuple[float, float, float]
    alike_apart: tuple[float, float, float]


@dataclass(frozen=True)
class _Used:
    words: str
    ratio: Figure
    depth: float
    with_exudates: bool
    kind: Entry | None
    carbon: Figure
    plant: str


def roots_study(typed: RootsTyped, library: Library | None = None) -> RootsAnswer:
    """Bring root ratios to a layer and work out the carbon that roots leave.

    Raises
    ------
    InputError
        when the plant is missing or not known, or a quantity cannot be.
    """
    known = library or read_library()
    layer = USUAL_LAYER if typed.layer is None else one_number("--layer", typed.layer)
    if layer > DEEPEST:
        assert typed.layer is not None
        raise refused("--layer", typed.layer.text, f"is past {DEEPEST:g} m", "is the unit right? for example 20 cm")
    used = _used(typed, known, layer)
    inputs = {
        "ratio": used.ratio,
        "topsoil": constant(known, "roots_in_topsoil"),
        "exudates": constant(known, "exudates_per_root"),
        "carbon": used.carbon,
        "tops": of_amount(typed.tops, "mass_per_area"),
    }
    with said_plainly("--tops, --layer"):
        found = combined(_formula(layer, used.depth, used.with_exudates), inputs, RESULTS)
    families = _families(known, inputs, layer, used)
    near = [family for family in families if family.near]
    near = near if len(near) > 1 else list(families)  # one alone cannot disagree
    return RootsAnswer(
        used=used.words,
        layer=layer,
        in_layer=found["in_layer"],
        structural=found["structural"],
        exudates=found["exudates"],
        left=found["left"],
        below=found["below"],
        tops=found["tops"],
        families=families,
        printed_apart=disagreement([family.printed.best for family in near]),
        alike_apart=disagreement([family.in_layer.best for family in near]),
        assumed=_assumed(typed, used, inputs),
        plan_lines=(_plan_lines(found["in_layer"], inputs["exudates"].best),),
    )


def _formula(layer: float, depth: float, with_exudates: bool) -> Callable[[Inputs], Inputs]:
    def worked_out(given: Inputs) -> Inputs:
        ratio = to_layer(
            given["ratio"],
            depth=depth,
            layer=layer,
            beta=beta_from_share(given["topsoil"], TOPSOIL),
            exudates=given["exudates"],
            includes_exudates=with_exudates,
        )
        tops = given["tops"]
        left = root_carbon(ratio, largest_standing=tops, total_growth=tops, carbon=given["carbon"])
        return {
            "in_layer": float(ratio.in_layer),
            "structural": float(left.structural),
            "exudates": float(left.exudates),
            "left": float(left.structural + left.exudates),
            "below": float(left.structural_below + left.exudates_below),
            "tops": tops * given["carbon"],
        }

    return worked_out


def _used(typed: RootsTyped, known: Library, layer: float) -> _Used:
    if typed.crop and typed.kind:
        raise refused("--kind", typed.kind, "--crop tells the kind of root already", "keep one of them")
    cover = entry_named(known, "covers", typed.crop, "--crop") if typed.crop else None
    kind = _kind(typed.kind, known) if typed.kind else None
    if cover is not None:
        kind = known.tables["roots"].get(cover.about.get("root_family", ""))
    carbon = of_value(cover.value("carbon")) if cover else constant(known, "plant_carbon")
    if typed.measured_roots is not None:
        return _own(typed, kind, carbon, layer, cover.name if cover else "")
    if typed.measured_depth is not None:
        raise refused("--measured-depth", typed.measured_depth.text, "goes with --measured-roots", "give both")
    if cover is not None:
        ratio, depth = of_value(cover.value("root_ratio")), cover.value("root_depth").best
        return _Used(f"the library's ratio for {cover.name}", ratio, depth, True, kind, carbon, cover.name)
    if kind is None:
        names = ", ".join(entry.name for entry in _kinds(known))
        raise refused("--crop or --kind", "", "which plant is it?", f'--crop "rye and vetch", or --kind with: {names}')
    held = _depth(kind) or WHOLE
    ratio = of_value(kind.value("ratio"))
    words = f"the library's ratio for {kind.name}"
    return _Used(words, ratio, held, kind.about["includes_exudates"] == "yes", kind, carbon, "")


def _own(typed: RootsTyped, kind: Entry | None, carbon: Figure, layer: float, plant: str) -> _Used:
    assert typed.measured_roots is not None
    roots, tops = of_amount(typed.measured_roots, "mass_per_area"), typed.tops.best
    ratio = Figure(roots.best / tops, roots.low / tops, roots.high / tops, "ratio")
    if ratio.best > MOST_RATIO:
        why = f"is {ratio.best:.3g} times the tops"
        raise refused("--measured-roots", typed.measured_roots.text, why, f"at most {MOST_RATIO:g} times; units right?")
    depth = layer if typed.measured_depth is None else one_number("--measured-depth", typed.measured_depth)
    return _Used("the roots you washed", ratio, depth, False, kind, carbon, plant)


def _kinds(known: Library) -> list[Entry]:
    return [entry for entry in known.tables["roots"].values() if entry.kind == "default"]


def _kind(name: str, known: Library) -> Entry:
    found = entry_named(known, "roots", name, "--kind")
    if found.kind != "default":
        names = ", ".join(entry.name for entry in _kinds(known))
        raise refused("--kind", name, "is one publication, not a kind of root", f"one of: {names}")
    return found


def _depth(entry: Entry) -> float | None:
    text = entry.about["depth_cm"]
    return float(text) / 100.0 if text.replace(".", "").isdigit() else None


def _families(known: Library, inputs: dict[str, Figure], layer: float, used: _Used) -> tuple[RootFamily, ...]:
    found = []
    for entry in known.tables["roots"].values():
        ratio = _printed(entry)
        if ratio is None or (entry.kind == "default" and entry.about["depth_cm"] == "30"):
            continue
        figure, row = ratio
        depth = _depth(entry)
        with_exudates = entry.about["includes_exudates"] == "yes"
        only_ratio = {name: exact(one.best, one.dimension) for name, one in inputs.items()} | {"ratio": figure}
        alike = combined(_formula(layer, depth or WHOLE, with_exudates), only_ratio, {"in_layer": "ratio"})
        credit = known.sources[row.source]
        found.append(
            RootFamily(
                entry.id,
                entry.name,
                entry.about["plants"],
                figure,
                depth,
                entry.about["includes_exudates"],
                alike["in_layer"],
                _near(entry, used),
                row.known,
                ", ".join(part for part in (credit.authors, credit.year) if part) or credit.title,
            )
        )
    return tuple(sorted(found, key=lambda family: (not family.near, family.in_layer.best)))


def _printed(entry: Entry) -> tuple[Figure, Value] | None:
    """A root to shoot ratio, turned over where shoot to root was printed."""
    if "ratio" in entry.values:
        return of_value(entry.values["ratio"]), entry.values["ratio"]
    if "shoot_to_root" in entry.values:
        row = entry.values["shoot_to_root"]
        return Figure(1.0 / row.best, 1.0 / row.high, 1.0 / row.low, "ratio"), row
    return None


def _near(entry: Entry, used: _Used) -> bool:
    """Whether a publication speaks of such plants: a plant named in both; the mean of many crops always."""
    if used.kind is None or entry.id in (ANY_PLANT, used.kind.id):
        return True
    ours = _stems(f"{used.plant}, {used.kind.name}, {used.kind.about['plants']}")
    return bool(ours & _stems(f"{entry.name}, {entry.about['plants']}"))


def _stems(text: str) -> set[str]:
    plain = text.replace(",", " ").lower()
    return {word.rstrip("s") for word in plain.split()} - set(NO_PLANTS.split())


def _assumed(typed: RootsTyped, used: _Used, inputs: dict[str, Figure]) -> tuple[str, ...]:
    said = []
    if typed.layer is None:
        said.append("The layer is 20 cm deep; another with --layer.")
    if typed.measured_roots is not None and typed.measured_depth is None:
        said.append("Your roots were dug to the depth of the layer; otherwise give --measured-depth.")
    if typed.measured_roots is not None:
        said.append("Washed roots hold nothing of what living roots give off: that is added.")
    if used.kind is None:
        said.append("Without --crop or --kind every publication counts as near.")
    said += [
        "One cut: what stood at the end is all that grew. Roots are counted once; what they give off follows growth.",
        "Where a publication states no depth its ratio is taken as all roots; where it is unclear about what roots "
        "give off, as without it.",
        f"The top 20 cm hold {percent(inputs['topsoil'])} of the roots; what they give off spreads as they do and is "
        f"{times_over(inputs['exudates'])} of their carbon. Both are from memory; their ranges are in the carbon, not "
        "in the table.",
    ]
    return tuple(said)


def _plan_lines(both: Figure, given_off: float) -> PlanLines:
    """The ratio as a plan takes it: washed roots; what they give off is added there."""
    ratio = both.times(1.0 / (1.0 + given_off))
    remark = "# washed roots in the layer of the plan; left out: the library's own range"
    one = f"# or one number: root_ratio: {typed_range(exact(ratio.best, 'ratio'), 'ratio', 1.0, digits=2)}"
    text = typed_range(ratio, "ratio", 1.0, digits=2)
    return PlanLines("inside a cover", f"{remark}\n{one}\nroot_ratio: {text}\n")
