"""Benefits that organic matter does not show, in a terminal and for machines; no score."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any

from rich.console import Console

from somsim.report.terminal import heading, say
from somsim.report.words import System, scale, short
from somsim.study.benefits import Benefit
from somsim.study.compare import Study


def show_benefits(study: Study, console: Console, system: System = "metric") -> None:
    """Print each benefit once: where it applies and why, where not and why, and how well it is known."""
    heading(console, "What organic matter does not show (not added to any score)")
    for line in benefit_lines(study, system):
        say(console, line)


def benefit_lines(study: Study, system: System = "metric") -> Iterator[str]:
    """A line for the benefit and its evidence, then one for each verdict with its strategies."""
    for name in dict.fromkeys(one.id for one in study.benefits):
        of_this = [one for one in study.benefits if one.id == name]
        first = of_this[0]
        yield f"- {first.name[0].upper()}{first.name[1:]}. {evidence(first, system)} ({first.strength})"
        told: dict[str, list[str]] = {}
        for one in of_this:
            verdict = "applies" if one.applies else "does not apply"
            told.setdefault(f"{verdict}: {one.why}{_figure(one, system)}", []).append(one.strategy)
        for verdict, strategies in told.items():
            yield f"  {'; '.join(strategies)}: {verdict}."


def evidence(one: Benefit, system: System = "metric") -> str:
    """The evidence, with its printed figures in the reader's units."""
    ground = scale("ground_load", system)
    return one.evidence.format(**{name: ground.one(value, 3) for name, value in one.printed.items()})


def _figure(one: Benefit, system: System) -> str:
    if one.value is None:
        return ""
    if one.unit == "kg N/m2/yr":
        ground = scale("ground_load", system)
        return f"; {ground.range(one.value)} {ground.unit} of bed and year"
    if one.unit == "kg C/m2/yr":
        rate = scale("carbon_rate", system)
        return f"; {rate.range(one.value)} {rate.unit}"
    return f"; {short(one.value.p50)} {one.unit}"


def benefits_as_json(found: tuple[Benefit, ...]) -> list[dict[str, Any]]:
    """Every verdict, with its figure in base units."""
    return [{**asdict(one), "evidence": evidence(one)} for one in found]
