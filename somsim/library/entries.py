"""The types that a library table turns into: a source, a value, twelve months, a price, a sowing, an entry."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True)
class Source:
    """One publication, or one of the two plain admissions: from memory, by judgement."""

    key: str
    title: str
    authors: str
    year: str
    where: str


@dataclass(frozen=True)
class Value:
    """One number with its range, in base units, and where it comes from.

    ``known`` is read, remembered, judged or derived. ``printed`` holds best, low and high as the table has
    them, in ``unit``; a cell left empty there is None, and then the bound equals the best value.
    """

    table: str
    id: str
    quantity: str
    best: float
    low: float
    high: float
    unit: str
    dimension: str
    known: str
    source: str
    note: str
    printed: tuple[float, float | None, float | None]

    @property
    def is_range(self) -> bool:
        """Whether low and high differ."""
        return self.low < self.high


@dataclass(frozen=True)
class MonthValues:
    """Twelve monthly values in base units, January first, and how far off (``within``) they may be."""

    table: str
    id: str
    quantity: str
    values: tuple[float, ...]
    within: float
    unit: str
    dimension: str
    known: str
    source: str
    note: str
    printed: tuple[float, ...]


@dataclass(frozen=True)
class Price:
    """A price in money: never converted, so the unit stays as typed (``GBP/m3``)."""

    table: str
    id: str
    quantity: str
    best: float
    low: float
    high: float
    unit: str
    year: str
    known: str
    source: str
    note: str


@dataclass(frozen=True)
class Entry:
    """One row of a table of things, with everything known about it."""

    table: str
    id: str
    name: str
    kind: str
    aliases: tuple[str, ...]
    about: Mapping[str, str]
    values: Mapping[str, Value]
    months: Mapping[str, MonthValues]
    prices: Mapping[str, Price]

    def value(self, quantity: str) -> Value:
        """Return the value of a quantity, or raise LookupError naming what there is."""
        if quantity not in self.values:
            known = ", ".join(sorted(self.values)) or "none"
            raise LookupError(f'{self.table} has no {quantity} for "{self.name}"; it has {known}')
        return self.values[quantity]

    def month_values(self, quantity: str) -> MonthValues:
        """Return twelve monthly values of a quantity, or raise LookupError naming what there is."""
        if quantity not in self.months:
            known = ", ".join(sorted(self.months)) or "none"
            raise LookupError(f'{self.table} has no monthly {quantity} for "{self.name}"; it has {known}')
        return self.months[quantity]

    def words(self) -> tuple[str, ...]:
        """Return every word by which this entry may be called: its id, its name and its aliases."""
        return (self.id, self.name, *self.aliases)


def plain(word: str) -> str:
    """Return a word as it is compared: small letters, single spaces.

    >>> plain("  Garden   Compost ")
    'garden compost'
    """
    return " ".join(word.casefold().split())


@dataclass(frozen=True)
class Sowing:
    """What a cover sown on one day is printed to leave in the soil a year on, kg/m2 of organic matter.

    ``day`` is as printed ("15 Aug"), or a time such as "before 1 Sep".
    """

    crop: str
    cover: str
    day: str
    quantity: str
    best: float
    known: str
    source: str
    note: str


@dataclass(frozen=True)
class Library:
    """All tables by name, each a mapping from id to entry, all sources by key, and the printed sowings."""

    tables: Mapping[str, Mapping[str, Entry]]
    sources: Mapping[str, Source]
    sowings: tuple[Sowing, ...] = ()
    _words: dict[str, Mapping[str, Entry]] = field(default_factory=dict, repr=False, compare=False)

    def find(self, table: str, name: str) -> Entry | None:
        """Return the entry of a table called so (id, name or alias; capitals do not matter), or None."""
        return self._by_word(table).get(plain(name))

    def sowings_of(self, cover: str) -> tuple[Sowing, ...]:
        """Return what is printed for single sowing days of a cover (its id), in the order of print."""
        return tuple(one for one in self.sowings if one.cover == cover and one.day[:1].isdigit())

    def _by_word(self, table: str) -> Mapping[str, Entry]:
        """The entries of a table by every word they may be called by; of two, the first in the table."""
        if table not in self._words:
            found: dict[str, Entry] = {}
            for entry in self.tables[table].values():
                for word in entry.words():
                    found.setdefault(plain(word), entry)
            self._words[table] = found
        return self._words[table]

    def names(self, table: str) -> list[str]:
        """Return the plain names of a table's entries, in the order of the table."""
        return [entry.name for entry in self.tables[table].values()]
