"""The answer in a terminal: sentences first, then a table, then what to watch."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from somsim.report import decision, sentences
from somsim.report.by_beds import beds_sentence, show_beds
from somsim.report.columns import cell, side_by_side, table_of
from somsim.report.words import Scale, System, in_hundred, months_in_words, scale
from somsim.study.compare import StrategyAnswer, Study


def say(console: Console, text: str, indent: int = 0, style: str = "") -> None:
    """Print one paragraph, wrapped to the width; a line that begins indented keeps its indent."""
    own = len(text) - len(text.lstrip(" "))
    console.print(Padding(Text(text.strip(), style=style), (0, 0, 0, indent + own)))


def heading(console: Console, text: str) -> None:
    """A heading with an empty line above it."""
    console.print()
    say(console, text, style="bold")


def show_comparison(study: Study, console: Console, system: System = "metric", *, more: bool = True) -> None:
    """Print the answer; with ``more`` also nutrients by month and what organic matter does not show.

    A sketch of the curves is drawn with ``more``, and wherever somebody looks at a terminal.
    """
    say(console, study.plan.title, style="bold")
    say(console, sentences.opening(study))
    console.print()
    beds = beds_sentence(study, system)
    for line in [*sentences.answer(study, system), *([beds] if beds else [])]:
        say(console, line)
    if more or console.is_terminal:
        from somsim.report.sketch import sketch

        console.print()
        for line in sketch(study, console.width, system):
            console.print(Text(line, no_wrap=True))
    for one in study.equivalences:
        console.print()
        for line in [*sentences.worth(one, study, system), *sentences.match(one, study, system)]:
            say(console, line)
    for loop in study.loops:
        console.print()
        say(console, sentences.heap_or_place(loop))
    show_decision(study, console, system)
    heading(console, f"After {months_in_words(round(study.plan.horizon.best * 12))}, by strategy")
    for table in strategy_tables(study, console.width, system):
        console.print(table)
    if more:
        show_beds(study, console, system)
    from somsim.report.benefits import show_benefits  # these three are built on the tables of this module
    from somsim.report.limits import show_limits
    from somsim.report.nutrients import show_nutrients

    if more:
        show_nutrients(study, console, system)
    show_limits(study, console, system)
    if more:
        show_benefits(study, console, system)
    show_watch(study, console)
    from somsim.report.settling import closing

    heading(console, "What to do next")
    say(console, closing(study.prospect))
    if not more:
        console.print()
        beds = ", each group of beds" if len(study.drawn["group"]) > 1 else ""
        say(console, f"Nutrients by month{beds}, and what organic matter does not show: add --more")


def show_decision(study: Study, console: Console, system: System) -> None:
    """Print what each strategy costs and brings: sentences, the table to decide by, and what it rests on."""
    heading(console, "What it costs and brings")
    for line in decision.sentences_of(study, system):
        say(console, line)
    for table in decision.tables(study.decision, console.width, system):
        console.print(table)
    for note in decision.notes_of(study.decision):
        say(console, f"- {note}")


def show_watch(study: Study, console: Console) -> None:
    """Print the cautions that belong to the plan, and what the result does not cover."""
    heading(console, "What to watch")
    for line in caution_lines(study):
        say(console, f"- {line}")
    heading(console, "What this rests on")
    for note in sentences.support(study):
        say(console, f"- {note}")
    say(console, f"- {rests_on(study)} See them all: somsim check --explain")


def caution_lines(study: Study) -> Iterator[str]:
    """Each caution with what to do, who decides, and in which strategies if not in all."""
    for caution in study.cautions:
        everywhere = len(caution.strategies) == len(study.plan.strategies)
        whom = "" if everywhere else f" [in: {'; '.join(caution.strategies)}]"
        decides = "" if caution.who_decides in ("", "you") else f" Decides: {caution.who_decides.rstrip('.')}."
        yield f"{caution.name[0].upper()}{caution.name[1:]}: {caution.text}{decides}{whom}"


def rests_on(study: Study) -> str:
    """How many numbers the result rests on, and how each is known."""
    known = [study.figures.unknowns[name].known for name in study.used]
    parts = ", ".join(
        f"{known.count(how)} {words}"
        for how, words in (
            ("plan", "from your plan"),
            ("read", "read in a publication"),
            ("derived", "worked out from one"),
            ("remembered", "from memory"),
            ("judged", "judged"),
        )
        if known.count(how)
    )
    return f"{len(known)} numbers: {parts}."


Row = tuple[str, Sequence[str]]


def strategy_tables(study: Study, width: int, system: System = "metric") -> list[Table]:
    """The figures of the strategies, as many side by side as the width holds."""
    return [_table(answers, study, system) for answers in side_by_side(study.answers, width)]


def _table(answers: Sequence[StrategyAnswer], study: Study, system: System) -> Table:
    table = table_of([one.name for one in answers])
    for label, cells in figure_rows(answers, system):
        table.add_row(Text(label), *(Text(cell) for cell in cells))
    table.add_section()
    table.add_row(Text(f"what is there came from, {scale('carbon_per_area', system).unit}", style="italic"))
    for label, cells in source_rows(answers, system):
        table.add_row(Text(label), *(Text(cell) for cell in cells))
    return table


def figure_rows(answers: Sequence[StrategyAnswer], system: System = "metric") -> Iterable[Row]:
    """One row a figure: its words with the unit, and a cell for each strategy."""
    mass, carbon, rate, ground = (
        scale(kind, system) for kind in ("mass_per_area", "carbon_per_area", "carbon_rate", "ground_load")
    )
    percent = Scale("%", 1.0)

    def cells(unit: Scale, pick: str) -> list[str]:
        return [cell(unit, getattr(one, pick)) for one in answers]

    yield "organic matter in the soil, %", cells(percent, "percent")
    yield f"the same, {mass.unit}", cells(mass, "organic_matter")
    yield f"change since the start, {mass.unit}", cells(mass, "change")
    yield f"lying on the surface, {mass.unit}", cells(mass, "surface")
    yield f"carbon put in, {carbon.unit}", cells(carbon, "added")
    yield "of that still there, %", [cell(Scale("%", 100.0), one.kept) for one in answers]
    yield f"food for soil life, {rate.unit}", cells(rate, "food")
    yield (
        f"nitrogen spread in a year, at most, {ground.unit}",
        [cell(Scale(ground.unit, ground.times / 1e4), one.nitrogen.most) for one in answers],
    )
    if len(answers) > 1 or answers[0].chance_of_most < 1.0:
        yield "leaves most of all", [in_hundred(one.chance_of_most) for one in answers]
    for family in ("uppsala", "isohumic"):
        levels = [one.level_by_family.get(family) for one in answers]
        yield f"if the {family} rates hold, {mass.unit}", ["-" if v is None else mass.number(v) for v in levels]


def source_rows(answers: Sequence[StrategyAnswer], system: System = "metric") -> Iterable[Row]:
    """One row a source of carbon, for the strategies shown together."""
    unit = scale("carbon_per_area", system)
    names = dict.fromkeys(name for one in answers for name in one.from_source)
    for name in names:
        yield name, [cell(unit, one.from_source.get(name)) for one in answers]
