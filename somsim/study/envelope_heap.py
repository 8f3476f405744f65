"""A heap: the mix against the published windows, and the compost it makes by mass balance and by the volume rule."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from somsim.errors import InputError, nearest
from somsim.estimate.heap import beside_window, finish, fresh_for_one, mix, volume_by_rule
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
    read_amount,
    read_either,
    refused,
    said_plainly,
    tags_of,
    typed,
    typed_range,
    watches,
)
from somsim.study.envelope_sample import STAGES
from somsim.units import Amount

DEFAULT_COMPOST = "garden compost"
NEEDED = ("density", "dry_matter", "carbon", "nitrogen")
FORM = 'for example --add "straw = 20 kg", --add "cereal rye @ flower = 1 m3; density 400 kg/m3"'
OWN_WORDS: Mapping[str, tuple[str, str]] = {
    "density": ("density", "density"),
    "dry matter": ("dry_matter", "share"),
    "carbon": ("carbon", "share"),
    "nitrogen": ("nitrogen", "share"),
    "C:N": ("ratio", "ratio"),
}
RESULTS = {
    "carbon_to_nitrogen": "ratio",
    "moisture": "share",
    "density": "density",
    "mass": "mass",
    "volume": "volume",
    "dry": "mass",
    "made_volume": "volume",
    "made_mass": "mass",
    "made_dry": "mass",
    "made_carbon": "share",
    "made_nitrogen": "share",
    "made_carbon_to_nitrogen": "ratio",
    "by_rule": "volume",
    "fresh_for_one": "ratio",
    "nitrogen_lost": "mass",
}
# Which row of the library's composting table is held against which figure of the mix, and its quantities.
WINDOWS = (
    ("carbon_to_nitrogen", "mix_carbon_nitrogen"),
    ("carbon_to_nitrogen", "mix_carbon_nitrogen_2021"),
    ("moisture", "mix_moisture"),
    ("density", "heap_density"),
)


@dataclass(frozen=True)
class HeapPart:
    """One feedstock as typed: a mass (kg) or a volume (m3), and own figures that stand above the library's."""

    name: str
    stage: str | None
    amount: Amount
    by: str
    own: Mapping[str, Amount]
    text: str


@dataclass(frozen=True)
class HeapTyped:
    """Everything heaped; ``compost`` is the material whose dry matter and density the finished heap gets."""

    parts: tuple[HeapPart, ...]
    compost: str | None = None


@dataclass(frozen=True)
class Window:
    """A published window: the figure of the mix is "below", "within" or "above" the best and the usable part."""

    what: str
    name: str
    best: Figure
    usable: Figure | None
    lies: str
    usable_lies: str | None
    source: str


@dataclass(frozen=True)
class HeapAnswer(Closing):
    """The mix as heaped, and what is left when it is finished.

    ``made_volume`` by mass balance stands beside ``by_rule``, the volume rule; ``fresh_for_one`` m3 heaped for one of
    compost; ``yields`` what is printed for pressed greens and for loose mixes, m3 for each m3.
    """

    parts: tuple[str, ...]
    compost: str
    carbon_to_nitrogen: Figure
    moisture: Figure
    density: Figure
    mass: Figure
    volume: Figure
    dry: Figure
    made_volume: Figure
    made_mass: Figure
    made_dry: Figure
    made_carbon: Figure
    made_nitrogen: Figure
    made_carbon_to_nitrogen: Figure
    by_rule: Figure
    fresh_for_one: Figure
    nitrogen_lost: Figure
    losses: Mapping[str, Figure]
    windows: tuple[Window, ...]
    yields: Mapping[str, Figure]


def heap_study(heaped: HeapTyped, library: Library | None = None) -> HeapAnswer:
    """Mix, hold against the windows, and finish by mass balance.

    Raises
    ------
    InputError
        for an unknown material, a missing figure, or a mix that cannot be.
    """
    known = library or read_library()
    if not heaped.parts:
        raise refused("--add", "", "nothing is in the heap", FORM)
    compost = entry_named(known, "materials", heaped.compost or DEFAULT_COMPOST, "--compost")
    table = known.tables["composting"]
    losses = {name: constant(known, f"{name}_loss", "composting") for name in ("dry_matter", "carbon", "nitrogen")}
    inputs: dict[str, Figure] = {
        # One fire: the three losses rise and fall together, from their low ends (-1) to their high ones (1).
        "fire": Figure(0.0, -1.0, 1.0, "ratio"),
        "out_dry_matter": of_value(compost.value("dry_matter")),
        "out_density": of_value(compost.value("bulk_density")),
        "volume_loss": constant(known, "volume_loss", "composting"),
    }
    entries, said = [], []
    for number, part in enumerate(heaped.parts):
        entry, figures, remark = _figures(part, known)
        entries.append(entry)
        said += [remark] if remark else []
        inputs |= {f"{number}/{name}": figure for name, figure in figures.items()}
        inputs[f"{number}/amount"] = of_amount(part.amount, part.by)
    with said_plainly("--add"):
        found = combined(_formula(heaped.parts, losses), inputs, RESULTS)
    return HeapAnswer(
        parts=tuple(part.text for part in heaped.parts),
        compost=compost.name,
        **found,
        losses=losses | {"volume": inputs["volume_loss"]},
        windows=tuple(_window(what, row, found[what], known) for what, row in WINDOWS),
        yields={table[name].name: constant(known, name, "composting") for name in YIELDS},
        assumed=(*said, *_assumed(heaped, compost)),
        plan_lines=_plan_lines(found, compost),
        watch=watches(known, _tags(entries), ("health", "water", "law")),
    )


