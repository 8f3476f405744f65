"""Limits, cautions, what organic matter does not show, and what the result rests on."""

from __future__ import annotations

from somsim.report import sentences
from somsim.report.benefits import benefit_lines
from somsim.report.limits import limit_sentences
from somsim.report.page.section import Heading, Manner, Section, Words, told_study
from somsim.report.terminal import caution_lines, rests_on
from somsim.study.compare import Study


def watch(study: Study, manner: Manner) -> Section:
    """What passes a limit, and every caution that the plan calls up."""
    limits = Words(tuple(limit_sentences(study, manner.system)), "list")
    cautions = Words(tuple(caution_lines(study)), "list")
    return Section(
        "watch", "Limits and cautions", (Heading("Limits", (limits,)), Heading("What to watch", (cautions,)))
    )


def beside(study: Study, manner: Manner) -> Section:
    """Benefits that organic matter does not show, and the ground that the result stands on."""
    found: list[Words] = []
    for line in benefit_lines(told_study(study), manner.system):
        if line.startswith("- "):  # a benefit; the lines below it say where it applies
            found += [Words((line[2:],)), Words((), "list")]
        else:
            found[-1] = Words((*found[-1].lines, line.strip()), "list")
    grounds = Words((*sentences.support(study), rests_on(study)), "list")
    title = "What organic matter does not show, and no score adds up"
    return Section(
        "beside", "What else to know", (Heading(title, tuple(found)), Heading("What this rests on", (grounds,)))
    )
