"""Charts in web pages: a still picture with words that say the same, and what a script needs to bring it to life.

A page carries, for each chart, the still picture from `still` (nothing more is needed to read it) and the
specification from `embeddable`.  With the script of `bundle` and that of `drawing_script` the page calls
`drawChart(holder, specification)`, which puts the living chart in the place of the still one.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from dataclasses import dataclass
from importlib.resources import files
from typing import Any
from xml.etree import ElementTree

from somsim.report.bundle import vegalite_version
from somsim.report.look import BACKGROUND, COLOURS, INK, QUIET

Specification = dict[str, Any]
STILL_WIDTH = 640  # pixels of a still picture
GRID = "#e3e3e3"
THEMED = {
    shade: f"var(--{name}, {shade})"  # without the page's own, the colour itself
    for shade, name in (
        *((shade, f"series-{number}") for number, shade in enumerate(COLOURS)),
        (INK, "ink"),
        (QUIET, "quiet"),
        (BACKGROUND, "faint"),
        (GRID, "grid"),
        ("white", "paper"),
    )
}
SHADED = frozenset({"color", "fill", "stroke", "background", "labelColor", "titleColor", "subtitleColor"}) | frozenset(
    {"gridColor", "domainColor", "tickColor"}
)
NUMBERED = frozenset({"d", "transform", "x", "y", "x1", "x2", "y1", "y2", "width", "height", "viewBox"})
_LONG = re.compile(r"-?\d+\.\d{2,}")


@dataclass(frozen=True)
class Drawing:
    """A chart for a page.

    ``name`` is its id there; ``specification`` is Vega-Lite, whose width may be "container"; ``alternative`` says in
    words what is to be seen.
    """

    name: str
    specification: Specification
    alternative: str


def themed(value: Any) -> Any:
    """Give a specification whose colours are the page's own: `--ink`, `--quiet`, `--grid`, `--series-0` and so on.

    Only colours of `somsim.report.look` under keys that mean a colour; names and other data stay as they are.

    >>> themed({"mark": {"type": "line", "color": "#142b52"}, "title": "#142b52"})
    {'mark': {'type': 'line', 'color': 'var(--series-0, #142b52)'}, 'title': '#142b52'}
    """
    if isinstance(value, list):
        return [themed(one) for one in value]
    if not isinstance(value, dict):
        return value
    return {
        key: THEMED.get(one, one) if key in SHADED and isinstance(one, str) else one if key == "data" else themed(one)
        for key, one in value.items()
    }


def embeddable(value: Any) -> str:
    r"""Give JSON that can stand in a script element of a page: nothing in it can end the element.

    >>> embeddable({"name": "</script><script>"})
    '{"name":"\\u003c/script>\\u003cscript>"}'
    """
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":")).replace("<", "\\u003c")


def still(drawing: Drawing, width: int = STILL_WIDTH) -> str:
    """Give the still picture of a drawing, as SVG for the midst of a page, read out as its alternative.

    Its ids begin with the drawing's name; it shrinks with the page.
    """
    import vl_convert

    wanted = dict(drawing.specification)
    if wanted.get("width") == "container":
        wanted["width"] = width
    drawn: str = vl_convert.vegalite_to_svg(wanted, vegalite_version(), allowed_base_urls=[])
    top = ElementTree.fromstring(drawn)
    ids = {one.get("id"): f"{drawing.name}-{count}" for count, one in enumerate(_with_id(top))}
    for element in top.iter():
        element.tag = element.tag.partition("}")[2] or element.tag
        element.attrib = {key: _tidied(key, text, ids) for key, text in element.attrib.items() if _kept(key)}
    top.set("role", "img")
    top.set("aria-label", drawing.alternative)
    return ElementTree.tostring(top, encoding="unicode")


def _with_id(top: ElementTree.Element) -> Iterable[ElementTree.Element]:
    return (one for one in top.iter() if one.get("id") is not None)


def _kept(attribute: str) -> bool:
    """Words for screen readers inside the picture go: the whole has its own."""
    return not attribute.startswith(("aria-", "{")) and attribute not in ("role", "class", "version", "pointer-events")


def _tidied(attribute: str, text: str, ids: dict[str | None, str]) -> str:
    if attribute == "id":
        return ids[text]
    if attribute in NUMBERED:
        return _LONG.sub(lambda found: f"{float(found[0]):.1f}", text)
    return re.sub(r"url\(#([^)]+)\)", lambda found: f"url(#{ids.get(found[1], found[1])})", text)


def drawing_script() -> str:
    """The script that sets `drawChart(holder, specification)`; it wants that of `bundle` before it."""
    return files("somsim.report").joinpath("page/drawing.js").read_text(encoding="utf-8")
