"""What a grower does on the beds: each action of a plan, with its dates and amounts."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from somsim.plan.days import Date, DayOfYear
from somsim.plan.fields import (
    BedList,
    CarbonRate,
    CropFate,
    Depth,
    DryMass,
    Every,
    Fate,
    FieldError,
    Heading,
    Mass,
    MassPerArea,
    Name,
    Placed,
    PlanYear,
    PressedVolume,
    Ratio,
    Share,
    SpreadFate,
    Volume,
    quoted,
)
from somsim.plan.samples import Sample
from somsim.plan.turns import InTurn

Stage = Literal["vegetative", "flower", "mature"]


class Repeated(Placed):
    """What every action has in common: how often, in which years, on which beds.

    Years are counted from the start of the plan: year 1 is its first twelve months.
    """

    every: Every | None = Field(None, description="how often it comes back: year, or 2 years")
    first_year: PlanYear | None = Field(None, description="the year of the plan in which it begins, from 1")
    last_year: PlanYear | None = Field(None, description="the last year of the plan in which it is done")
    beds: BedList | None = Field(None, description="the beds it is done on, by number or name: 1 to 3")
    share: Share | None = Field(None, description="the share of the beds it is done on, from the first on")
    in_turn: InTurn | None = Field(
        None, description="the part of the beds it is done on, another part each round: 1 of 3"
    )

    @model_validator(mode="after")
    def _where(self) -> Repeated:
        if self.in_turn is not None and self.share is not None:
            raise FieldError("share and in_turn both say how much of the beds", "keep one of them", "in_turn")
        if self.in_turn is not None and self.every is None:
            raise FieldError(
                "in_turn moves on from round to round, but nothing says how often",
                "add every: year, or leave in_turn out",
                "in_turn",
            )
        if self.beds is not None and self.share is not None:
            raise FieldError("beds and share both say where", "give one of them", "share")
        if self.share is not None and (self.share.is_range or self.share.best <= 0.0):
            raise FieldError(f'"{self.share.text}" is not one share over 0 %', "for example 50 %", "share")
        return self

    @model_validator(mode="after")
    def _when(self) -> Repeated:
        first, last, anchor, key = self.first_year, self.last_year, self.anchor, _begins(self)
        if first is not None and last is not None and last < first:
            raise FieldError(f"last_year {last} comes before first_year {first}", None, "last_year")
        if anchor is None:
            return self
        if anchor.later:
            raise FieldError(
                f'"{anchor.text}": this is where the counting of years begins',
                "leave year out here; first_year: 2 begins in the second year of the plan",
                key,
            )
        if anchor.year is None and self.every is None:
            raise FieldError(
                f'"{anchor.text}" has no year, and nothing says how often',
                "add every: year, or write the date in full, such as 2027-04-20",
                key,
            )
        if anchor.year is not None and self.every is not None:
            raise FieldError(
                f'"{anchor.text}" is one date, but every says that it comes back',
                "leave the year of the date out, or leave every out",
                key,
            )
        if anchor.year is not None and (first is not None or last is not None):
            said = "first_year" if first is not None else "last_year"
            raise FieldError(f"{said} goes with every; here is one date, {anchor.text}", "leave it out", said)
        end = getattr(self, "to", None)
        if end is not None and (end.year is None) != (anchor.year is None):
            raise FieldError(
                f"from is {anchor.text} and to is {end.text}: one has a year, the other has not",
                "write both with a year, or both without",
                "to",
            )
        return self

    @property
    def anchor(self) -> Any:
        """The day an occurrence is counted by: sowing, spreading, planting; None for all the time."""
        return None


def _begins(action: Repeated) -> str:
    """The key of the day that an action is counted by."""
    fields = type(action).model_fields
    return "sow" if "sow" in fields else "from" if "from_" in fields else "on"


class Spread(Repeated):
    """Bought or made material put on the beds on one day."""

    action: Literal["spread"] = "spread"
    material: Name = Field(description="what is spread: a material of the library or of this plan")
    on: DayOfYear = Field(description="the day: 20 Apr, or 2027-04-20")
    then: SpreadFate = Field(description="what becomes of it: left on surface, or dug in")
    depth: Depth | None = Field(None, description="how much, as the depth of the layer: 5 mm")
    volume: Volume | None = Field(None, description="how much, as a volume for all the beds it is on: 2 m3")
    mass: Mass | None = Field(None, description="how much, as spread, for all the beds it is on: 900 kg")
    mass_per_area: MassPerArea | None = Field(None, description="how much, as spread: 30 t/ha")
    dry_mass: MassPerArea | None = Field(None, description="how much, as dry matter: 10 t/ha")
    heap_share: Share | None = Field(
        None, description="how much, as a share of the compost made from what went to the heap in twelve months"
    )

    @model_validator(mode="after")
    def _one_amount(self) -> Spread:
        given = [name for name in AMOUNTS if getattr(self, name) is not None]
        if not given:
            raise FieldError("how much is missing", "give one of: " + ", ".join(AMOUNTS))
        if len(given) > 1:
            said = " and ".join(given)
            raise FieldError(f"{said} each say how much", "keep one of them", given[-1])
        return self

    @property
    def anchor(self) -> Any:
        """The day of spreading."""
        return self.on


AMOUNTS = ("depth", "volume", "mass", "mass_per_area", "dry_mass", "heap_share")


class Cut(Placed):
    """One cut of a cover: when, what becomes of it, and its dry mass if it is known."""

    on: DayOfYear = Field(description="the day of cutting: 20 May, or 20 May year 2")
    then: Fate | None = Field(None, description="what becomes of this cut, if not the same as the others")
    dry_tops: DryMass | None = Field(None, description="dry mass of the tops of this cut: 1.5 t/ha")
    sample: Sample | None = Field(None, description="what was weighed of this cut: fresh, area, dry_matter")

    @model_validator(mode="after")
    def _weighed_once(self) -> Cut:
        if self.dry_tops is not None and self.sample is not None:
            raise FieldError("dry_tops and sample both say what was cut", "keep one of them", "dry_tops")
        return self


def _read_cuts(value: object) -> object:
    """Cuts: one or a list; each a day, or a group of keys."""
    items = value if isinstance(value, list | tuple) else [value]
    if not items:
        raise FieldError("a cover ends with a cut", "cut: 20 Apr, or several: cut: [20 Apr, 10 Jun]")
    return [item if isinstance(item, dict | Cut) else _as_keys(item) for item in items]


class _Keys(dict[str, Any]):
    """A day that stands alone, as the group of keys it is short for, at the same place."""

    place: Any = None


def _as_keys(day: object) -> _Keys:
    made = _Keys(on=day)
    made.place = getattr(day, "place", None)
    return made


Cuts = Annotated[tuple[Cut, ...], BeforeValidator(_read_cuts)]


class Cover(Repeated):
    """A green manure or cover crop: sown, cut once or several times, ended with its last cut.

    ``then`` holds for every cut that does not say otherwise.  The roots and the stubble stay.
    """

    action: Literal["cover"] = "cover"
    name: Name = Field(description="the plant: a cover of the library or of this plan; of a mix, any name")
    sow: DayOfYear = Field(description="the day of sowing: 5 Oct")
    cut: Cuts = Field(description="the day of cutting, or a list of them; the last one ends the cover")
    then: Fate = Field(description="what becomes of the cut tops: left on surface, dug in, carted off, or to the heap")
    mix: dict[Heading, Share] | None = Field(None, description="plants and their shares of the dry mass")
    dry_tops: DryMass | None = Field(None, description="dry mass of the tops, all cuts together: 4 t/ha")
    sample: Sample | None = Field(None, description="what was weighed of a cover cut once: fresh, area, dry_matter")
    stubble: DryMass | None = Field(None, description="dry mass of the stubble after the last cut")
    pressed_volume: PressedVolume | None = Field(None, description="volume of the fresh tops, pressed together")
    root_ratio: Ratio | None = Field(None, description="dry mass of washed roots in the layer, for that of the tops")
    stage: Stage | None = Field(None, description="how old it is at the end: vegetative, flower, or mature")
    undersown: Literal["yes", "no"] = Field("no", description="yes if it grows under or beside a crop")

    @model_validator(mode="after")
    def _cuts(self) -> Cover:
        for number, cut in enumerate(self.cut, start=1):
            if cut.then == "dug in" and number < len(self.cut):
                raise FieldError(
                    f"cut {number} is dug in, but the cover grows on until cut {number + 1}",
                    "only the last cut can be dug in",
                    "cut",
                )
            if (cut.on.year is None) != (self.sow.year is None):
                raise FieldError(
                    f"sow is {self.sow.text} and cut {number} is {cut.on.text}: one has a year, the other has not",
                    "write all with a year, or all without",
                    "cut",
                )
        weighed = [cut for cut in self.cut if cut.dry_tops is not None or cut.sample is not None]
        if self.sample is not None and self.dry_tops is not None:
            raise FieldError("dry_tops and sample both say what was cut", "keep one of them", "sample")
        if self.sample is not None and (len(self.cut) > 1 or weighed):
            hint = "of several cuts, each has a sample of its own: cut: [{on: 20 May, sample: {...}}, ...]"
            raise FieldError("sample is for a cover that is cut once and weighed once", hint, "sample")
        if self.dry_tops is not None and weighed:
            raise FieldError("dry_tops is given for the whole cover and for a cut", "keep one of them", "dry_tops")
        return self

    @model_validator(mode="after")
    def _mix(self) -> Cover:
        if self.mix is None:
            return self
        if any(share.is_range for share in self.mix.values()):
            raise FieldError("one of the shares is a range", "give one share for each plant", "mix")
        total = sum(share.best for share in self.mix.values())
        if abs(total - 1.0) > 0.005:
            raise FieldError(f"the shares of the mix add up to {100 * total:.3g} %, not 100 %", None, "mix")
        return self

    @property
    def anchor(self) -> Any:
        """The day of sowing."""
        return self.sow

    @property
    def samples(self) -> tuple[Sample, ...]:
        """What was weighed of it, of whichever cut."""
        return tuple(one for one in (self.sample, *(cut.sample for cut in self.cut)) if one is not None)

    def fate(self, number: int) -> Fate:
        """What becomes of a cut (from 0): of several, only the last is dug in by the cover's ``then``."""
        said = self.cut[number].then
        if said is not None:
            return said
        last = number == len(self.cut) - 1
        return self.then if last or self.then != "dug in" else "left on surface"


