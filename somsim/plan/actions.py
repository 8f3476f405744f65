"""What a grower does on the beds: each action of a plan, with its dates and amounts."""

from __future__ import annotations

from copy import copy
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Discriminator, Field, Tag, model_validator

from somsim.errors import nearest
from somsim.plan.fields import (
    BedList,
    CarbonRate,
    Count,
    CropFate,
    DayOfYear,
    Depth,
    DryMass,
    Every,
    Fate,
    FieldError,
    Mass,
    MassPerArea,
    Name,
    Placed,
    PressedVolume,
    Ratio,
    Share,
    SpreadFate,
    Volume,
    read_day,
)

Stage = Literal["vegetative", "flower", "mature"]


class Repeated(Placed):
    """What every action has in common: how often, in which years, on which beds.

    Years are counted from the start of the plan: year 1 is its first twelve months.
    """

    every: Every | None = None
    first_year: Count | None = None
    last_year: Count | None = None
    beds: BedList | None = None
    share: Share | None = None

    @model_validator(mode="after")
    def _years_and_beds(self) -> Repeated:
        if self.first_year is not None and self.last_year is not None and self.last_year < self.first_year:
            raise FieldError(f"last_year {self.last_year} comes before first_year {self.first_year}")
        if self.beds is not None and self.share is not None:
            raise FieldError("beds and share both say where", "give one of them")
        if self.share is not None and (self.share.is_range or self.share.best <= 0.0):
            raise FieldError(f'share: "{self.share.text}": one share of the beds, over 0 and up to 100 %')
        anchor = self.anchor
        if anchor is not None and anchor.year is None and self.every is None:
            raise FieldError(
                f'"{anchor.text}" has no year, and nothing says how often',
                "add every: year, or write the date in full, such as 2027-04-20",
            )
        if anchor is not None and anchor.year is not None and self.every is not None:
            raise FieldError(
                f'"{anchor.text}" is one date, but every says it comes back', "leave the year or every out"
            )
        if (
            anchor is not None
            and self.every is None
            and (self.first_year is not None or self.last_year is not None)
        ):
            raise FieldError("first_year and last_year go with every", "add every: year")
        return self

    @property
    def anchor(self) -> Any:
        """The day an occurrence is counted by: sowing, spreading, planting; None for all the time."""
        return None


class Spread(Repeated):
    """Bought or made material put on the beds on one day."""

    action: Literal["spread"] = "spread"
    material: Name
    on: DayOfYear
    then: SpreadFate
    depth: Depth | None = None
    volume: Volume | None = None
    mass: Mass | None = None
    mass_per_area: MassPerArea | None = None
    dry_mass: MassPerArea | None = None

    @model_validator(mode="after")
    def _one_amount(self) -> Spread:
        given = [name for name in AMOUNTS if getattr(self, name) is not None]
        if len(given) != 1:
            said = "how much is missing" if not given else f"{' and '.join(given)} both say how much"
            raise FieldError(said, "give one of: " + ", ".join(AMOUNTS))
        return self

    @property
    def anchor(self) -> Any:
        """The day of spreading."""
        return self.on


AMOUNTS = ("depth", "volume", "mass", "mass_per_area", "dry_mass")


class Cut(Placed):
    """One cut of a cover: when, what becomes of it, and its dry mass if it is known."""

    on: DayOfYear
    then: Fate | None = None
    dry_tops: DryMass | None = None


def _read_cut(value: object) -> object:
    return {"on": read_day(value)} if isinstance(value, str) else value


def _read_cuts(value: object) -> object:
    return value if isinstance(value, list | tuple) else [value]


Cuts = Annotated[
    tuple[Annotated[Cut, BeforeValidator(_read_cut)], ...], BeforeValidator(_read_cuts), Field(min_length=1)
]


class Cover(Repeated):
    """A green manure or cover crop: sown, cut once or several times, ended with its last cut.

    ``then`` holds for every cut that does not say otherwise.  The roots and the stubble stay.
    """

    action: Literal["cover"] = "cover"
    name: Name
    sow: DayOfYear
    cut: Cuts
    then: Fate
    mix: dict[str, Share] | None = None
    dry_tops: DryMass | None = None
    stubble: DryMass | None = None
    pressed_volume: PressedVolume | None = None
    root_ratio: Ratio | None = None
    stage: Stage | None = None
    undersown: Literal["yes", "no"] = "no"

    @model_validator(mode="after")
    def _cuts_and_mix(self) -> Cover:
        for number, cut in enumerate(self.cut[:-1], start=1):
            if (cut.then or self.then) == "dug in" and cut.then is not None:
                raise FieldError(
                    f"cut {number} is dug in, but the cover grows on to cut {number + 1}",
                    "only the last cut can be dug in",
                )
        for number, cut in enumerate(self.cut, start=1):
            if (cut.on.year is None) != (self.sow.year is None):
                raise FieldError(
                    f"cut {number} ({cut.on.text}) and sow ({self.sow.text}): one has a year, the other not"
                )
        if (
            len(self.cut) > 1
            and self.dry_tops is not None
            and any(cut.dry_tops is not None for cut in self.cut)
        ):
            raise FieldError("dry_tops is given for the whole cover and for a cut", "give one or the other")
        if self.mix is not None:
            total = sum(share.best for share in self.mix.values())
            if abs(total - 1.0) > 0.005:
                raise FieldError(f"the shares of the mix add up to {100 * total:.3g} %, not 100 %")
            if any(share.is_range for share in self.mix.values()):
                raise FieldError("give one share of the dry mass for each plant of a mix")
        return self

    @property
    def anchor(self) -> Any:
        """The day of sowing."""
        return self.sow

    def fate(self, number: int) -> Fate:
        """What becomes of a cut (from 0): only the last of several can be dug in with the cover's own ``then``."""
        said = self.cut[number].then
        if said is not None:
            return said
        last = number == len(self.cut) - 1
        return self.then if last or self.then != "dug in" else "left on surface"


