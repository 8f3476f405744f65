"""What a grower weighs: a cut sample, and what goes onto a heap."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field, model_validator

from somsim.plan.days import DayOfYear
from somsim.plan.fields import Area, FieldError, Mass, Name, Placed, Share, Volume
from somsim.units import Amount

MOST_SAMPLES = 1000


def _one_or_several(value: object) -> object:
    items = value if isinstance(value, list | tuple) else [value]
    if not items:
        raise FieldError("no sample is given", "fresh: [1.9 kg, 2.3 kg], each from the area that follows")
    if len(items) > MOST_SAMPLES:
        raise FieldError(f"{len(items):,} samples are more than a person weighs", f"at most {MOST_SAMPLES:,}")
    return tuple(items)


Masses = Annotated[tuple[Mass, ...], BeforeValidator(_one_or_several)]


class Sample(Placed):
    """Fresh tops cut from known areas and weighed, and how dry they are.

    Without dry_matter, or a wet and a dry weight of a part, the library's dry matter is used.  Without ``on`` they
    were weighed at the cut.
    """

    fresh: Masses = Field(description="fresh weight of each sample: 2.3 kg, or a list of them")
    area: Area = Field(description="the area that each sample was cut from: 0.5 m2")
    dry_matter: Share | None = Field(None, description="dry share of the fresh weight: 17 %")
    wet: Mass | None = Field(None, description="fresh weight of the part that was dried: 200 g")
    dry: Mass | None = Field(None, description="its weight when dry: 34 g")
    on: DayOfYear | None = Field(None, description="the day of weighing, where it was before the cut: 20 Mar")

    @model_validator(mode="after")
    def _hangs_together(self) -> Sample:
        if (self.wet is None) != (self.dry is None):
            key = "dry" if self.wet is None else "wet"
            raise FieldError("wet and dry go together", "the weight of one part, fresh and dried", key)
        if self.dry_matter is not None and self.wet is not None:
            raise FieldError("dry_matter and wet say the same thing twice", "keep one of them", "wet")
        if self.wet is not None and self.dry is not None and not 0.0 < self.dry.best < self.wet.best:
            raise FieldError(f"dry ({self.dry.text}) must weigh less than wet ({self.wet.text})", None, "dry")
        for key in ("fresh", "area", "wet", "dry"):
            said = getattr(self, key)
            for amount in said if isinstance(said, tuple) else (said,):
                if isinstance(amount, Amount) and amount.is_range:
                    raise FieldError(f'"{amount.text}": what was measured is one number', None, key)
        if self.on is not None and (self.on.year is not None or self.on.later):
            raise FieldError(f'"{self.on.text}": a sample has the year of its cut', "leave the year out: 20 Mar", "on")
        if all(amount.best <= 0.0 for amount in self.fresh):
            raise FieldError("the samples weigh nothing", None, "fresh")
        return self


def _something(value: object) -> object:
    if isinstance(value, list | tuple) and not value:
        raise FieldError("nothing is on the heap", "heap: [{feedstock: wheat straw, mass: 90 kg}, ...]")
    return value


class HeapPart(Placed):
    """One thing put on a heap, and how much of it."""

    feedstock: Name = Field(description="a material or a cover of the library or of this plan")
    mass: Mass | None = Field(None, description="how much, fresh: 300 kg")
    volume: Volume | None = Field(None, description="how much, fresh: 2 m3; for materials whose density is known")

    @model_validator(mode="after")
    def _one_amount(self) -> HeapPart:
        if (self.mass is None) == (self.volume is None):
            said = "how much is missing" if self.mass is None else "mass and volume both say how much"
            raise FieldError(said, "give one of: mass, volume")
        amount = self.mass or self.volume
        if amount is not None and amount.best <= 0.0:
            raise FieldError(f'"{amount.text}": more than nothing goes onto a heap')
        return self


Heap = Annotated[tuple[HeapPart, ...], BeforeValidator(_something)]
