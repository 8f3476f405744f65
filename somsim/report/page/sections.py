"""The sections of the report in their order.  A new one is a function in a file of its own, and a line here."""

from __future__ import annotations

from collections.abc import Callable

from somsim.report.page.answer import answer
from somsim.report.page.choice import choice, soil
from somsim.report.page.curves import curves
from somsim.report.page.money import money
from somsim.report.page.nitrogen import nitrogen
from somsim.report.page.numbers import making, numbers, plan
from somsim.report.page.seasons import seasons
from somsim.report.page.section import Manner, Section
from somsim.report.page.settle import settle
from somsim.report.page.watch import beside, watch
from somsim.report.page.worth import worth
from somsim.study.compare import Study

SECTIONS: tuple[Callable[[Study, Manner], Section | None], ...] = (
    answer,
    curves,
    choice,
    worth,
    settle,
    watch,
    nitrogen,
    money,
    seasons,
    soil,
    beside,
    numbers,
    plan,
    making,
)


def sections_of(study: Study, manner: Manner) -> list[Section]:
    """Every section that this study has something to say in."""
    return [made for function in SECTIONS if (made := function(study, manner)) is not None]
