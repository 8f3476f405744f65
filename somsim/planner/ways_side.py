"""The middle of the page: the strategies, a row for each, with a year strip; one of them is open to be changed."""

from __future__ import annotations

from functools import partial
from typing import Any

from nicegui.element import Element

from somsim.plan.model import Plan
from somsim.planner.desk import Desk
from somsim.planner.kinds import addable
from somsim.planner.parts import Entry, Part, button
from somsim.planner.pictures import strips
from somsim.planner.season_side import more_fields
from somsim.planner.session import Checked
from somsim.planner.spans import Path
from somsim.planner.weighing import weighing
from somsim.report.page.section import letter
from somsim.study.calendar import Round

ALWAYS: Path = ("always",)
NEW: dict[str, dict[str, Any]] = {
    "spread": {"material": "garden compost", "depth": "", "on": "1 Apr", "every": "year", "then": "left on surface"},
    "cover": {"name": "", "sow": "1 Oct", "cut": "1 Apr", "every": "year", "then": "left on surface"},
    "crop": {"name": "", "from": "1 May", "to": "30 Sep", "every": "year", "then": "carted off"},
    "idle": {"as": "weeds"},
    "dig": {"on": "1 Apr", "every": "year"},
}
WORDS = {
    "spread": "spread a material",
    "cover": "grow a cover",
    "crop": "grow a crop",
    "idle": "leave the ground",
    "dig": "dig",
}


class WaysSide:
    """Rows of strategies, and the actions of the one that is open."""

    def __init__(self, desk: Desk, holder: Part) -> None:
        """Make it inside a part of the page."""
        self.desk, self.holder = desk, holder
        self.entries: list[Entry] = []
        self.open: Path | None = None
        self.shape: Any = None
        self.strip_places: dict[str, Part] = {}
        self.drawn: dict[str, Any] = {}
        self.mistake_places: dict[Path, Part] = {}

    def show(self, checked: Checked) -> None:
        """Show the plan as it is now."""
        shape = self._shape()
        if shape != self.shape:
            self.shape = shape
            self._make()
        for entry in self.entries:
            entry.show(checked)
        shown = {entry.path for entry in self.entries}
        for path, place in self.mistake_places.items():
            found = [one.text for one in checked.mistakes if one.path[: len(path)] == path and one.path not in shown]
            place.text = " ".join(found)
        if checked.plan is not None:
            self._draw_strips(checked.plan)

    def _draw_strips(self, plan: Plan) -> None:
        """Draw the years of strategies whose days are others than those drawn."""
        span = plan.start, plan.horizon, plan.site.beds, plan.always
        for name, strip in self.strip_places.items():
            days = (span, plan.strategies.get(name))
            if self.drawn.get(name) != days:
                self.drawn[name] = days
                strip.clear()
                if name in plan.strategies:
                    with strip:
                        _strips(strips(plan, name))

    def _says(self, path: Path) -> Any:
        return self.desk.session.draft.says(path) if self.desk.session is not None else None

    def _shape(self) -> Any:
        strategies = self._says(("strategies",))
        names = tuple(strategies) if isinstance(strategies, dict) else ()
        return names, self.open, _bones(self._says(self.open)) if self.open is not None else None

    def _make(self) -> None:
        self.holder.clear()
        self.entries, self.strip_places, self.mistake_places, self.drawn = [], {}, {}, {}
        strategies = self._says(("strategies",))
        names = list(strategies) if isinstance(strategies, dict) else []
        with self.holder:
            with Part("ol", look="ways"):
                for number, name in enumerate(names):
                    self._row(number, name)
            self._new()
            self._always()

    def _row(self, number: int, name: str) -> None:
        path: Path = ("strategies", name)
        with Part("li", look="way"):
            with Part("div", look="way-head"):
                Part("span", letter(number), f"letter series-{number % 8}", aria_hidden="true")
                with Part("h3"):
                    opened = "true" if self.open == path else "false"
                    button(name, lambda: self._toggle(path), "name", aria_expanded=opened, dir="auto", data_path=name)
            self.strip_places[name] = Part("div", look="strips")
            self.mistake_places[path] = Part("p", "", "told")
            if self.open == path:
                self._opened(path)

    def _toggle(self, path: Path) -> None:
        self.open = None if self.open == path else path
        self.desk.tell()

    def _always(self) -> None:
        with Part("section", look="way"):
            with Part("h3"):
                opened = "true" if self.open == ALWAYS else "false"
                button("What every strategy does", lambda: self._toggle(ALWAYS), "name", aria_expanded=opened)
            self.mistake_places[ALWAYS] = Part("p", "", "told")
            if self.open == ALWAYS:
                self._actions(ALWAYS)

    def _new(self) -> None:
        with Part("div", look="buttons"):
            button("Add a strategy", self._add)

    def _add(self) -> None:
        strategies = self._says(("strategies",)) or {}
        name = _free("another way", strategies)
        self.open = ("strategies", name)
        self.desk.change(lambda session: session.add_strategy(name, {"idle": {"as": "weeds"}}))

    def _opened(self, path: Path) -> None:
        name = str(path[1])
        with Part("div", look="buttons"):
            weighing("New name of this strategy", "Rename", name, lambda new: self._rename(name, new))
            button("Copy", lambda: self._copy(name))
            button("Delete", lambda: self._delete(name))
        self._actions(path)

    def _rename(self, name: str, new: str) -> None:
        before, self.open = self.open, ("strategies", new.strip())
        if not self.desk.change(lambda session: session.rename(name, new)):
            self.open = before

    def _copy(self, name: str) -> None:
        copied = _free(f"{name[:180]}, again", self._says(("strategies",)) or {})
        before, self.open = self.open, ("strategies", copied)
        if not self.desk.change(lambda session: session.copy(name, copied)):
            self.open = before

    def _delete(self, name: str) -> None:
        self.open = None
        self.desk.change(lambda session: session.take_out(("strategies", name)))

    def _actions(self, path: Path) -> None:
        said = self._says(path)
        for number, action in enumerate(said if isinstance(said, list) else ()):
            if isinstance(action, dict) and len(action) == 1:
                ((verb, body),) = action.items()
                self._action((*path, number), str(verb), body)
        with Part("div", look="buttons", role="group", aria_label="Add to this strategy"):
            for verb, words in WORDS.items():
                button(f"+ {words}", partial(self._append, path, verb), "small")

    def _append(self, path: Path, verb: str) -> None:
        self.desk.change(lambda session: session.append(path, {verb: NEW[verb]}))

    def _action(self, path: Path, verb: str, body: Any) -> None:
        with Part("fieldset", look="action"):
            Part("legend", WORDS.get(verb, verb))
            where: Path = (*path, verb)
            if not isinstance(body, dict):
                Part("p", "This is written in a way that can be changed in the text of the plan.", "quiet")
            else:
                for key, value in body.items():
                    self._field((*where, key), value)
                more_fields(addable(where, body), lambda key: self.entries.append(Entry(self.desk, (*where, key))))
            with Part("div", look="buttons"):
                if verb == "cover":
                    button("Add a cut", lambda: self._cut((*where, "cut")), "small")
                button("Take this out", lambda: self.desk.change(lambda session: session.take_out(path)), "small")

    def _field(self, path: Path, value: Any) -> None:
        if isinstance(value, str):
            self.entries.append(Entry(self.desk, path))
        elif isinstance(value, list) and path[-1] == "cut":
            for number, cut in enumerate(value):
                self._one_cut((*path, number), cut, len(value))
        elif isinstance(value, dict):
            for key, below in value.items():
                if isinstance(below, str):
                    self.entries.append(Entry(self.desk, (*path, key), f"{path[-1]}: {key}".replace("_", " ")))

    def _one_cut(self, path: Path, cut: Any, count: int) -> None:
        label = f"cut {int(path[-1]) + 1}"
        if isinstance(cut, dict):
            for key, value in cut.items():
                if isinstance(value, str):
                    self.entries.append(Entry(self.desk, (*path, key), f"{label}: {key}".replace("_", " ")))
        else:
            self.entries.append(Entry(self.desk, path, label))
        if count > 1:
            button(f"Take {label} out", lambda: self.desk.change(lambda session: session.take_out(path)), "small")

    def _cut(self, path: Path) -> None:
        said = self._says(path)
        last = said[-1] if isinstance(said, list) and said else said
        day = last.get("on") if isinstance(last, dict) else last
        self.desk.change(lambda session: session.append(path, str(day or "1 Apr")))


