"""The report as a file: sections put into one page that needs nothing else."""

from __future__ import annotations

import datetime
import re
import shlex
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

import jinja2
from markupsafe import Markup

from somsim.report.bundle import bundle
from somsim.report.embed import drawing_script, embeddable, still
from somsim.report.look import dash, shown
from somsim.report.page.figures import shade
from somsim.report.page.section import Heading, Manner, Section, called, letter, told
from somsim.report.page.sections import sections_of
from somsim.report.words import System, date_in_words
from somsim.study.compare import Study
from somsim.version import VERSION

EPOCH = "SOURCE_DATE_EPOCH"
PLAN_NAME = "plan.yaml"


def day_of_writing(surroundings: Mapping[str, str], now: datetime.datetime) -> datetime.date:
    """The day that a report says it was written on: today, or that of SOURCE_DATE_EPOCH.

    The only place from which a time gets into a result.  https://reproducible-builds.org/specs/source-date-epoch/

    >>> day_of_writing({"SOURCE_DATE_EPOCH": "86400"}, datetime.datetime(2026, 10, 1))
    datetime.date(1970, 1, 2)
    """
    stated = surroundings.get(EPOCH, "")
    if re.fullmatch(r"\d{1,11}", stated):
        return datetime.datetime.fromtimestamp(int(stated), datetime.UTC).date()
    return now.date()


@dataclass(frozen=True)
class Telling:
    """How a report is to be told: the day it says it was written on, the units, what it begins with.

    ``options`` are words of the command, beyond plan, draws, seed, engine and units, that make the result again.
    """

    written: datetime.date
    system: System = "metric"
    first: tuple[str, ...] = ()
    options: tuple[str, ...] = ()


def command_of(study: Study, telling: Telling) -> str:
    """The command that makes the result again, beside plan.yaml."""
    words = ["somsim", "compare", PLAN_NAME, "--draws", str(study.draws), "--seed", str(study.seed)]
    if study.engine != "exact":
        words += ["--engine", study.engine]
    if telling.system != "metric":
        words += ["--units", telling.system]
    return shlex.join([*words, *telling.options])


def report(study: Study, telling: Telling) -> str:
    """The whole report of a comparison, as the text of one HTML file.

    Returns
    -------
    str, HTML; it asks for no other file, and no script is needed to read it
    """
    manner = Manner(telling.system, date_in_words(telling.written), command_of(study, telling), telling.first)
    sections = sections_of(study, manner)
    return (
        _surroundings()
        .get_template("report.html")
        .render(
            title=study.plan.title,
            sections=sections,
            strategies=[_strategy(study, number) for number in told(study)],
            charted=any(part.kind == "figure" for section in sections for part in _parts(section)),
            version=VERSION,
            written=manner.written,
        )
    )


def _parts(section: Section) -> list[Any]:
    made: list[Any] = []
    for part in section.parts:
        made += part.parts if isinstance(part, Heading) else [part]
    return made


def _strategy(study: Study, number: int) -> dict[str, Any]:
    return {
        "number": number,
        "letter": letter(number),
        "name": called(study, number).partition(". ")[2],
        "whole": shown(study.answers[number].name),
        "shade": shade(number),
        "dash": " ".join(str(length) for length in dash(number)),
    }


@cache
def _surroundings() -> jinja2.Environment:
    made = jinja2.Environment(
        loader=jinja2.PackageLoader("somsim.report.page", "templates"),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.globals.update(
        still=lambda drawing: Markup(still(drawing)),  # made by somsim, names escaped by the XML writer
        embeddable=lambda value: Markup(embeddable(value)),
        style=lambda: Markup(_file("report.css")),
        script=lambda: Markup("\n".join((bundle(), drawing_script(), _file("report.js")))),
    )
    return made


def _file(name: str) -> str:
    return files("somsim.report.page").joinpath(name).read_text(encoding="utf-8")
