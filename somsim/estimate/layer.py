"""A layer: depth, area, volume, mass, dry matter, organic matter and carbon, any of them from the others.

Five relations hold, each one thing as the product of two others; in logarithms they are linear:

    volume = depth x area                 mass = volume x density            dry = mass x dry_matter
    organic = dry x organic_share         carbon = dry x carbon_share
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from somsim.estimate import FloatArray, not_negative, positive, share

UNITS: Mapping[str, str] = {
    "depth": "m",
    "area": "m2",
    "volume": "m3",
    "density": "kg/m3",
    "mass": "kg",
    "dry_matter": "share of fresh mass",
    "dry": "kg",
    "organic_share": "share of dry mass",
    "organic": "kg",
    "carbon_share": "share of dry mass",
    "carbon": "kg C",
}
RELATIONS = (
    ("volume", "depth", "area"),
    ("mass", "volume", "density"),
    ("dry", "mass", "dry_matter"),
    ("organic", "dry", "organic_share"),
    ("carbon", "dry", "carbon_share"),
)
SHARES = ("dry_matter", "organic_share", "carbon_share")


@dataclass(frozen=True)
class Layer:
    """What is known of a layer, by name and in the units of `UNITS`, and the steps that found it."""

    known: Mapping[str, float]
    steps: tuple[str, ...]

    def __getitem__(self, name: str) -> float:
        """The value of one name; LookupError where it could not be found."""
        if name not in self.known:
            raise LookupError(f"the {_words(name)} of this layer is not known")
        return self.known[name]


def solve_layer(
    given: Mapping[str, float],
    *,
    wanted: Sequence[str] = tuple(UNITS),
    deepest: float | None = None,
    tolerance: float = 1e-6,
) -> Layer:
    """Find everything about a layer from what is given.

    Each relation with two known sides gives the third, over and over, until nothing new is found. The
    relations form a tree, so nothing that has an answer is missed (derived).

    Parameters
    ----------
    given : values by name, in the units of `UNITS`
    wanted : names that must be found; all of them by default
    deepest : depth (m) past which it is no layer but a slip of the pen; no bound where left out
    tolerance : relative disagreement that is put down to rounding when more is given than needed

    Returns
    -------
    Layer

    Raises
    ------
    ValueError
        If a value is not above 0, a share is over 1, a name is not one of `UNITS`, the depth is past
        `deepest`, what is given disagrees with itself, or something wanted cannot be found.

    Examples
    --------
    >>> layer = solve_layer({"depth": 0.025, "area": 100, "density": 600}, wanted=["mass"])
    >>> layer["volume"], layer["mass"]
    (2.5, 1500.0)
    """
    known = {name: _value(name, value) for name, value in given.items()}
    steps = []
    while found := _next(known):
        name, value, step = found
        known[name] = value
        steps.append(step)
    for relation in RELATIONS:
        _agree(relation, known, tolerance)
    _sensible(known, deepest)
    missing = [name for name in wanted if name not in known]
    if missing:
        raise ValueError(_too_little(missing, known))
    return Layer({name: known[name] for name in UNITS if name in known}, tuple(steps))


def loads(volume: ArrayLike, capacity: ArrayLike) -> FloatArray:
    """How many barrows, bags or trailers a volume fills, the last one counted whole.

    Parameters
    ----------
    volume : array_like (m3), above 0
    capacity : array_like (m3), of one load

    Returns
    -------
    ndarray, whole numbers

    Raises
    ------
    ValueError
        If either is not above 0.

    Examples
    --------
    >>> float(loads(2.5, 0.085))
    30.0
    """
    exact = positive("the volume", volume) / positive("the capacity of a load", capacity)
    # 2.1 / 0.3 is a hair over 7 in binary: that hair is not a load.
    return np.asarray(np.ceil(exact * (1 - 1e-12)))


def at_rate(amount: ArrayLike, rate: ArrayLike) -> FloatArray:
    """Hours or money of an amount at a rate, such as m3 at h/m3 or at a price per m3.

    Parameters
    ----------
    amount : array_like (m3, kg or m2), above 0
    rate : array_like (hours or money per unit of amount), 0 where it is free

    Returns
    -------
    ndarray (hours or money)

    Raises
    ------
    ValueError
        If the amount is not above 0, or the rate is negative.

    Examples
    --------
    >>> float(at_rate(2.5, 1.3))
    3.25
    """
    return positive("the amount", amount) * not_negative("the rate", rate)


def depth_at_limit(
    limit: ArrayLike,
    *,
    density: ArrayLike,
    dry_matter: ArrayLike,
    content: ArrayLike,
    bed_share: ArrayLike = 1.0,
) -> FloatArray:
    """Depth of a layer on the beds at which a limit on nitrogen or phosphorus is just reached.

    A limit is per area of the field or holding its rule names, paths included; the layer lies on the beds:
    depth = limit / (bed share x density x dry matter x content).

    Parameters
    ----------
    limit : array_like (kg/m2 of field), of the element the content is of
    density : array_like (kg/m3), as spread
    dry_matter : array_like, share of fresh mass
    content : array_like, share of dry mass
    bed_share : array_like, area of beds over area the rule names, above 0 to 1

    Returns
    -------
    ndarray (m)

    Raises
    ------
    ValueError
        If anything is not above 0, or a share is over 1.

    Examples
    --------
    >>> round(1000 * float(depth_at_limit(0.025, density=600, dry_matter=0.6, content=0.0125)), 2)
    5.56
    """
    per_metre = (
        positive("the density", density)
        * positive("dry matter", share("dry matter", dry_matter))
        * positive("the content", share("the content", content))
        * positive("the share of beds", share("the share of beds", bed_share))
    )
    return positive("the limit", limit) / per_metre


def _value(name: str, value: float) -> float:
    if name not in UNITS:
        raise ValueError(f"a layer has no {_words(name)!r}; it has {', '.join(map(_words, UNITS))}")
    if name in SHARES:
        share(_words(name), value)
    return positive(_words(name), value).item()


def _next(known: Mapping[str, float]) -> tuple[str, float, str] | None:
    return next(filter(None, (_third(relation, known) for relation in RELATIONS)), None)


def _third(relation: tuple[str, str, str], known: Mapping[str, float]) -> tuple[str, float, str] | None:
    """The one unknown of product = first x second, if it is the only one."""
    product, first, second = relation
    unknown = [name for name in relation if name not in known]
    if len(unknown) != 1:
        return None
    if unknown[0] == product:
        step = f"{_words(product)} = {_words(first)} x {_words(second)}"
        return product, known[first] * known[second], step
    other = second if unknown[0] == first else first
    step = f"{_words(unknown[0])} = {_words(product)} / {_words(other)}"
    return unknown[0], known[product] / known[other], step


def _agree(relation: tuple[str, str, str], known: Mapping[str, float], tolerance: float) -> None:
    if not all(name in known for name in relation):
        return
    product, first, second = relation
    made = known[first] * known[second]
    if not math.isclose(made, known[product], rel_tol=tolerance):
        raise ValueError(
            f"{_said(first, known)} and {_said(second, known)} make "
            f"{_words(product)} {made:.6g} {UNITS[product]}, "
            f"but {_said(product, known)} comes from the rest; leave one out"
        )


def _sensible(known: Mapping[str, float], deepest: float | None) -> None:
    if deepest is not None and known.get("depth", 0) > deepest:
        raise ValueError(f"a layer {known['depth']:.4g} m deep is past {deepest:g} m; is the unit right?")
    for name in SHARES:
        if known.get(name, 0) > 1 + 1e-9:
            raise ValueError(
                f"{_words(name)} would come to {known[name]:.4g}, more than the whole; what is given clashes"
            )
    if known.get("carbon_share", 0) > known.get("organic_share", 1) * (1 + 1e-9):
        raise ValueError(
            f"{_said('carbon_share', known)} is more than {_said('organic_share', known)}, "
            "and carbon is a part of organic matter"
        )


def _too_little(missing: Sequence[str], known: Mapping[str, float]) -> str:
    """What stays unknown, and which one further value would settle most of it."""
    settles = {name: _reach(name, missing, known) for name in missing}
    best = max(settles.values())
    choices = " or ".join(_words(name) for name, count in settles.items() if count == best)
    end = f"give {choices} as well" if best == len(missing) else f"more is needed: start with {choices}"
    return f"too little is given to find {', '.join(map(_words, missing))}; {end}"


def _reach(name: str, missing: Sequence[str], known: Mapping[str, float]) -> int:
    named = {**known, name: 1.0}
    while found := _next(named):
        named[found[0]] = 1.0
    return sum(other in named for other in missing)


def _said(name: str, known: Mapping[str, float]) -> str:
    unit = "" if name in SHARES else f" {UNITS[name]}"
    return f"{_words(name)} {known[name]:.6g}{unit}"


def _words(name: str) -> str:
    words = {"dry": "dry mass", "organic": "organic matter", "organic_share": "organic matter share"}
    return words.get(name, name.replace("_", " "))
