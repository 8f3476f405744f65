"""Tables of strategies side by side: the width of their columns, and a figure in its cell."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import TypeVar

from rich import box
from rich.table import Table
from rich.text import Text

from somsim.report.words import NEAR_NOUGHT, Scale, fixed, short
from somsim.study.equivalence import Spread

FIRST_COLUMN = 24
OTHER_COLUMNS = 14
One = TypeVar("One")


def side_by_side(strategies: Sequence[One], width: int) -> Iterator[Sequence[One]]:
    """As many strategies together as the width holds."""
    count = max((width - FIRST_COLUMN) // OTHER_COLUMNS, 1)
    for begin in range(0, len(strategies), count):
        yield strategies[begin : begin + count]


def table_of(names: Sequence[str]) -> Table:
    """An empty table with a column for what is told, and one for each strategy."""
    table = Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0), show_edge=False)
    table.add_column("", width=FIRST_COLUMN - 1, overflow="fold")
    for name in names:
        table.add_column(Text(name), width=OTHER_COLUMNS - 1, overflow="fold")
    return table


def cell(unit: Scale, spread: Spread | None) -> str:
    """The middle above its range, with at most two decimals: a third would mean nothing; of thousands, three digits."""
    if spread is None:
        return "-"
    low, middle, high = (value * unit.times for value in (spread.p10, spread.p50, spread.p90))
    step = max(math.floor(math.log10(max(abs(middle), 1.0))) - 2, 0)
    low, middle, high = (round(value, -step) if step else value for value in (low, middle, high))
    if abs(middle) < 1e-12 and spread.exact:
        return "0"
    widest = max(abs(low), abs(high))
    places = min(len(short(widest if abs(middle) < NEAR_NOUGHT * widest else middle).partition(".")[2]), 2)
    if spread.exact:
        return fixed(middle, places)
    return f"{fixed(middle, places)}\n{fixed(low, places)} to {fixed(high, places)}"
