"""The answer, first of all: sentences, with what must not be missed before them."""

from __future__ import annotations

from somsim.report import sentences
from somsim.report.by_beds import beds_sentence
from somsim.report.page.section import Manner, Part, Section, Words, few_told, told_study
from somsim.study.compare import Study


def answer(study: Study, manner: Manner) -> Section:
    """What leaves most, what a green manure is worth, and how sure that is."""
    system = manner.system
    over = sentences.limit_passed(study, system)
    beds = beds_sentence(study, system)
    study = told_study(study)
    rest = [line for line in sentences.answer(study, system) if line not in over]
    parts: list[Part] = [Words((*manner.first, sentences.opening(study), *few_told(study)))]
    if over:
        parts.append(Words(tuple(over), "warning"))
    parts.append(Words((*rest, *([beds] if beds else [])), "answer"))
    for one in study.equivalences:
        lines = [*sentences.worth(one, study, system), *sentences.match(one, study, system)]
        said, counted = [line for line in lines if not line.startswith(" ")], [line for line in lines if line[0] == " "]
        parts += [Words((said[0],)), Words(tuple(line.strip() for line in counted), "list"), Words(tuple(said[1:]))]
    parts.append(Words(tuple(sentences.heap_or_place(loop) for loop in study.loops)))
    return Section("answer", "The answer", tuple(part for part in parts if not isinstance(part, Words) or part.lines))
