"""The chart of organic matter through the years."""

from __future__ import annotations

import math
from typing import Any

import altair as alt
import numpy as np

from somsim.report.look import (
    BACKGROUND,
    INK,
    MOST_NAMED,
    QUIET,
    SMALL_SIZE,
    TEXT_SIZE,
    apart,
    colour,
    cut_names,
    dash,
    digits,
    dressed,
    heading,
    shown,
)
from somsim.report.sentences import TIE
from somsim.report.series import Array, chosen, drawn, span_text, spread, years
from somsim.report.words import in_hundred
from somsim.study.compare import Study

VARIABLE = "organic_matter_percent"
PLOT_WIDTH, PLOT_HEIGHT, LABEL_WIDTH = 345, 330, 180
LABEL_STEP = 34.0  # pixels from one label, of two lines, to the next
MOST_BANDS = 4


def organic_matter_chart(study: Study) -> alt.LayerChart:
    """Organic matter of the layer through the years: a line, a band of 8 in 10 worlds and a label for each strategy.

    Mean over the beds, weighted by their area.  Of more than eight strategies the highest and the lowest are named and
    the others stay thin and grey; of more than four, only the highest and the lowest have a band.

    Parameters
    ----------
    study : Study

    Returns
    -------
    altair.LayerChart, 600 pixels wide
    """
    low, middle, high = spread(study, VARIABLE)
    names = [answer.name for answer in study.answers]
    named = chosen(middle[:, -1], MOST_NAMED)
    banded = named if len(named) <= MOST_BANDS else sorted({int(middle[:, -1].argmax()), int(middle[:, -1].argmin())})
    when = years(study)
    bottom, top = _limits(low[banded], middle, high[banded])
    x = alt.X("year:Q", title=f"years after {study.plan.start:%d %B %Y}".replace(" 0", " ")).scale(
        domain=[0.0, when[-1]], nice=False
    )
    x = x.axis(tickMinStep=1.0 if when[-1] >= 2.0 else 0.1, grid=False, tickCount=6)
    y = _height("percent").scale(domain=[bottom, top], nice=False, zero=False)
    layers: list[Any] = [_line(None, when, middle[n], x, y) for n in range(len(names)) if n not in named]
    layers += [_band(named.index(n), when, low[n], high[n], x, y) for n in banded]
    layers += [_line(look, when, middle[n], x, y) for look, n in enumerate(named)]
    layers += _labels(names, named, (low[:, -1], middle[:, -1], high[:, -1]), (bottom, top), y)
    title, notes = _title(study), _notes(len(names), len(named), len(banded))
    chart = alt.layer(*layers).properties(
        width=PLOT_WIDTH,
        height=PLOT_HEIGHT,
        title=alt.TitleParams(**heading(title, notes)),
        description=_description(names, middle, when[-1]),
    )
    return dressed(chart)


def _height(field: str) -> Any:
    """Give the upright place of a mark; the title is the same on all, or the axis would have none."""
    return alt.Y(f"{field}:Q", title="organic matter in the soil layer, % of dry weight")


def _limits(low: Array, middle: Array, high: Array) -> tuple[float, float]:
    """Limits of the axis with some room; never below nought, never without height."""
    bottom, top = float(min(low.min(), middle.min())), float(max(high.max(), middle.max()))
    room = max(0.06 * (top - bottom), 0.05 * top, 1e-3)
    return max(bottom - room, 0.0), top + room


def _band(look: int, when: list[float], low: Array, high: Array, x: Any, y: Any) -> Any:
    rows = [{"year": a, "percent": float(b), "high": float(c)} for a, b, c in zip(when, low, high, strict=True)]
    drawing = alt.Chart({"values": rows})
    band = drawing.mark_area(color=colour(look), opacity=0.11).encode(x=x, y=y, y2="high:Q")
    edge: dict[str, Any] = {"color": colour(look), "strokeWidth": 0.8, "opacity": 0.55, "strokeDash": dash(look)}
    upper = drawing.mark_line(**edge).encode(x=x, y=_height("high"))
    return alt.layer(band, drawing.mark_line(**edge).encode(x=x, y=y), upper)


