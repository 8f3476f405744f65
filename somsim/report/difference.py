"""The chart of differences: how much more one strategy leaves than each other, with nought marked."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import altair as alt

from somsim.report.look import (
    INK,
    QUIET,
    SMALL_SIZE,
    TEXT_SIZE,
    WIDTH,
    colour,
    cut_names,
    digits,
    dressed,
    heading,
    shown,
)
from somsim.report.series import span_text
from somsim.report.words import in_hundred
from somsim.study.compare import Pair, Study

ROW = 52.0  # pixels
LEFT, RIGHT = 185.0, 135.0  # pixels for the names at the left and the numbers at the right
PLOT_WIDTH = WIDTH - 30.0 - LEFT - RIGHT
MOST_SHOWN = 8


def difference_chart(study: Study) -> alt.LayerChart | None:
    """How much more organic matter the leading strategy leaves than each other: dot, line for 8 in 10 worlds, nought.

    At most eight pairs are drawn.

    Parameters
    ----------
    study : Study

    Returns
    -------
    altair.LayerChart, 600 pixels wide, or None for a plan with one strategy
    """
    if not study.pairs:
        return None
    pairs = study.pairs[:MOST_SHOWN]
    rows = [
        {"y": ROW * (place + 0.5), "low": told.p10, "middle": told.p50, "high": told.p90}
        for place, told in enumerate(pair.difference for pair in pairs)
    ]
    height = ROW * len(pairs)
    ends = [value for row in rows for value in (row["low"], row["high"])]
    room = max(0.06 * (max(*ends, 0.0) - min(*ends, 0.0)), 0.01)
    limits = (min(*ends, 0.0) - room, max(*ends, 0.0) + room)
    chart = alt.layer(*_marks(rows, limits, height), *_words(pairs)).properties(
        width=PLOT_WIDTH,
        height=height,
        title=alt.TitleParams(**heading(*_title(study, len(pairs)))),
        description=_description(pairs),
    )
    return dressed(chart)


def _marks(rows: Sequence[dict[str, float]], limits: tuple[float, float], height: float) -> list[Any]:
    title = "kg/m2 of organic matter more (right) or less (left)"
    scale = alt.Scale(domain=list(limits), nice=False, zero=False)
    y = alt.Y("y:Q", axis=None, scale=alt.Scale(domain=[height, 0.0], nice=False, zero=False))
    drawing = alt.Chart({"values": list(rows)})
    low, middle = (alt.X(f"{name}:Q", title=title, scale=scale) for name in ("low", "middle"))
    nought = alt.Chart({"values": [{"at": 0.0}]}).mark_rule(color=INK, strokeWidth=1.6)
    return [
        nought.encode(x=alt.X("at:Q", title=title, scale=scale)),
        drawing.mark_rule(color=colour(0), strokeWidth=3.0).encode(x=low, x2="high:Q", y=y),
        drawing.mark_point(
            filled=True, opacity=1.0, color=colour(1), stroke=INK, strokeWidth=0.8, shape="diamond", size=110.0
        ).encode(x=middle, y=y),
    ]


def _words(pairs: Sequence[Pair]) -> list[Any]:
    names = cut_names([pair.less for pair in pairs], LEFT - 20.0)
    layers = []
    for place, (pair, name) in enumerate(zip(pairs, names, strict=True)):
        middle = ROW * (place + 0.5)
        told = pair.difference
        texts: list[tuple[float, float, str, dict[str, Any]]] = [
            (-10.0, middle, name, {"align": "right", "fontSize": TEXT_SIZE, "color": INK}),
            (PLOT_WIDTH + 8.0, middle - 7.0, _said(pair), {"align": "left", "fontSize": SMALL_SIZE, "color": INK}),
            (
                PLOT_WIDTH + 8.0,
                middle + 8.0,
                f"{digits(told.p10) if told.p10 >= 0.0 else '-' + digits(-told.p10)} to {digits(told.p90)} kg/m2",
                {"align": "left", "fontSize": SMALL_SIZE, "color": QUIET},
            ),
        ]
        for x, y, text, look in texts:
            drawing = alt.Chart({"values": [{"y": y, "text": text}]}).mark_text(baseline="middle", **look)
            layers.append(drawing.encode(x=alt.value(x), y=alt.Y("y:Q", axis=None), text="text:N"))
    return layers


def _said(pair: Pair) -> str:
    return f"more {in_hundred(pair.chance)}"


def _title(study: Study, drawn: int) -> tuple[str, list[str]]:
    first = study.pairs[0].more
    after = span_text(study.plan.horizon.best)
    title = f"How much more “{shown(first)}” leaves after {after} than each other strategy."
    notes = ["Diamond: the middle of the possible worlds. Line: 8 in 10 of them. Upright line: no difference."]
    if drawn < len(study.pairs):
        notes.append(f"The {drawn} that come nearest of {len(study.pairs)} are drawn.")
    return title, notes


def _description(pairs: Sequence[Pair]) -> str:
    said = [
        f"over {shown(pair.less)}: {digits(abs(pair.difference.p50))} kg/m2, {_said(pair)} worlds" for pair in pairs
    ]
    return f"How much more {shown(pairs[0].more)} leaves {'; '.join(said)}."
