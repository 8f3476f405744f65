"""The small parts of the page: a tag with words, a button, a field with its label, its slider and its mistakes."""

from __future__ import annotations

import datetime
import itertools
import json
import re
from collections.abc import Callable
from typing import Any

from nicegui.elements.mixins.text_element import TextElement

from somsim.planner.desk import Desk
from somsim.planner.kinds import kind_of
from somsim.planner.session import Checked
from somsim.planner.spans import Path

_NUMBERS = itertools.count()
_DAY = re.compile(r"(\d{1,2}) ([A-Z][a-z]{2})")
MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"]
VALUE = "(e) => emit(e.target.value)"  # what the browser tells of an event: what the field holds
YEAR = 2027  # any year without a leap day


class Part(TextElement):
    """One element of the page; its words are text and never markup."""

    def __init__(self, tag: str, text: str = "", look: str = "", **attributes: Any) -> None:
        """Make an element of a tag; an underscore in an attribute's name stands for a dash, one at its end for none."""
        super().__init__(tag=tag, text=text)
        if look:
            self.classes(look)
        for name, value in attributes.items():
            if value is not None:
                self.props[name.rstrip("_").replace("_", "-")] = value


def button(words: str, press: Callable[[], Any], look: str = "", **attributes: Any) -> Part:
    """A button."""
    made = Part("button", words, look, type="button", **attributes)
    made.on("click", lambda _: press())
    return made


def marked(path: Path) -> str:
    """A path as the page's script knows a field by it."""
    return json.dumps(path, ensure_ascii=False)


def day_number(text: str) -> int | None:
    """The day of the year of a day without a year, 1 to 365; None for anything else.

    >>> day_number("1 Feb"), day_number("2027-02-01")
    (32, None)
    """
    found = _DAY.fullmatch(text.strip())
    if found is None or found[2] not in MONTHS:
        return None
    try:
        return datetime.date(YEAR, MONTHS.index(found[2]) + 1, int(found[1])).timetuple().tm_yday
    except ValueError:
        return None


def day_words(number: int) -> str:
    """A day of the year as a plan says it.

    >>> day_words(32)
    '1 Feb'
    """
    day = datetime.date(YEAR, 1, 1) + datetime.timedelta(days=min(max(number, 1), 365) - 1)
    return f"{day.day} {MONTHS[day.month - 1]}"


class Entry:
    """A field of the plan: words to type or choose, for a day also a slider, and below it what is wrong."""

    def __init__(self, desk: Desk, path: Path, label: str | None = None) -> None:
        """Show what stands at a path."""
        self.desk, self.path = desk, path
        self.value = self._says()
        kind, self.id = kind_of(path), f"field-{next(_NUMBERS)}"
        self.label = label or kind.label
        with Part("div", look="entry") as self.whole:
            Part("label", self.label, for_=self.id, title=kind.help or None)
            described = f"{self.id}-told"
            common = {"id": self.id, "data_path": marked(path), "aria_describedby": described}
            if kind.choices and self.value in ("", *kind.choices):
                self.input = Part("select", **common)
                with self.input:
                    for choice in dict.fromkeys(("", *kind.choices)):
                        Part("option", choice, value=choice)
            else:
                listed = f"names-{kind.table}" if kind.table else None
                self.input = Part(
                    "input", type="text", autocomplete="off", dir="auto", spellcheck="false", list=listed, **common
                )
            self.input.props["data-value"] = self.value
            self.input.on("change", lambda event: self._typed(str(event.args)), js_handler=VALUE)
            self.slider = self._slider() if kind.day else None
            self.told = Part("p", "", "told", id=described)

    def _slider(self) -> Part:
        number = day_number(self.value)
        made = Part(
            "input", type="range", min="1", max="365", step="1", look="slide", aria_label=f"{self.label}, by sliding"
        )
        made.props["data-value"] = str(number or 1)
        made.props["data-slides"] = self.id
        made.on("change", lambda event: self._slid(event.args), js_handler=VALUE)
        made.set_visibility(number is not None)
        return made

    def _says(self) -> str:
        said = self.desk.session.draft.says(self.path) if self.desk.session is not None else None
        return said if isinstance(said, str) else ""

    def _slid(self, number: Any) -> None:
        self._typed(day_words(int(number)))

    def _typed(self, value: str) -> None:
        shown = self.value
        self.value = value.strip()
        if not self.desk.change(lambda session: session.put(self.path, value.strip(), was=shown)):
            self.value = self._says()
            self._write()

    def _write(self) -> None:
        self.input.props["data-value"] = self.value
        self.input.props["data-again"] = str(next(_NUMBERS))
        if self.slider is not None:
            number = day_number(self.value)
            self.slider.props["data-value"] = str(number or 1)
            self.slider.set_visibility(number is not None)

    def show(self, checked: Checked) -> None:
        """Show what stands there now, and what is wrong with it."""
        now = self._says()
        if now != self.value or self.input.props.get("data-value") != now:
            self.value = now
            self._write()
        said = " ".join(one.text for one in checked.at(self.path))
        if said != self.told.text:
            self.told.text = said
            if said:
                self.input.props["aria-invalid"] = "true"
            else:
                self.input.props.pop("aria-invalid", None)
