"""Every number a plan can use, each once, as an unknown with its range: the plan's own first, then the library's."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

from somsim.draws import Unknown
from somsim.library import Entry, Library
from somsim.plan.actions import Cover
from somsim.plan.fields import Placed
from somsim.plan.model import Plan
from somsim.plan.samples import Sample
from somsim.timeline.prices import price_parts, price_unknowns
from somsim.timeline.samples import fresh_per_area, lone_error
from somsim.units import Amount

UNLIMITED = float("inf")
MOST_HUMIFIED = 0.95
SHARES = frozenset(
    {
        "dry_matter",
        "organic_matter",
        "carbon",
        "nitrogen",
        "phosphorus",
        "potassium",
        "stones",
        "clay",
        "lime",
        "harvest_index",
        "fibrous_roots",
        "residue_nitrogen",
        "dry_matter_vegetative",
        "dry_matter_flower",
        "dry_matter_mature",
        "nitrogen_vegetative",
        "nitrogen_flower",
        "nitrogen_mature",
        "residue_share",
        "start_residue_share",
        "roots_in_topsoil",
    }
)
SIGNED = frozenset({"temperature", "temperature_difference", "warming"})
STAGES = ("vegetative", "flower", "mature")
DECAY_TABLES = ("materials", "covers", "crops")


@cache
def library_unknowns(library: LibraryKey) -> dict[str, Unknown]:
    """All numbers of the library by address, and for each material and plant its own decay and humification."""
    found: dict[str, Unknown] = {}
    for table, entries in library.library.tables.items():
        for entry in entries.values():
            for quantity, value in entry.values.items():
                unknown = Unknown(
                    name=f"{table}/{entry.id}/{quantity}",
                    label=_label(table, entry.name, quantity),
                    low=value.low,
                    best=value.best,
                    high=value.high,
                    unit=value.dimension,
                    known=value.known,
                    source=value.source,
                    lowest=-UNLIMITED if value.dimension in SIGNED or value.low < 0.0 else 0.0,
                    highest=1.0 if quantity in SHARES or value.dimension == "share" else UNLIMITED,
                    note=value.note,
                )
                found[unknown.name] = _bounded(unknown, quantity)
            for months in entry.months.values():
                found[f"{table}/{entry.id}/{months.quantity}"] = _months_off(table, entry, months)
    for table in DECAY_TABLES:
        for entry in library.library.tables[table].values():
            found |= {unknown.name: unknown for unknown in _own_decay(library.library, table, entry, found)}
    return found


@dataclass(frozen=True)
class LibraryKey:
    """A library, told apart by identity, so that its unknowns are made once."""

    library: Library = field(compare=False)
    identity: int


def _label(table: str, name: str, quantity: str) -> str:
    return name if quantity == "value" else f"{quantity.replace('_', ' ')} of {name}"


FIRE = "composting/carbon_loss/value"  # a hotter heap loses more carbon, more of all dry matter, and lasts longer
LOSSES = ("carbon_loss", "dry_matter_loss")
HEAP_IS_LIKE = "garden compost"  # what a heap of one's own is like where nothing else is said of it
WET = {"bulk_density": False, "dry_matter": True}  # the wetter a material the heavier, and the less of it is dry
SLOWER = ("no_dig_factor", "surface_factor", "sheet_factor")  # never faster than what they are measured against


def _bounded(unknown: Unknown, quantity: str) -> Unknown:
    table, name, *_ = unknown.name.split("/")
    if table == "materials" and quantity in WET:
        return replace(unknown, shared=wetness(table, name), against=WET[quantity])
    if name in SLOWER:
        return replace(unknown, highest=1.0)
    if name in LOSSES:
        return replace(unknown, highest=0.95, scored_as=FIRE, shared="shared/compost/humified")
    if quantity in ("humified", "humified_isohumic"):
        return replace(unknown, highest=MOST_HUMIFIED)
    return unknown


def wetness(table: str, name: str) -> str:
    """The score that density and dry matter of one material share."""
    return f"shared/{table}/{name}/wetness"


def _months_off(table: str, entry: Entry, months: Any) -> Unknown:
    """How far all twelve months of a climate row may be off together."""
    return Unknown(
        name=f"{table}/{entry.id}/{months.quantity}",
        label=f"{months.quantity} of the climate row {entry.name}, all months up or down",
        low=-months.within,
        best=0.0,
        high=months.within,
        unit=months.dimension if months.dimension != "temperature" else "temperature_difference",
        known=months.known,
        source=months.source,
        lowest=-UNLIMITED,
        note=months.note,
    )


def residue_kinds(entry: Entry) -> tuple[tuple[str, str], ...]:
    """The kinds of residue an entry can leave: (ending of the address, kind)."""
    if entry.table == "covers":
        stages = {f"_{stage}": entry.about.get(f"residue_{stage}") for stage in STAGES}
        return (*((ending, kind) for ending, kind in stages.items() if kind), ("_roots", "roots"))
    kind = entry.about.get("residue", "")
    endings: tuple[tuple[str, str], ...] = (("", kind),) if kind else ()
    return endings + ((("_roots", "roots"),) if entry.table == "crops" else ())


def _own_decay(library: Library, table: str, entry: Entry, found: Mapping[str, Unknown]) -> Iterator[Unknown]:
    """The class's numbers for one entry: its own error, in part shared with its like."""
    for ending, kind in residue_kinds(entry):
        for quantity in ("decay", "humified", "humified_isohumic"):
            base = found.get(f"residues/{kind}/{quantity}")
            if base is None:
                continue
            error = "decay" if quantity == "decay" else "humified"
            part = {"": entry.name, "_roots": f"roots of {entry.name}"}.get(ending, f"{entry.name} ({ending[1:]})")
            yield replace(
                base,
                name=f"{table}/{entry.id}/{quantity}{ending}",
                label=f"{WORDS[quantity]} of {part}",
                shared=f"shared/{kind}/{error}",
                scored_as=f"{table}/{entry.id}/{error}{ending}",
            )


