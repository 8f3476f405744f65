"""The plan: one file that tells the whole story of a place and of the strategies weighed up for it."""

from __future__ import annotations

import datetime
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, PrivateAttr, model_validator

from somsim.plan.actions import Action
from somsim.plan.fields import (
    Date,
    Density,
    DryMass,
    FieldError,
    Horizon,
    Humified,
    MassPerArea,
    Name,
    Placed,
    Rate,
    Ratio,
    Share,
)
from somsim.plan.site import Site
from somsim.plan.text import Source


class OwnResidue(Placed):
    """How a kind of residue decays, in the grower's own numbers."""

    like: Name | None = None
    decay: Rate | None = None
    humified: Humified | None = None


class OwnMaterial(OwnResidue):
    """A material of the grower's own, or a library one with some numbers replaced."""

    residue: Name | None = None
    bulk_density: Density | None = None
    dry_matter: Share | None = None
    organic_matter: Share | None = None
    carbon: Share | None = None
    nitrogen: Share | None = None
    phosphorus: Share | None = None
    potassium: Share | None = None


class OwnCover(OwnResidue):
    """A cover of the grower's own, or a library one with some numbers replaced."""

    residue: Name | None = None
    dry_tops: DryMass | None = None
    dry_matter: Share | None = None
    carbon: Share | None = None
    nitrogen: Share | None = None
    root_ratio: Ratio | None = None


class OwnCrop(OwnResidue):
    """A crop of the grower's own, or a library one with some numbers replaced.

    ``dry_residue`` is the dry mass of leaves and stems that one crop leaves, ``crop_yield`` the fresh harvest.
    """

    residue: Name | None = None
    dry_residue: DryMass | None = None
    crop_yield: MassPerArea | None = None
    dry_matter: Share | None = None
    harvest_index: Share | None = None
    carbon: Share | None = None


def _strategies(value: object) -> object:
    if not isinstance(value, dict) or not value:
        raise FieldError(
            "no strategies to compare", "strategies: followed by one or more named lists of actions"
        )
    for name in value:
        if len(str(name)) > 200:
            raise FieldError(f"the name of a strategy has {len(str(name)):,} characters", "at most 200")
    return value


def _actions(value: object) -> object:
    if isinstance(value, list | tuple) and len(value):
        return value
    raise FieldError(
        "nothing is done here: ground left alone is bare, under weeds or under a sheet; say which",
        "for example - idle: {as: weeds}",
    )


Actions = Annotated[tuple[Action, ...], BeforeValidator(_actions)]


class Plan(Placed):
    """A whole plan, checked.  Dates are real, names are known, nothing stands where something else stands."""

    title: Name
    site: Site
    start: Date
    horizon: Horizon
    strategies: Annotated[dict[str, Actions], BeforeValidator(_strategies)]
    always: Actions | None = None
    before: Actions | None = None
    compare_with: Name | None = None
    residues: dict[str, OwnResidue] = Field(default_factory=dict)
    materials: dict[str, OwnMaterial] = Field(default_factory=dict)
    covers: dict[str, OwnCover] = Field(default_factory=dict)
    crops: dict[str, OwnCrop] = Field(default_factory=dict)
    _source: Source = PrivateAttr(default=Source("", ()))

    @model_validator(mode="after")
    def _one_horizon(self) -> Plan:
        if self.horizon.is_range:
            raise FieldError(f'horizon: "{self.horizon.text}": give one length of time')
        return self

    @property
    def source(self) -> Source:
        """The text the plan was read from; empty for a plan made in Python."""
        return self._source

    @property
    def end(self) -> datetime.date:
        """The day after the last day looked at."""
        months = round(self.horizon.best * 12.0)
        return shift(self.start, months)

    def actions(self, strategy: str) -> tuple[Any, ...]:
        """What is done in a strategy, what is always done first.

        Raises
        ------
        KeyError
            when the plan has no such strategy.
        """
        return (*(self.always or ()), *self.strategies[strategy])


def shift(date: datetime.date, months: int) -> datetime.date:
    """A date some months later; 31 January and a month is the last of February.

    >>> shift(datetime.date(2026, 10, 1), 144)
    datetime.date(2038, 10, 1)
    """
    year, month = divmod(date.year * 12 + date.month - 1 + months, 12)
    for day in (date.day, 30, 29, 28):
        if day <= date.day:
            try:
                return datetime.date(year, month + 1, day)
            except ValueError:
                continue
    raise AssertionError("every month has a 28th")
