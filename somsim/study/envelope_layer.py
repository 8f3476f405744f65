"""A layer on the beds: any of depth, area, volume, mass and what is in it from the others; loads, hours, money."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from somsim.estimate.layer import UNITS, at_rate, depth_at_limit, loads, solve_layer
from somsim.library import Entry, Library, read_library
from somsim.study.envelope import (
    Figure,
    Inputs,
    PlanLines,
    Watch,
    combined,
    constant,
    entry_named,
    exact,
    of_amount,
    of_value,
    refused,
    said_plainly,
    tags_of,
    typed,
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
PRICED_BY = {"volume": "m3 or yd3", "mass": "t or kg"}
FEWEST = 3  # things that must be given, or found in the library


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
class LayerAnswer:
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
    assumed: tuple[str, ...]
    plan_lines: tuple[PlanLines, ...]
    watch: tuple[Watch, ...]


def layer_study(typed_in: LayerTyped, library: Library | None = None) -> LayerAnswer:
    """Find the rest of a layer from what is given.

    Raises
    ------
    InputError
        when too little is given, it clashes, or it is no layer.
    """
    known = library or read_library()
    entry = entry_named(known, "materials", typed_in.material, "--material") if typed_in.material else None
    inputs = {name: of_amount(amount, DIMENSIONS[name]) for name, amount in typed_in.given.items()}
    for name in ("depth", "area", "volume", "mass"):
        amount = typed_in.given.get(name)
        if name == "depth" and amount is not None and amount.high > DEEPEST:
            why = f"is past {DEEPEST:g} m: no layer to spread"
            raise refused("--depth", amount.text, why, "is the unit right? for example 25 mm")
    options = ", ".join(dict.fromkeys(OPTIONS[name] for name in typed_in.given)) or "--depth"
    with said_plainly(options):
        inputs, borrowed = _with_material(inputs, entry)
        if len(inputs) < FEWEST and len(solve_layer(_best(inputs), wanted=()).known) == len(inputs):
            raise ValueError(f"{len(inputs)} given; at least {FEWEST} are needed, or --material for some of them")
        solved = solve_layer(_best(inputs), wanted=(), deepest=DEEPEST)
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
        raise refused("--price", text, error.message, hint) from None
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


def _formula(entry: Entry | None, borrowed: set[str]):  # type: ignore[no-untyped-def]  # set below
    """Solve for everything; carbon and organic matter of one material rise and fall together."""
    together = {"carbon_share", "organic_share"} <= borrowed

    def worked_out(given: Inputs) -> Inputs:
        values = dict(given)
        if together and entry is not None:
            per_carbon = entry.value("organic_matter").best / entry.value("carbon").best
            values["organic_share"] = min(values["carbon_share"] * per_carbon, 1.0)
        return solve_layer(values, wanted=()).known

    return worked_out
