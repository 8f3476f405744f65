"""Stub."""

from __future__ import annotations

from pydantic import Field

from somsim.plan.days import Date
from somsim.plan.fields import BedList, LayerDepth, Placed, Share


class Measured(Placed):
    """One soil test."""

    date: Date = Field(description="the day")
    depth: LayerDepth | None = Field(None, description="depth")
    organic_matter: Share | None = Field(None, description="organic matter")
    beds: BedList | None = Field(None, description="beds")
