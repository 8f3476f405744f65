"""Charts as pictures, without a browser and without a network."""

from __future__ import annotations

import re
from typing import Any

from somsim.report.bundle import vegalite_version

SCALE = 2.0  # pixels of the picture to one of the chart: sharp when printed


def png(chart: Any) -> bytes:
    """A chart as a PNG picture on white, two pixels for each of the chart's; the same bytes every time."""
    return _pixels(_drawing(chart))


def svg(chart: Any) -> bytes:
    """A chart as an SVG picture whose words stay words; the same bytes every time."""
    return _renumbered(_drawing(chart)).encode()


def png_and_svg(chart: Any) -> tuple[bytes, bytes]:
    """Both pictures of a chart from one drawing, for drawing is what takes long."""
    drawing = _drawing(chart)
    return _pixels(drawing), _renumbered(drawing).encode()


def _drawing(chart: Any) -> str:
    import vl_convert

    drawn: str = vl_convert.vegalite_to_svg(_specification(chart), vegalite_version(), allowed_base_urls=[])
    return drawn


def _pixels(drawing: str) -> bytes:
    import vl_convert

    made: bytes = vl_convert.svg_to_png(drawing, scale=SCALE)
    return made


def _specification(chart: Any) -> str:
    text: str = chart.to_json(validate=False, indent=None)
    return text


def _renumbered(drawn: str) -> str:
    """Number clips and gradients from 0: the drawing program counts them through the whole life of a process."""
    first: dict[str, str] = {}
    for kind, number in re.findall(r' id="(clip|gradient_)(\d+)"', drawn):
        first.setdefault(f"{kind}{number}", f"{kind}{len(first)}")
    pattern = r'(?<= id=")(?:clip|gradient_)\d+(?=")|(?<=url\(#)(?:clip|gradient_)\d+(?=\))'
    return re.sub(pattern, lambda found: first.get(found[0], found[0]), drawn)
