"""A report taken apart by the parser of the standard library, as somebody would who has never seen how it was made."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from typing import Any

ALONE = frozenset({"meta", "link", "br", "input", "path", "line"})


@dataclass
class Element:
    tag: str
    attributes: dict[str, str]
    parent: Element | None
    children: list[Element] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)

    @property
    def text(self) -> str:
        """Its own text and that of all below it, in order."""
        return "".join(self.texts)

    def all(self, tag: str) -> list[Element]:
        found = [self] if self.tag == tag else []
        return found + [one for child in self.children for one in child.all(tag)]


class Taken(HTMLParser):
    """The page as a tree."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.top = Element("", {}, None)
        self._at = self.top
        self.feed(page)
        self.close()
        assert self._at is self.top, f"<{self._at.tag}> is not closed"

    def handle_starttag(self, tag: str, attrs: Any) -> None:
        made = Element(tag, {name: value or "" for name, value in attrs}, self._at)
        self._at.children.append(made)
        if tag not in ALONE:
            self._at = made

    def handle_startendtag(self, tag: str, attrs: Any) -> None:
        self._at.children.append(Element(tag, {name: value or "" for name, value in attrs}, self._at))

    def handle_endtag(self, tag: str) -> None:
        if tag in ALONE:
            return
        assert self._at.tag == tag, f"</{tag}> closes <{self._at.tag}>"
        assert self._at.parent is not None
        self._at = self._at.parent

    def handle_data(self, data: str) -> None:
        at: Element | None = self._at
        while at is not None:
            at.texts.append(data)
            at = at.parent


def section(page: Element, name: str) -> Element:
    (found,) = [one for one in page.all("section") if one.attributes["id"] == name]
    return found


def table(part: Element, caption: str) -> dict[str, list[str]]:
    """The rows of the first table with a caption that begins so: head of the row, then the text of its cells."""
    found = next(one for one in part.all("table") if one.all("caption")[0].text.startswith(caption))
    return {row.all("th")[0].text: [cell.text for cell in row.all("td")] for row in found.all("tbody")[0].all("tr")}
