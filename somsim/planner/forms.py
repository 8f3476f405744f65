"""Small forms below the strategies: how many would match, what a sample or a load comes to, the text of the plan."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any

from somsim.errors import InputError
from somsim.planner.desk import Desk, told
from somsim.planner.parts import VALUE, Part, button
from somsim.planner.session import Session
from somsim.planner.spans import Path
from somsim.planner.thinking import Cancelled
from somsim.planner.weighing import Asked
from somsim.report.matching import sentences as match_sentences
from somsim.report.words import System
from somsim.study.match import WAYS
from somsim.units import Amount, UnitError, parse_amount


class MatchForm:
    """How many of a cover would match a compost: two strategies, one press."""

    def __init__(self, desk: Desk, holder: Part, system: Callable[[], System]) -> None:
        """Make it inside a part of the page."""
        self.desk, self.holder, self.system = desk, holder, system
        self.shape: Any = None

    def show(self) -> None:
        """Offer the strategies that there are."""
        shape = self._with("cover"), self._with("spread")
        if shape == self.shape:
            return
        self.shape = shape
        covers, composts = shape
        self.holder.clear()
        with self.holder:
            if not covers or not composts:
                Part("p", "One strategy has to grow a cover, and another to spread something.", "quiet")
                return
            self.asked = Asked()
            self.asked.field("cover", "The cover of", covers[0], choices=covers)
            self.asked.field("compost", "to match what is spread in", composts[0], choices=composts)
            self.asked.field("by", "counted in", "cuts", choices=WAYS)
            with Part("div", look="buttons"):
                button("How many would match?", self._ask, data_path="match")
            self.answer = Part("div", role="status", id="matched")

    def _with(self, verb: str) -> tuple[str, ...]:
        said = self.desk.session.draft.says(("strategies",)) if self.desk.session is not None else None
        found = said if isinstance(said, dict) else {}
        return tuple(
            name
            for name, actions in found.items()
            if isinstance(actions, list) and any(isinstance(one, dict) and verb in one for one in actions)
        )

    async def _ask(self) -> None:
        thinking = self.desk.thinking
        if thinking is None:
            return
        self._say(["Being worked out."], stop=True)
        asked = self.asked
        by = next(way for way in WAYS if way == asked.said("by"))
        try:
            found = await thinking.match(asked.said("cover"), asked.said("compost"), by)
        except InputError as error:
            self._say(told(error))
        except Cancelled:
            self._say(["Given up."])
        else:
            self._say(match_sentences(found, self.system()))

    def _say(self, lines: list[str], *, stop: bool = False) -> None:
        self.answer.clear()
        with self.answer:
            for line in lines:
                Part("p", line, dir="auto")
            if stop and self.desk.thinking is not None:
                button("Stop", self.desk.thinking.cancel, "small")


class Fills:
    """Envelope sums that fill a field in: a weighed sample becomes the dry mass of a cover, a load becomes a depth."""

    def __init__(self, desk: Desk, holder: Part, open_way: Callable[[], Path | None]) -> None:
        """Make both forms inside a part of the page."""
        self.desk, self.open_way = desk, open_way
        with holder:
            Part("p", "Open a strategy first: what is found is written into its first cover or spreading.", "quiet")
            Part("h4", "A cut sample, weighed")
            self.sample = Asked()
            self.sample.field("fresh", "fresh weights, with commas between", hint="1.9 kg, 2.3 kg, 2.6 kg")
            self.sample.field("area", "ground of one sample", hint="0.5 m2")
            self.sample.field("dry_matter", "dry matter in it", hint="17 %")
            with Part("div", look="buttons"):
                button("Write the dry mass into the cover", self._sampled)
            Part("h4", "A load of material")
            self.load = Asked()
            self.load.field("volume", "how much there is", hint="2 m3")
            self.load.field("area", "the beds it goes onto", hint="108 m2")
            with Part("div", look="buttons"):
                button("Write the depth into the spreading", self._loaded)
            self.answer = Part("p", "", role="status", id="filled")

    def _sampled(self) -> None:
        from somsim.study.envelope_sample import SampleTyped, sample_study

        try:
            weights = [one.strip() for one in self.sample.said("fresh").split(",") if one.strip()]
            typed = SampleTyped(
                fresh=tuple(_read("fresh weights", one, "mass") for one in weights),
                area=(_read("ground of one sample", self.sample.said("area"), "area"),),
                dry_matter=_read("dry matter in it", self.sample.said("dry_matter"), "share"),
            )
            found = sample_study(typed).for_plan
        except InputError as error:
            self.answer.text = " ".join(told(error))
            return
        ends = (f"{found.low:.3g}", f"{found.high:.3g}")
        amount = f"{ends[0]} to {ends[1]} kg/m2" if ends[0] != ends[1] else f"{ends[0]} kg/m2"
        self._write("cover", "dry_tops", amount)

    def _loaded(self) -> None:
        try:
            volume = _read("how much there is", self.load.said("volume"), "volume")
            area = _read("the beds it goes onto", self.load.said("area"), "area")
        except InputError as error:
            self.answer.text = " ".join(told(error))
            return
        self._write("spread", "depth", f"{1000.0 * volume.best / area.best:.3g} mm")

    def _write(self, verb: str, key: str, amount: str) -> None:
        way, session = self.open_way(), self.desk.session
        said = session.draft.says(way) if session is not None and way is not None else None
        for number, action in enumerate(said if isinstance(said, list) else ()):
            if way is not None and isinstance(action, dict) and verb in action:
                if self.desk.change(partial(_put, path=(*way, number, verb, key), amount=amount)):
                    self.answer.text = f"{key.replace('_', ' ')}: {amount} is written into {way[-1]}."
                return
        self.answer.text = f"No strategy is open that has a {verb}."


def _put(session: Session, path: Path, amount: str) -> None:
    session.put(path, amount)


def _read(label: str, text: str, dimension: str) -> Amount:
    from somsim.errors import Problem

    try:
        found = parse_amount(text, dimension)
    except UnitError as error:
        raise InputError([Problem(f"{label}: {error.message}", hint=error.hint)], "nothing was written.") from None
    if found.low <= 0.0:
        raise InputError([Problem(f"{label}: {text} is not more than nought")], "nothing was written.")
    return found


class TextForm:
    """The whole text of the plan, for what has no field."""

    def __init__(self, desk: Desk, holder: Part) -> None:
        """Make it inside a part of the page."""
        self.desk = desk
        self.revision = -1
        self.typed = ""
        with holder:
            Part("label", "The plan as text", for_="plan-text")
            self.area = Part("textarea", id="plan-text", rows="24", spellcheck="false", dir="auto", wrap="off")
            self.area.on("change", lambda event: self._take(str(event.args)), js_handler=VALUE)
            with Part("div", look="buttons"):
                button("Take this text", self._write)
                button("Show it as it is now", self._again)

    def _take(self, text: str) -> None:
        self.typed = text

    def show(self) -> None:
        """Show the text, unless somebody is writing in it."""
        session = self.desk.session
        if session is None or self.revision == session.draft.revision:
            return
        if self.typed == self.area.props.get("data-value", ""):
            self._again()

    def _again(self) -> None:
        session = self.desk.session
        if session is not None:
            self.revision, self.typed = session.draft.revision, session.draft.text
            self.area.props["data-value"] = self.typed
            self.area.props["data-again"] = str(self.revision)

    def _write(self) -> None:
        text, seen = self.typed, self.revision
        if self.desk.change(lambda session: session.write(text, was=seen)):
            self._again()