class Crop(Repeated):
    """A crop that is harvested; ``then`` says what becomes of the leaves and stems left over."""

    action: Literal["crop"] = "crop"
    name: Name = Field(description="the crop: one of the library or of this plan")
    from_: DayOfYear = Field(alias="from", description="the day of planting or sowing: 1 May")
    to: DayOfYear = Field(description="the day on which the bed is cleared: 30 Sep")
    then: CropFate = Field(
        description="what becomes of leaves and stems: left on surface, dug in, carted off, or to the heap"
    )
    residue: DryMass | None = Field(None, description="dry mass of leaves and stems left over: 0.2 kg/m2")

    @property
    def anchor(self) -> Any:
        """The day of planting or sowing."""
        return self.from_


class Input(Repeated):
    """Carbon that comes in steadily, for those who know it (trials, fields)."""

    action: Literal["input"] = "input"
    name: Name = Field(description="what the answer shall call it")
    residue: Name = Field(description="the kind of residue it decays as, of the library or of this plan")
    carbon: CarbonRate = Field(description="how much comes in: 2 t C/ha/yr")

    @model_validator(mode="after")
    def _steady(self) -> Input:
        if self.every is not None:
            raise FieldError(
                "an input comes in steadily, so nothing comes back",
                "leave every out; first_year may stay",
                "every",
            )
        return self


