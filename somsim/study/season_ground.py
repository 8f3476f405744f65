"""What the beds of a task are called, and which they are."""

from __future__ import annotations

from somsim.plan.occurrences import SAME_EDGE, Interval, ground_words
from somsim.plan.site import Beds

Where = tuple[Interval, ...]


def beds_of(where: Where, beds: Beds) -> tuple[int, ...]:
    """The numbers of some beds, from 1; empty where the ground is no whole beds, or one area without beds.

    >>> beds_of(((0.0, 0.5),), Beds.model_validate({"count": 4, "length": "9 m", "width": "1 m"}))
    (1, 2)
    """
    if beds.count is None:
        return ()
    ends = [(low * beds.number, high * beds.number) for low, high in where]
    if any(abs(edge - round(edge)) > SAME_EDGE for pair in ends for edge in pair):
        return ()
    return tuple(number + 1 for low, high in ends for number in range(round(low), round(high)))


def called_ground(where: Where, beds: Beds) -> str:
    """What some beds are called, with the grower's own names where they have some."""
    numbers = beds_of(where, beds)
    words = ground_words(where, beds)
    if beds.names is None or not numbers or len(numbers) == beds.number:
        return words
    return f"{words} ({', '.join(beds.names[number - 1] for number in numbers)})"


def joined(grounds: list[Where]) -> Where:
    """Several parts of the row as one, in order, neighbours joined and what lies in several of them once."""
    merged: list[Interval] = []
    for low, high in sorted(interval for where in grounds for interval in where):
        if merged and low <= merged[-1][1]:
            merged[-1] = (merged[-1][0], max(merged[-1][1], high))
        else:
            merged.append((low, high))
    return tuple(merged)


def share_of(where: Where) -> float:
    """Share of all beds."""
    return sum(high - low for low, high in where)