YIELDS = ("pressed_green_yield", "loose_mix_yield")


def read_part(text: str) -> HeapPart:
    """Read "NAME = AMOUNT", "COVER @ STAGE = AMOUNT", with own figures after semicolons.

    Raises
    ------
    InputError
        when it is no such part.

    Examples
    --------
    >>> part = read_part("cereal rye @ flower = 1 m3; density 400 kg/m3; C:N 30")
    >>> part.name, part.stage, part.by, sorted(part.own)
    ('cereal rye', 'flower', 'volume', ['density', 'ratio'])
    """
    head, *own = (piece.strip() for piece in text.split(";"))
    name, equals, amount = head.rpartition("=")
    if not equals or not name.strip():
        raise refused("--add", text, "what, and how much?", FORM)
    plant, at, stage = (piece.strip() for piece in name.partition("@"))
    if at and stage not in STAGES:
        raise refused("--add", text, f'"{stage}" is no stage', "after @ stands one of: " + ", ".join(STAGES))
    by, read = read_either("--add", amount.strip(), "mass", "volume")
    return HeapPart(plant, stage or None, read, by, dict(_own(piece, text) for piece in own if piece), text)


def _own(piece: str, text: str) -> tuple[str, Amount]:
    for words, (name, dimension) in OWN_WORDS.items():
        if piece.casefold().startswith(words.casefold() + " "):
            plain = piece[len(words) :].strip()
            plain += " ratio" if dimension == "ratio" and re.fullmatch(r"[0-9.]+( to [0-9.]+)?", plain) else ""
            return name, read_amount(f"--add, {words}", plain, dimension)
    raise refused("--add", text, f'"{piece}" is no figure of a material', "known: " + ", ".join(OWN_WORDS))


def _figures(part: HeapPart, known: Library) -> tuple[Entry | None, dict[str, Figure], str | None]:
    """The four figures of a feedstock: its own first, then the library's; and a remark on what was assumed."""
    entry = known.find("materials", part.name) if part.stage is None else None
    cover = known.find("covers", part.name) if entry is None else None
    found, remark = {}, None
    if entry is not None:
        rows = {"density": "bulk_density", **{name: name for name in NEEDED[1:]}}
        found = {name: of_value(entry.values[row]) for name, row in rows.items() if row in entry.values}
    elif cover is not None:
        stage = part.stage or cover.about.get("stage_at_end") or "vegetative"
        rows = {"dry_matter": f"dry_matter_{stage}", "carbon": "carbon", "nitrogen": f"nitrogen_{stage}"}
        found = {name: of_value(cover.values[row]) for name, row in rows.items() if row in cover.values}
        found["density"] = constant(known, "pressed_green_density", "composting")
        remark = _of_cover(part, cover, stage, found["density"])
    found |= {name: of_amount(amount, OWN_DIMENSIONS[name]) for name, amount in part.own.items() if name != "ratio"}
    if "ratio" in part.own and "carbon" in found:
        ratio, carbon = part.own["ratio"], found["carbon"]
        ends = (carbon.best / ratio.best, carbon.best / ratio.high, carbon.best / ratio.low)
        found["nitrogen"] = Figure(*ends, dimension="share")
    missing = [name for name in NEEDED if name not in found]
    if missing:
        if entry is None and cover is None and not part.own:
            raise _unknown(part, known)
        words = ", ".join(name.replace("_", " ") for name in missing)
        raise refused("--add", part.text, f"{words} of {part.name} not known", "add it: ; dry matter 20 %; C:N 25")
    return entry, found, remark