WORDS = {
    "decay": "decay rate",
    "humified": "humification coefficient",
    "humified_isohumic": "isohumic coefficient",
}


@dataclass(frozen=True)
class Figures:
    """Where each number of one plan is found: ``unknowns`` by address."""

    plan: Plan
    library: Library
    unknowns: Mapping[str, Unknown]
    paths: Mapping[int, str] = field(repr=False)

    def path(self, part: Placed) -> str:
        """The address of an action or another part of the plan."""
        return self.paths[id(part)]

    def of_plan(self, part: Placed, quantity: str) -> str | None:
        """The address of an amount typed in the plan, or None when it was left out."""
        amount = getattr(part, quantity)
        return f"{self.path(part)}/{quantity}" if isinstance(amount, Amount) else None

    def of_thing(self, table: str, name: str, quantity: str, plan_key: str | None = None) -> str | None:
        """The address of a number of a material, cover, crop or kind of residue; None when nobody knows it."""
        own = getattr(self.plan, table, {}).get(name)
        key = plan_key or quantity
        if own is not None and getattr(own, key, None) is not None:
            return f"plan/{table}/{name}/{key}"
        entry = self.entry(table, name)
        if entry is None:
            return None
        address = f"{table}/{entry.id}/{quantity}"
        return address if address in self.unknowns else None

    def entry(self, table: str, name: str) -> Entry | None:
        """The library's entry behind a name: itself, or the one that the plan says it is like."""
        own = getattr(self.plan, table, {}).get(name)
        if own is not None and own.like is not None:
            return self.library.find(table, own.like)
        if getattr(own, "heap", None) is not None:
            return self.library.find(table, name) or self.library.find(table, HEAP_IS_LIKE)
        return self.library.find(table, name)

    def kind_of_residue(self, table: str, name: str, ending: str = "") -> str:
        """Which kind of residue a material, cover or crop is."""
        own = getattr(self.plan, table, {}).get(name)
        if own is not None and own.residue is not None and ending != "_roots":
            return str(own.residue)
        entry = self.entry(table, name)
        kinds = dict(residue_kinds(entry)) if entry is not None else {}
        return kinds.get(ending, "roots" if ending == "_roots" else "soft_green")

    def decay(self, table: str, name: str, quantity: str, ending: str = "") -> str | None:
        """The address of a decay rate or a humification coefficient of a thing.

        The plan's own number first, then that of the plan's own kind of residue, then the library's.
        """
        key = "humified" if quantity == "humified_isohumic" else quantity
        own = getattr(self.plan, table, {}).get(name)
        if own is not None and ending != "_roots" and getattr(own, key) is not None:
            return f"plan/{table}/{name}/{key}"
        kind = self.kind_of_residue(table, name, ending)
        entry = self.entry(table, name)
        if entry is not None and dict(residue_kinds(entry)).get(ending) == kind and kind not in self.plan.residues:
            address = f"{table}/{entry.id}/{quantity}{ending}"
            if address in self.unknowns:
                return address
        return self.residue(kind, quantity)

    def residue(self, kind: str, quantity: str) -> str | None:
        """The address of a number of a kind of residue."""
        key = "humified" if quantity == "humified_isohumic" else quantity
        own = self.plan.residues.get(kind)
        if own is not None and getattr(own, key) is not None:
            return f"plan/residues/{kind}/{key}"
        return self.of_thing("residues", kind, quantity, key)


