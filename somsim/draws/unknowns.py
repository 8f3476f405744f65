"""What is not known exactly: a value with its range, its bounds, its words, and where it comes from."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

LIBRARY_DIMENSIONS = 2048  # width of the library's random sequence: fixed, or every column of it would change


@dataclass(frozen=True)
class Unknown:
    """One value with its range.

    ``name`` is its address ("materials/garden_compost/dry_matter", "plan/strategies/...") and decides which
    dimension of the random sequence it gets, unless it is ``scored_as`` another name (the same error, told in two
    families of coefficients).  ``shared`` names a score that it has in common with others of its kind; ``against``
    says that it falls where they rise.  ``unit`` is the base unit; ``label`` says in words what it is.
    """

    name: str
    label: str
    low: float
    best: float
    high: float
    unit: str
    known: str
    source: str
    lowest: float = 0.0
    highest: float = float("inf")
    shared: str | None = None
    against: bool = False
    scored_as: str | None = None
    note: str = ""

    @property
    def is_range(self) -> bool:
        """Whether there is anything to draw."""
        return self.low < self.high

    @property
    def scores(self) -> tuple[str, ...]:
        """Names of the independent scores that it is drawn from: its own, and the one it shares; none if exact."""
        if not self.is_range:
            return ()
        own = self.scored_as or self.name
        return (own,) if self.shared is None else (own, self.shared)


@cache
def registry() -> dict[str, int]:
    """The dimension that each library unknown, and each shared score, has for good: ``library/unknowns.csv``."""
    text = files("somsim").joinpath("library/unknowns.csv").read_text(encoding="utf-8")
    return {row["name"]: int(row["dimension"]) for row in csv.DictReader(text.splitlines())}
