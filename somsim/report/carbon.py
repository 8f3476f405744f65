"""The chart of where the carbon came from and where it went."""

from __future__ import annotations

from typing import Any

import altair as alt
import numpy as np

from somsim.report.look import (
    INK,
    QUIET,
    SMALL_SIZE,
    TEXT_SIZE,
    WIDTH,
    cut,
    cut_names,
    digits,
    dressed,
    heading,
    lightness,
    shown,
    text_width,
)
from somsim.report.series import Array, chosen, drawn, span_text, spread
from somsim.study.compare import Study

SOIL = "soil at the start"
OTHERS = "all other sources"
# From dark to light in steps that stay apart in grey; the soil is the darkest.
SHADES = ("#3b2a20", "#1f5c63", "#b0562f", "#8a8f3c", "#d9a441", "#a9cfe3", "#eadfca")
GIVEN_OFF = "given off to the air"
GONE = "#ffffff"
BAR, GAP, HEAD = 17.0, 3.0, 24.0  # pixels: a bar, the room below it, the room for the name above four of them
LEFT, RIGHT = 140.0, 40.0  # pixels for the words at the left and the sum at the right
PLOT_WIDTH = WIDTH - 30.0 - LEFT - RIGHT
MOST_SHOWN = 8


def carbon_chart(study: Study) -> alt.LayerChart:
    """Carbon at the start, added, given off and there at the horizon, by source: four bars for each strategy.

    Each part is the middle of the possible worlds, mean over the beds.  The seven shades go from dark to light; sources
    beyond the sixth are drawn as one.  Of more than eight strategies the highest and the lowest are drawn.

    Parameters
    ----------
    study : Study

    Returns
    -------
    altair.LayerChart, 600 pixels wide
    """
    names = [answer.name for answer in study.answers]
    stored = spread(study, "carbon_by_source")[1]
    added = spread(study, "carbon_added_by_source")[1][:, :, -1]
    gone = spread(study, "carbon_respired")[1][:, -1]
    shown_ones = chosen(stored[:, :, -1].sum(axis=1), MOST_SHOWN)
    sources, sums = _gathered(
        [str(name) for name in study.drawn["source"].values], [stored[:, :, 0], added, stored[:, :, -1]]
    )
    begun, added, left = sums
    after = span_text(study.plan.horizon.best)
    totals = [_total(study, "carbon_by_source", 0), _total(study, "carbon_added_by_source", -1), gone]
    totals.append(_total(study, "carbon_by_source", -1))
    blocks = [
        ("there at the start", begun, totals[0]),
        ("added", added, totals[1]),
        (GIVEN_OFF, gone[:, np.newaxis], totals[2]),
        (f"there after {after}", left, totals[3]),
    ]
    longest = max(float(values[shown_ones].sum(axis=1).max()) for _, values, _ in blocks)
    per_pixel = longest / PLOT_WIDTH
    segments, words = [], []
    height = 0.0
    for number, name in zip(shown_ones, cut_names([names[n] for n in shown_ones], WIDTH - 60.0, 13.0), strict=True):
        words.append({"x": 0.0, "y": height + HEAD - 9.0, "text": name, "kind": "name"})
        height += HEAD
        for label, values, total in blocks:
            parts = [("", GONE)] if label == GIVEN_OFF else list(zip(sources, SHADES, strict=False))
            made, said = _bar(label, values[number], float(total[number]), parts, (height, per_pixel))
            segments += made
            words += said
            height += BAR + GAP
        height += GAP
    legend, height = _legend(sources, height + 12.0)
    chart = alt.layer(*_drawn(segments + legend[0], words + legend[1])).properties(
        width=WIDTH - 30,
        height=height,
        title=alt.TitleParams(**heading(*_title(after, len(names), len(shown_ones)))),
        description=_description(names, totals, after),
    )
    return dressed(chart)


def _total(study: Study, variable: str, time: int) -> Array:
    """Middle of the possible worlds (strategy,) of all sources together."""
    return np.asarray(np.median(drawn(study, variable)[:, :, time].sum(axis=1), axis=-1))


def _gathered(names: list[str], values: list[Array]) -> tuple[list[str], list[Array]]:
    """Keep the soil and the greatest sources, and add the others up; (strategy, source) in each of ``values``."""
    weight = np.sum([one.sum(axis=0) for one in values], axis=0)
    order = [n for n in sorted(range(len(names)), key=lambda n: (names[n] != SOIL, -weight[n])) if weight[n] > 0.0]
    if len(order) <= len(SHADES):
        return [names[n] for n in order], [one[:, order] for one in values]
    kept, rest = order[: len(SHADES) - 1], order[len(SHADES) - 1 :]
    made = [np.column_stack([one[:, kept], one[:, rest].sum(axis=1)]) for one in values]
    return [*(names[n] for n in kept), OTHERS], made