class Crop(Repeated):
    """A crop that is harvested; ``then`` says what becomes of the leaves and stems left over."""

    action: Literal["crop"] = "crop"
    name: Name
    from_: DayOfYear = Field(alias="from")
    to: DayOfYear
    then: CropFate
    residue: DryMass | None = None

    @model_validator(mode="after")
    def _both_or_neither(self) -> Crop:
        if (self.from_.year is None) != (self.to.year is None):
            raise FieldError(
                f"from ({self.from_.text}) and to ({self.to.text}): one has a year, the other not"
            )
        return self

    @property
    def anchor(self) -> Any:
        """The day of planting or sowing."""
        return self.from_


class Input(Repeated):
    """Carbon that comes in steadily, for those who know it (trials, fields)."""

    action: Literal["input"] = "input"
    name: Name
    residue: Name
    carbon: CarbonRate


class Idle(Repeated):
    """Ground without a crop or cover: bare, under weeds, or under an opaque sheet.

    Without dates: all the time in which nothing else stands.
    """

    action: Literal["idle"] = "idle"
    as_: Literal["bare", "weeds", "sheet"] = Field(alias="as")
    from_: DayOfYear | None = Field(default=None, alias="from")
    to: DayOfYear | None = None
    dry_tops: DryMass | None = None

    @model_validator(mode="after")
    def _whole_period(self) -> Idle:
        if (self.from_ is None) != (self.to is None):
            raise FieldError("from and to go together", "or leave both out: whenever nothing else stands")
        if self.from_ is None and self.every is not None:
            raise FieldError("every goes with from and to", "leave every out: whenever nothing else stands")
        if self.dry_tops is not None and self.as_ != "weeds":
            raise FieldError(f"nothing grows on ground that is {self.as_}", "dry_tops goes with as: weeds")
        return self

    @property
    def anchor(self) -> Any:
        """The first day, or None for all the time."""
        return self.from_


class Dig(Repeated):
    """Digging or tilling: what lies on the surface goes into the soil."""

    action: Literal["dig"] = "dig"
    on: DayOfYear

    @property
    def anchor(self) -> Any:
        """The day of digging."""
        return self.on


class Uncover(Repeated):
    """The film comes off the tunnel: rain reaches the soil and it is as cool as outdoors."""

    action: Literal["uncover"] = "uncover"
    from_: DayOfYear = Field(alias="from")
    to: DayOfYear

    @property
    def anchor(self) -> Any:
        """The day the film comes off."""
        return self.from_


KINDS: dict[str, type[Repeated]] = {
    "spread": Spread,
    "cover": Cover,
    "crop": Crop,
    "input": Input,
    "idle": Idle,
    "dig": Dig,
    "uncover": Uncover,
}


def _read_action(value: object) -> object:
    """Take "- spread: {...}" apart: one key, the verb; below it what is done."""
    if not isinstance(value, dict) or "action" in value:
        return value
    verbs = ", ".join(KINDS)
    if len(value) != 1:
        raise FieldError(
            f"one action has one verb, here there are {len(value)}: {', '.join(map(str, value))}",
            f"start a new line with a dash for each; the verbs: {verbs}",
        )
    verb, body = next(iter(value.items()))
    if verb not in KINDS:
        near = nearest(str(verb), KINDS)
        raise FieldError(
            f'no action "{verb}"', (f"nearest: {near[0]}; all: " if near else "one of: ") + verbs
        )
    if not isinstance(body, dict):
        raise FieldError(
            f"{verb} needs to be told what and when", f"for example {EXAMPLE_ACTIONS[str(verb)]}"
        )
    named = copy(body)
    named["action"] = verb
    return named


EXAMPLE_ACTIONS = {
    "spread": "spread: {material: garden compost, depth: 5 mm, on: 20 Apr, every: year, then: left on surface}",
    "cover": "cover: {name: rye and vetch, sow: 5 Oct, cut: 20 Apr, every: year, then: left on surface}",
    "crop": "crop: {name: cucumber, from: 1 May, to: 30 Sep, every: year, then: carted off}",
    "input": "input: {name: straw, residue: straw, carbon: 2 t C/ha/yr}",
    "idle": "idle: {as: weeds}",
    "dig": "dig: {on: 1 Apr, every: year}",
    "uncover": "uncover: {from: 1 Nov, to: 1 Mar, every: year}",
}


def _kind(value: Any) -> str:
    if isinstance(value, dict):
        return str(value.get("action", ""))
    return str(getattr(value, "action", ""))


Action = Annotated[
    Annotated[Spread, Tag("spread")]
    | Annotated[Cover, Tag("cover")]
    | Annotated[Crop, Tag("crop")]
    | Annotated[Input, Tag("input")]
    | Annotated[Idle, Tag("idle")]
    | Annotated[Dig, Tag("dig")]
    | Annotated[Uncover, Tag("uncover")],
    Discriminator(_kind),
    BeforeValidator(_read_action),
]
