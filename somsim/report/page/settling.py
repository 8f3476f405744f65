"""The section on what to do next: what can be measured, what it takes and what it brings."""

from __future__ import annotations

from somsim.report.page.section import Grid, Heading, Manner, Part, Section, Words
from somsim.report.settling import LEGEND_OF_CHOICE, closing, in_short, narrower, takes, tells
from somsim.report.words import in_hundred
from somsim.study.compare import Study
from somsim.study.questions import Question


def settling(study: Study, manner: Manner) -> Section:
    """How sure the choice is, and what could be measured next, best first."""
    prospect = study.prospect
    main = prospect.closest or Question("level", prospect.chosen)
    gains = [gain for gain in prospect.gains if tells(gain)]
    lines = [*in_short(prospect, manner.system)[:-1], closing(prospect)]
    parts: list[Part | Heading] = [Words(tuple(lines))]
    if gains:
        heads = ["takes (judged)", "narrows the range"]
        heads += ["another choice"] if prospect.closest is not None else []
        rows = []
        for gain in gains:
            cells = [takes(gain.measurement), narrower(gain.narrows(main))]
            cells += [in_hundred(gain.changes)] if prospect.closest is not None else []
            rows.append((gain.name, tuple(cells)))
        whose = f'the lead over "{main.second}"' if prospect.closest is not None else "the level"
        parts.append(Grid(f"What to measure next, best first; the range is that of {whose}", tuple(heads), tuple(rows)))
        parts.append(Words(tuple(f"{gain.name}: {gain.measurement.how}" for gain in gains), "list"))
        if prospect.closest is not None:
            parts.append(Words((f"Another choice: {LEGEND_OF_CHOICE}",)))
    return Section("settling", "What would settle it", tuple(parts))
