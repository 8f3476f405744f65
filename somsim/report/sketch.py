"""A small sketch of organic matter through the years for a terminal: a letter a strategy, no colour needed."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from somsim.report.look import cut, shown
from somsim.report.page.section import letter, told
from somsim.report.series import Array, span_text, spread, years
from somsim.report.words import System, scale, short
from somsim.study.compare import Study

ROWS, MOST_COLUMNS, AXIS = 9, 60, 8  # lines, letters and the room for numbers at the left
SEVERAL = "+"  # where lines of several strategies run through one place
NAME_WIDTH = 260.0  # as `look.cut` measures


def sketch(study: Study, width: int, system: System = "metric") -> Iterator[str]:
    """Lines of text: the middle of the possible worlds of each strategy through the years, then who is who.

    Letters are those of the report, as long as one is enough for each.  All but the names is ASCII, so that every
    terminal and every file can carry it.
    """
    unit = scale("mass_per_area", system)
    numbers, when = told(study), years(study)
    middle = spread(study, "organic_matter")[1][numbers] * unit.times
    columns = max(min(width - AXIS - 2, MOST_COLUMNS), 10)
    places = np.linspace(when[0], when[-1], columns)
    levels = np.stack([np.interp(places, when, one) for one in middle])
    low, high = float(levels.min()), float(levels.max())
    if high - low < 1e-6 * max(abs(high), 1.0):
        low, high = low - 0.5, high + 0.5
    yield f"Organic matter in the soil, {unit.unit} of bed, middle of the possible worlds"
    marks = [letter(number if max(numbers) < 26 else place) for place, number in enumerate(numbers)]
    drawn = _drawn(levels, marks, low, high)
    for row, line in enumerate(drawn):
        value = high - (high - low) * row / (ROWS - 1)
        label = short(value) if row % 4 == 0 else ""
        yield f"{label:>{AXIS - 1}} |{line}".rstrip()
    end = span_text(when[-1])
    yield f"{'':{AXIS}}+{'-' * columns}"
    yield f"{'':{AXIS}} start{end:>{columns - 5}}"
    for mark, number in zip(marks, numbers, strict=True):
        yield f"{'':{AXIS}} {mark}  {cut(shown(study.answers[number].name), NAME_WIDTH)}"
    if any(SEVERAL in line for line in drawn):
        yield f"{'':{AXIS}} {SEVERAL}  several of them"


def _drawn(levels: Array, letters: list[str], low: float, high: float) -> list[str]:
    """The letters in their rows, the highest first; (strategy, column) levels."""
    rows = np.rint((high - levels) / (high - low) * (ROWS - 1)).astype(int)
    field = [[" "] * levels.shape[1] for _ in range(ROWS)]
    for one, name in zip(rows, letters, strict=True):
        for column, row in enumerate(one):
            field[row][column] = name if field[row][column] == " " else SEVERAL
    return ["".join(line) for line in field]
