"""What is told of one clock in the round: its reading and figures, what happened, what was done; each kept at once."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from functools import partial

from standwatch.model.errors import StandwatchError
from standwatch.model.words import Work
from standwatch.service.round.asking import WHICH, cells_for, moment_of
from standwatch.service.round.plan import wanted_of
from standwatch.service.round.surprise import Ready, ready_answers, steps_of
from standwatch.service.stand import Stand
from standwatch.service.views import Receipt
from standwatch.tui.draw.round.ending import LINES_AT_ONCE
from standwatch.tui.screens.round.keeping import Past, RoundKeeping, as_now, corrected
from standwatch.tui.turn import Fact, Stage, Turn, ran_out
from standwatch.tui.works import WorkKey

_READ_ONCE_MORE = frozenset({Work.NUT, Work.BEAT_SET})
BLIND_STAGES: frozenset[Stage] = frozenset({"hand", "figure"})


class RoundTelling(RoundKeeping):
    """From what is told to facts."""

    def _keep_reading(self, turn: Turn) -> None:
        """The reading goes to the book at once; what was expected is shown now."""
        reading, view = turn.reading, self.view
        if reading is None or view is None:
            return
        self._past.append(Past(replace(turn, stage="hand", crossing=None, reading=None), 1, "the reading"))
        now = self.stand_app.now()
        warm = self._warm(turn.before)
        others = self._everyone(view)
        asked = wanted_of(turn.before, view, now, others=others, surprised=reading.surprise, warm=warm)
        self.turn = replace(turn, asked=asked)
        self.pages.mark(turn.tag, "suspect" if turn.stage == "surprise" else "read")
        self._write(turn, lambda stand: stand.check_in(reading.cells, now))
        self.pages.ring(self, twice=turn.stage == "surprise")

    def _take(self) -> None:
        """Take the figure that is typed, or pass it over."""
        turn = self.turn
        wanted = None if turn is None else turn.wanted
        if turn is None or wanted is None:
            return
        if turn.stage == "when":
            self._restarted(turn)
            return
        if wanted is WHICH and not turn.typed:
            turn = turn.type("2" if ran_out(turn, self.stand_app.now()) else "1")
        if turn.typed:
            try:
                cells = cells_for(wanted, turn.typed, turn.before.estimates.history)
            except StandwatchError as error:
                self.pages.note = str(error)
                self.turn = replace(turn, typed="")
                self.again()
                return
            self._keep_figure(turn, cells)
        elif wanted.what == "temperature":
            self.memory.cool.add(turn.before.estimates.history.rail)
        self.pages.note = ""
        self.turn = turn.took()
        self.again()

    def _keep_figure(self, turn: Turn, cells: dict[str, object]) -> None:
        """A figure beside the dial: a row of its own; of a clock that hangs, a further cell of the row it hangs in."""
        now, tag, fact = self.stand_app.now(), turn.tag, turn.fact
        if turn.stage == "hung":
            text = {name: str(value) for name, value in cells.items()}
            if text.get("work") == Work.STOPPED:
                return
            self._past.append(Past(replace(turn, typed=""), 1, "the figure"))
            self._write(turn, partial(corrected, fact=fact, cells=text, now=now))
            return
        self._past.append(Past(replace(turn, typed=""), 1, "the figure"))
        self._write(
            replace(turn, fact=Fact()), lambda stand: stand.check_in({"tag": tag, "at": now, **cells}, now), follow=fact
        )

    # a surprise

    def answers(self, turn: Turn) -> tuple[Ready, ...]:
        """The ready answers to what was read."""
        surprise = turn.surprise
        return () if surprise is None or self.view is None else ready_answers(surprise, self.view.shop)

    def _answer(self, answer: Ready) -> None:
        turn = self.turn
        if turn is None:
            return
        if not answer.on:
            self.pages.note = f"{answer.title}: {answer.means}"
        elif answer.code == "look-again":
            self.turn = turn.look_again()
        elif answer.wants_time:
            self.turn = replace(turn, stage="when", typed="")
        else:
            self._do_answer(turn, answer)
        self.again()

    def _restarted(self, turn: Turn) -> None:
        """When it was set going is told, or nobody knows."""
        press = self.stand_app.now() if turn.crossing is None else turn.crossing.at
        at = None
        if turn.typed:
            try:
                at = moment_of(turn.typed, press, turn.before.estimates.history.zone)
            except StandwatchError as error:
                self.pages.note = str(error)
                self.turn = replace(turn, typed="")
                self.again()
                return
        answer = next(a for a in self.answers(turn) if a.code == "stopped")
        self._do_answer(turn, answer, restarted_at=at)
        self.again()

    def _do_answer(self, turn: Turn, answer: Ready, *, restarted_at: datetime | None = None) -> None:
        """Write what the answer means; then the weights, as after any surprise."""
        now = self.stand_app.now()
        told = turn.surprise
        if told is None:
            return
        count = len(steps_of(told, answer.code, restarted_at=restarted_at))
        if count:
            self._past.append(Past(replace(turn, stage="surprise", typed=""), count, f"the answer “{answer.title}”"))

            def job(stand: Stand) -> Receipt | None:
                surprise = turn.surprise  # its facts' ids are in the book by now
                for step in () if surprise is None else steps_of(surprise, answer.code, restarted_at=restarted_at):
                    if step.corrects is None:
                        stand.check_in(step.cells, now)
                    else:
                        stand.correct(step.corrects, {name: str(value) for name, value in step.cells.items()}, now)
                return as_now(stand, turn.fact, turn.tag, now)

            self._write(turn, job)
        self.turn = replace(turn, stage="found", answered=f"{answer.title}: {answer.does}", taken=(), typed="")
        self.pages.note = ""

    # stopped, touched, a note

    def go_back_to(self, tag: str) -> None:
        """Read a clock after all."""
        before = self.known(tag)
        self.memory.skipped.discard(tag)
        if before is not None:
            self.turn = self._turn_of(before)
            self.pages.over = False
        self.again()

    def _stamp_now(self) -> datetime:
        return self.pages.stamp(self.stand_app.now(), self._key_at)

    def action_going(self) -> None:
        """It was seen going, and is not read."""
        turn = self.turn
        if turn is None:
            return
        now, tag = self.stand_app.now(), turn.tag
        self._past.append(Past(replace(turn, stage="hand", crossing=None), 1, "seen going"))
        self._write(turn, lambda stand: stand.check_in({"tag": tag, "at": now, "work": Work.SEEN_GOING}, now))
        self.pages.mark(tag, "going")
        self.go_on()

    def action_skip(self) -> None:
        """The next clock; what is not read of this one comes at the end. There: further lines."""
        turn = self.turn
        if turn is None:
            self.pages.more(LINES_AT_ONCE)
            self.again()
            return
        if turn.stage in BLIND_STAGES or (turn.stage == "hung" and turn.before.going.hangs is not None):
            self.memory.skipped.add(turn.tag)
            self.pages.mark(turn.tag, "skipped")
        self.go_on()

    def action_stopped(self) -> None:
        """It stands still: kept at once; then its dial and weights, before anything is touched."""
        turn = self.turn
        if turn is None:
            return
        now, tag = self._stamp_now(), turn.tag
        self._past.append(Past(replace(turn, stage="hand", crossing=None), 1, "found stopped"))
        self.turn = turn.found_hanging(Fact())
        self._write(self.turn, lambda stand: stand.check_in({"tag": tag, "at": now, "work": Work.STOPPED}, now))
        self.memory.skipped.add(tag)  # what is passed over of it now is not asked again today
        self.pages.mark(tag, "stands")
        self.again()

    def work_picked(self, known: WorkKey) -> None:
        """A work; what is found stopped has a key of its own here, with its dial and weights."""
        if known.work is Work.STOPPED:
            self.rest()
            self.action_stopped()
        else:
            super().work_picked(known)

    def action_touched(self) -> None:
        """Offer the works, by number too."""
        super().action_touched()
        told = self.chosen
        if told is not None:
            who = "  ".join(part for part in (told.estimates.history.position, told.tag) if part)
            self.bar.number(f"TOUCHED  {who}: what was done?   0 leaves")

    def action_note(self) -> None:
        """A note, in words."""
        turn = self.turn
        if turn is not None:
            self.pages.ask_note(self, turn)

    def _show_receipt(self, receipt: Receipt, told: str) -> None:
        """Work was recorded. After the nut or the beat the clock is read once more."""
        turn = self.turn
        self.newer[receipt.tag] = receipt.assessment
        visits = receipt.assessment.estimates.history.visits
        work = next((v.work for v in visits if v.id == receipt.id), None)
        self.pages.note = f"kept: {'   '.join(part for part in (work, told) if part)}"
        if turn is not None and turn.tag == receipt.tag:
            self._past.append(Past(turn, 1, "the work"))
            if work in _READ_ONCE_MORE:
                self.pages.note = "the pendulum was held: read it once more"
                self.turn = self._turn_of(receipt.assessment)
            elif turn.stage in BLIND_STAGES:
                self.turn = self._turn_of(receipt.assessment)
            else:
                turn.fact.receipt = replace(receipt, assessment=receipt.assessment, falls_off=())
        self._changed()
        self.rest()

    def action_mark(self) -> None:
        """It was another mark: the reading is put right."""
        turn = self.turn
        if turn is not None and turn.reading is not None and turn.stage in {"found", "surprise"} and self._past:
            past = self._past.pop()
            self._go_back(past)
            crossing = replace(turn.reading.crossing, again=True, mark=None)
            self.turn = replace(turn, stage="figure", crossing=crossing, reading=None, taken=(), typed="", fact=Fact())
        self.again()
