"""Beds that take turns, as a plan writes it: "1 of 3" is one third of the beds, another third each round."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Annotated

from pydantic import BeforeValidator

from somsim.plan.fields import FieldError, quoted

MOST_TURNS = 100
EXAMPLE = "1 of 3, or 2 to 3 of 3 for the other two thirds"
_TURN = re.compile(r"([0-9]{1,4})(?:\s+to\s+([0-9]{1,4}))?\s+of\s+([0-9]{1,4})")


@dataclass(frozen=True)
class Turn:
    """Which of ``parts`` equal parts of the beds have their turn in year 1, from 1; each later round moves one on."""

    first: int
    last: int
    parts: int

    @property
    def text(self) -> str:
        """The turn as a grower writes it."""
        row = f"{self.first}" if self.first == self.last else f"{self.first} to {self.last}"
        return f"{row} of {self.parts}"

    @property
    def share(self) -> float:
        """Share of the beds that have their turn in one round."""
        return (self.last - self.first + 1) / self.parts

    def parts_in(self, number: int) -> tuple[int, ...]:
        """The parts, from 0, that have their turn in a round; rounds are counted from 0, before the plan below it.

        >>> [Turn(2, 3, 3).parts_in(number) for number in range(3)]
        [(1, 2), (0, 2), (0, 1)]
        """
        return tuple(sorted((one - 1 + number) % self.parts for one in range(self.first, self.last + 1)))


def _read_turn(value: object) -> Turn:
    if isinstance(value, Turn):
        return value
    match = _TURN.fullmatch(" ".join(value.split())) if isinstance(value, str) else None
    if match is None:
        raise FieldError(f"{quoted(value)} does not say which part of the beds has its turn", f"for example {EXAMPLE}")
    first, last, parts = int(match[1]), int(match[2] or match[1]), int(match[3])
    if not 2 <= parts <= MOST_TURNS:
        raise FieldError(f"{quoted(value)}: beds take turns in 2 to {MOST_TURNS} parts", f"for example {EXAMPLE}")
    if not 1 <= first <= last <= parts:
        raise FieldError(f"{quoted(value)}: the parts are numbered 1 to {parts}, in order", f"for example {EXAMPLE}")
    if last - first + 1 == parts:
        raise FieldError(f"{quoted(value)} is all of the beds, so nothing takes turns", "leave in_turn out")
    return Turn(first, last, parts)


InTurn = Annotated[Turn, BeforeValidator(_read_turn)]