def _unknown(part: HeapPart, known: Library) -> InputError:
    tables = ("materials", "covers")
    words = [word for table in tables for entry in known.tables[table].values() for word in entry.words()[1:]]
    near = nearest(part.name, words)
    hint = (
        f"nearest: {', '.join(near)}; " if near else ""
    ) + "or add its figures: ; dry matter 20 %; carbon 44 %; C:N 25"
    return refused("--add", part.text, f"neither a material nor a cover of the library: {part.name}", hint)


OWN_DIMENSIONS = dict(OWN_WORDS.values())


def _of_cover(part: HeapPart, cover: Entry, stage: str, density: Figure) -> str:
    said = f"{cover.name} is taken as cut at {stage}"
    if "density" in part.own:
        return said + "."
    return f"{said}, and as pressed together: {density.best:.0f} kg/m3 (loose it may be half of that; say it)."


def _formula(parts: tuple[HeapPart, ...], losses: Mapping[str, Figure]) -> Callable[[Inputs], Inputs]:
    def worked_out(given: Inputs) -> Inputs:
        column = {name: [given[f"{number}/{name}"] for number in range(len(parts))] for name in NEEDED}
        mass = [
            given[f"{number}/amount"] * (given[f"{number}/density"] if part.by == "volume" else 1.0)
            for number, part in enumerate(parts)
        ]
        heap = mix(mass, **column)
        lost = {name: _between(figure, given["fire"]) for name, figure in losses.items()}
        made = finish(
            heap,
            dry_loss=lost["dry_matter"],
            carbon_loss=lost["carbon"],
            nitrogen_loss=lost["nitrogen"],
            dry_matter=given["out_dry_matter"],
            density=given["out_density"],
        )
        return {
            "carbon_to_nitrogen": heap.carbon_to_nitrogen,
            "moisture": heap.moisture,
            "density": heap.density,
            "mass": heap.mass,
            "volume": heap.volume,
            "dry": heap.dry,
            "made_volume": float(made.volume),
            "made_mass": float(made.mass),
            "made_dry": float(made.dry),
            "made_carbon": float(made.carbon / made.dry),
            "made_nitrogen": float(made.nitrogen / made.dry),
            "made_carbon_to_nitrogen": float(made.carbon_to_nitrogen),
            "by_rule": float(volume_by_rule(heap.volume, given["volume_loss"])),
            "fresh_for_one": float(fresh_for_one(heap.volume, made.volume)),
            "nitrogen_lost": float(made.nitrogen_lost),
        }

    return worked_out


def _between(figure: Figure, place: float) -> float:
    """From the low end (-1) over the best value (0) to the high end (1)."""
    end = figure.high if place > 0.0 else figure.low
    return figure.best + abs(place) * (end - figure.best)


def _window(what: str, row: str, figure: Figure, known: Library) -> Window:
    entry = known.tables["composting"][row]
    value = entry.value("value")
    usable = of_value(entry.values["usable"]) if "usable" in entry.values else None
    source = known.sources[value.source]
    return Window(
        what,
        entry.name,
        of_value(value),
        usable,
        beside_window(figure.best, value.low, value.high),
        None if usable is None else beside_window(figure.best, usable.low, usable.high),
        ", ".join(part for part in (source.title, source.year) if part),
    )


def _tags(entries: list[Entry | None]) -> set[str]:
    tags = {"heap", "spreading by hand"}.union(*(tags_of(entry) for entry in entries if entry is not None))
    return tags | ({"heaped manure"} if "manure" in tags else set())


def _assumed(heaped: HeapTyped, compost: Entry) -> tuple[str, ...]:
    said = []
    if heaped.compost is None:
        said.append(f"Finished, it is as wet and as dense as {compost.name} of the library; another with --compost.")
    said += [
        "The volumes of the parts are added: settling on mixing is left out.",
        "Dry matter, carbon and nitrogen are lost in one fire: a heap that loses much of one loses much of all.",
        "No earth is built into the heap, and nothing is washed out of it but what the losses hold.",
    ]
    return tuple(said)


def _plan_lines(found: Mapping[str, Figure], compost: Entry) -> tuple[PlanLines, ...]:
    own = (
        f"materials:\n  my heap:\n    like: {compost.name}\n"
        f"    carbon: {typed_range(found['made_carbon'], '%', 0.01)}\n"
        f"    nitrogen: {typed_range(found['made_nitrogen'], '%', 0.01)}\n"
    )
    likely = typed(found["made_volume"].best, "m3", 1.0)
    spread = (
        f"# most likely {likely}; of a range a plan takes the middle\n"
        f"- spread:\n    material: my heap\n    volume: {typed_range(found['made_volume'], 'm3', 1.0)}\n"
        "    on: 20 Apr    # put your own day\n    every: year\n    then: left on surface\n"
    )
    return (PlanLines("at the top", own), PlanLines("under a strategy", spread))
