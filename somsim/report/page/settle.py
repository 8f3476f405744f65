"""What decides it, and what to measure next, best first."""

from __future__ import annotations

from somsim.report.page.section import Grid, Manner, Part, Section, Words
from somsim.report.settling import LIKELY, caution, in_short, percent, takes, tells
from somsim.report.words import in_hundred
from somsim.study.compare import Study
from somsim.study.questions import Question

IN_FULL = "What decides each figure, in shares of its doubt: somsim settle plan.yaml"


def settle(study: Study, manner: Manner) -> Section:
    """How sure the choice is, and what each measurement would change; the closest difference is the one narrowed."""
    prospect = study.prospect
    parts: list[Part] = [Words(tuple(in_short(prospect, manner.system)), "answer")]
    gains = [gain for gain in prospect.gains if tells(gain)]
    main = prospect.closest or Question("level", prospect.chosen)
    if gains:
        rows = tuple(
            (
                gain.name,
                (
                    takes(gain.measurement),
                    percent(gain.narrows(main)),
                    in_hundred(gain.changes) if gain.changes >= LIKELY else "never or hardly",
                    gain.measurement.how,
                ),
            )
            for gain in gains
        )
        narrowed = "the lead becomes narrower by" if prospect.closest is not None else "the range becomes narrower by"
        heads = ("what it takes", narrowed, "you would choose otherwise, of such cases", "how")
        parts += [Grid("What to measure next, best first", heads, rows, wide=True), Words((caution(gains),))]
    return Section("settle", "What decides it, and what to measure", (*parts, Words((IN_FULL,))))
