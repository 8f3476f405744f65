"""Where a planner begins without a plan: five questions, or a plan of the folder."""

from __future__ import annotations

from functools import partial

from somsim.errors import InputError
from somsim.planner.beginning import WAYS, Answers, plan_of
from somsim.planner.desk import Desk, told
from somsim.planner.kinds import kind_of, names
from somsim.planner.parts import Part, button
from somsim.planner.weighing import Asked

USUAL_METHOD = "loss on ignition"  # as in the starter


class BeginningSide:
    """Five questions about the place and what is weighed up, and the plans that are there already."""

    def __init__(self, desk: Desk) -> None:
        """Make it inside the part of the page that is open."""
        self.desk, self.asked = desk, Asked()
        with Part("div", look="beginning"):
            self._plans()
            Part("h2", "Begin with five questions")
            self._place()
            self._soil()
            self._weighed()
            with Part("div", look="buttons"):
                button("Make the plan", self._make, "strong", data_path="make")

    def _plans(self) -> None:
        found = self.desk.folder.plans()
        if not found:
            return
        Part("h2", "Open a plan of this folder")
        with Part("div", look="buttons"):
            for name in found:
                button(name, partial(self._open, name))

    def _place(self) -> None:
        climates = tuple(one for one in names("climates") if one != "reference")
        with Part("fieldset"):
            Part("legend", "1. Where is it?")
            self.asked.field(
                "climate", "The nearest of these", climates[0], "Your own months can be put in later.", climates
            )
        with Part("fieldset"):
            Part("legend", "2. How big is it?")
            self.asked.field("count", "how many beds", "4")
            self.asked.field("length", "length of one", "10 m")
            self.asked.field("width", "width of one", "1.2 m")
            self.asked.field("paths", "width of the path beside it", "0.4 m")
        with Part("fieldset"):
            Part("legend", "3. Covered or open?")
            shelters = kind_of(("site", "shelter")).choices
            self.asked.field("shelter", "shelter", shelters[0], choices=shelters)

    def _soil(self) -> None:
        with Part("fieldset"):
            Part("legend", "4. What soil?")
            self.asked.field("texture", "texture", "loam", choices=names("soils"))
            self.asked.field("organic_matter", "organic matter by a soil test", "3.0 %", "A range will do: 2 to 4 %.")
            methods = tuple(one for one in kind_of(("site", "soil", "method")).choices if one != "carbon")
            self.asked.field("method", "how the laboratory measured it", USUAL_METHOD, choices=methods)

    def _weighed(self) -> None:
        with Part("fieldset"):
            Part("legend", "5. What are you weighing up?")
            for key, words in WAYS.items():
                self.asked.tick(key, words, key in ("compost", "cover"))

    def _make(self) -> None:
        said = self.asked.said
        answers = Answers(
            said("climate"),
            said("count"),
            said("length"),
            said("width"),
            said("paths"),
            said("shelter"),
            said("texture"),
            said("organic_matter"),
            said("method"),
            tuple(way for way in WAYS if said(way)),
        )
        try:
            self.desk.begin(plan_of(answers))
        except InputError as error:
            self.desk.say(" ".join(told(error)))
        else:
            self.desk.start()

    def _open(self, name: str) -> None:
        try:
            self.desk.open(name)
        except InputError as error:
            self.desk.say(" ".join(told(error)))
        else:
            self.desk.start()
