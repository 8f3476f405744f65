"""The plan: one file that tells the whole story of a place and of the strategies weighed up for it."""

from __future__ import annotations

import datetime
from typing import Annotated, Any

from pydantic import BeforeValidator, Field, PrivateAttr, model_validator

from somsim.plan.days import Date
from somsim.plan.fields import (
    Density,
    DryMass,
    FieldError,
    Heading,
    Horizon,
    Humified,
    MassPerArea,
    Name,
    NutrientShare,
    Placed,
    Rate,
    Ratio,
    Share,
)
from somsim.plan.limits import Limits, Metals
from somsim.plan.measured import Measured
from somsim.plan.money import HoursAvailable, Money, Tools
from somsim.plan.samples import Heap
from somsim.plan.site import Site
from somsim.plan.text import Source
from somsim.plan.verbs import Action
from somsim.units import Amount

RESIDUE = "the kind of residue it decays as: one of the library or of this plan"


class OwnResidue(Placed):
    """How a kind of residue decays, in the grower's own numbers."""

    like: Name | None = Field(None, description="the one of the library from which everything not said here is taken")
    decay: Rate | None = Field(None, description="decay rate at the reference climate: 0.8 per year")
    humified: Humified | None = Field(None, description="share of what decays that becomes humus: 25 %")


class OwnMaterial(OwnResidue):
    """A material of the grower's own, or a library one with some numbers replaced."""

    residue: Name | None = Field(None, description=RESIDUE)
    bulk_density: Density | None = Field(None, description="mass of a volume of it, as spread: 600 kg/m3")
    dry_matter: Share | None = Field(None, description="dry matter in the fresh mass: 60 %")
    organic_matter: Share | None = Field(None, description="organic matter in the dry matter: 40 %")
    carbon: Share | None = Field(None, description="carbon in the dry matter: 22 %")
    nitrogen: NutrientShare | None = Field(None, description="nitrogen in the dry matter: 1.5 %")
    phosphorus: NutrientShare | None = Field(None, description="phosphorus in the dry matter: 0.3 %")
    potassium: NutrientShare | None = Field(None, description="potassium in the dry matter: 1 %")
    metals: Metals | None = Field(None, description="metals by an analysis: {lead: 60 mg/kg}")
    heap: Heap | None = Field(None, description="made at home: what goes onto the heap, and how much")

    @model_validator(mode="after")
    def _adds_up(self) -> OwnMaterial:
        carbon, organic = self.carbon, self.organic_matter
        if carbon is not None and organic is not None and carbon.best > organic.best:
            raise FieldError(
                f"carbon ({carbon.text}) is more than the organic matter that holds it ({organic.text})",
                "both are shares of the dry matter; carbon is a half or so of organic matter",
                "carbon",
            )
        return self


class OwnCover(OwnResidue):
    """A cover of the grower's own, or a library one with some numbers replaced."""

    residue: Name | None = Field(None, description=RESIDUE)
    dry_tops: DryMass | None = Field(None, description="dry mass of the tops, all cuts together: 4 t/ha")
    dry_matter: Share | None = Field(None, description="dry matter in the fresh mass: 60 %")
    carbon: Share | None = Field(None, description="carbon in the dry matter: 22 %")
    nitrogen: NutrientShare | None = Field(None, description="nitrogen in the dry matter: 1.5 %")
    root_ratio: Ratio | None = Field(None, description="dry mass of washed roots in the layer, for that of tops: 0.3")


class OwnCrop(OwnResidue):
    """A crop of the grower's own, or a library one with some numbers replaced."""

    residue: Name | None = Field(None, description=RESIDUE)
    dry_residue: DryMass | None = Field(None, description="dry mass of leaves and stems left: 0.2 kg/m2")
    crop_yield: MassPerArea | None = Field(None, description="the harvest, fresh: 8 kg/m2")
    dry_matter: Share | None = Field(None, description="dry matter in the fresh mass: 60 %")
    harvest_index: Share | None = Field(None, description="share of the dry mass that is harvested: 50 %")
    carbon: Share | None = Field(None, description="carbon in the dry matter: 22 %")
    nitrogen: Share | None = Field(None, description="nitrogen in the fresh harvest: 2.5 g/kg")
    phosphorus: Share | None = Field(None, description="phosphorus in the fresh harvest: 0.5 g/kg")
    potassium: Share | None = Field(None, description="potassium in the fresh harvest: 4 g/kg")