def figures(plan: Plan, library: Library) -> Figures:
    """Gather every number that a plan may use."""
    paths: dict[int, str] = {}
    own: dict[str, Unknown] = {}
    sampled: dict[int, tuple[Entry, ...]] = {}
    for path, part in _parts(plan):
        if isinstance(part, Cover):
            sampled |= dict.fromkeys(map(id, part.samples), _plants(plan, library, part))
        paths[id(part)] = path
        for name in type(part).model_fields:
            amount = getattr(part, name)
            if isinstance(amount, Amount):
                own[f"{path}/{name}"] = _wet(_typed(path, name, amount), plan, library)
        if isinstance(part, Sample):
            lone = lone_error(sampled.get(id(part), ()), library)
            own[f"{path}/fresh_per_area"] = fresh_per_area(path, _without_list(path), part, lone)
    known = library_unknowns(LibraryKey(library, id(library)))
    return Figures(plan, library, {**known, **own, **price_unknowns(plan, library)}, paths)


def _plants(plan: Plan, library: Library, cover: Cover) -> tuple[Entry, ...]:
    """The library's rows of the plants of a cover: its own, those of its mix, or what the plan says they are like."""
    found = []
    for name in cover.mix or (cover.name,):
        own = plan.covers.get(name)
        entry = library.find("covers", own.like if own is not None and own.like is not None else name)
        found += [entry] if entry is not None else []
    return tuple(found)


def _typed(path: str, name: str, amount: Amount) -> Unknown:
    """A number typed in the plan: exact when one number was typed, uncertain when it was a range.

    The same thing done in two strategies is well or badly guessed in both: its errors are told by what is done, not
    by the strategy, so that the strategies are compared in the same world.
    """
    return Unknown(
        name=f"{path}/{name}",
        scored_as=f"{_without_list(path)}/{name}",
        label=f"{name.replace('_', ' ')} ({path.removeprefix('plan/')})",
        low=amount.low,
        best=amount.best,
        high=amount.high,
        unit="",
        known="plan",
        source=amount.text,
        lowest=-UNLIMITED if amount.low < 0.0 or name in ("uplift", "warming") else 0.0,
        highest=MOST_HUMIFIED if name == "humified" else 1.0 if name in SHARES else UNLIMITED,
    )


def _wet(unknown: Unknown, plan: Plan, library: Library) -> Unknown:
    """Let a density or dry matter of the plan's own material share the wetness of what it is, or is like."""
    path, _, quantity = unknown.name.rpartition("/")
    name = path.removeprefix("plan/materials/")
    if name == path or quantity not in WET:
        return unknown
    entry = library.find("materials", plan.materials[name].like or name)
    return replace(unknown, shared=wetness("materials", entry.id if entry else name), against=WET[quantity])


def _without_list(path: str) -> str:
    """An address without the strategy, or other list of actions, that it stands in."""
    parts = path.split("/")
    if parts[1] == "strategies":
        return "/".join([parts[0], *parts[3:]]) if len(parts) > 3 else path
    return "/".join([parts[0], *parts[2:]]) if parts[1] in ("always", "before") else path


def _parts(plan: Plan) -> Iterator[tuple[str, Placed]]:
    yield "plan/site", plan.site
    yield "plan/site/soil", plan.site.soil
    yield "plan/site/beds", plan.site.beds
    if plan.site.soil.phosphorus is not None:
        yield "plan/site/soil/phosphorus", plan.site.soil.phosphorus
    yield from price_parts(plan)
    if isinstance(plan.site.climate, Placed):
        yield "plan/site/climate", plan.site.climate
    for table in ("residues", "materials", "covers", "crops"):
        for name, own in getattr(plan, table).items():
            yield f"plan/{table}/{name}", own
            for number, part in enumerate(getattr(own, "heap", None) or (), start=1):
                yield f"plan/{table}/{name}/heap {number}", part
    lists = {"before": plan.before or (), "always": plan.always or ()}
    lists |= {f"strategies/{name.replace('/', '|')}": actions for name, actions in plan.strategies.items()}
    for where, actions in lists.items():
        seen: dict[str, int] = {}
        for action in actions:
            words = f"{action.action} {getattr(action, 'material', getattr(action, 'name', ''))}".strip()
            seen[words] = seen.get(words, 0) + 1
            path = f"plan/{where}/{words}" + (f" {seen[words]}" if seen[words] > 1 else "")
            yield path, action
            sample = getattr(action, "sample", None)
            if sample is not None:
                yield f"{path}/sample", sample
            for number, cut in enumerate(getattr(action, "cut", ()), start=1):
                yield f"{path}/cut {number}", cut
                if cut.sample is not None:
                    yield f"{path}/cut {number}/sample", cut.sample
