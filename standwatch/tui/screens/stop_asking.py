"""Asking a clock that hangs, one thing after another, in the order in which it is lost. Each answer is kept at once."""

from __future__ import annotations

import asyncio
from datetime import datetime
from functools import partial

from textual.widgets import Input

from standwatch.model.errors import BadValue, StandwatchError
from standwatch.model.words import Work
from standwatch.service.bench.stoppage import Question, answer, left_to_ask, row_of, usual_answer
from standwatch.service.stand import Stand
from standwatch.tui.behind import behind
from standwatch.tui.draw.paint import MUTED, WARNING, Lines, line, strong, wrapped
from standwatch.tui.screens.page import About, OneClock
from standwatch.tui.widgets.bar import EntryLine

_PASS, _BACK = "-", "."


class StopAsking(OneClock[About]):
    """The questions of one clock's stop: the first answer records the stop, each further one corrects it."""

    def __init__(self, tag: str) -> None:
        super().__init__(tag)
        self._asked: tuple[Question, ...] = ()
        self._at: int | None = None
        self._answers: dict[str, str] = {}
        self._told: dict[str, object] = {}
        self._kept: list[bool] = []
        self._fact: str | None = None
        self._typed = ""
        self._writing = asyncio.Lock()

    def _asked_all(self) -> None:
        """Nothing is left to ask."""
        raise NotImplementedError

    def action_ask(self) -> None:
        """Read what a hung clock tells, from the first thing that isn't told."""
        told = self.chosen
        if told is None:
            return
        history, hangs = told.estimates.history, told.going.hangs
        self._fact = None if hangs is None else hangs.id
        asked = left_to_ask(history, None if hangs is None else row_of(history, hangs.id))
        if not asked:
            return
        self._stamp = self.stand_app.now()
        self._asked, self._answers, self._told, self._kept = asked, {}, {}, []
        self._ask_at(0)

    def _ask_at(self, at: int, begun: str = "") -> None:
        """Ask the question at `at`, `begun` typed already; past the last one nothing is asked any more."""
        told = self.chosen
        self._typed = ""
        if told is None or at >= len(self._asked):
            self._at = None
            self.rest()
            self._asked_all()
            return
        self._at = at
        question, history = self._asked[at], told.estimates.history

        def under(text: str, width: int) -> Lines:
            usual = usual_answer(question, history, self._told)
            alone = f"Enter alone: {answer(question, usual, history)[1]}   -" if usual else "Enter alone or -"
            hint = f"{alone} passes over   . takes the last one back   Esc leaves, keeps what is told"
            try:
                said = "" if not text.strip() else answer(question, text, history)[1]
            except BadValue:
                said = ""
            return (
                [line((said, strong(""))), *wrapped(hint, width, 1, MUTED)] if said else wrapped(hint, width, 2, MUTED)
            )

        self._ask(lambda: f"FOUND STOPPED  {self._tag}: {question.name}", under, self._answered)
        if begun:
            self._put(begun)
        self._again()

    def on_input_changed(self, event: Input.Changed) -> None:
        """Figures are taken as soon as none could follow; - passes over, . goes back.

        Figures typed on meanwhile belong to what is asked next.
        """
        line_now = self.query_one(EntryLine).value
        if self._at is None or not line_now.startswith(event.value):
            return
        self._typed, rest = event.value, line_now[len(event.value) :]
        self._again()
        if event.value == _BACK:
            self._back_one()
        elif event.value == _PASS:
            self._answered(_PASS, rest)
        elif event.value and self._asked[self._at].complete(event.value):
            self._answered(event.value, rest)

    def leave_entry(self) -> None:
        """What is told is kept; nothing more is asked."""
        self._at = None
        super().leave_entry()
        self._again()

    def _answered(self, text: str, rest: str = "") -> None:
        """Keep the answer, and ask on at once."""
        told = self.chosen
        if told is None or self._at is None:
            return
        question, history = self._asked[self._at], told.estimates.history
        said = ""
        text = text.strip() or usual_answer(question, history, self._told)
        if text != _PASS and text:
            try:
                cells, said = answer(question, text, history)
            except BadValue as error:
                self._complain(str(error))
                return
            self._told |= cells
            behind(self, partial(self._write, cells, self._stamp or self.stand_app.now()), group="record")
        self._answers[question.name] = said
        self._kept.append(bool(said))
        self._ask_at(self._at + 1, rest)

    async def _write(self, cells: dict[str, object], at: datetime) -> None:
        """Keep one answer: the first as the stop itself, each other as a correction of it."""
        now = self.stand_app.now()
        async with self._writing:
            fact = self._fact
            row = {"work": Work.STOPPED.value, **cells, "tag": self._tag, "at": at}

            def job(stand: Stand) -> str:
                if fact is None:
                    return stand.check_in(row, now).id
                return stand.correct(fact, {name: str(value) for name, value in cells.items()}, now).id

            try:
                self._fact = await self.stand_app.backroom.keep(job)
            except StandwatchError as error:
                self.say("NOT KEPT", str(error), WARNING)
                return
        self.stand_app.look()

    def _back_one(self) -> None:
        """The last question once more; what was told for it is taken back."""
        if not self._kept or self._at is None:
            self._put("")
            return
        if self._kept.pop():
            behind(self, self._unwrite, group="record")
        at = self._at - 1
        self._answers.pop(self._asked[at].name, None)
        self._ask_at(at)

    async def _unwrite(self) -> None:
        now = self.stand_app.now()
        async with self._writing:
            try:
                undone = await self.stand_app.backroom.keep(partial(Stand.undo, tag=self._tag, now=now))
            except StandwatchError as error:
                self.say("NOT TAKEN BACK", str(error), WARNING)
                return
            self._fact = None if undone.restored is None else undone.restored.id
        self.stand_app.look()
