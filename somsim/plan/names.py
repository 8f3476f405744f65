"""Are the names in a plan known: materials, covers, crops, kinds of residue, climates, textures?

Names are looked up in the tree as it was typed, so that they are checked beside whatever else is wrong.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from itertools import chain, islice
from typing import Any

from somsim.errors import nearest
from somsim.library import Library
from somsim.plan.beds import Finding
from somsim.plan.fields import NOWHERE, quoted
from somsim.plan.mistakes import TOLD_IN_ONE
from somsim.plan.text import Items, Record, Text

SINGULAR = {
    "materials": "material",
    "covers": "cover",
    "crops": "crop",
    "residues": "kind of residue",
    "climates": "climate",
    "soils": "texture",
    "limits": "limit",
}

NEEDED = {
    "residues": ("decay", "humified"),
    "materials": ("residue", "bulk_density", "dry_matter", "carbon"),
    "covers": ("residue", "dry_tops", "root_ratio"),
    "crops": ("residue",),
}

ASKED = {
    "spread": ("materials", "material"),
    "cover": ("covers", "name"),
    "crop": ("crops", "name"),
    "input": ("residues", "residue"),
}


class Known:
    """The names that a plan and the library know, each looked up once."""

    def __init__(self, tree: Record, library: Library) -> None:
        """Gather the plan's own names by table."""
        self.library = library
        self.own = {table: _record(tree.get(table)) for table in NEEDED}
        self.overridden = {
            table: {
                found.id: name
                for name, body in own.items()
                if "like" not in _record(body) and (found := library.find(table, name)) is not None
            }
            for table, own in self.own.items()
        }
        self.answers: dict[tuple[str, str], tuple[str, str | None] | None] = {}

    def mistake(self, table: str, name: str) -> tuple[str, str | None] | None:
        """What is wrong with a name, and what would do; None when it is known."""
        key = (table, name)
        if key not in self.answers:
            self.answers[key] = self._look_up(table, name)
        return self.answers[key]

    def _look_up(self, table: str, name: str) -> tuple[str, str | None] | None:
        if name in self.own.get(table, {}):
            return None
        found = self.library.find(table, name)
        own_name = self.overridden.get(table, {}).get(found.id) if found is not None else None
        if own_name is not None:
            said = f'{quoted(name)} stands under {table}: as "{own_name}"'
            return said, f"write {own_name} here too, so that your own numbers are used"
        return None if found is not None else self.unknown(table, name)

    def unknown(self, table: str, name: str, own: bool = True) -> tuple[str, str | None]:
        """The message for a name that nobody knows, with the names most like it."""
        own_names = list(self.own[table]) if own and table in self.own else []
        offered = [*own_names, *self.library.names(table)]
        words = [word for entry in self.library.tables[table].values() for word in entry.words()]
        near: dict[str, str] = {}
        for word in nearest(name, [*offered, *words]):
            near.setdefault(re.sub("[-_ ]+", " ", word.casefold()), word)
        hint = f"nearest: {', '.join(near.values())}; " if near else ""
        where = "in this plan or the library" if own and table in NEEDED else "in the library"
        listed = f"all {len(offered)}: `somsim library {table}`"
        return f"no {SINGULAR[table]} {quoted(name)} {where}", hint + listed


def name_findings(tree: Record, library: Library) -> Iterator[Finding]:
    """Every name in a plan that neither the plan nor the library knows; of very many only the first."""
    known = Known(tree, library)
    yield from islice(chain(_asked_findings(tree, known), _own_findings(known)), TOLD_IN_ONE + 1)


def _asked_findings(tree: Record, known: Known) -> Iterator[Finding]:
    for table, word in _asked(tree):
        name = word.strip()
        mistake = known.mistake(table, name) if name else None
        if mistake is not None:
            yield Finding(word.place, *mistake)


def _asked(tree: Record) -> Iterator[tuple[str, Text]]:
    """Every name that is looked up: (table, word)."""
    site = _record(tree.get("site"))
    found = [
        ("climates", site.get("climate")),
        ("soils", _record(site.get("soil")).get("texture")),
        ("materials", tree.get("compare_with")),
    ]
    limits = tree.get("limits")
    for item in limits if isinstance(limits, Items) else ():
        found.append(("limits", _record(item).get("limit") if isinstance(item, Record) else item))
    for actions in [tree.get("before"), tree.get("always"), *_record(tree.get("strategies")).values()]:
        for item in actions if isinstance(actions, Items) else ():
            for verb, body in _record(item).items():
                if verb == "cover" and "mix" in _record(body):
                    yield from (("covers", word) for word in _keys(_record(body).get("mix")))
                elif verb in ASKED:
                    table, key = ASKED[verb]
                    found.append((table, _record(body).get(key)))
    yield from ((table, word) for table, word in found if isinstance(word, Text))


def _own_findings(known: Known) -> Iterator[Finding]:
    library = known.library
    for table, needed in NEEDED.items():
        for name, own in known.own[table].items():
            body = _record(own)
            like, residue = body.get("like"), body.get("residue")
            if isinstance(like, Text) and like and library.find(table, like) is None:
                yield Finding(like.place, *known.unknown(table, like.strip(), own=False))
            elif "like" not in body and library.find(table, name) is None:
                missing = [] if "heap" in body else [key for key in needed if key not in body]
                if missing:
                    place = known.own[table].key_places.get(name, NOWHERE)
                    verb, them = ("is", "it") if len(missing) == 1 else ("are", "them")
                    said = f"{_listed(missing)} {verb} missing"
                    hint = f"add {them}, or like: and one of the library's {table}"
                    yield Finding(place, f"{quoted(name)} is your own, and {said}", hint)
            yield from _heap_findings(known, body)
            mistake = known.mistake("residues", residue.strip()) if isinstance(residue, Text) and residue else None
            if mistake is not None and isinstance(residue, Text):
                yield Finding(residue.place, *mistake)


def _heap_findings(known: Known, body: Record) -> Iterator[Finding]:
    """Feedstocks of a heap that are neither a material nor a cover."""
    parts = body.get("heap")
    for part in parts if isinstance(parts, Items) else ():
        word = _record(part).get("feedstock")
        name = word.strip() if isinstance(word, Text) else ""
        if isinstance(word, Text) and name and known.mistake("covers", name) is not None:
            mistake = known.mistake("materials", name)
            if mistake is not None:
                yield Finding(word.place, *mistake)


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else ", ".join(words[:-1]) + " and " + words[-1]


def _record(node: Any) -> Record:
    return node if isinstance(node, Record) else Record(NOWHERE)


def _keys(node: Any) -> list[Text]:
    """The keys of a mapping as words with their places."""
    return [Text(key, place) for key, place in _record(node).key_places.items()]
