"""Every number used, the plan itself, and how to make the report again."""

from __future__ import annotations

from somsim.plan import write_plan
from somsim.report.explanation import KNOWN, in_words, source_of
from somsim.report.page.section import Grid, Heading, Manner, Section, Text, Words
from somsim.study.compare import Study
from somsim.version import VERSION


def numbers(study: Study, manner: Manner) -> Section:
    """Each number with its range, how it is known, and where it comes from; then the sources in full."""
    library = study.figures.library
    used = [study.figures.unknowns[name] for name in study.used]
    rows = tuple((one.label, (in_words(one), KNOWN[one.known], source_of(one, library))) for one in used)
    table = Grid("Every number used, in base units", ("value, with its range", "known", "source"), rows, wide=True)
    cited = sorted({one.source for one in used if one.source in library.sources})
    sources = tuple(
        ". ".join(part for part in (row.authors, row.year, row.title, row.where) if part)
        for row in (library.sources[key] for key in cited)
    )
    return Section(
        "numbers",
        "Every number used",
        (
            Words(
                ("How it is known: read in a publication, worked out from one, from memory, judged, or your own plan.",)
            ),
            table,
            Heading("Sources", (Words(sources, "list"),)),
        ),
    )


def plan(study: Study, manner: Manner) -> Section:
    """The plan as it was run."""
    lines = study.plan.source.lines
    text = "\n".join(lines) if lines else write_plan(study.plan)
    return Section(
        "plan", "The plan", (Text("The plan as it was run; plan.yaml beside this page has the same text.", text),)
    )


def making(study: Study, manner: Manner) -> Section:
    """Version, day, seed and command."""
    rows = (
        ("version", (f"somsim {VERSION}",)),
        ("written", (manner.written,)),
        ("possible worlds", (str(study.draws),)),
        ("seed", (str(study.seed),)),
        ("engine", (study.engine,)),
        ("command", (manner.command,)),
    )
    said = (
        "The figures are estimates for weighing up. Rules on nitrogen, manure and food safety differ by place: a limit "
        "or a caution shown here is a reason to ask, and its absence no permission. Nothing here replaces a soil test, "
        "a compost analysis, or whoever certifies you."
    )
    return Section("making", "How this was made", (Grid("How to make it again", ("",), rows), Words((said,))))