class Idle(Repeated):
    """Ground without a crop or cover: bare, under weeds, or under an opaque sheet.

    Without dates: all the time in which nothing else stands.
    """

    action: Literal["idle"] = "idle"
    as_: Literal["bare", "weeds", "sheet"] = Field(alias="as", description="bare, weeds, or sheet")
    from_: DayOfYear | None = Field(None, alias="from", description="the first day; left out: all the time")
    to: DayOfYear | None = Field(None, description="the last day; left out: all the time")
    dry_tops: DryMass | None = Field(None, description="dry mass of weeds that die back, a year or a round")
    since: Date | None = Field(None, description="without from and to: the first day that it holds: 2029-05-13")
    until: Date | None = Field(None, description="without from and to: the last day that it holds: 2029-05-12")

    @model_validator(mode="after")
    def _whole_period(self) -> Idle:
        for key in ("since", "until"):
            if self.from_ is not None and getattr(self, key) is not None:
                raise FieldError(f"{key} goes without from and to", "leave one of them out", key)
        if self.since is not None and self.until is not None and self.until < self.since:
            raise FieldError(f"until ({self.until}) comes before since ({self.since})", None, "until")
        if (self.from_ is None) != (self.to is None):
            key = "to" if self.from_ is None else "from"
            raise FieldError(f"{key} stands alone", "give from and to; without both: whenever nothing else stands", key)
        for key in ("every", "first_year", "last_year"):
            if self.from_ is None and getattr(self, key) is not None:
                hint = "add from and to, or leave it out: then it holds whenever nothing else stands"
                raise FieldError(f"{key} goes with from and to", hint, key)
        if self.dry_tops is not None and self.as_ != "weeds":
            said = "bare" if self.as_ == "bare" else "under a sheet"
            raise FieldError(f"nothing grows on ground that is {said}", "dry_tops goes with as: weeds", "dry_tops")
        return self

    @property
    def anchor(self) -> Any:
        """The first day, or None for all the time."""
        return self.from_


class Dig(Repeated):
    """Digging or tilling: what lies on the surface goes into the soil."""

    action: Literal["dig"] = "dig"
    on: DayOfYear = Field(description="the day: 1 Apr")

    @property
    def anchor(self) -> Any:
        """The day of digging."""
        return self.on


class Uncover(Repeated):
    """The film comes off the tunnel: rain reaches the soil and it is as cool as outdoors."""

    action: Literal["uncover"] = "uncover"
    from_: DayOfYear = Field(alias="from", description="the day the film comes off: 1 Nov")
    to: DayOfYear = Field(description="the day the film is put on again: 1 Mar")

    @property
    def anchor(self) -> Any:
        """The day the film comes off."""
        return self.from_


def called(action: Any) -> str:
    """What a message calls an action: by its name, or ground by what it is.

    >>> called(Idle.model_validate({"as": "sheet"}))
    'ground under a sheet'
    """
    if isinstance(action, Idle):
        return {"bare": "bare ground", "weeds": "ground under weeds", "sheet": "ground under a sheet"}[action.as_]
    return quoted(getattr(action, "material", getattr(action, "name", action.action)))
