"""What all pages of one planner share: the folder, the plan that is open, and the thinking about it."""

from __future__ import annotations

from collections.abc import Callable

from somsim.errors import InputError
from somsim.planner.folder import Folder
from somsim.planner.session import Session, new_plan, open_plan
from somsim.planner.thinking import Thinking


class Desk:
    """One plan at a time is on the desk; pages are told when another is put there, and what could not be done."""

    def __init__(self, folder: Folder) -> None:
        """Begin with an empty desk."""
        self.folder = folder
        self.session: Session | None = None
        self.thinking: Thinking | None = None
        self.pages: list[Callable[[], None]] = []
        self.notice = ""
        self.started = False

    def open(self, name: str) -> None:
        """Put a plan of the folder on the desk.

        Raises
        ------
        InputError
            when it can't be read.
        """
        self._take(open_plan(self.folder, name))

    def begin(self, text: str) -> None:
        """Put a new plan on the desk.

        Raises
        ------
        InputError
            when the folder can't be written to.
        """
        self._take(new_plan(self.folder, text))

    def put_away(self) -> None:
        """Clear the desk; unsaved work stays in its journal."""
        if self.thinking is not None:
            self.thinking.stop()
        if self.session is not None:
            self.session.close()
        self.session = self.thinking = None
        self.started = False

    def _take(self, session: Session) -> None:
        self.put_away()
        self.session = session
        self.thinking = Thinking(session)
        self.notice = "Unsaved changes of an earlier time were brought back." if session.resumed else ""

    def start(self) -> None:
        """Begin to think about the plan, in the running loop, and tell the pages."""
        if self.thinking is not None and not self.started:
            self.started = True
            self.thinking.start()
        self.tell()

    def change(self, step: Callable[[Session], object]) -> bool:
        """Do something to the plan; what can't be done is told on the pages."""
        if self.session is None:
            return False
        try:
            step(self.session)
        except InputError as error:
            self.say(" ".join(told(error)))
            return False
        if self.notice:
            self.say("")
        return True

    def say(self, words: str) -> None:
        """Tell the pages something, or nothing any more."""
        self.notice = words
        self.tell()

    def tell(self) -> None:
        """Have every page look again."""
        for page in tuple(self.pages):
            page()


def told(error: InputError) -> list[str]:
    """What was wrong, a sentence for each."""
    return [f"{one.message} ({one.hint})." if one.hint else f"{one.message}." for one in error.problems]
