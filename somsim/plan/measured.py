"""What a laboratory found in the soil, on one day: the same in a plan and in a record."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field, model_validator

from somsim.plan.days import Date
from somsim.plan.fields import BedList, FieldError, LayerDepth, Placed, Share, SoilDensity, quoted
from somsim.plan.site import Method

MOST_CORES = 1000
MOST_ORGANIC, MOST_CARBON = 0.9, 0.52  # of the dry soil: more than any peat holds
MOST_ERROR = 0.5  # of the value: a laboratory that is further off measures nothing


def _cores(value: object) -> int:
    text = str(value).strip()
    if text.isdecimal() and 1 <= int(text[:6]) <= MOST_CORES and len(text) <= 6:
        return int(text)
    raise FieldError(f"{quoted(value)} is not a number of cores", f"a whole number from 1 to {MOST_CORES:,}")


Cores = Annotated[int, BeforeValidator(_cores)]


class Measured(Placed):
    """One soil test.  ``depth`` is how deep the cores went; several cores are pooled to one sample."""

    date: Date = Field(description="the day on which the cores were taken: 2029-10-01")
    depth: LayerDepth = Field(description="how deep the cores went: 20 cm")
    organic_matter: Share | None = Field(None, description="organic matter in the dry soil: 2.9 %; needs a method")
    carbon: Share | None = Field(None, description="or: organic carbon in the dry soil: 1.7 %")
    method: Method | None = Field(
        None, description="how the laboratory found it: carbon x 1.724, loss on ignition, carbon, or unknown"
    )
    bulk_density: SoilDensity | None = Field(None, description="dry mass of a volume of soil that day: 1.3 g/cm3")
    cores: Cores | None = Field(None, description="how many cores were pooled to the sample: 15")
    laboratory_error: Share | None = Field(
        None, description="how far the laboratory is off, one standard deviation, as a share of the value: 3 %"
    )
    beds: BedList | None = Field(None, description="the beds they were taken from, by number or name; left out: all")

    @model_validator(mode="after")
    def _one_value(self) -> Measured:
        if self.organic_matter is None and self.carbon is None:
            raise FieldError("what was found is missing", "organic_matter: 2.9 %, or carbon: 1.7 %")
        if self.organic_matter is not None and self.carbon is not None:
            raise FieldError("organic_matter and carbon say the same thing twice", "keep one of them", "carbon")
        return self

    @model_validator(mode="after")
    def _method(self) -> Measured:
        if self.organic_matter is not None and self.method in (None, "carbon"):
            said = "method is missing" if self.method is None else 'method "carbon" tells carbon, not organic matter'
            hint = "method: carbon x 1.724, or loss on ignition, or unknown"
            raise FieldError(said, hint, None if self.method is None else "method")
        if self.carbon is not None and self.method not in (None, "carbon"):
            raise FieldError(f'method "{self.method}" goes with organic_matter', "leave it out", "method")
        return self

    @model_validator(mode="after")
    def _possible(self) -> Measured:
        for key, most in (("organic_matter", MOST_ORGANIC), ("carbon", MOST_CARBON), ("laboratory_error", MOST_ERROR)):
            amount = getattr(self, key)
            if amount is not None and not 0.0 < amount.best <= most:
                raise FieldError(f'"{amount.text}" can\'t be', f"more than 0, at most {100 * most:.0f} %", key)
            if amount is not None and amount.is_range:
                raise FieldError(f'"{amount.text}": what was measured is one number', None, key)
        return self
