"""The chart of how much compost a green manure is worth: three answers, never mixed."""

from __future__ import annotations

import math
from typing import Any

import altair as alt

from somsim.report.look import (
    INK,
    TEXT_SIZE,
    WIDTH,
    colour,
    cut,
    cut_names,
    digits,
    dressed,
    heading,
    shown,
)
from somsim.report.series import span_text
from somsim.study.compare import Study
from somsim.study.equivalence import Equivalence, Spread

MONTHS = (12, 36, 120, 360)  # beside the horizon of the plan
ROW, HEAD, FOOT = 21.0, 26.0, 8.0  # pixels: a row, the name above a cover's rows, the room below them
LEFT, RIGHT = 205.0, 135.0  # pixels for the words at the left and the numbers at the right
PLOT_WIDTH = WIDTH - 30.0 - LEFT - RIGHT
MOST_SHOWN = 6
CARTED_OFF = "nothing: its tops are carted off"


def equivalence_chart(study: Study) -> alt.LayerChart | None:
    """What one round of each cover is worth in mm of the plan's compost: a dot and a whisker for each way to count.

    Three ways: by volume, by carbon on the day, by what lasts (to the horizon of the plan, and to 1, 3, 10 and 30
    years).  Dot: the middle of the possible worlds; whisker: P10 to P90.  At most six covers are drawn.

    Parameters
    ----------
    study : Study

    Returns
    -------
    altair.LayerChart, 600 pixels wide, or None for a plan without covers
    """
    if not study.equivalences:
        return None
    covers = study.equivalences[:MOST_SHOWN]
    rows = [(one, _rows(one)) for one in covers]
    ends = [values.p90 for _, many in rows for _, values, _ in many if values is not None]
    limit = 1.04 * max(ends, default=1.0) or 1.0
    placed, words, height = [], [], 0.0
    strategies = list(dict.fromkeys(one.strategy for one in covers))
    short = dict(zip(strategies, cut_names(strategies, 220.0, 13.0), strict=True))
    for one, many in rows:
        text = f"One crop of {cut(one.cover, 200.0, 13.0)}, as in “{short[one.strategy]}”"
        words.append({"y": height + 12.0, "text": text, "kind": "name"})
        height += HEAD
        for label, values, strong in many:
            words.append({"y": height + ROW / 2.0, "text": label, "kind": "strong" if strong else "label"})
            said = _said(one, values)
            kind = "long" if said == CARTED_OFF else "strong number" if strong else "number"
            words.append({"y": height + ROW / 2.0, "text": said, "kind": kind})
            if values is not None:
                mark = {"low": values.p10, "middle": values.p50, "high": values.p90, "strong": strong}
                placed.append({"y": height + ROW / 2.0, **mark})
            height += ROW
        height += FOOT
    chart = alt.layer(*_marks(placed, limit, height, covers[0].compost), *_words(words)).properties(
        width=PLOT_WIDTH,
        height=height,
        title=alt.TitleParams(**heading(*_title(study, len(covers)))),
        description=_description(rows),
    )
    return dressed(chart)


def _rows(one: Equivalence) -> list[tuple[str, Spread | None, bool]]:
    """Words, values and weight of each row; values that are no number have no row."""
    rows: list[tuple[str, Spread | None, bool]] = [
        ("by volume, after it has rotted", one.volume, False),
        ("by carbon on the day it is cut", one.on_the_day, False),
    ]
    for month in sorted({*MONTHS, one.horizon} & set(one.lasting)):
        after = span_text(month / 12.0)
        ends = month == one.horizon
        rows.append((f"by what lasts {after}" + (" (your plan)" if ends else ""), one.lasting[month], ends))
    return [row for row in rows if row[1] is None or _finite(row[1])]


def _finite(values: Spread) -> bool:
    return all(math.isfinite(value) for value in (values.p10, values.p50, values.p90))


def _said(one: Equivalence, values: Spread | None) -> str:
    """The figure in words; without one, why there is none."""
    if values is None:
        return "not measured" if one.tops_kept else CARTED_OFF
    return f"{digits(values.p50)} mm ({_range(values)})"


def _range(values: Spread) -> str:
    return "exact" if values.exact else f"{digits(values.p10)} to {digits(values.p90)}"


