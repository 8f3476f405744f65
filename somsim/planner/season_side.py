"""The left of the page: the plan's title and span, the place, the soil as it stands, and prices."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from somsim.planner.desk import Desk
from somsim.planner.kinds import addable
from somsim.planner.parts import Entry, Part, button
from somsim.planner.session import Checked
from somsim.planner.spans import Path

ALWAYS_SHOWN: tuple[Path, ...] = (("title",), ("start",), ("horizon",), ("compare_with",))
PLACE: tuple[Path, ...] = (("site", "climate"), ("site", "shelter"))


class SeasonSide:
    """Fields of all that the strategies share."""

    def __init__(self, desk: Desk, holder: Part) -> None:
        """Make it inside a part of the page."""
        self.desk, self.holder = desk, holder
        self.entries: list[Entry] = []
        self.shape: Any = None

    def show(self, checked: Checked) -> None:
        """Show the plan as it is now; fields are made anew only when there are others."""
        shape = self._shape()
        if shape != self.shape:
            self.shape = shape
            self._make()
        for entry in self.entries:
            entry.show(checked)

    def _shape(self) -> Any:
        said = self._says(())
        site = said.get("site") if isinstance(said, dict) else None
        site = site if isinstance(site, dict) else {}
        return (
            type(site.get("climate")),
            tuple(site.get("beds") or ()),
            tuple(site.get("soil") or ()),
            tuple(self._materials()),
            bool(said.get("money")) if isinstance(said, dict) else False,
        )

    def _says(self, path: Path) -> Any:
        return self.desk.session.draft.says(path) if self.desk.session is not None else None

    def _make(self) -> None:
        self.holder.clear()
        self.entries = []
        with self.holder:
            self._group("The plan", ALWAYS_SHOWN)
            climate = isinstance(self._says(("site", "climate")), dict)
            self._group("The place", PLACE[1:] if climate else PLACE)
            if climate:
                Part("p", "Months of your own: change them in the text of the plan.", "quiet")
            self._group("The beds", self._below(("site", "beds")))
            soil: Path = ("site", "soil")
            self._group("The soil as it stands", self._below(soil))
            self._more(soil)
            self._money()

    def _group(self, title: str, paths: tuple[Path, ...]) -> None:
        Part("h3", title)
        self.entries += [Entry(self.desk, path) for path in paths]

    def _below(self, path: Path) -> tuple[Path, ...]:
        said = self._says(path)
        if not isinstance(said, dict):
            return ()
        return tuple((*path, key) for key, value in said.items() if isinstance(value, str))

    def _more(self, path: Path) -> None:
        said = self._says(path)
        more_fields(addable(path, said or ()), lambda key: self.entries.append(Entry(self.desk, (*path, key))))

    def _materials(self) -> list[str]:
        said = self._says(("strategies",))
        found: dict[str, None] = {}
        for actions in said.values() if isinstance(said, dict) else ():
            for action in actions if isinstance(actions, list) else ():
                spread = action.get("spread") if isinstance(action, dict) else None
                if isinstance(spread, dict) and isinstance(spread.get("material"), str) and spread["material"]:
                    found[spread["material"]] = None
        return list(found)

    def _money(self) -> None:
        Part("h3", "Money")
        if not isinstance(self._says(("money",)), dict):
            Part("p", "Without prices, hours and food are told, and no money.", "quiet")
            button("Give prices", self._begin_money)
            return
        self.entries.append(Entry(self.desk, ("money", "currency")))
        if isinstance(self._says(("money", "prices")), dict):
            for name in self._materials():
                self.entries.append(Entry(self.desk, ("money", "prices", name), f"price of {name}"))
        self.entries.append(Entry(self.desk, ("money", "wage")))

    def _begin_money(self) -> None:
        prices = dict.fromkeys(self._materials(), "")
        self.desk.change(lambda session: session.put(("money",), {"currency": "EUR", "prices": prices}))


def more_fields(keys: tuple[str, ...], add: Callable[[str], Any]) -> None:
    """Buttons for further fields; the one that is pressed appears above them, empty."""
    if not keys:
        return
    with Part("details", look="more"):
        Part("summary", "More that can be said")
        place = Part("div")
        with Part("div", look="buttons"):
            for key in keys:
                _more_button(key, place, add)


def _more_button(key: str, place: Part, add: Callable[[str], Any]) -> None:
    def press() -> None:
        made.set_visibility(False)
        with place:
            add(key)

    made = button(key.replace("_", " "), press, "small")
