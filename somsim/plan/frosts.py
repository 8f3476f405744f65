"""When frost comes: days that a grower knows and twelve monthly means do not."""

from __future__ import annotations

from pydantic import Field, model_validator

from somsim.plan.days import DayOfYear
from somsim.plan.fields import FieldError, Placed

HALF_A_YEAR = 183  # days
COMMON = 2025  # a year without a leap day


class Frost(Placed):
    """The usual days on which frost ends a season on these beds; every year.

    ``first`` kills what the first frost kills, ``hard`` also what stands a light one.
    """

    first: DayOfYear | None = Field(None, description="the usual day of the first frost of a season: 15 Oct")
    hard: DayOfYear | None = Field(None, description="the usual day of the first hard frost, about -5 deg C: 25 Nov")

    @model_validator(mode="after")
    def _comes_round(self) -> Frost:
        for key in ("first", "hard"):
            day = getattr(self, key)
            if day is not None and (day.year is not None or day.later):
                raise FieldError(f'"{day.text}": frost comes every year', "leave the year out: 15 Oct", key)
        if self.first is None and self.hard is None:
            raise FieldError("neither first nor hard is given", "frost: {first: 15 Oct, hard: 25 Nov}")
        if self.first is not None and self.hard is not None:
            begin = self.first.in_year(COMMON)
            if (self.hard.on_or_after(begin) - begin).days > HALF_A_YEAR:
                said = f"the hard frost ({self.hard.text}) comes before the first one ({self.first.text})"
                raise FieldError(said, "were the two changed over?", "hard")
        return self