def _strategies(value: object) -> object:
    if isinstance(value, dict) and value:
        return value
    said = "a list stands here; each strategy has a name" if value and isinstance(value, list) else None
    raise FieldError(
        said or "there are no strategies to compare",
        "strategies: and below it a name and a colon for each, then its list of actions",
    )


def _actions(value: object) -> object:
    if isinstance(value, list | tuple) and len(value):
        return value
    if value in ("", [], ()):
        raise FieldError(
            "nothing is done here; ground left alone is bare, under weeds or under a sheet: say which",
            "for example - idle: {as: weeds}",
        )
    raise FieldError("a list of actions is needed here", "each begins with a dash: - idle: {as: weeds}")


Actions = Annotated[tuple[Action, ...], BeforeValidator(_actions)]


def _tests(value: object) -> object:
    if isinstance(value, list | tuple) and not value:
        hint = "measured: [{date: 2029-10-01, depth: 20 cm, carbon: 1.7 %}]"
        raise FieldError("no soil test is given", hint)
    return value


Tests = Annotated[tuple[Measured, ...], BeforeValidator(_tests)]


class Plan(Placed):
    """A whole plan, checked.  Dates are real, names are known, nothing stands where something else stands."""

    title: Name = Field(description="what the plan is called")
    site: Site = Field(description="the place: climate, shelter, beds and soil")
    start: Date = Field(description="the first day: 2026-10-01")
    horizon: Horizon = Field(description="how far to look ahead: 12 years")
    strategies: Annotated[dict[Heading, Actions], BeforeValidator(_strategies)] = Field(
        description="what is compared: a name for each strategy, and its list of actions"
    )
    always: Actions | None = Field(None, description="actions done in every strategy")
    before: Actions | None = Field(None, description="what was done in each of the years before the start")
    measured: Tests | None = Field(None, description="soil tests taken since the start: a list, each with its date")
    compare_with: Name | None = Field(None, description="the material that worth is told in")
    limits: Limits | None = Field(None, description="the limits to hold the strategies against")
    residues: dict[Heading, OwnResidue] = Field(default_factory=dict, description="your own kinds of residue")
    materials: dict[Heading, OwnMaterial] = Field(default_factory=dict, description="your own materials")
    covers: dict[Heading, OwnCover] = Field(default_factory=dict, description="your own covers")
    crops: dict[Heading, OwnCrop] = Field(default_factory=dict, description="your own crops")
    money: Money | None = Field(None, description="prices, in one currency")
    hours_available: HoursAvailable | None = Field(None, description="the hours there are: {per_week: 10 h}")
    tools: Tools | None = Field(None, description="what is worked with: {spread: barrow, cut: scythe}")
    _source: Source = PrivateAttr(default=Source("", ()))
    _recorded_until: datetime.date | None = PrivateAttr(default=None)

    @property
    def source(self) -> Source:
        """The text the plan was read from; empty for a plan made in Python."""
        return self._source

    @property
    def recorded_until(self) -> datetime.date | None:
        """The last day that is told from a record of what was done; None for a plan as it was written."""
        return self._recorded_until

    def with_record_until(self, date: datetime.date | None) -> Plan:
        """The same plan, known to tell what was done up to a day."""
        made = self.model_copy()
        made._recorded_until = date
        return made

    @property
    def end(self) -> datetime.date:
        """The day after the last day looked at."""
        return end_of(self.start, self.horizon)

    def actions(self, strategy: str) -> tuple[Any, ...]:
        """What is done in a strategy, what is always done first.

        Raises
        ------
        KeyError
            when the plan has no such strategy.
        """
        return (*(self.always or ()), *self.strategies[strategy])


def end_of(start: datetime.date, horizon: Amount) -> datetime.date:
    """The day after the last day of a plan.

    >>> end_of(datetime.date(2026, 10, 1), Amount(1.5, 1.5, 1.5, "18 months"))
    datetime.date(2028, 4, 1)
    """
    return shift(start, round(horizon.best * 12.0))


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
