"""The chart of what decides a figure: its unknowns, those that make most of the doubt on top."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt

from somsim.report.look import (
    INK,
    TEXT_SIZE,
    WIDTH,
    colour,
    cut,
    cut_names,
    dressed,
    heading,
    shown,
)
from somsim.report.settling import held, main_figures, percent, words_of
from somsim.study.questions import Question
from somsim.study.settle import Decided, Driver, Settled

ROW, HEAD, FOOT = 21.0, 27.0, 10.0  # pixels: a row, the name above a panel, the room below it
LEFT, RIGHT = 315.0, 60.0  # pixels for the words at the left and the numbers at the right
PLOT_WIDTH = WIDTH - 30.0 - LEFT - RIGHT
MOST_ROWS = 6
ALONE, TOGETHER = colour(0), "#b9c4d6"  # dark and light: apart in grey as well


def tornado_chart(settled: Settled) -> alt.LayerChart | None:
    """What decides the closest difference, the worth of the first cover and the level: bars of total Sobol' indices.

    The dark part of a bar is the first-order index, the whole bar the total one.

    Parameters
    ----------
    settled : Settled

    Returns
    -------
    altair.LayerChart, 600 pixels wide, or None where nothing is in doubt
    """
    panels = main_figures(settled)
    if not panels:
        return None
    bars, words, height = [], [], 0.0
    short = dict(zip(settled.plan.strategies, cut_names(list(settled.plan.strategies), 175.0, 13.0), strict=True))
    for decided in panels:
        words.append({"y": height + 13.0, "text": _asked(decided.question, short), "kind": "name"})
        height += HEAD
        for driver in _rows(decided):
            first, total = held(driver.first), held(driver.total)
            middle = height + ROW / 2.0
            bars.append({"y": middle - 6.0, "y2": middle + 6.0, "first": first.share, "total": total.share})
            words.append({"y": middle, "text": cut(words_of(driver), LEFT - 20.0), "kind": "label"})
            words.append({"y": middle, "text": percent(total.share), "kind": "number"})
            height += ROW
        height += FOOT
    limit = max(max(bar["total"], bar["first"]) for bar in bars) * 1.02
    chart = alt.layer(*_bars(bars, height, limit), *_words(words)).properties(
        width=PLOT_WIDTH,
        height=height,
        title=alt.TitleParams(**heading(*_title(panels))),
        description=_description(panels, short),
    )
    return dressed(chart)


def _rows(decided: Decided) -> list[Driver]:
    named = [one for one in decided.drivers if one.doubt is not None]
    return named[:MOST_ROWS] + [one for one in decided.drivers if one.doubt is None]


def _asked(question: Question, short: dict[str, str]) -> str:
    if question.kind == "difference":
        return f"“{short[question.first]}” over “{short[question.second]}”"
    if question.kind == "worth":
        return f"What a crop of {cut(question.second, 150.0, 13.0)} is worth in “{short[question.first]}”"
    return f"How much “{short[question.first]}” leaves in all"


def _bars(bars: Sequence[dict[str, Any]], height: float, limit: float) -> list[Any]:
    scale = alt.Scale(domain=[0.0, limit], nice=False)
    axis = alt.Axis(format=".0%", tickCount=4)
    drawing = alt.Chart({"values": list(bars)})
    y = alt.Y("y:Q", axis=None, scale=alt.Scale(domain=[height, 0.0], nice=False, zero=False))
    layers = []
    for name, fill in (("total", TOGETHER), ("first", ALONE)):
        x = alt.X(f"{name}:Q", title="share of the doubt (variance)", scale=scale, axis=axis)
        layers.append(
            drawing.mark_rect(color=fill, stroke=INK, strokeWidth=0.4).encode(x=x, x2=alt.value(0), y=y, y2="y2:Q")
        )
    return layers


def _words(words: Sequence[dict[str, Any]]) -> list[Any]:
    looks: dict[str, tuple[float, dict[str, Any]]] = {
        "name": (-LEFT, {"align": "left", "fontSize": 13, "fontWeight": "bold"}),
        "label": (-10.0, {"align": "right", "fontSize": TEXT_SIZE}),
        "number": (PLOT_WIDTH + 8.0, {"align": "left", "fontSize": TEXT_SIZE}),
    }
    layers = []
    for kind, (x, look) in looks.items():
        here = [word for word in words if word["kind"] == kind]
        place = {"x": alt.value(x), "y": alt.Y("y:Q", axis=None), "text": "text:N"}
        if kind == "name":  # a white edge, so that the grid does not run through the letters
            edge = alt.Chart({"values": here}).mark_text(
                baseline="middle", color="white", stroke="white", strokeWidth=5.0, **look
            )
            layers.append(edge.encode(**place))
        layers.append(alt.Chart({"values": here}).mark_text(baseline="middle", color=INK, **look).encode(**place))
    return layers


def _title(panels: Sequence[Decided]) -> tuple[str, list[str]]:
    first = _rows(panels[0])[0]
    title = f"What makes most of the doubt: {shown(words_of(first))}."
    return title, [
        "Dark: the part that would go if this alone were known. Whole bar and number: with what it does together "
        "with others."
    ]


def _description(panels: Sequence[Decided], short: dict[str, str]) -> str:
    said = [
        f"{_asked(one.question, short)}: "
        + ", ".join(f"{words_of(driver)} {percent(held(driver.total).share)}" for driver in _rows(one))
        for one in panels
    ]
    return f"Share of the doubt by unknown. {'; '.join(said)}."
