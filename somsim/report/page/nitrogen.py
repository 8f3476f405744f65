"""Nitrogen set free month by month, and the nutrient accounts."""

from __future__ import annotations

from somsim.report import nutrients
from somsim.report.columns import cell
from somsim.report.look import shown
from somsim.report.page.choice import grid
from somsim.report.page.curves import HOW_DRAWN
from somsim.report.page.figures import Axis, Line, lines_drawing
from somsim.report.page.section import (
    Figure,
    Grid,
    Manner,
    Part,
    Section,
    Words,
    called,
    in_columns,
    letter,
    told,
    told_study,
)
from somsim.report.words import Scale, short
from somsim.study.compare import Study


def nitrogen(study: Study, manner: Manner) -> Section:
    """When nitrogen comes free, in a mean year, and what comes and goes of each nutrient."""
    unit = nutrients.per_ground(manner.system)
    numbers = told(study)
    lines = [_line(study, number, unit) for number in numbers]
    axis = Axis(list(range(1, 13)), list(nutrients.MONTHS), "month of a mean year", named=True)
    title = f"nitrogen set free, {unit.unit} of bed"
    drawing = lines_drawing("chart-nitrogen", lines, axis, title, _alternative(lines, unit))
    caption = (
        f"Nitrogen set free in each month of a mean year, {unit.unit} of bed; below nought it is tied up. {HOW_DRAWN}"
    )
    places = tuple(float(place) for place in axis.places)
    parts: list[Part] = [Figure(drawing, caption, tuple(_tables(study, numbers, lines, unit)), places)]
    for together in in_columns(numbers):
        found = [study.nutrients[number] for number in together]
        rows = [
            (label, [cell(own, one) for one in spreads]) for label, spreads, own in nutrients.nutrient_rows(found, unit)
        ]
        parts.append(grid(f"Nutrients, {unit.unit} of bed and year", [called(study, n) for n in together], rows))
    others = nutrients.other_sentences(told_study(study), manner.system)
    parts.append(Words((nutrients.NEED_AS_A_WHOLE, *others), "list"))
    return Section("nitrogen", "Nitrogen month by month", tuple(parts))


def _line(study: Study, number: int, unit: Scale) -> Line:
    months = study.nutrients[number].months
    low, middle, high = ([getattr(m, name) * unit.times for m in months] for name in ("p10", "p50", "p90"))
    return Line(number, shown(study.answers[number].name), low, middle, high, [unit.range(month) for month in months])


def _tables(study: Study, numbers: list[int], lines: list[Line], unit: Scale) -> list[Grid]:
    by_number = {line.number: line for line in lines}
    return [
        grid(
            f"Nitrogen set free, {unit.unit} of bed",
            (called(study, number) for number in together),
            (
                (month, [by_number[number].said[step] for number in together])
                for step, month in enumerate(nutrients.MONTHS)
            ),
        )
        for together in in_columns(numbers)
    ]


def _alternative(lines: list[Line], unit: Scale) -> str:
    said = []
    for line in lines:
        most = max(range(12), key=lambda month: line.middle[month])
        least = min(range(12), key=lambda month: line.middle[month])
        said.append(
            f"{letter(line.number)}, {line.name}: most in {nutrients.MONTHS[most]}, {short(line.middle[most])}; "
            f"least in {nutrients.MONTHS[least]}, {short(line.middle[least])}"
        )
    return f"Lines of nitrogen set free in each month, in {unit.unit} of bed. {'. '.join(said)}."
