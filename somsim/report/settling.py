"""What would settle it: in sentences and tables for people, in nested dictionaries for machines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from rich import box
from rich.console import Console
from rich.table import Table
from rich.text import Text

from somsim.report.terminal import heading, say
from somsim.report.words import Scale, System, in_hundred, months_in_words, scale, short
from somsim.study.doubts import Cost, Measurement
from somsim.study.equivalence import Spread
from somsim.study.questions import Question
from somsim.study.settle import Decided, Driver, Gain, Prospect, Settled
from somsim.version import VERSION

MOST_DRIVERS = 6  # shown of each figure; all are in the files
LEAST_NARROWED = 0.02  # a spread that shrinks by less is as wide as before
SURE = 0.1  # another strategy leaves more in fewer worlds than this
LIKELY = 0.01  # a smaller chance is no reason to measure


def closing(prospect: Prospect) -> str:
    """What to do next, in a sentence or two: measure this, or choose now."""
    return f"{next_step(prospect)} What decides it, and what else could be measured: somsim settle"


def next_step(prospect: Prospect) -> str:
    """The measurement that is worth most, and why; or that there is none worth waiting for."""
    best = prospect.best
    main = prospect.closest or Question("level", prospect.chosen)
    if best is not None and best.changes >= LIKELY:
        cases = f"{in_hundred(best.changes)} cases"
        return f"{_capital(told(best))}: what it shows would have you choose another strategy {cases}."
    calm = _calm(prospect)
    if best is None or best.narrows(main) < LEAST_NARROWED:
        return (
            f"{calm or 'Nothing you can measure now tells much more. '}What is left in doubt is mostly how fast things "
            "decay, which soil tests over years can show."
        )
    much = f"the range becomes {percent(best.narrows(main))} narrower"
    figure = "by how much" if prospect.closest is not None else f'how much "{prospect.chosen}" leaves'
    return f"{calm}To know more closely {figure}, {told(best)}: {much}."


def _calm(prospect: Prospect) -> str:
    """That no measurement would change the choice; how sure that choice is all the same."""
    if prospect.closest is None:
        return ""
    if prospect.wrong < SURE:
        return f'Whatever you measure now, "{prospect.chosen}" very likely stays ahead. '
    return (
        f'Nothing you can measure now would have you choose another than "{prospect.chosen}", though another leaves '
        f"more {in_hundred(prospect.wrong)} worlds. "
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def told(gain: Gain) -> str:
    """A measurement with what it takes: "have garden compost analysed (money: 90, 40 to 200)"."""
    return f"{gain.name} ({takes(gain.measurement)})"


def takes(measurement: Measurement) -> str:
    """What a measurement takes, in money and hours."""
    parts = [f"money: {_cost(measurement.money)}"] if measurement.money and measurement.money.high > 0.0 else []
    parts += [f"hours: {_cost(measurement.hours)}"] if measurement.hours else []
    return "; ".join(parts) or "what it takes: no published figure"


def _cost(cost: Cost) -> str:
    middle = short(cost.best)
    return middle if cost.low == cost.high else f"{middle}, {short(cost.low)} to {short(cost.high)}"


def percent(share: float) -> str:
    """A share as a whole per cent.

    >>> percent(0.173), percent(0.004)
    ('17 %', 'under 1 %')
    """
    return "under 1 %" if 0.0 < share < 0.005 else f"{100.0 * share:.0f} %"


def asked(question: Question, settled: Settled) -> str:
    """What a figure is, in words."""
    after = months_in_words(round(settled.plan.horizon.best * 12.0))
    if question.kind == "difference":
        return f'How much more "{question.first}" leaves than "{question.second}"'
    if question.kind == "worth":
        return f'What one crop of {question.second} (in "{question.first}") is worth by what lasts {after}'
    return f'How much organic matter "{question.first}" leaves in all'


def _spread(question: Question, spread: Spread, system: System) -> str:
    if question.kind == "worth":
        unit = scale("length", system)
        return f"{Scale(unit.unit, unit.times / 1000.0).range(spread)} {unit.unit} of compost"
    unit = scale("mass_per_area", system)
    return f"{unit.range(spread)} {unit.unit}"


def show_settled(settled: Settled, console: Console, system: System = "metric", *, more: bool = False) -> None:
    """Print what to measure next and what decides the main figures; with ``more`` what decides every figure."""
    say(console, settled.plan.title, style="bold")
    say(
        console,
        f"What would settle it: {settled.screened} unknowns were looked at. Each figure is the middle one of "
        f"{settled.draws} possible worlds; in brackets, where 8 of 10 worlds fall.",
    )
    console.print()
    for line in in_short(settled.prospect, system):
        say(console, line)
    heading(console, "What to measure next, best first")
    gains = [gain for gain in settled.prospect.gains if tells(gain)]
    if gains:
        console.print(_gains_table(gains, settled, console.width))
        say(console, _legend(settled, gains))
        for gain in gains:
            say(console, f"- {gain.name}: {gain.measurement.how}")
        say(console, caution(gains))
    else:
        say(console, "Nothing that a grower can measure narrows any of these figures.")
    for one in settled.decided if more else main_figures(settled):
        heading(console, f"{asked(one.question, settled)}: {_spread(one.question, one.spread, system)}")
        console.print(_drivers_table(one, console.width))
    console.print()
    if not settled.decided:
        say(console, "Nothing is in doubt: every figure of this plan is one number.")
        return
    say(console, READ_AS)
    if not more and len(settled.decided) > len(main_figures(settled)):
        say(console, "What decides every other figure: add --more")


def main_figures(settled: Settled) -> list[Decided]:
    """The closest difference, the worth of the first cover, and the level: as far as they are in doubt."""
    by_kind = {one.question.kind: one.question for one in reversed(settled.decided)}
    wanted = [settled.prospect.closest or by_kind.get("difference"), by_kind.get("worth"), by_kind.get("level")]
    found = {one.question: one for one in settled.decided}
    return [found[one] for one in wanted if one is not None and one in found]


LEGEND_OF_CHOICE = "of 100 readings, how many would have you choose another strategy."
READ_AS = (
    "alone: this part of the doubt (variance) would go if that one thing were known. with others: also counted where "
    "it acts together with other unknowns (Sobol' indices, first order and total). They need not add up to 100 %."
)


def tells(gain: Gain) -> bool:
    """Whether a measurement tells enough to be shown."""
    return gain.changes >= LIKELY or any(share >= LEAST_NARROWED for _, share in gain.narrowed)


def in_short(prospect: Prospect, system: System = "metric") -> list[str]:
    """How sure the choice is, what being wrong costs, and what to do next."""
    unit = scale("mass_per_area", system)
    lines = []
    if prospect.closest is not None:
        if prospect.wrong <= 0.0:
            lines.append(f'"{prospect.chosen}" leaves most organic matter in all worlds.')
        else:
            lines.append(
                f'"{prospect.chosen}" leaves most on average. Another one leaves more {in_hundred(prospect.wrong)} '
                f"worlds; not knowing which costs {unit.one(prospect.regret)} of organic matter on average."
            )
    return [*lines, next_step(prospect)]


def caution(gains: Sequence[Gain]) -> str:
    """What to mind about the costs and the errors of measurements."""
    exact = [gain for gain in gains if gain.measurement.error == 0.0]
    words = "Costs are judged: in the money of your plan, ask before you order."
    if exact:
        words += " A reading whose error nobody published is taken as exact: that is the most it could tell."
    return words


def _table(width: int) -> Table:
    return Table(box=box.SIMPLE_HEAD, pad_edge=False, padding=(0, 1, 0, 0), show_edge=False, width=min(width, 110))


def _gains_table(gains: Sequence[Gain], settled: Settled, width: int) -> Table:
    main = settled.prospect.closest
    table = _table(width)
    table.add_column("measure", overflow="fold", ratio=1)
    columns = {"money": 9, "hours": 6, "lead" if main is not None else "level": 8}
    columns |= {"crop": 8} if _worths(gains[0]) else {}
    columns |= {"choice": 12} if main is not None else {}
    for words, size in columns.items():
        table.add_column(words, overflow="fold", width=size)
    for gain in gains:
        measurement = gain.measurement
        cells = [gain.name, _cell(measurement.money), _cell(measurement.hours)]
        cells.append(narrower(gain.narrows(main or Question("level", settled.prospect.chosen))))
        worths = _worths(gain)
        if worths:
            cells.append(narrower(max(worths)))
        if main is not None:
            cells.append(in_hundred(gain.changes))
        table.add_row(*(Text(cell) for cell in cells))
    return table


def _legend(settled: Settled, gains: Sequence[Gain]) -> str:
    """What the columns mean."""
    main = settled.prospect.closest
    crop = _worths(gains[0])
    if main is None:
        first = f'of what "{settled.prospect.chosen}" leaves'
        names = "level, crop" if crop else "level"
    else:
        first = f'of the lead over "{main.second}", which comes nearest'
        names = "lead, crop" if crop else "lead"
    worth = ", and of what one green manure is worth (where it tells most)" if crop else ""
    choice = f" choice: {LEGEND_OF_CHOICE}" if main is not None else ""
    return f"{names}: by how much the range becomes narrower {first}{worth}.{choice}"


def _worths(gain: Gain) -> list[float]:
    return [share for question, share in gain.narrowed if question.kind == "worth"]


def narrower(share: float) -> str:
    """By how much a range narrows, in a cell: "by 17 %", or "no" where it stays about as wide."""
    return "no" if share < LEAST_NARROWED else f"by {percent(share)}"


def _cell(cost: Cost | None) -> str:
    """Money or hours in a cell; nothing to pay is 0, nothing published is a dash."""
    if cost is None:
        return "-"
    return short(cost.best) if cost.low == cost.high else f"{short(cost.best)}\n{short(cost.low)} to {short(cost.high)}"


def _drivers_table(decided: Decided, width: int) -> Table:
    table = _table(width)
    table.add_column("decided by", overflow="fold", ratio=1)
    table.add_column("alone", justify="right", width=10)
    table.add_column("with others", justify="right", width=11)
    named = [one for one in decided.drivers if one.doubt is not None]
    for one in named[:MOST_DRIVERS]:
        table.add_row(Text(words_of(one)), *(percent(part.share) for part in (held(one.first), held(one.total))))
    return table


def held(part: Any) -> Any:
    """An index between 0 and 1: of few points it may come out a little below nought."""
    return type(part)(*(min(max(value, 0.0), 1.0) for value in (part.share, part.low, part.high)))


def words_of(driver: Driver) -> str:
    """A driver in words."""
    return "all that matter little, together" if driver.doubt is None else driver.doubt.words


def as_json(settled: Settled) -> dict[str, Any]:
    """What decides it and what to measure next, as nested dictionaries of numbers with their units."""
    return {
        "somsim": VERSION,
        "title": settled.plan.title,
        "seed": settled.seed,
        "draws": settled.draws,
        "points": settled.points,
        "unknowns": settled.screened,
        "answer": in_short(settled.prospect),
        "decided": [
            {
                **asdict(one.question),
                "unit": one.question.unit,
                "spread": asdict(one.spread),
                "drivers": [_driver(driver) for driver in one.drivers],
            }
            for one in settled.decided
        ],
        **prospect_as_json(settled.prospect),
    }


def _driver(driver: Driver) -> dict[str, Any]:
    return {
        "unknown": driver.doubt.score if driver.doubt else None,
        "words": words_of(driver),
        "measured_by": list(driver.doubt.measured_by) if driver.doubt else [],
        "first": asdict(driver.first),
        "total": asdict(driver.total),
    }


def prospect_as_json(prospect: Prospect) -> dict[str, Any]:
    """What could be measured next, as nested dictionaries."""
    return {
        "chosen": prospect.chosen,
        "chance_that_another_leaves_more": prospect.wrong,
        "regret": {"value": prospect.regret, "unit": "kg/m2"},
        "closest": None if prospect.closest is None else prospect.closest.second,
        "measurements": [
            {
                "name": gain.name,
                "id": gain.measurement.id,
                "subject": gain.subject,
                "how": gain.measurement.how,
                "money": None if gain.measurement.money is None else asdict(gain.measurement.money),
                "hours": None if gain.measurement.hours is None else asdict(gain.measurement.hours),
                "narrowed": [{**asdict(question), "share": share} for question, share in gain.narrowed],
                "chance_that_the_choice_changes": gain.changes,
                "saved": {"value": gain.saved, "unit": "kg/m2"},
            }
            for gain in prospect.gains
        ],
    }
