"""A field with a button beside it, for words that are not in the plan yet."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import Any

from somsim.planner.parts import VALUE, Part, button

_NUMBERS = itertools.count()


def weighing(label: str, words: str, value: str, press: Callable[[str], Any]) -> Part:
    """Ask for words and do something with them when the button is pressed, or Enter in the field."""
    here = f"asked-{next(_NUMBERS)}"
    typed = {"value": value}

    def take(text: str) -> None:
        typed["value"] = text

    with Part("span", look="asked") as made:
        Part("label", label, for_=here)
        field = Part("input", type="text", id=here, autocomplete="off", dir="auto")
        field.props["data-value"] = value
        field.on("input", lambda event: take(str(event.args)), js_handler=VALUE)
        field.on("keydown.enter", lambda _: press(typed["value"]))
        button(words, lambda: press(typed["value"]))
    return made


class Asked:
    """Fields of a small form by name; what is typed is kept here until it is asked for."""

    def __init__(self) -> None:
        """Begin with no field."""
        self.typed: dict[str, str] = {}

    def field(self, name: str, label: str, value: str = "", hint: str = "", choices: tuple[str, ...] = ()) -> None:
        """Add a field, or a choice."""
        here = f"asked-{next(_NUMBERS)}"
        self.typed[name] = value
        with Part("div", look="entry"):
            Part("label", label, for_=here)
            if choices:
                made = Part("select", id=here)
                with made:
                    for choice in choices:
                        Part("option", choice, value=choice)
            else:
                made = Part("input", type="text", id=here, autocomplete="off", dir="auto")
            made.props["data-value"] = value
            if hint:
                made.props["aria-describedby"] = f"{here}-hint"
                Part("p", hint, "quiet small-words", id=f"{here}-hint")
        made.on("change", lambda event: self._take(name, str(event.args)), js_handler=VALUE)

    def tick(self, name: str, label: str, ticked: bool) -> None:
        """Add something to be ticked."""
        here = f"asked-{next(_NUMBERS)}"
        self.typed[name] = "yes" if ticked else ""
        with Part("div", look="tick"):
            made = Part("input", type="checkbox", id=here, checked="checked" if ticked else None)
            Part("label", label, for_=here)
        ticks = "(e) => emit(e.target.checked ? 'yes' : '')"
        made.on("change", lambda event: self._take(name, str(event.args)), js_handler=ticks)

    def _take(self, name: str, value: str) -> None:
        self.typed[name] = value

    def said(self, name: str) -> str:
        """What was typed."""
        return self.typed[name].strip()
