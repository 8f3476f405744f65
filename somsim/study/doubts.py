"""What is in doubt in plain words, and who can measure it at which cost: read from the library."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fnmatch import fnmatchcase

from somsim.library import Entry
from somsim.timeline import Figures
from somsim.units import factor

HOUR = factor("h", "time")
OWN = ("materials", "covers", "crops", "residues")
TABLE_OF = {"spread": "materials", "cover": "covers", "crop": "crops"}
SINGLE_WORDS = {"idle": "weeds on idle ground"}  # actions that name nothing


@dataclass(frozen=True)
class Cost:
    """What something takes: best, low and high, and how that is known."""

    best: float
    low: float
    high: float
    known: str


@dataclass(frozen=True)
class Measurement:
    """Something that can be measured: what to do, and what it costs.

    ``money`` is in the plan's money and ``hours`` in hours; None where nobody published a figure.  ``error`` is the
    coefficient of variation of what is read; 0 where no figure is published: then the reading is taken as exact.
    ``once`` says that it is done once for the whole place, and not for each plant or material.
    """

    id: str
    name: str
    how: str
    money: Cost | None
    hours: Cost | None
    error: float
    once: bool


@dataclass(frozen=True)
class Doubt:
    """One independent score behind the draws, in plain words, and the measurements that tell about it.

    ``subject`` is the plant, the material or the kind of residue that it is about, as people see it.
    """

    score: str
    words: str
    subject: str
    measured_by: tuple[str, ...]


def doubt_of(figures: Figures, score: str) -> Doubt:
    """Say what a score of the draws is, in words for a grower.

    A score that no row of the library's ``doubts`` fits keeps the label of its figure.
    """
    subject = _subject(figures, score)
    for row in figures.library.tables["doubts"].values():
        if fnmatchcase(score, row.about["pattern"]):
            return Doubt(score, row.name.format(name=subject), subject, _listed(row.about["measured_by"]))
    return Doubt(score, figures.unknowns[score].label if score in figures.unknowns else score, subject, ())


def _listed(cell: str) -> tuple[str, ...]:
    return tuple(word.strip() for word in cell.split(";") if word.strip())


def subject_of(figures: Figures, table: str, name: str) -> str:
    """Call a material, plant or kind of residue as the plan does, or as the library does where the plan has no own."""
    if name in getattr(figures.plan, table):
        return name
    entry = figures.library.find(table, name)
    return entry.name if entry is not None else name


def _subject(figures: Figures, score: str) -> str:
    parts = score.split("/")
    if parts[0] == "plan":
        return _subject_in_plan(figures, parts)
    if parts[0] == "shared":
        parts = parts[1:] if len(parts) > 3 else ["residues", *parts[1:]]
    entry = figures.library.tables.get(parts[0], {}).get(parts[-2] if len(parts) > 1 else "")
    return entry.name if entry is not None else parts[-1].replace("_", " ")


def _subject_in_plan(figures: Figures, parts: list[str]) -> str:
    """The name in an address of the plan: "plan/cover rye and vetch 2/dry_tops" is about rye and vetch."""
    if parts[1] in OWN:
        return re.sub(r"/heap \d+$", "", "/".join(parts[2:-1]))
    verb, _, name = parts[1].partition(" ")
    table = TABLE_OF.get(verb)
    known = [name, re.sub(r"(^| )\d+$", "", name)]
    if table is None:
        return known[1] or SINGLE_WORDS.get(verb, verb)
    found = [one for one in known if figures.entry(table, one) is not None or one in getattr(figures.plan, table)]
    return subject_of(figures, table, found[0] if found else known[1])


def measurements(figures: Figures) -> dict[str, Measurement]:
    """Everything in the library that can be measured, by id."""
    return {key: _measurement(figures, row) for key, row in figures.library.tables["measurements"].items()}


def _measurement(figures: Figures, row: Entry) -> Measurement:
    constants = figures.library.tables["constants"]
    money = None
    if row.about["money"]:
        price = constants[row.about["money"]].prices["price"]
        money = Cost(price.best, price.low, price.high, price.known)
    error, once = _error(figures, row), row.kind == "place"
    return Measurement(row.id, row.name, row.about["how"], money, _hours(figures, row), error, once)


def _hours(figures: Figures, row: Entry) -> Cost | None:
    """Hours of all parts of the work together; None where no figure is published."""
    constants = figures.library.tables["constants"]
    parts = _listed(row.about["hours"])
    counts = [word.strip() for word in row.about["times"].split(";")] if row.about["times"] else ["" for _ in parts]
    if not parts:
        return None
    best = low = high = 0.0
    for part, count in zip(parts, counts, strict=True):
        work, times = constants[part].value("value"), constants[count].value("value").best if count else 1.0
        best, low, high = (best + times * work.best, low + times * work.low, high + times * work.high)
    return Cost(best / HOUR, low / HOUR, high / HOUR, constants[parts[0]].value("value").known)


def _error(figures: Figures, row: Entry) -> float:
    """Coefficient of variation of a reading: parts that are independent, each averaged over its samples."""
    constants = figures.library.tables["constants"]
    variations = _listed(row.about["error"])
    counts = [word.strip() for word in row.about["samples"].split(";")] if variations else []
    square = 0.0
    for variation, count in zip(variations, counts, strict=True):
        many = constants[count].value("value").best if count else 1.0
        square += constants[variation].value("value").best ** 2 / many
    return float(square**0.5)
