"""The table to decide by, and the soil at the horizon, strategy beside strategy."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from somsim.report import decision
from somsim.report.by_beds import beds_levels
from somsim.report.columns import cell
from somsim.report.page.section import (
    Grid,
    Heading,
    Manner,
    Part,
    Section,
    Words,
    called,
    in_columns,
    letter,
    short_name,
    told,
    told_study,
)
from somsim.report.terminal import figure_rows, source_rows
from somsim.report.words import System, in_hundred, months_in_words, scale
from somsim.study.compare import Study

Row = tuple[str, Sequence[str]]


def grid(caption: str, heads: Iterable[str], rows: Iterable[Row]) -> Grid:
    """Rows as the terminal has them, as a table of the page."""
    return Grid(caption, tuple(heads), tuple((label.strip(), tuple(cells)) for label, cells in rows))


def choice(study: Study, manner: Manner) -> Section:
    """What each strategy costs and brings; of many strategies also one short table of all."""
    found, system = told_study(study).decision, manner.system
    parts: list[Part | Heading] = [Words(tuple(decision.sentences_of(told_study(study), system)))]
    numbers = told(study)
    choices = dict(zip(numbers, found.choices, strict=True))
    for together in in_columns(numbers):
        rows = decision.decision_rows(found, [choices[number] for number in together], system)
        parts.append(grid("What to decide by", (called(study, number) for number in together), rows))
    parts.append(Words(tuple(decision.notes_of(found)), "list"))
    if len(numbers) < len(study.answers):
        parts.append(Heading("All strategies", (_all(study, system),), folded=True))
    return Section("choice", "What it costs and brings", tuple(parts))


def _all(study: Study, system: System) -> Grid:
    """One row for each strategy: what it leaves, and how often that is most."""
    mass = scale("mass_per_area", system)
    rows = (
        (f"{letter(number)}. {short_name(one.name)}", (mass.range(one.organic_matter), in_hundred(one.chance_of_most)))
        for number, one in enumerate(study.answers)
    )
    return grid("All strategies", (f"organic matter, {mass.unit}", "leaves most of all"), rows)


def soil(study: Study, manner: Manner) -> Section:
    """The soil at the horizon, and where the carbon in it came from."""
    parts: list[Part] = []
    unit, beds = scale("carbon_per_area", manner.system).unit, beds_levels(study)
    for together in in_columns(told(study)):
        answers, heads = [study.answers[number] for number in together], [called(study, n) for n in together]
        parts.append(grid("The soil at the end", heads, figure_rows(answers, manner.system)))
        parts.append(grid(f"What is there came from, {unit}", heads, source_rows(answers, manner.system)))
        if beds:
            mass, here = scale("mass_per_area", manner.system), [beds[number] for number in together]
            rows = ((name, [cell(mass, one.levels[name]) for one in here]) for name in here[0].levels)
            parts.append(grid(f"Organic matter at the end by bed, {mass.unit}", heads, rows))
    after = months_in_words(round(study.plan.horizon.best * 12))
    return Section("soil", f"The soil after {after}", tuple(parts))
