"""Limits that a plan names, and what is measured so that they can be held against it: soil tests, metals."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from somsim.plan.fields import FieldError, MassPerArea, Name, Placed, Share, quoted
from somsim.units import Amount, UnitError, split_amount

MOST_LEVEL = 10_000.0
Counted = Literal["manure", "compost", "all"]
Window = Literal["12 months", "24 months"]
PhosphorusTest = Literal["olsen", "mehlich-3", "bray-1"]
SaltTest = Literal["1:2", "another"]
UNITS_OF_TEST = {
    "olsen": ("mg/l",),
    "mehlich-3": ("mg/kg", "ppm"),
    "bray-1": ("mg/kg", "ppm"),
    "1:2": ("dS/m", "mmho/cm"),
    "another": ("dS/m", "mmho/cm"),
}


class Limit(Placed):
    """A limit of the library by name, or one of the grower's own on nitrogen or phosphorus that is spread."""

    limit: Name | None = Field(None, description="a limit of the library, such as field_nitrogen")
    nitrogen: MassPerArea | None = Field(
        None, description="or: the most nitrogen on the ground, paths counted: 170 kg/ha"
    )
    phosphorus: MassPerArea | None = Field(None, description="or: the most phosphorus (P) on the ground: 30 kg/ha")
    of: Counted | None = Field(None, description="what counts towards your own limit: manure, compost, or all")
    within: Window | None = Field(None, description="the time your own limit is for: 12 months, or 24 months")

    @model_validator(mode="after")
    def _one_limit(self) -> Limit:
        given = [name for name in ("limit", "nitrogen", "phosphorus") if getattr(self, name) is not None]
        if not given:
            raise FieldError("which limit?", "a name of the library, or {nitrogen: 170 kg/ha, of: manure}")
        if len(given) > 1:
            raise FieldError(f"{' and '.join(given)} are two limits", "give each a line of its own", given[-1])
        if self.limit is not None:
            for key in ("of", "within"):
                if getattr(self, key) is not None:
                    raise FieldError(f"{key} goes with a limit of your own", "leave it out", key)
            return self
        amount = self.nitrogen or self.phosphorus
        assert amount is not None
        if amount.is_range or amount.best <= 0.0:
            raise FieldError(f"{quoted(amount.text)} is no limit", "a limit is one number over nought", given[0])
        return self

    @property
    def own(self) -> Amount | None:
        """The amount of a limit of the grower's own, kg/m2 of ground."""
        return self.nitrogen or self.phosphorus


class _Keys(dict[str, Any]):
    """A name that stands alone, as the group of keys it is short for, at the same place."""

    place: Any = None


def _read_limits(value: object) -> object:
    if not isinstance(value, list | tuple) or not value:
        raise FieldError(
            "a list of limits is needed here", "limits: [field_nitrogen, {nitrogen: 170 kg/ha, of: manure}]"
        )
    return [item if isinstance(item, dict | Limit) else _as_keys(item) for item in value]


def _as_keys(name: object) -> _Keys:
    made = _Keys(limit=name)
    made.place = getattr(name, "place", None)
    return made


Limits = Annotated[tuple[Limit, ...], BeforeValidator(_read_limits)]


def _read_level(value: object) -> Amount:
    """A level of a soil test, kept in the unit it was printed in."""
    text = value.text if isinstance(value, Amount) else value
    if not isinstance(text, str) or not text.strip():
        raise FieldError("the level with its unit is needed here", "for example 30 mg/l")
    try:
        typed = split_amount(str(text), "mg/l")
    except UnitError as error:
        raise FieldError(error.message, error.hint) from None
    if not 0.0 <= typed.low <= typed.high <= MOST_LEVEL:
        raise FieldError(f"{quoted(text)} is no level of a soil test", f"between 0 and {MOST_LEVEL:,.0f}")
    return Amount(typed.low, (typed.low + typed.high) / 2.0, typed.high, str(text))


Level = Annotated[Amount, BeforeValidator(_read_level)]


class _Test(Placed):
    """A soil test: by which method, and the level found."""

    value: Level = Field(description="the level found, in the unit of the laboratory: 30 mg/l")

    @model_validator(mode="after")
    def _unit_of_the_test(self) -> _Test:
        test = getattr(self, "test", "")
        units = UNITS_OF_TEST[test]
        if split_amount(self.value.text, units[0]).unit not in units:
            raise FieldError(
                f"{quoted(self.value.text)}: a test by {test} is told in {' or '.join(units)}",
                "methods do not compare: give the level as this laboratory printed it",
                "value",
            )
        return self


class Phosphorus(_Test):
    """A soil test of phosphorus."""

    test: PhosphorusTest = Field(description="how it was measured: olsen, mehlich-3, or bray-1")


class SoilSalt(_Test):
    """A soil test of salt (electrical conductivity)."""

    test: SaltTest = Field(description='how it was measured: "1:2" (soil to water), or another')


class Metals(Placed):
    """Metals in a material by its analysis, in its dry matter."""

    arsenic: Share | None = Field(None, description="arsenic: 5 mg/kg")
    inorganic_arsenic: Share | None = Field(None, description="inorganic arsenic: 5 mg/kg")
    cadmium: Share | None = Field(None, description="cadmium: 0.5 mg/kg")
    chromium: Share | None = Field(None, description="chromium: 20 mg/kg")
    chromium_6: Share | None = Field(None, description="chromium VI: 0.5 mg/kg")
    copper: Share | None = Field(None, description="copper: 50 mg/kg")
    lead: Share | None = Field(None, description="lead: 60 mg/kg")
    mercury: Share | None = Field(None, description="mercury: 0.1 mg/kg")
    nickel: Share | None = Field(None, description="nickel: 15 mg/kg")
    selenium: Share | None = Field(None, description="selenium: 1 mg/kg")
    zinc: Share | None = Field(None, description="zinc: 200 mg/kg")

    def measured(self) -> dict[str, Amount]:
        """What was measured, by name."""
        return {name: found for name in type(self).model_fields if (found := getattr(self, name)) is not None}