def _bones(said: Any) -> Any:
    """The shape of a part without its words: what fields there are."""
    if isinstance(said, dict):
        return tuple((key, _bones(value)) for key, value in said.items())
    return tuple(_bones(value) for value in said) if isinstance(said, list) else None


def _free(name: str, taken: Any) -> str:
    number, found = 1, name
    while found in taken:
        number += 1
        found = f"{name} {number}"
    return found


MOST_STRIPS = 3


def _strips(found: Any) -> None:
    for number, (label, one) in enumerate(found):
        if number == MOST_STRIPS:
            Part("p", "More kinds of year follow.", "quiet")
            return
        _strip(label, one)


def _strip(label: str, one: Round) -> Element:
    """A year as a row of blocks, the first day at the left; for a screen reader as one sentence."""
    words = "; ".join(
        [f"{each.what} from {each.first:%d %b} to {each.last:%d %b}" for each in one.standing]
        + [f"{deed.date:%d %b}: {deed.what}" for deed in one.deeds]
    )
    with Part("div", look="year", role="img", aria_label=f"{label}: {words}") as made:
        with Part("div", look="strip", aria_hidden="true"):
            for each in one.standing:
                place = f"left:{100 * each.begin:.2f}%;width:{100 * (each.end - each.begin):.2f}%"
                Part("span", each.what, f"block {each.kind.replace(' ', '-')}", title=each.what).style(place)
            for deed in one.deeds:
                Part("span", "", "mark", title=deed.what).style(f"left:{100 * deed.place:.2f}%")
        Part("span", label, "quiet small-words", aria_hidden="true")
    return made
