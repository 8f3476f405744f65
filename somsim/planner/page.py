"""The page put together: what is at the top, the three sides, and how they follow the plan."""

from __future__ import annotations

from typing import Any

from nicegui import ui

from somsim.errors import InputError
from somsim.planner.answer_side import AnswerSide
from somsim.planner.beginning_side import BeginningSide
from somsim.planner.desk import Desk, told
from somsim.planner.folder import ChangedOnDisk
from somsim.planner.forms import Fills, MatchForm, TextForm
from somsim.planner.kinds import names
from somsim.planner.parts import Part, button
from somsim.planner.season_side import SeasonSide
from somsim.planner.session import Checked
from somsim.planner.ways_side import WaysSide
from somsim.planner.weighing import weighing

LISTS = ("materials", "covers", "crops", "climates", "soils")


class Page:
    """One page that is open in a browser."""

    def __init__(self, desk: Desk) -> None:
        """Build it, and keep it as the plan is."""
        self.desk = desk
        self.client = ui.context.client
        self.top = Part("header", look="top")
        self.main = Part("div", look="desk")
        self.built_for: object = None
        self.conflict: str | None = None
        self.lists()
        desk.pages.append(self.show)
        self.client.on_delete(self.gone)
        self.show()

    def gone(self) -> None:
        """Stop following the plan."""
        if self.show in self.desk.pages:
            self.desk.pages.remove(self.show)
        thinking = getattr(self, "thinking", None)
        if thinking is not None and self.think in thinking.watchers:
            thinking.watchers.remove(self.think)

    def lists(self) -> None:
        """What the library has, offered while a name is typed."""
        for table in LISTS:
            with Part("datalist", id=f"names-{table}"):
                for name in names(table):
                    Part("option", value=name)

    def show(self) -> None:
        """Look at the desk again."""
        with self.client:
            if self.built_for is not self.desk.session or self.desk.session is None:
                self._build()
            self._follow()

    def think(self) -> None:
        """Show what was found out."""
        with self.client:
            self._follow()

    def _build(self) -> None:
        if self.built_for is None and self.desk.session is None and self.main.default_slot.children:
            return
        self.built_for = self.desk.session
        self.top.clear()
        self.main.clear()
        if self.desk.session is None or self.desk.thinking is None:
            with self.top:
                Part("h1", "somsim planner")
            with self.main:
                self.notice = Part("p", "", "notice", role="alert")
                BeginningSide(self.desk)
            return
        self.thinking = self.desk.thinking
        self.thinking.watchers.append(self.think)
        self.desk.session.watchers.append(self.think)
        self._top()
        self._sides()

    def _top(self) -> None:
        with self.top:
            self.title = Part("h1", "", dir="auto")
            self.file = Part("p", "", "quiet")
            with Part("div", look="buttons", role="toolbar", aria_label="The plan"):
                self.undo = button("Undo", lambda: self.desk.change(lambda session: session.undo()), data_path="undo")
                self.redo = button("Redo", lambda: self.desk.change(lambda session: session.redo()), data_path="redo")
                button("Save", lambda: self._save(None), "strong", data_path="save")
                weighing("Save as", "Save under this name", self._name(), self._save)
                self.units = button("Show US units", self._units)
            self.notice = Part("p", "", "notice", role="alert")
            self.asking = Part("div", look="asking", role="alert")

    def _name(self) -> str:
        return self.desk.session.name if self.desk.session is not None else ""

    def _sides(self) -> None:
        with self.main:
            with Part("section", look="side season", aria_label="The season and the soil"):
                Part("h2", "The season and the soil")
                season = Part("div")
            with Part("section", look="side ways-side", aria_label="Strategies"):
                Part("h2", "Strategies")
                ways = Part("div")
                matching = self._fold("How many would match?")
                filling = self._fold("Sums that fill in a field")
                text = self._fold("The plan as text")
            with Part("section", look="side answers", aria_label="The answer"):
                Part("h2", "The answer")
                answers = Part("div")
        self.season = SeasonSide(self.desk, season)
        self.ways = WaysSide(self.desk, ways)
        self.answers = AnswerSide(self.desk, answers, self.client.run_javascript)
        self.match = MatchForm(self.desk, matching, lambda: self.answers.system)
        self.fills = Fills(self.desk, filling, lambda: self.ways.open)
        self.text = TextForm(self.desk, text)

    def _fold(self, title: str) -> Part:
        with Part("details", look="more"):
            Part("summary", title)
            return Part("div", look="fold")

    def _follow(self) -> None:
        session = self.desk.session
        self.notice.text = self.desk.notice
        if session is None or self.built_for is not session:
            return
        checked = session.check()
        readable = session.draft.readable
        said: Any = session.draft.says(("title",)) if readable else None
        self.title.text = said if isinstance(said, str) and said else "A plan without a title"
        self.file.text = f"{session.name}: " + ("not saved yet" if session.unsaved else "saved")
        self.undo.props["disabled"] = not session.draft.done
        self.redo.props["disabled"] = not session.draft.undone
        if readable:
            self.season.show(checked)
            self.ways.show(checked)
            self.match.show()
        self.text.show()
        self._elsewhere(checked)
        self.answers.show(self.thinking.now)
        self.client.run_javascript("somsimFocus()")

    def _elsewhere(self, checked: Checked) -> None:
        """Mistakes that stand at no field of the page are told at the top."""
        shown = {entry.path for entry in [*self.season.entries, *self.ways.entries]}
        ways = list(self.ways.mistake_places)
        loose = [
            one.text
            for one in checked.mistakes
            if one.path not in shown and not any(one.path[: len(way)] == way for way in ways)
        ]
        self.notice.text = " ".join([part for part in (self.desk.notice, *loose) if part])

    def _units(self) -> None:
        self.answers.system = "us" if self.answers.system == "metric" else "metric"
        self.units.text = "Show metric units" if self.answers.system == "us" else "Show US units"
        self._follow()

    def _save(self, name: str | None, *, over: bool = False) -> None:
        session = self.desk.session
        if session is None:
            return
        self.asking.clear()
        wanted = None if name is None or name.strip() == session.name else name.strip()
        try:
            session.save(wanted, over=over)
        except ChangedOnDisk as error:
            with self.asking:
                Part("p", " ".join(told(error)))
                with Part("div", look="buttons"):
                    button("Write over it", lambda: self._save(name, over=True))
                    if wanted is None:
                        button("Take the file as it is now, and lose these changes", self._anew)
                    button("Leave both as they are", self.asking.clear)
        except InputError as error:
            self.desk.say(" ".join(told(error)))
        else:
            self.desk.say(f"Saved to {session.name}.")

    def _anew(self) -> None:
        self.asking.clear()
        self.desk.change(lambda session: session.load_anew())
