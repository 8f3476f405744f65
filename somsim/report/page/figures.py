"""Charts of the report as Vega-Lite: lines of strategies through time, and parts that make a whole.

Each line has a colour, a dash and a letter.  Two parameters are the page's: ``shown``, the numbers of the strategies
to draw, and ``at``, the place along the axis that is read off.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from somsim.report.embed import Drawing, Specification, themed
from somsim.report.look import FONT, INK, QUIET, apart, colour, dash
from somsim.report.page.section import letter

HEIGHT = 280
LETTER_STEP = 13.0  # pixels from one letter at the end of a line to the next
MOST_BANDS = 4
SEEN = "indexof(shown, datum.number) >= 0"


@dataclass(frozen=True)
class Line:
    """One strategy through time: its number and name, and at each place its low, middle and high and its words."""

    number: int
    name: str
    low: Sequence[float]
    middle: Sequence[float]
    high: Sequence[float]
    said: Sequence[str]


@dataclass(frozen=True)
class Axis:
    """What a line runs along: places, the words of each, the title; ``named`` when each place has a name, as months."""

    places: Sequence[float]
    words: Sequence[str]
    title: str
    named: bool = False


def lines_drawing(name: str, lines: Sequence[Line], axis: Axis, title: str, alternative: str) -> Drawing:
    """Lines with their bands of 8 in 10 worlds, a letter at each end, and a rule where the page reads off."""
    bands = _bands(lines)
    rows = [
        {
            "number": line.number,
            "strategy": line.name,
            "letter": letter(line.number),
            "at": place,
            "when": axis.words[step],
            "low": float(line.low[step]),
            "middle": float(line.middle[step]),
            "high": float(line.high[step]),
            "said": line.said[step],
        }
        for line in lines
        for step, place in enumerate(axis.places)
    ]
    lowest, highest = _limits(lines, bands)
    specification: Specification = {
        "$schema": "https://vega.github.io/schema/vega-lite/v6.json",
        "width": "container",
        "height": HEIGHT,
        "autosize": {"type": "fit", "contains": "padding"},
        "params": [
            {"name": "shown", "value": [line.number for line in lines]},
            {"name": "at", "value": axis.places[-1]},
        ],
        "data": {"values": rows},
        "transform": [{"filter": SEEN}],
        "encoding": {
            "x": _along(axis),
            "color": _by_number([one.number for one in lines], [shade(one.number) for one in lines]),
        },
        "layer": _layers(lines, bands, title, (lowest, highest), axis.places[-1]),
        "config": CONFIG,
    }
    return Drawing(name, themed(specification), alternative)


CONFIG: Specification = {
    "background": "transparent",
    "font": FONT,
    "view": {"stroke": None},
    "axis": {
        "labelFontSize": 12,
        "titleFontSize": 12,
        "titleFontWeight": "normal",
        "labelColor": INK,
        "titleColor": INK,
        "gridColor": "#e3e3e3",
        "domainColor": QUIET,
        "tickColor": QUIET,
    },
}


def shade(number: int) -> str:
    """The page's colour for the numbered strategy."""
    found: str = themed({"color": colour(number)})["color"]
    return found


def _by_number(numbers: list[int], values: list[Any]) -> dict[str, Any]:
    scale = {"domain": numbers, "range": values}
    return {"field": "number", "type": "nominal", "scale": scale, "legend": None}


def _bands(lines: Sequence[Line]) -> list[int]:
    """Numbers of the strategies that have a band: all of a few, else those that end highest and lowest."""
    if len(lines) <= MOST_BANDS:
        return [line.number for line in lines]
    ends = sorted(lines, key=lambda line: line.middle[-1])
    return [ends[0].number, ends[-1].number]


def _limits(lines: Sequence[Line], bands: Sequence[int]) -> tuple[float, float]:
    every = [value for line in lines for value in line.middle]
    every += [value for line in lines if line.number in bands for side in (line.low, line.high) for value in side]
    low, high = float(min(every)), float(max(every))
    room = max(0.06 * (high - low), 0.02 * max(abs(low), abs(high)), 1e-9)
    return (low - room if low < 0.0 else max(low - room, 0.0)), high + room


def _along(axis: Axis) -> dict[str, Any]:
    first, last = axis.places[0], axis.places[-1]
    drawn: dict[str, Any] = {"grid": False, "tickMinStep": 1, "tickCount": 7}
    if axis.named:
        words = " : ".join(f"datum.value === {p} ? '{w}'" for p, w in zip(axis.places, axis.words, strict=True))
        drawn = {"grid": False, "values": list(axis.places), "labelExpr": f"{words} : ''", "labelOverlap": "parity"}
    scale = {"domain": [first, last], "nice": False, "zero": False}
    return {"field": "at", "type": "quantitative", "title": axis.title, "scale": scale, "axis": drawn}


def _layers(
    lines: Sequence[Line], bands: list[int], title: str, limits: tuple[float, float], last: float
) -> list[Specification]:
    def height(field: str) -> dict[str, Any]:
        scale = {"domain": list(limits), "nice": False, "zero": False}
        return {"field": field, "type": "quantitative", "title": title, "scale": scale, "axis": {"tickCount": 6}}

    dashes = _by_number([line.number for line in lines], [dash(line.number) for line in lines])
    beside = {"align": "left", "dx": 5, "fontSize": 12}
    hint = [
        {"field": "strategy", "title": "strategy"},
        {"field": "when", "title": "when"},
        {"field": "said", "title": "likely"},
    ]
    return [
        {
            "transform": [{"filter": {"field": "number", "oneOf": bands}}],
            "mark": {"type": "area", "opacity": 0.13, "clip": True},
            "encoding": {"y": height("low"), "y2": {"field": "high"}},
        },
        {"mark": {"type": "line", "strokeWidth": 2.4}, "encoding": {"y": height("middle"), "strokeDash": dashes}},
        {
            "transform": [{"filter": "datum.at === at"}],
            "mark": {"type": "rule", "strokeWidth": 1, "color": QUIET},
            "encoding": {"color": {"value": themed({"color": QUIET})["color"]}},
        },
        {
            "transform": [{"filter": "datum.at === at"}],
            "mark": {"type": "point", "filled": True, "size": 45, "opacity": 1},
            "encoding": {"y": height("middle")},
        },
        {
            "mark": {"type": "point", "filled": True, "size": 260, "opacity": 0},
            "encoding": {"y": height("middle"), "tooltip": hint},
        },
        {
            "data": {"values": _ends(lines, last, limits)},
            "transform": [{"filter": SEEN}],
            "mark": {"type": "text", "fontWeight": "bold", **beside},
            "encoding": {
                "y": height("place"),
                "text": {"field": "letter"},
                "color": {"value": themed({"color": INK})["color"]},
            },
        },
    ]


def _ends(lines: Sequence[Line], last: float, limits: tuple[float, float]) -> list[dict[str, Any]]:
    """A letter for each line, so far from the others that each can be read."""
    per_pixel = (limits[1] - limits[0]) / HEIGHT
    places = apart([(limits[1] - float(line.middle[-1])) / per_pixel for line in lines], LETTER_STEP, HEIGHT)
    return [
        {"number": line.number, "letter": letter(line.number), "at": last, "place": limits[1] - place * per_pixel}
        for line, place in zip(lines, places, strict=True)
    ]