def _bar(
    label: str, values: Array, total: float, parts: list[tuple[str, str]], scale: tuple[float, float]
) -> tuple[list[dict[str, Any]], list[dict[str, Any]]]:
    """Give the rectangles and the words of one bar; a word only where it fits."""
    top, per_pixel = scale
    segments, at, middle = [], LEFT, top + BAR / 2.0
    kind = "last" if label.startswith("there after") else "label"
    words = [{"x": LEFT - 7.0, "y": middle, "text": label, "kind": kind}]
    for value, (name, shade) in zip(values, parts, strict=True):
        width = float(value) / per_pixel
        if width <= 0.0:
            continue
        segments.append({"x": at, "x2": at + width, "y": top, "y2": top + BAR, "shade": shade})
        number = digits(float(value))
        for text in (f"{shown(name)} {number}".strip(), number):
            if name and text_width(text, SMALL_SIZE) + 6.0 <= width:
                kind = "on dark" if lightness(shade) < 55.0 else "on light"
                words.append({"x": at + width / 2.0, "y": middle, "text": text, "kind": kind})
                break
        at += width
    words.append({"x": at + 5.0, "y": middle, "text": digits(total), "kind": "sum"})
    return segments, words


def _legend(
    sources: list[str], top: float
) -> tuple[tuple[list[dict[str, Any]], list[dict[str, Any]]], float]:
    half = (WIDTH - 40.0) / 2.0
    squares, words = [], []
    for number, (name, shade) in enumerate(zip(sources, SHADES, strict=False)):
        x, y = (number % 2) * half, top + (number // 2) * 19.0
        squares.append({"x": x, "x2": x + 14.0, "y": y, "y2": y + 13.0, "shade": shade})
        words.append({"x": x + 20.0, "y": y + 6.5, "text": cut(name, half - 30.0), "kind": "legend"})
    return (squares, words), top + ((len(sources) + 1) // 2) * 19.0


_WORDS: dict[str, dict[str, Any]] = {
    "name": {"align": "left", "fontSize": 13, "fontWeight": "bold", "color": INK},
    "label": {"align": "right", "fontSize": TEXT_SIZE, "color": INK},
    "last": {"align": "right", "fontSize": TEXT_SIZE, "fontWeight": "bold", "color": INK},
    "on dark": {"align": "center", "fontSize": SMALL_SIZE, "color": "white"},
    "on light": {"align": "center", "fontSize": SMALL_SIZE, "color": "black"},
    "sum": {"align": "left", "fontSize": TEXT_SIZE, "fontWeight": "bold", "color": INK},
    "legend": {"align": "left", "fontSize": TEXT_SIZE, "color": INK},
}


def _drawn(segments: list[dict[str, Any]], words: list[dict[str, Any]]) -> list[Any]:
    """Draw rectangles and words at their pixels, counted from the upper left corner."""
    x, y = alt.X("x:Q", scale=None, axis=None), alt.Y("y:Q", scale=None, axis=None)
    bars = alt.Chart({"values": segments}).mark_rect(stroke=QUIET, strokeWidth=0.8)
    layers = [bars.encode(x=x, x2="x2:Q", y=y, y2="y2:Q", color=alt.Color("shade:N", scale=None))]
    for kind, look in _WORDS.items():
        here = [word for word in words if word["kind"] == kind]
        if here:
            texts = alt.Chart({"values": here}).mark_text(baseline="middle", **look)
            layers.append(texts.encode(x=x, y=y, text="text:N"))
    return layers


def _title(after: str, count: int, some: int) -> tuple[str, list[str]]:
    notes = [
        "kg of carbon in each m2 of bed, in the soil and on it. What was there at the start and what was added, "
        "less what soil life gave off, is what is left.",
        "Every number is the middle of the possible worlds; middles do not add up exactly.",
    ]
    if some < count:
        notes.append(f"Of {count} strategies the {some - some // 2} with most and {some // 2} with least are drawn.")
    return f"Where the carbon came from, and how much of it is still there after {after}.", notes


def _description(names: list[str], totals: list[Array], after: str) -> str:
    parts = [
        f"{shown(name)}: {digits(start)} at the start, {digits(put)} added, {digits(off)} given off, "
        f"{digits(left)} there after {after}"
        for name, start, put, off, left in zip(names, *totals, strict=True)
    ]
    return f"Carbon in kg per m2 of bed. {'; '.join(parts)}."
