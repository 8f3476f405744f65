"""The two charts and the year strips of the page, from the quick answer."""

from __future__ import annotations

from collections.abc import Iterator

from somsim.plan.model import Plan
from somsim.report.embed import Drawing, themed
from somsim.report.look import shown
from somsim.report.page.figures import CONFIG, Axis, Line, lines_drawing
from somsim.report.page.section import letter
from somsim.report.words import Scale, System, scale, short
from somsim.study.calendar import Round, calendars
from somsim.study.equivalence import Spread
from somsim.study.quick import Quick

MOST_DRAWN = 8
PERCENT = Scale("%", 1.0)


def drawn(quick: Quick) -> list[int]:
    """Numbers of the strategies that charts show: of more than eight, the four that end highest and the four lowest."""
    order = sorted(range(len(quick.answers)), key=lambda n: -quick.answers[n].percent.p50)
    if len(order) <= MOST_DRAWN:
        return sorted(order)
    return sorted(order[: MOST_DRAWN // 2] + order[-MOST_DRAWN // 2 :])


def years_chart(quick: Quick) -> Drawing:
    """Organic matter of the layer through the years, % of the dry soil."""
    start = quick.times[0]
    places = [round((time - start).days / 365.25, 2) for time in quick.times]
    numbers = drawn(quick)
    lines = []
    for number in numbers:
        low, middle, high = quick.percent[quick.answers[number].name]
        said = [PERCENT.range(Spread(b, a, b, c)) + " %" for a, b, c in zip(low, middle, high, strict=True)]
        lines.append(Line(number, shown(quick.answers[number].name), low, middle, high, said))
    words = [f"after {short(place)} years" if place else "start" for place in places]
    title = f"years after {start:%d %B %Y}".replace(" 0", " ")
    return lines_drawing(
        "chart-years", lines, Axis(places, words, title), "organic matter in the soil, %", _years_in_words(quick, lines)
    )


def _years_in_words(quick: Quick, lines: list[Line]) -> str:
    ends = "; ".join(
        f"{letter(one.number)}, {one.name}: from {short(float(one.middle[0]))} to {one.said[-1]}" for one in lines
    )
    return f"Lines of organic matter in the soil through the years. {ends}."


def change_chart(quick: Quick, system: System) -> Drawing:
    """How much organic matter each strategy adds or takes by the end, and how sure that is: a dot and a line."""
    unit = scale("mass_per_area", system)
    rows = [
        {
            "letter": letter(number),
            "number": number,
            "strategy": shown(quick.answers[number].name),
            "low": quick.answers[number].change.p10 * unit.times,
            "middle": quick.answers[number].change.p50 * unit.times,
            "high": quick.answers[number].change.p90 * unit.times,
            "said": f"{unit.range(quick.answers[number].change)} {unit.unit}",
        }
        for number in drawn(quick)
    ]
    across = {"field": "letter", "type": "nominal", "sort": None, "title": None, "axis": {"labelFontWeight": "bold"}}
    title = f"change of organic matter by the end, {unit.unit} of bed"
    ink = themed({"color": "#142b52"})["color"]
    hint = [{"field": "strategy", "title": "strategy"}, {"field": "said", "title": "likely"}]

    def along(field: str) -> dict[str, object]:
        return {"field": field, "type": "quantitative", "title": title, "scale": {"zero": True}}

    specification = {
        "$schema": "https://vega.github.io/schema/vega-lite/v6.json",
        "width": "container",
        "height": 26 * len(rows) + 50,
        "autosize": {"type": "fit", "contains": "padding"},
        "data": {"values": rows},
        "encoding": {"y": across},
        "layer": [
            {
                "mark": {"type": "rule", "strokeWidth": 2, "color": ink},
                "encoding": {"x": along("low"), "x2": {"field": "high"}},
            },
            {
                "mark": {"type": "point", "filled": True, "size": 80, "opacity": 1, "color": ink},
                "encoding": {"x": along("middle"), "tooltip": hint},
            },
        ],
        "config": CONFIG,
    }
    words = "; ".join(f"{row['letter']}, {row['strategy']}: {row['said']}" for row in rows)
    return Drawing("chart-change", themed(specification), f"Change of organic matter by the end. {words}.")


def strips(plan: Plan, strategy: str) -> Iterator[tuple[str, Round]]:
    """The years of a strategy, with what they are called."""
    (found,) = calendars(plan, [strategy])
    for one in found.rounds:
        numbers = f"year {one.years[0]}" if len(one.years) == 1 else f"years {one.years[0]} to {one.years[-1]}"
        yield (numbers if one.beds == "all beds" else f"{numbers}, {one.beds}"), one
