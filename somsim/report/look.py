"""How charts look: colours, dashes, letters, and names cut to fit."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import altair as alt

# Colours chosen here so that no two have the same lightness (CIE L* 18 to 70): the lines stay apart when the page is
# printed in grey or colours are not seen.  Neighbours in the list are far apart in lightness and in hue.
COLOURS = ("#142b52", "#e08a1e", "#0b6b66", "#d2649b", "#6b3410", "#66b7e8", "#7a7a12", "#5f3497")
DASHES = ((1, 0), (7, 3), (2, 2), (9, 3, 2, 3), (14, 4), (5, 2, 1, 2, 1, 2), (3, 5), (1, 4))
INK = "#1b1b1b"
QUIET = "#5a5a5a"
BACKGROUND = "#9a9a9a"
FONT = "Liberation Sans, Arial, Helvetica, sans-serif"  # the first comes with vl-convert
TITLE_SIZE, SUBTITLE_SIZE, TEXT_SIZE, SMALL_SIZE = 15, 12, 12, 11
WIDTH = 600  # pixels of a whole chart
MOST_NAMED = 8

_NARROW, _WIDE = frozenset("iljtfrI.,:;'|!()[]/ -"), frozenset("mwMW@%&…")
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def colour(number: int) -> str:
    """Colour of the numbered series, from 0; they come round again after eight."""
    return COLOURS[number % len(COLOURS)]


def dash(number: int) -> list[int]:
    """Dash pattern of the numbered series; a colour that comes round again has another dash."""
    return list(DASHES[(number + number // len(COLOURS)) % len(DASHES)])


def lightness(colour: str) -> float:
    """CIE 1976 lightness L* of a colour, 0 black to 100 white.

    Relative luminance of sRGB: IEC 61966-2-1 (1999); L*: CIE 15 (2004).  Both from memory.

    >>> round(lightness("#777777"), 1)
    50.0
    """
    parts = [int(colour[at : at + 2], 16) / 255.0 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    luminance = sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))
    return 116.0 * luminance ** (1.0 / 3.0) - 16.0 if luminance > (6.0 / 29.0) ** 3 else luminance * (29.0 / 3.0) ** 3


def text_width(text: str, size: float) -> float:
    """About how many pixels a text takes; rather more than too few."""
    return size * sum(_letter_width(letter) for letter in text)


@cache
def _letter_width(letter: str) -> float:
    if unicodedata.combining(letter):
        return 0.0
    if unicodedata.east_asian_width(letter) in "WF":
        return 1.1
    if letter in _NARROW:
        return 0.32
    return 0.9 if letter in _WIDE else 0.7 if letter.isupper() else 0.57


def shown(name: str) -> str:
    r"""Give a name on one line, without marks that turn the writing of their neighbours round.

    >>> shown("rye\n& vetch")
    'rye & vetch'
    """
    kept = "".join(" " if unicodedata.category(c) in ("Cc", "Cs") else c for c in name if c not in _TURNING)
    return " ".join(kept.split())


def cut(name: str, width: float, size: float = TEXT_SIZE) -> str:
    """Give a name that fits a width in pixels, with … where letters are left out.

    >>> cut("winter green manure of rye and vetch", 100.0)
    'winter green m…'
    """
    text = shown(name)
    if text_width(text, size) <= width:
        return text
    while text and text_width(text + "…", size) > width:
        text = text[:-1]
    return text.rstrip() + "…"


def cut_names(names: Sequence[str], width: float, size: float = TEXT_SIZE) -> list[str]:
    """Cut names to fit; where two would read the same, their ends are kept instead, and then their places in the plan.

    >>> cut_names(["a winter cover of rye, early", "a winter cover of rye, late"], 100.0)
    ['…er of rye, early', '…ver of rye, late']
    """
    short = [cut(name, width, size) for name in names]
    ends = [cut(shown(name)[::-1], width, size)[::-1] for name in names]
    told = [end if short.count(text) > 1 else text for text, end in zip(short, ends, strict=True)]
    return [
        text if told.count(text) == 1 else f"{place + 1}. {cut(text, width - 2.5 * size, size)}"
        for place, text in enumerate(told)
    ]


def lines(text: str, width: float, size: float) -> list[str]:
    """Break a sentence into lines that fit, of about one length; a word longer than a line is cut."""
    made = _filled(text, width, size)
    narrower = width
    while len(made) > 1 and narrower > 0.5 * width:
        narrower -= size
        tried = _filled(text, narrower, size)
        if len(tried) > len(made) or any("…" in line for line in tried if line not in text):
            break
        made = tried
    return made


def _filled(text: str, width: float, size: float) -> list[str]:
    made = [""]
    for word in text.split():
        longer = f"{made[-1]} {word}".strip()
        if text_width(longer, size) <= width or not made[-1]:
            made[-1] = cut(longer, width, size)
        else:
            made.append(cut(word, width, size))
    return made


def digits(value: float, count: int = 2) -> str:
    """Write a number with so many digits that mean something, never with an exponent.

    >>> digits(0.0472), digits(1.0), digits(0.996), digits(118.0)
    ('0.047', '1.0', '1.0', '120')
    """
    if value == 0.0:
        return "0"
    rounded = float(f"{value:.{count - 1}e}")
    decimals = count - 1 - math.floor(math.log10(abs(rounded)))
    return f"{rounded:,.{max(decimals, 0)}f}"


def apart(places: Sequence[float], step: float, height: float) -> list[float]:
    """Move labels, in pixels from the top, so little and so far apart that none covers another.

    Labels that would touch become a block around their mean place; ``step`` is from one to the next, ``height`` the
    room for all.

    >>> apart([50.0, 52.0, 90.0], 10.0, 100.0)
    [46.0, 56.0, 90.0]
    """
    order = sorted(range(len(places)), key=lambda number: places[number])
    blocks: list[tuple[float, int]] = []  # sum of the places, each less the room of the labels above it; count
    for above, number in enumerate(order):
        total, count = places[number] - above * step, 1
        while blocks and blocks[-1][0] / blocks[-1][1] > total / count:
            before, several = blocks.pop()
            total, count = total + before, count + several
        blocks.append((total, count))
    tops = [total / count for total, count in blocks for _ in range(count)]
    lowest = height - step / 2.0 - (len(places) - 1) * step
    made = [0.0] * len(places)
    for above, (number, top) in enumerate(zip(order, tops, strict=True)):
        made[number] = min(max(top, step / 2.0), lowest) + above * step
    return made


def heading(title: str, notes: Sequence[str]) -> dict[str, Any]:
    """Give a title and the notes below it, broken into lines, as a chart takes them."""
    wide = WIDTH - 20
    return {
        "text": lines(title, wide, TITLE_SIZE * 1.06),  # bold letters are wider
        "subtitle": [line for note in notes for line in lines(note, wide, SUBTITLE_SIZE)],
    }


def dressed(chart: Any) -> alt.LayerChart:
    """Put the letters and the plain frame on a finished chart."""
    made: alt.LayerChart = (
        chart.configure(font=FONT, background="white", padding=10)
        .configure_view(stroke=None)
        .configure_axis(
            labelFontSize=TEXT_SIZE,
            titleFontSize=TEXT_SIZE,
            titleFontWeight="normal",
            labelColor=INK,
            titleColor=INK,
            gridColor="#e3e3e3",
            domainColor=QUIET,
            tickColor=QUIET,
        )
        .configure_title(
            anchor="start",
            frame="bounds",
            fontSize=TITLE_SIZE,
            subtitleFontSize=SUBTITLE_SIZE,
            color=INK,
            subtitleColor=QUIET,
            offset=12,
            subtitlePadding=5,
            lineHeight=19,
            subtitleLineHeight=16,
        )
    )
    return made
