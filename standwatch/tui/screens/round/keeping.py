"""What the round writes, and takes back: in the order of the keys, each fact as it is made."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial

from textual.content import Content

from standwatch.judge.assessment import Assessment
from standwatch.model.answers import NotYetKnown
from standwatch.model.errors import StandwatchError
from standwatch.service.round.crossing import crossed
from standwatch.service.round.plan import Spot, wanted_of
from standwatch.service.stand import Stand
from standwatch.service.views import Receipt, StandView
from standwatch.tui.behind import behind
from standwatch.tui.draw.paint import Lines
from standwatch.tui.screens.hands import HandsScreen
from standwatch.tui.screens.round.pages import Pages
from standwatch.tui.turn import Fact, RoundMemory, Turn


@dataclass(frozen=True, slots=True)
class Past:
    """Where one was before something was written: taking it back goes there. `facts` are how many to take back."""

    turn: Turn
    facts: int
    words: str


class RoundKeeping(HandsScreen):
    """The round's state: one `Turn`, changed by keys alone; `newer` are clocks worked out since the stand was."""

    def __init__(self, memory: RoundMemory, *, cautions: bool) -> None:
        super().__init__()
        self.memory = memory
        self.pages = Pages(memory, cautions=cautions)
        self.turn: Turn | None = None
        self.newer = memory.newer
        self._pending: list[Turn] = []
        self._past: list[Past] = []
        self._key = ""
        self._key_at = 0.0
        self._swallow = ("", 0.0)
        self._taken = self._taken_before = False

    def again(self) -> None:
        """Draw anew."""
        raise NotImplementedError

    def go_on(self, pressed_at: datetime | None = None) -> None:
        """The next clock."""
        raise NotImplementedError

    # the clocks

    @property
    def pending(self) -> tuple[str, ...]:
        """The clocks that were pressed and whose figures are still to come."""
        return tuple(turn.tag for turn in self._pending)

    @property
    def chosen(self) -> Assessment | None:
        """The clock at hand."""
        return None if self.turn is None else self.known(self.turn.tag)

    def known(self, tag: str) -> Assessment | None:
        """A clock as it was worked out last."""
        return self.newer.get(tag) or self.stand_app.assessment(tag)

    @property
    def following(self) -> Assessment | None:
        """The clock that comes next: the next whose figure is to come, else the next to go to."""
        if self._pending and (self.turn is None or self._pending[0].tag != self.turn.tag):
            return self.known(self._pending[0].tag)
        spot = self._next_spot()
        return None if spot is None else self.known(spot.tag)

    def _next_spot(self) -> Spot | None:
        if self.pages.round_now is None:
            return None
        here = self.turn.tag if self.turn is not None else None
        return self.pages.round_now.next_after(here, but=frozenset(self.pending))

    def _turn_of(self, before: Assessment) -> Turn:
        now, view = self.stand_app.now(), self.view
        turn = Turn(before.tag, before)
        if view is None:
            return turn
        if before.going.hangs is not None:
            return turn.hangs_untold()
        asked = wanted_of(before, view, now, others=self._everyone(view), warm=self._warm(before))
        return replace(turn, asked=asked, asked_whole=crossed(before, now).whole)

    def _everyone(self, view: StandView) -> tuple[Assessment, ...]:
        return tuple(self.newer.get(told.tag, told) for told in view.assessments)

    def _warm(self, told: Assessment) -> bool:
        return told.estimates.history.rail not in self.memory.cool

    # writing

    def _write(self, turn: Turn, job: Callable[[Stand], Receipt | None], *, follow: Fact | None = None) -> None:
        """Have the backroom write, in the order of the keys; `turn.fact` knows its id when it is in the book."""
        fact = turn.fact

        def kept(stand: Stand) -> Receipt | None:
            receipt = job(stand)
            if receipt is not None:
                fact.id, fact.receipt = receipt.id, receipt
            return receipt

        # the app's worker, so that leaving the screen cuts nothing off
        behind(self.app, partial(self._written, kept, fact, follow, turn.tag), group="record")

    async def _written(self, job: Callable[[Stand], Receipt | None], fact: Fact, follow: Fact | None, tag: str) -> None:
        try:
            receipt = await self.stand_app.backroom.keep(job)
        except StandwatchError as error:
            self.pages.unmark(tag)
            fact.problem = str(error)
            self.pages.note = f"not kept: {error}"
            self.again()
            return
        if receipt is not None:
            if follow is not None:
                known = follow.receipt
                off = () if known is None else known.falls_off
                follow.receipt = replace(receipt, falls_off=(*off, *receipt.falls_off))
            self.newer[receipt.tag] = receipt.assessment
        self.pages.unmark(tag)
        self._changed()

    def _changed(self) -> None:
        """Something is in the book: marks and what is left follow."""
        if self.view is not None:
            self.pages.follow(self.view, self.stand_app.now())
        self.again()

    def ask_line(
        self, title: Callable[[], str | Content], under: Callable[[str, int], Lines], save: Callable[[str], None]
    ) -> None:
        """Ask for a line of words in the bar."""
        self._ask(title, under, save)

    def keep_note(self, turn: Turn, text: str) -> None:
        """A note goes to the book as a row of its own."""
        if text.strip():
            now = self.stand_app.now()
            self._past.append(Past(turn, 1, "the note"))
            cells = {"tag": turn.tag, "at": now, "note": text.strip()}
            self._write(replace(turn, fact=Fact()), lambda stand: stand.check_in(cells, now), follow=turn.fact)
        self.rest()

    # taking back

    def _go_back(self, past: Past) -> None:
        tag, now = past.turn.tag, self.stand_app.now()

        def job(stand: Stand) -> Assessment:
            for _ in range(past.facts):
                stand.undo(tag, now)
            return stand.assess(tag, now)

        self._pending = [turn for turn in self._pending if turn.tag != tag]
        self.memory.skipped.discard(tag)
        self.pages.over = False
        self.turn = past.turn
        self.pages.note = f"taken back: {past.words}"
        behind(self.app, partial(self._took_back, job, tag), group="record")

    async def _took_back(self, job: Callable[[Stand], Assessment], tag: str) -> None:
        try:
            self.newer[tag] = await self.stand_app.backroom.keep(job)
        except StandwatchError as error:
            self.pages.note = str(error)
        self._changed()


def corrected(stand: Stand, *, fact: Fact, cells: dict[str, str], now: datetime) -> Receipt | None:
    """Another cell for the row that `fact` is; its id is then the new one."""
    written = stand.correct(fact.id, dict(cells), now)
    fact.id = written.id
    return as_now(stand, fact, written.tag, now)


def as_now(stand: Stand, fact: Fact, tag: str, now: datetime) -> Receipt | None:
    """The receipt of `fact` with its clock as it is now."""
    assessment = stand.assess(tag, now)
    receipt = fact.receipt
    if receipt is None:
        return Receipt(fact.id, tag, now, NotYetKnown("it was standing still"), None, False, assessment)
    return replace(receipt, id=fact.id, assessment=assessment)
