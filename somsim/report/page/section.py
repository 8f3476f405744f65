"""What a section of the report is made of: words, tables, charts, strips and layers; no section writes HTML."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import ClassVar, Literal

from somsim.report.embed import Drawing
from somsim.report.look import cut
from somsim.report.series import chosen
from somsim.report.words import System
from somsim.study.compare import Study

MOST_TOLD = 8  # strategies told in full; of more, the highest and the lowest
NAME_WIDTH = 330.0  # pixels of a name in a table's head or beside a strip: two lines or so


@dataclass(frozen=True)
class Words:
    """Paragraphs, or with ``manner`` "list" points, or "warning" what must not be missed."""

    kind: ClassVar[str] = "words"
    lines: tuple[str, ...]
    manner: Literal["plain", "list", "warning", "answer"] = "plain"


@dataclass(frozen=True)
class Grid:
    """A table: its caption, what stands above each column, and rows that begin with their own head.

    A cell may have several lines.  ``wide`` tables have many words in their cells.
    """

    kind: ClassVar[str] = "grid"
    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]
    wide: bool = False


@dataclass(frozen=True)
class Figure:
    """A chart with a caption, and the same in figures; at each of ``places`` a row of them can be read off."""

    kind: ClassVar[str] = "figure"
    drawing: Drawing
    caption: str
    figures: tuple[Grid, ...]
    places: tuple[float, ...] = ()


@dataclass(frozen=True)
class Layer:
    """One layer on a bed: its words, its thickness with P10 and P90 in m, and the same in words."""

    name: str
    thickness: float
    low: float
    high: float
    said: str


@dataclass(frozen=True)
class Layers:
    """Layers beside each other on a bed, ``times`` as thick as they are; ``missing`` says why others have no figure."""

    kind: ClassVar[str] = "layers"
    caption: str
    layers: tuple[Layer, ...]
    times: float
    missing: tuple[str, ...] = ()


@dataclass(frozen=True)
class Block:
    """A part of a strip: from and to as shares of its length, the kind that decides its pattern, and its words."""

    begin: float
    end: float
    manner: str
    what: str


@dataclass(frozen=True)
class Strip:
    """A year as a strip: its words, its months with where they begin, what stands, what is done, and all in words."""

    kind: ClassVar[str] = "strip"
    name: str
    months: tuple[tuple[float, str], ...]
    blocks: tuple[Block, ...]
    marks: tuple[tuple[float, str], ...]
    lines: tuple[str, ...]


@dataclass(frozen=True)
class Text:
    """Text exactly as it is written, such as the plan."""

    kind: ClassVar[str] = "text"
    caption: str
    text: str


Part = Words | Grid | Figure | Layers | Strip | Text


@dataclass(frozen=True)
class Heading:
    """A heading within a section, and what stands below it; ``folded`` parts are closed until they are asked for."""

    kind: ClassVar[str] = "heading"
    title: str
    parts: tuple[Part, ...]
    folded: bool = False


@dataclass(frozen=True)
class Section:
    """A section of the report: ``name`` is its place in the page's address, ``title`` its heading."""

    name: str
    title: str
    parts: tuple[Part | Heading, ...]


@dataclass(frozen=True)
class Manner:
    """How a report is told: units, the day it was written, the command that makes it again, what is said first."""

    system: System
    written: str
    command: str
    first: tuple[str, ...] = ()


def told(study: Study) -> list[int]:
    """Numbers of the strategies told in full: all, or of many the highest and the lowest."""
    import numpy as np

    return chosen(np.array([one.organic_matter.p50 for one in study.answers]), MOST_TOLD)


def few_told(study: Study) -> tuple[str, ...]:
    """Which strategies are told, where there are too many to tell all; else nothing."""
    count, some = len(study.answers), len(told(study))
    if some == count:
        return ()
    return (
        f"Of {count} strategies the {some - some // 2} that end highest and the {some // 2} lowest are told here and "
        "below; all of them are in the table of all strategies and in summary.csv.",
    )


def told_study(study: Study) -> Study:
    """The study with only the strategies that are told in full, for sentences on pairs of them; limits stay whole."""
    names = {study.answers[number].name for number in told(study)}
    if len(names) == len(study.answers):
        return study
    decision = study.decision
    choices = tuple(one for one in decision.choices if one.strategy in names)
    beaten = [tuple((name, share) for name, share in one.beaten_by if name in names) for one in choices]
    return replace(
        study,
        answers=tuple(one for one in study.answers if one.name in names),
        pairs=tuple(one for one in study.pairs if {one.more, one.less} <= names),
        equivalences=tuple(one for one in study.equivalences if one.strategy in names),
        loops=tuple(one for one in study.loops if one.strategy in names),
        nutrients=tuple(one for one in study.nutrients if one.strategy in names),
        benefits=tuple(one for one in study.benefits if one.strategy in names),
        decision=replace(
            decision,
            choices=tuple(replace(one, beaten_by=others) for one, others in zip(choices, beaten, strict=True)),
            pairs=tuple(one for one in decision.pairs if {one.more, one.less} <= names),
            break_evens=tuple(one for one in decision.break_evens if {one.strategy, one.other} <= names),
        ),
    )


def letter(number: int) -> str:
    """The letter a strategy is called by on charts.

    >>> letter(0), letter(25), letter(26)
    ('A', 'Z', 'AA')
    """
    first, second = divmod(number, 26)
    return (letter(first - 1) if first else "") + chr(ord("A") + second)


def short_name(name: str) -> str:
    """A name short enough for a table."""
    return cut(name, NAME_WIDTH)


def called(study: Study, number: int) -> str:
    """A strategy as tables call it: its letter and its name."""
    return f"{letter(number)}. {short_name(study.answers[number].name)}"


def in_columns(numbers: Sequence[int], most: int = 4) -> list[Sequence[int]]:
    """Strategies for tables beside each other: as many columns as a sheet of paper holds."""
    return [numbers[begin : begin + most] for begin in range(0, len(numbers), most)]