def _line(look: int | None, when: list[float], middle: Array, x: Any, y: Any) -> Any:
    rows = [{"year": a, "percent": float(b)} for a, b in zip(when, middle, strict=True)]
    mark: dict[str, Any] = {"color": BACKGROUND, "strokeWidth": 0.7}
    if look is not None:
        mark = {"color": colour(look), "strokeWidth": 2.6, "strokeDash": dash(look)}
    return alt.Chart({"values": rows}).mark_line(**mark).encode(x=x, y=y)


def _labels(
    names: list[str], named: list[int], ends: tuple[Array, Array, Array], limits: tuple[float, float], y: Any
) -> list[Any]:
    low, middle, high = ends
    per_pixel = (limits[1] - limits[0]) / PLOT_HEIGHT
    places = apart([(limits[1] - float(middle[number])) / per_pixel for number in named], LABEL_STEP, PLOT_HEIGHT)
    short = cut_names([names[number] for number in named], LABEL_WIDTH, TEXT_SIZE)
    layers = []
    count = 2 if len({digits(middle[number]) for number in named}) == len(named) else 3
    for look, (number, place, name) in enumerate(zip(named, places, short, strict=True)):
        numbers = [digits(float(one[number]), count) for one in (middle, low, high)]
        row = {
            "percent": float(middle[number]),
            "label": limits[1] - place * per_pixel,
            "name": name,
            "range": f"{numbers[0]} %, likely {numbers[1]} to {numbers[2]} %",
        }
        drawing = alt.Chart({"values": [row]})
        at = _height("label")
        right = alt.value(PLOT_WIDTH + 17)
        joint = drawing.mark_rule(color=colour(look), strokeWidth=1.2).encode(
            x=alt.value(PLOT_WIDTH + 2), x2=alt.value(PLOT_WIDTH + 14), y=y, y2="label:Q"
        )
        text: dict[str, Any] = {"align": "left", "baseline": "middle"}
        name_text = drawing.mark_text(**text, dy=-6, fontSize=TEXT_SIZE, fontWeight="bold", color=INK)
        range_text = drawing.mark_text(**text, dy=8, fontSize=SMALL_SIZE, color=QUIET)
        layers += [joint, name_text.encode(x=right, y=at, text="name:N")]
        layers += [range_text.encode(x=right, y=at, text="range:N")]
    return layers


def _title(study: Study) -> str:
    """Who leaves most, as the table and the sentences have it: by weight, level ones sharing their worlds."""
    after = span_text(study.plan.horizon.best)
    if len(study.answers) == 1:
        worlds = drawn(study, VARIABLE)
        start, end = (digits(float(np.median(worlds[0, place]))) for place in (0, -1))
        return f"In {after} organic matter in the soil goes from {start} % to {end} %."
    first = max(study.answers, key=lambda one: one.chance_of_most)
    level = [one for one in study.answers if math.isclose(one.chance_of_most, first.chance_of_most, abs_tol=1e-9)]
    if len(level) > 1:
        often = f"{len(level)} of them have most organic matter equally often."
        return f"After {after} no strategy is clearly ahead: {often}"
    often = f"under “{shown(first.name)}”, {in_hundred(first.chance_of_most)} possible worlds."
    if first.chance_of_most < 0.5 or _like_another(study, first.name):
        return f"After {after} no strategy is clearly ahead: most often the soil has most organic matter {often}"
    return f"After {after} the soil has most organic matter, in kg, {often}"


def _like_another(study: Study, name: str) -> bool:
    """Whether the sentences say of this strategy that it and another cannot be told apart."""
    return any(TIE[0] <= pair.chance <= TIE[1] for pair in study.pairs if name in (pair.more, pair.less))


def _notes(count: int, named: int, banded: int) -> list[str]:
    notes = ["Line: the middle of the possible worlds. Band: 8 in 10 of them lie inside."]
    if banded < named:
        notes.append("Only the highest and the lowest strategy have a band; the other ranges are beside the names.")
    if named < count:
        notes.append(
            f"Of {count} strategies the {named - named // 2} highest and {named // 2} lowest are named; "
            "the others are the thin grey lines. All of them are in summary.csv."
        )
    return notes


def _description(names: list[str], middle: Array, years: float) -> str:
    ends = "; ".join(
        f"{shown(name)}: from {digits(line[0])} to {digits(line[-1])} %"
        for name, line in zip(names, middle, strict=True)
    )
    return f"Organic matter in the soil layer over {span_text(years)}, middle of the possible worlds. {ends}."
