"""The right of the page: the answer in the words of `somsim compare`, two charts, and what comes a moment later."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence
from typing import Any

from somsim.planner.desk import Desk
from somsim.planner.parts import Part, button
from somsim.planner.pictures import change_chart, years_chart
from somsim.planner.thinking import Thought
from somsim.report import sentences
from somsim.report.embed import Drawing, embeddable
from somsim.report.words import System
from somsim.study.compare import Study

CHARTS = ("chart-years", "chart-change")


class AnswerSide:
    """The answer to the plan as it is; while something is wrong, the last one that held, marked as such."""

    def __init__(self, desk: Desk, holder: Part, script: Callable[[str], Any]) -> None:
        """Make it inside a part of the page; ``script`` runs something in the browser."""
        self.desk, self.script = desk, script
        self.system: System = "metric"
        self.shown: Any = None
        with holder:
            self.state = Part("p", "", "state", role="status")
            with Part("div", look="buttons"):
                self.cancel = button("Stop working it out", self._stop, "small")
            self.sentences = Part("div", look="answer", id="answer")
            for name, title in zip(CHARTS, ("Through the years", "By the end"), strict=True):
                Part("h3", title)
                setattr(self, name.replace("-", "_"), Part("div", look="chart", id=name, role="img", aria_label=title))
            self.whole = Part("div", id="whole")
        self.cancel.set_visibility(False)

    def _stop(self) -> None:
        if self.desk.thinking is not None:
            self.desk.thinking.cancel()

    def show(self, thought: Thought) -> None:
        """Show what is known by now."""
        self._state(thought)
        quick = thought.quick
        key = (thought.quick_revision, self.system)
        if quick is not None and self.shown != key:
            self.shown = key
            self.sentences.clear()
            with self.sentences:
                Part("p", sentences.opening(quick), "quiet")
                for line in sentences.answer(quick, self.system):
                    Part("p", line, "warning" if line.startswith("OVER A LIMIT") else "", dir="auto")
            for drawing in (years_chart(quick), change_chart(quick, self.system)):
                self._draw(drawing)
        whole = (thought.whole_revision, self.system)
        if thought.whole is not None and getattr(self, "shown_whole", None) != whole:
            self.shown_whole = whole
            self.whole.clear()
            with self.whole:
                _rest(thought.whole, self.system)
        self.whole.classes(
            add="old" if thought.whole_revision != thought.revision else "",
            remove="old" if thought.whole_revision == thought.revision else "",
        )

    def _state(self, thought: Thought) -> None:
        count = len(thought.checked.mistakes)
        working = thought.steps > 0
        if count:
            words = f"{count} mistake{'s' if count > 1 else ''}: "
            words += "what you see is the answer before." if thought.quick else "mend this first."
        elif working:
            words = f"Working out worth, costs and cautions: {thought.done} of {thought.steps} parts."
        elif thought.quick is not None and thought.whole_revision != thought.revision:
            words = "Answered; worth, costs and cautions follow when nothing changes for a moment."
        else:
            words = "All of it is worked out." if thought.whole is not None else "Reading the plan."
        self.state.text = words
        self.cancel.set_visibility(working)

    def _draw(self, drawing: Drawing) -> None:
        place: Part = getattr(self, drawing.name.replace("-", "_"))
        place.props["aria-label"] = drawing.alternative
        self.script(f"somsimDraw({drawing.name!r}, {embeddable(drawing.specification)})")


def _rest(study: Study, system: System) -> None:
    """What `somsim compare` prints below its first sentences, in the same words."""
    for one in study.equivalences:
        Part("h3", f"What {one.cover} is worth", dir="auto")
        for line in [*sentences.worth(one, study, system), *sentences.match(one, study, system)]:
            Part("p", line.strip(), dir="auto")
    for title, lines in printed(study, system):
        with Part("details", look="more"):
            Part("summary", title)
            Part("pre", "\n".join(lines), tabindex="0", dir="auto", aria_label=title, role="region")


def printed(study: Study, system: System) -> Sequence[tuple[str, list[str]]]:
    """Parts of the terminal's answer, line by line."""
    from rich.console import Console

    from somsim.report.limits import show_limits
    from somsim.report.terminal import show_decision, show_watch, strategy_tables

    def lines(show: Callable[[Console], object]) -> list[str]:
        out = io.StringIO()
        show(Console(file=out, width=80, markup=False, highlight=False, emoji=False, color_system=None))
        return [line.rstrip() for line in out.getvalue().strip("\n").split("\n")]

    def figures(console: Console) -> None:
        for table in strategy_tables(study, console.width, system):
            console.print(table)

    return (
        ("What it costs and brings", lines(lambda console: show_decision(study, console, system))),
        ("Figures of the strategies", lines(figures)),
        ("Limits", lines(lambda console: show_limits(study, console, system))),
        ("What to watch", lines(lambda console: show_watch(study, console))),
    )
