"""A layer on the beds: any of depth, area, volume, mass and what is in it from the others; loads, hours, money."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from somsim.estimate.layer import UNITS, at_rate, depth_at_limit, loads, solve_layer
from somsim.library import Entry, Library, read_library
from somsim.study.envelope import (
    Closing,
    Figure,
    Inputs,
    PlanLines,
    combined,
    constant,
    entry_named,
    of_amount,
    of_value,
    refused,
    said_plainly,
    tags_of,
    typed_range,
    watches,
)
from somsim.units import Amount, UnitError, factor, split_amount

DEEPEST = 1.0  # m, as in a plan
DIMENSIONS: Mapping[str, str] = {
    "depth": "length",
    "area": "area",
    "volume": "volume",
    "density": "density",
    "mass": "mass",
    "dry_matter": "share",
    "dry": "mass",
    "organic_share": "share",
    "organic": "mass",
    "carbon_share": "share",
    "carbon": "mass",
}
OPTIONS: Mapping[str, str] = {
    "depth": "--depth",
    "area": "--area",
    "volume": "--volume",
    "density": "--bulk-density",
    "mass": "--mass",
    "dry_matter": "--dry-matter",
    "dry": "--dry-matter",
    "organic_share": "--organic-matter",
    "organic": "--organic-matter",
    "carbon_share": "--carbon",
    "carbon": "--carbon",
}
FROM_MATERIAL = {
    "density": "bulk_density",
    "dry_matter": "dry_matter",
    "carbon_share": "carbon",
    "organic_share": "organic_matter",
}
LOADS = ("garden_barrow", "heaped_barrow_large", "shop_bag", "big_bag", "small_trailer", "bulk_load")
TASKS = ("spread_by_barrow", "spread_with_loader")
FIELD_LIMIT = "field_nitrogen"
PRICED_BY = {"volume": "m3 or yd3", "mass": "t or kg"}


@dataclass(frozen=True)
class Price:
    """Money for one unit of volume (m3) or mass (kg)."""

    low: float
    high: float
    currency: str
    by: str
    text: str


@dataclass(frozen=True)
class LayerTyped:
    """What is known: ``given`` by the names of `somsim.estimate.layer.UNITS`; the rest from a ``material``.

    ``nitrogen`` and ``phosphorus`` are shares of the dry matter; ``phosphorus_limit`` kg/m2.
    """

    given: Mapping[str, Amount]
    material: str | None = None
    nitrogen: Amount | None = None
    phosphorus: Amount | None = None
    phosphorus_limit: Amount | None = None
    price: Price | None = None


@dataclass(frozen=True)
class Loads:
    """How many loads of a size (m3) hold the volume."""

    name: str
    size: float
    fewest: int
    likely: int
    most: int


@dataclass(frozen=True)
class Limit:
    """A limit (kg/m2 of ground): what the layer brings (None without a depth), and the depth at which it is reached."""

    element: str
    limit: float
    brought: Figure | None
    depth: Figure
    source: str


@dataclass(frozen=True)
class LayerAnswer(Closing):
    """Everything found, by name; ``missing`` what could not be; ``steps`` how it was found."""

    found: Mapping[str, Figure]
    given: tuple[str, ...]
    missing: tuple[str, ...]
    steps: tuple[str, ...]
    material: str | None
    loads: tuple[Loads, ...]
    hours: Mapping[str, Figure]
    money: Figure | None
    currency: str
    limits: tuple[Limit, ...]


def layer_study(typed_in: LayerTyped, library: Library | None = None) -> LayerAnswer:
    """Find the rest of a layer from what is given.

    Raises
    ------
    InputError
        when too little is given, it clashes, or it is no layer.
    """
    known = library or read_library()
    entry = entry_named(known, "materials", typed_in.material, "--material") if typed_in.material else None
    if not typed_in.given:
        why = "nothing is given; a depth and an area would do, or a volume and a bulk density"
        raise refused("--depth", "", why, 'for example --depth "25 mm" --area "108 m2"')
    inputs = {name: of_amount(amount, DIMENSIONS[name]) for name, amount in typed_in.given.items()}
    depth = typed_in.given.get("depth")
    if depth is not None and depth.high > DEEPEST:
        why = f"is past {DEEPEST:g} m: no layer to spread"
        raise refused("--depth", depth.text, why, "is the unit right? for example 25 mm")
    options = ", ".join(dict.fromkeys(OPTIONS[name] for name in typed_in.given)) or "--depth"
    with said_plainly(options):
        inputs, borrowed = _with_material(inputs, entry)
        solved = solve_layer(_best(inputs), wanted=(), deepest=DEEPEST)
        if not solved.steps:
            solve_layer(_best(inputs))  # says what is missing
    found = combined(_formula(entry, set(borrowed)), inputs, DIMENSIONS)
    return LayerAnswer(
        found={name: found[name] for name in UNITS if name in found},
        given=tuple(typed_in.given),
        missing=tuple(name for name in UNITS if name not in found),
        steps=solved.steps,
        material=entry.name if entry else None,
        loads=_loads(found.get("volume"), known),
        hours=_hours(found.get("volume"), known),
        money=_money(found, typed_in.price),
        currency=typed_in.price.currency if typed_in.price else "",
        limits=_limits(typed_in, entry, found, known),
        assumed=_assumed(typed_in, entry, borrowed, known),
        plan_lines=_plan_lines(typed_in, entry, found),
        watch=watches(known, {"spreading by hand"} | (tags_of(entry) if entry else set())),
    )


def read_price(text: str) -> Price:
    """Read "35 per m3", "30 to 40 EUR per t", "45 per yd3" or "0.7 per kg".

    Raises
    ------
    InputError
        when it is no such price.

    Examples
    --------
    >>> price = read_price("35 to 40 EUR per m3")
    >>> price.low, price.high, price.currency, price.by
    (35.0, 40.0, 'EUR', 'volume')
    """
    hint = 'a number, then per and a unit: "35 per m3"; units: m3, yd3, t, kg'
    try:
        parts = split_amount(text)
    except UnitError as error:
        why = "for how much of it?" if "bare number" in error.message else error.message
        raise refused("--price", text, why, hint) from None
    match = re.fullmatch(r"(?:([^\W\d_]{1,12}|[£$€]) )?(?:per|a) (\S.*)", parts.unit)
    if match is None:
        raise refused("--price", text, "no price can be read in it", hint)
    if parts.low < 0.0:
        raise refused("--price", text, "a price cannot be negative", hint)
    for dimension in PRICED_BY:
        try:
            one = factor(match[2], dimension)
        except UnitError:
            continue
        return Price(parts.low / one, parts.high / one, match[1] or "", dimension, text)
    raise refused("--price", text, f'"{match[2]}" is neither a volume nor a mass', hint)


def _best(inputs: Mapping[str, Figure]) -> dict[str, float]:
    return {name: figure.best for name, figure in inputs.items()}


def _with_material(inputs: dict[str, Figure], entry: Entry | None) -> tuple[dict[str, Figure], tuple[str, ...]]:
    """What is given, and from the material whatever does not follow from that already."""
    made, borrowed = dict(inputs), []
    for name, quantity in FROM_MATERIAL.items():
        follows = solve_layer(_best(made), wanted=()).known if made else {}
        if entry is not None and quantity in entry.values and name not in follows:
            made[name] = of_value(entry.values[quantity])
            borrowed.append(name)
    return made, tuple(borrowed)


def _formula(entry: Entry | None, borrowed: set[str]) -> Callable[[Inputs], Inputs]:
    """Solve for everything; carbon and organic matter of one material rise and fall together."""
    together = {"carbon_share", "organic_share"} <= borrowed

    def worked_out(given: Inputs) -> Inputs:
        values = dict(given)
        if together and entry is not None:
            per_carbon = entry.value("organic_matter").best / entry.value("carbon").best
            values["organic_share"] = min(values["carbon_share"] * per_carbon, 1.0)
        return solve_layer(values, wanted=()).known

    return worked_out


def _loads(volume: Figure | None, known: Library) -> tuple[Loads, ...]:
    if volume is None:
        return ()
    found = []
    for name in LOADS:
        size = constant(known, name).best
        fewest, likely, most = (int(loads(end, size)) for end in (volume.low, volume.best, volume.high))
        found.append(Loads(known.tables["constants"][name].name, size, fewest, likely, most))
    return tuple(found)


def _hours(volume: Figure | None, known: Library) -> dict[str, Figure]:
    if volume is None:
        return {}
    rates = {entry.name: of_value(entry.value("rate")) for entry in (known.tables["tasks"][name] for name in TASKS)}
    return {
        name: combined(
            lambda given: {"hours": float(at_rate(given["volume"], given["rate"]))},
            {"volume": volume, "rate": rate},
            {"hours": "time"},
        )["hours"]
        for name, rate in rates.items()
    }


def _money(found: Mapping[str, Figure], price: Price | None) -> Figure | None:
    if price is None:
        return None
    if price.by not in found:
        raise refused("--price", price.text, f"the {price.by} is not known", f"a price per {PRICED_BY[price.by]}")
    middle = (price.low + price.high) / 2.0
    return combined(
        lambda given: {"money": float(at_rate(given["amount"], given["rate"]))},
        {"amount": found[price.by], "rate": Figure(middle, price.low, price.high, "ratio")},
        {"money": "ratio"},
    )["money"]


def _limits(
    typed_in: LayerTyped, entry: Entry | None, found: Mapping[str, Figure], known: Library
) -> tuple[Limit, ...]:
    row = known.tables["limits"][FIELD_LIMIT].value("limit")
    source = known.sources[row.source]
    wanted = [
        ("nitrogen", typed_in.nitrogen, row.best, ", ".join(part for part in (source.title, source.year) if part))
    ]
    if typed_in.phosphorus_limit is not None:
        wanted.append(("phosphorus", typed_in.phosphorus, typed_in.phosphorus_limit.best, "yours"))
    made = []
    for element, own, limit, credit in wanted:
        held = entry.values.get(element) if entry else None
        content = of_amount(own, "share") if own is not None else of_value(held) if held is not None else None
        if content is not None and {"density", "dry_matter"} <= set(found):
            made.append(_limit(element, limit, content, found, credit))
        elif element == "phosphorus":
            hint = "give --phosphorus, or a --material that has it"
            raise refused("--phosphorus-limit", "", "how much phosphorus is in the material?", hint)
    return tuple(made)


def _limit(element: str, limit: float, content: Figure, found: Mapping[str, Figure], source: str) -> Limit:
    names = ("density", "dry_matter", "depth", "dry", "area")
    # What a layer brings rests on its dry mass and its area where both are known, else on its depth.
    by_mass = {"dry", "area"} <= set(found)

    def worked_out(given: Inputs) -> Inputs:
        solids = {"density": given["density"], "dry_matter": given["dry_matter"], "content": given["content"]}
        made = {"depth": float(depth_at_limit(limit, **solids))}
        if by_mass:
            made["brought"] = given["dry"] / given["area"] * given["content"]
        elif "depth" in given:
            made["brought"] = given["depth"] * given["density"] * given["dry_matter"] * given["content"]
        return made

    inputs = {name: found[name] for name in names if name in found} | {"content": content}
    made = combined(worked_out, inputs, {"depth": "length", "brought": "mass_per_area"})
    return Limit(element, limit, made.get("brought"), made["depth"], source)


def _assumed(typed_in: LayerTyped, entry: Entry | None, borrowed: tuple[str, ...], known: Library) -> tuple[str, ...]:
    said = []
    if entry is not None and borrowed:
        words = ", ".join(FROM_MATERIAL[name].replace("_", " ") for name in borrowed)
        said.append(f"From the library, with its range, for {entry.name}: {words}.")
    if entry is None and typed_in.nitrogen is None:
        said.append("No nitrogen limit is told: that needs --material or --nitrogen.")
    else:
        rule = known.tables["limits"][FIELD_LIMIT].about
        said.append(
            f"The limit is the usual one ({rule['place']}; {rule['period']}) and counts the paths: "
            "none are counted here, so beds with paths may carry more. Your own country's rules decide."
        )
    said.append("Loads are level, of usual sizes (judged), the last one counted whole; hours are those of one person.")
    return tuple(said)


def _plan_lines(typed_in: LayerTyped, entry: Entry | None, found: Mapping[str, Figure]) -> tuple[PlanLines, ...]:
    amounts = {"depth": ("mm", 0.001), "volume": ("m3", 1.0), "mass": ("kg", 1.0)}
    name = next((name for name in amounts if name in typed_in.given), None)
    name = name or next((name for name in amounts if name in found), None)
    if name is None:
        return ()
    amount = f"{name}: {typed_range(found[name], *amounts[name], digits=4)}\n"
    if entry is None:
        return (PlanLines("inside a spread", amount),)
    spread = (
        f"- spread:\n    material: {entry.name}\n    {amount}"
        "    on: 20 Apr    # put your own day\n    every: year\n    then: left on surface\n"
    )
    lines = [PlanLines("under a strategy", spread)]
    own: dict[str, Amount | None] = {**typed_in.given, "nitrogen": typed_in.nitrogen, "phosphorus": typed_in.phosphorus}
    keys = {**FROM_MATERIAL, "nitrogen": "nitrogen", "phosphorus": "phosphorus"}
    numbers = [f"    {key}: {typed.text}\n" for part, key in keys.items() if (typed := own.get(part)) is not None]
    if numbers:
        lines.append(PlanLines("at the top", f"materials:\n  {entry.name}:\n{''.join(numbers)}"))
    return tuple(lines)