def _marks(placed: list[dict[str, Any]], limit: float, height: float, compost: str) -> list[Any]:
    title = f"mm of {cut(compost, 150.0)} that do the same"
    scale = alt.Scale(domain=[0.0, limit], nice=False)
    y = alt.Y("y:Q", axis=None, scale=alt.Scale(domain=[height, 0.0], nice=False, zero=False))
    drawing = alt.Chart({"values": placed})
    low, middle = (alt.X(f"{name}:Q", title=title, scale=scale) for name in ("low", "middle"))
    whisker = drawing.mark_rule(color=colour(0), strokeWidth=2.0).encode(x=low, x2="high:Q", y=y)
    ends = [
        drawing.mark_tick(color=colour(0), thickness=2.0, size=9.0, orient="vertical").encode(
            x=alt.X(f"{name}:Q", title=title, scale=scale), y=y
        )
        for name in ("low", "high")
    ]
    dots = [
        drawing.transform_filter(f"datum.strong === {str(strong).lower()}")
        .mark_point(filled=True, opacity=1.0, stroke="white", strokeWidth=0.5, color=shade, shape=shape, size=size)
        .encode(x=middle, y=y)
        for strong, shade, shape, size in ((False, colour(0), "circle", 55.0), (True, colour(1), "diamond", 95.0))
    ]
    return [whisker, *ends, *dots]


def _words(words: list[dict[str, Any]]) -> list[Any]:
    looks: dict[str, tuple[float, dict[str, Any]]] = {
        "name": (-LEFT, {"align": "left", "fontSize": 13, "fontWeight": "bold"}),
        "label": (-10.0, {"align": "right", "fontSize": TEXT_SIZE}),
        "strong": (-10.0, {"align": "right", "fontSize": TEXT_SIZE, "fontWeight": "bold"}),
        "number": (PLOT_WIDTH + 8.0, {"align": "left", "fontSize": TEXT_SIZE}),
        "long": (8.0, {"align": "left", "fontSize": TEXT_SIZE}),  # over the plot, where this row has no mark
        "strong number": (PLOT_WIDTH + 8.0, {"align": "left", "fontSize": TEXT_SIZE, "fontWeight": "bold"}),
    }
    layers = []
    for kind, (x, look) in looks.items():
        here = [word for word in words if word["kind"] == kind]
        if here:
            drawing = alt.Chart({"values": here}).mark_text(baseline="middle", color=INK, **look)
            place = {"x": alt.value(x), "y": alt.Y("y:Q", axis=None), "text": "text:N"}
            if kind in ("name", "long"):  # a white edge, so that the grid does not run through the letters
                edge = alt.Chart({"values": here}).mark_text(
                    baseline="middle", color="white", stroke="white", strokeWidth=5.0, **look
                )
                layers.append(edge.encode(**place))
            layers.append(drawing.encode(**place))
    return layers


def _title(study: Study, drawn: int) -> tuple[str, list[str]]:
    many = len(study.equivalences)
    first = study.equivalences[0]
    covers = {one.cover for one in study.equivalences}
    crop = f"One crop of {shown(first.cover)}" if len(covers) == 1 else "One green manure"
    worth = sorted(one.at_horizon.p50 for one in study.equivalences if _finite(one.at_horizon))
    title = f"{crop} beside {shown(first.compost)}."
    if worth:
        texts = list(dict.fromkeys(digits(value) for value in (worth[0], worth[-1])))
        after = span_text(first.horizon / 12.0)
        title = f"{crop} is worth about {' to '.join(texts)} mm of {shown(first.compost)} by what lasts {after}."
    notes = ["Dot and number: the middle of the possible worlds. Line through it: 8 in 10 of them."]
    if any(one.volume is None and one.tops_kept for one in study.equivalences):
        notes.append("Not measured: press the cut tops into a bucket of known size; write pressed_volume in the plan.")
    if drawn < many:
        notes.append(f"The first {drawn} of {many} covers are drawn; all of them are in summary.csv.")
    return title, notes


def _description(rows: list[tuple[Equivalence, list[tuple[str, Spread | None, bool]]]]) -> str:
    said = [
        f"{shown(one.cover)} in {shown(one.strategy)}: "
        + ", ".join(
            f"{label}: {_said(one, values)}"
            for label, values, _ in many
        )
        for one, many in rows
    ]
    return f"mm of {shown(rows[0][0].compost)} that one crop is worth. {'; '.join(said)}."
