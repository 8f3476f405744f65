"""Charts of soil tests: ranges before and after, and differences beside what tests can see."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import altair as alt

from somsim.report.folder import write_folder
from somsim.report.look import BACKGROUND, INK, QUIET, TEXT_SIZE, colour, cut_names, dash, dressed, heading, shown
from somsim.report.pictures import png, svg
from somsim.study.calibrate import Calibration
from somsim.study.detect import Detection, PairSeen

WIDTH, ROW, PANEL = 345, 44, 150
BEFORE, AFTER = "before the tests", "after the tests"
MOST_PAIRS = 6


def before_after_chart(found: Calibration) -> alt.LayerChart:
    """Organic matter of each strategy at the horizon, where 8 of 10 worlds fall, before and after the soil tests."""
    names = cut_names([level.strategy for level in found.levels], 180.0)
    rows = [
        {"name": name, "when": when, "low": side.p10, "middle": side.p50, "high": side.p90}
        for name, level in zip(names, found.levels, strict=True)
        for when, side in ((BEFORE, level.before), (AFTER, level.after))
    ]
    x = alt.X("low:Q", title="organic matter in the layer at the end, kg/m2").scale(zero=False)
    y = alt.Y("name:N", title=None, sort=names).axis(labelLimit=180, labelFontSize=TEXT_SIZE)
    offset = alt.YOffset("when:N", sort=[BEFORE, AFTER])
    key = alt.Legend(orient="top", title=None, labelFontSize=TEXT_SIZE)
    shade = alt.Color("when:N", sort=[BEFORE, AFTER], legend=key).scale(
        domain=[BEFORE, AFTER], range=[BACKGROUND, colour(0)]
    )
    base = alt.Chart(alt.InlineData(rows))
    bars = base.mark_bar(height=9).encode(x=x, x2="high:Q", y=y, yOffset=offset, color=shade)
    ticks = base.mark_tick(color=INK, thickness=2, height=15).encode(x="middle:Q", y=y, yOffset=offset)
    title = "What the soil tests changed"
    notes = [f'Bars: 8 of 10 worlds, ticks: the middle one. Followed: "{shown(found.strategy)}"']
    chart = alt.layer(bars, ticks).properties(
        width=WIDTH, height=ROW * len(names), title=alt.TitleParams(**heading(title, notes))
    )
    return dressed(chart)


def detectability_chart(found: Detection) -> alt.LayerChart:
    """For each pair, the size of the difference through the years beside the smallest that the tests can see."""
    panels = [_panel(pair, number == 0) for number, pair in enumerate(found.pairs[:MOST_PAIRS])]
    samples = "one sample" if found.tests == 1 else f"{found.tests} samples"
    notes = [f"{found.cores} cores in {samples} a strategy; percentage points of organic matter, 8 of 10 worlds"]
    if len(found.pairs) > MOST_PAIRS:
        notes.append(f"The first {MOST_PAIRS} of {len(found.pairs)} pairs")
    chart = alt.vconcat(*panels, spacing=18).properties(
        title=alt.TitleParams(**heading("Could a soil test see the difference?", notes))
    )
    return dressed(chart)


def _panel(pair: PairSeen, legend: bool) -> Any:
    said = ("difference", "smallest that is seen")
    rows = [
        {"years": one.years, "what": what, "low": side.p10, "middle": side.p50, "high": side.p90}
        for one in pair.visible
        for what, side in zip(said, (_size(one.difference), one.smallest), strict=True)
    ]
    x = alt.X("years:Q", title="years after the start").axis(grid=False, values=[one.years for one in pair.visible])
    y = alt.Y("low:Q", title="points").scale(zero=True)
    key = alt.Legend(orient="top", title=None, labelFontSize=TEXT_SIZE, symbolOpacity=1.0) if legend else None
    shade = alt.Color("what:N", legend=key).scale(domain=list(said), range=[colour(0), colour(1)])
    line = alt.StrokeDash("what:N", legend=None).scale(domain=list(said), range=[dash(0), dash(1)])
    base = alt.Chart(alt.InlineData(rows))
    band = base.mark_area(opacity=0.22).encode(x=x, y=y, y2="high:Q", color=shade)
    middle = base.mark_line(strokeWidth=2.5).encode(x=x, y="middle:Q", color=shade, strokeDash=line)
    first, second = cut_names([pair.first, pair.second], 230.0)
    title = alt.TitleParams(f"{first} beside {second}", anchor="start", fontSize=TEXT_SIZE, color=QUIET)
    return alt.layer(band, middle).properties(width=WIDTH + 100, height=PANEL, title=title)


def _size(difference: Any) -> Any:
    """A difference turned so that its middle is not below nought: tests see it whichever way it points."""
    if difference.p50 >= 0.0:
        return difference
    return type(difference)(-difference.best, -difference.p90, -difference.p50, -difference.p10)


def save_chart(chart: Any, name: str, folder: Path) -> Path:
    """Write a chart as PNG and SVG into a folder of results, whole or not at all.

    Raises
    ------
    InputError
        when the folder cannot be written.
    """
    return write_folder(folder, {f"{name}.png": png(chart), f"{name}.svg": svg(chart)})
