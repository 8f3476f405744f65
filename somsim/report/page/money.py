"""Money by year, and hours by month."""

from __future__ import annotations

from somsim.draws import quantile
from somsim.outcomes.money import CENTS, SALES
from somsim.report.look import shown
from somsim.report.nutrients import MONTHS
from somsim.report.page.choice import grid
from somsim.report.page.curves import HOW_DRAWN
from somsim.report.page.figures import Axis, Line, lines_drawing
from somsim.report.page.section import Figure, Manner, Part, Section, Words, called, in_columns, letter, told
from somsim.report.words import Scale, short
from somsim.study.compare import Study
from somsim.study.decision import Choice
from somsim.study.equivalence import SHARES, Spread

PLAIN = Scale("", 1.0)
HOURS = "Own hours in each month, mean of the years; the ranges of its jobs are added up, so rather too wide"


def money(study: Study, manner: Manner) -> Section:
    """What is left over, or spent, in each year of each strategy; and the hours of each month."""
    parts: list[Part] = []
    if study.decision.currency is None:
        parts.append(Words(("The plan has no prices: give some under money, and this shows the money of each year.",)))
    else:
        parts += _money(study)
    for together in in_columns(told(study)):
        choices = [study.decision.choices[number] for number in together]
        rows = [(month, [PLAIN.range(_hours(one, n)) for one in choices]) for n, month in enumerate(MONTHS)]
        parts.append(grid(HOURS, [called(study, n) for n in together], rows))
    return Section("money", "Money by year, hours by month", tuple(parts))


def _hours(choice: Choice, month: int) -> Spread:
    """All jobs of a month; the middles and ends of ranges added up, so rather too wide than too narrow."""
    found = [kinds[month] for kinds in choice.by_month.values()]
    return Spread(*(sum(getattr(one, name) for one in found) for name in ("best", "p10", "p50", "p90")))


def _money(study: Study) -> list[Part]:
    numbers, currency = told(study), study.decision.currency
    books = {number: cost.ledger for number in numbers if (cost := study.decision.choices[number].cost) is not None}
    sold = any(book.cents[SALES].any() for book in books.values())
    what = "left over" if sold else "costs"
    lines = []
    for number, book in books.items():
        three = quantile((book.result if sold else book.costs) / CENTS, SHARES, study.weights)
        said = [PLAIN.range(Spread(b, a, b, c), 3) for a, b, c in zip(*three, strict=True)]
        lines.append(Line(number, shown(study.answers[number].name), three[0], three[1], three[2], said))
    begins = next(iter(books.values())).begins
    words = [f"year {number}, from {begin:%b %Y}" for number, begin in enumerate(begins, start=1)]
    places = [float(number) for number in range(1, len(begins) + 1)]
    by_number = {line.number: line for line in lines}
    tables = tuple(
        grid(
            f"Money {what} in each year, {currency}",
            (called(study, number) for number in together),
            ((word, [by_number[number].said[step] for number in together]) for step, word in enumerate(words)),
        )
        for together in in_columns(list(books))
    )
    if len(places) < 2:
        return list(tables)
    ends = "; ".join(
        f"{letter(line.number)}, {line.name}: {short(line.middle[0], 3)} in the first year, "
        f"{short(line.middle[-1], 3)} in the last"
        for line in lines
    )
    axis = Axis(places, words, "year of the plan")
    drawing = lines_drawing("chart-money", lines, axis, f"{what}, {currency}", f"Money {what} by year: {ends}.")
    caption = f"Money {what} in each year, {currency}. {HOW_DRAWN}"
    return [Figure(drawing, caption, tables, tuple(places))]
