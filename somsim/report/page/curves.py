"""Organic matter through the years."""

from __future__ import annotations

from somsim.report.look import shown
from somsim.report.page.figures import Axis, Line, lines_drawing
from somsim.report.page.section import Figure, Grid, Manner, Section, Words, called, few_told, in_columns, letter, told
from somsim.report.series import Array, span_text, spread, years
from somsim.report.words import Scale, scale, short
from somsim.study.compare import Study
from somsim.study.equivalence import Spread

VARIABLE = "organic_matter"
HOW_DRAWN = "Line: the middle of the possible worlds; band: 8 in 10 of them."


def curves(study: Study, manner: Manner) -> Section:
    """Organic matter of each strategy, year by year, as a chart and as a table."""
    unit = scale("mass_per_area", manner.system)
    three = spread(study, VARIABLE) * unit.times
    numbers, when = told(study), years(study)
    words = ["start" if place == 0.0 else f"after {span_text(place)}" for place in when]
    lines = [_line(study, number, three[:, number]) for number in numbers]
    axis = Axis(when, words, f"years after {study.plan.start:%d %B %Y}".replace(" 0", " "))
    title = f"organic matter in the soil, {unit.unit} of bed"
    drawing = lines_drawing("chart-years", lines, axis, title, _alternative(lines, unit, when[-1]))
    caption = f"Organic matter in the soil, {unit.unit} of bed. {HOW_DRAWN}"
    if len(lines) > 4:
        caption += " Only the highest and the lowest have a band; every range is in the table."
    figure = Figure(drawing, caption, tuple(_tables(study, numbers, lines, words, unit)), tuple(when))
    return Section("years", "Through the years", (figure, Words(few_told(study))))


def _line(study: Study, number: int, three: Array) -> Line:
    low, middle, high = three
    said = [cell_line(Spread(b, a, b, c), Scale("", 1.0)) for a, b, c in zip(low, middle, high, strict=True)]
    return Line(number, shown(study.answers[number].name), low, middle, high, said)


def cell_line(spread: Spread, unit: Scale) -> str:
    """The middle and its range on one line."""
    return unit.range(spread)


def _tables(study: Study, numbers: list[int], lines: list[Line], words: list[str], unit: Scale) -> list[Grid]:
    by_number = {line.number: line for line in lines}
    return [
        Grid(
            f"Organic matter in the soil, {unit.unit} of bed: the middle, and where 8 of 10 worlds fall",
            tuple(called(study, number) for number in together),
            tuple(
                (word, tuple(by_number[number].said[step] for number in together)) for step, word in enumerate(words)
            ),
        )
        for together in in_columns(numbers)
    ]


def _alternative(lines: list[Line], unit: Scale, length: float) -> str:
    ends = "; ".join(
        f"{letter(line.number)}, {line.name}: from {short(float(line.middle[0]))} to {short(float(line.middle[-1]))}"
        for line in lines
    )
    return f"Lines of organic matter over {span_text(length)}, in {unit.unit} of bed. {ends}."
