"""From a draft to its answer: the heart of it at once, all the rest when nothing was changed for a while."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from somsim.errors import InputError, Problem
from somsim.plan.model import Plan
from somsim.planner.session import Checked, Mistake, Session
from somsim.study.compare import Study, compare_study
from somsim.study.match import By, Match, match_study
from somsim.study.quick import Kept, Quick, quick_study
from somsim.study.recording import taken_in

IDLE = 0.7  # seconds without a change before the whole answer is worked out


class Cancelled(Exception):
    """The work was given up."""


@dataclass(frozen=True)
class Thought:
    """What is known of a revision of the draft; ``quick`` and ``whole`` may be of an earlier one that held.

    ``done`` of ``steps`` of the whole answer are worked out; no ``steps`` when nothing is being worked out.
    """

    revision: int
    checked: Checked
    quick: Quick | None = None
    whole: Study | None = None
    quick_revision: int = -1
    whole_revision: int = -1
    done: int = 0
    steps: int = 0


class Thinking:
    """Works out the answer to a session's draft, always the latest, and tells whoever watches."""

    def __init__(self, session: Session) -> None:
        """Begin with nothing known."""
        self.session = session
        self.kept = Kept()
        self.now = Thought(-1, Checked(None, ()))
        self.watchers: list[Callable[[], None]] = []
        self._changed = asyncio.Event()
        self._given_up = False
        self._tasks: list[asyncio.Task[None]] = []
        session.watchers.append(self.changed)
        self._changed.set()

    def changed(self) -> None:
        """Something is new: whatever is being worked out is given up for it."""
        self._given_up = True
        self._changed.set()

    def cancel(self) -> None:
        """Give up what is being worked out; the next change begins anew."""
        self._given_up = True

    def start(self) -> None:
        """Begin to work in the background."""
        self._tasks.append(asyncio.create_task(self._forever()))

    def stop(self) -> None:
        """Stop for good."""
        self._given_up = True
        for task in self._tasks:
            task.cancel()
        self.session.watchers.remove(self.changed)

    def _tell(self, thought: Thought) -> None:
        self.now = thought
        for watcher in tuple(self.watchers):
            watcher()

    async def _forever(self) -> None:
        while True:
            await self._changed.wait()
            self._changed.clear()
            revision = self.session.draft.revision
            await self._quickly(revision)
            try:
                await asyncio.wait_for(self._changed.wait(), IDLE)
                continue
            except TimeoutError:
                self._given_up = False
                await self._wholly(revision)

    async def _quickly(self, revision: int) -> None:
        checked = self.session.check()
        thought = replace(self.now, revision=revision, checked=checked, steps=0)
        if checked.plan is not None:
            try:
                quick = await asyncio.to_thread(self._quick, checked.plan)
                thought = replace(thought, quick=quick, quick_revision=revision)
            except InputError as error:
                thought = replace(thought, checked=Checked(None, _mistakes(error)))
        self._tell(thought)

    def _quick(self, plan: Plan) -> Quick:
        return quick_study(self._with_record(plan), self.kept)

    def _with_record(self, plan: Plan) -> Plan:
        return taken_in(plan, self._path())[0]

    def _path(self) -> Path:
        return self.session.folder.path(self.session.name)

    async def _wholly(self, revision: int) -> None:
        plan = self.now.checked.plan
        if plan is None or self.now.whole_revision == revision:
            return
        loop = asyncio.get_running_loop()
        steps = 2 * len(plan.strategies) + 1
        self._tell(replace(self.now, done=0, steps=steps))

        def step() -> None:
            if self._given_up:
                raise Cancelled
            loop.call_soon_threadsafe(self._step, revision)

        try:
            whole = await asyncio.to_thread(lambda: compare_study(self._with_record(plan), step=step))
        except Cancelled:
            self._tell(replace(self.now, steps=0))
            return
        if self.session.draft.revision == revision:
            self._tell(replace(self.now, whole=whole, whole_revision=revision, steps=0))

    def _step(self, revision: int) -> None:
        if self.now.steps and self.now.revision == revision:
            self._tell(replace(self.now, done=self.now.done + 1))

    async def match(self, cover: str, compost: str, by: By) -> Match:
        """How many would match, by the draft as it is.

        Raises
        ------
        InputError
            when the plan does not hold, or there is nothing to match.
        Cancelled
            when it was given up.
        """
        plan = self.session.check().plan
        if plan is None:
            raise InputError(_problems(self.session.check()), "nothing was run.")
        self._given_up = False

        def step() -> None:
            if self._given_up:
                raise Cancelled

        def work() -> Match:
            return match_study(self._with_record(plan), cover, compost, by=by, step=step)

        return await asyncio.to_thread(work)


def _problems(checked: Checked) -> list[Problem]:
    return [Problem(one.words, hint=one.hint) for one in checked.mistakes]


def _mistakes(error: InputError) -> tuple[Mistake, ...]:
    return tuple(Mistake((), one.message, one.hint) for one in error.problems)
