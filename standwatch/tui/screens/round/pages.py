"""What the round shows beside its turn: the round so far, its end, the bell, the chart, which keys make sense."""

from __future__ import annotations

import asyncio
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from typing import TYPE_CHECKING

from textual._time import get_time
from textual.content import Content
from textual.geometry import Size
from textual.message import Message

from standwatch.judge.assessment import Assessment
from standwatch.model.words import NextStep
from standwatch.service.round.ending import Ending, ending_of
from standwatch.service.round.plan import Round, State, round_of
from standwatch.service.views import StandView
from standwatch.tui.actions import Place
from standwatch.tui.behind import behind
from standwatch.tui.draw.paint import MUTED, Lines, line, wrapped
from standwatch.tui.draw.round.asked import hung_page
from standwatch.tui.draw.round.ending import end_page
from standwatch.tui.draw.round.found import chart_size, found_page
from standwatch.tui.draw.round.hand import hand_page
from standwatch.tui.draw.round.page import RoundShown, head
from standwatch.tui.draw.round.surprised import surprise_page, when_page
from standwatch.tui.draw.round.take import figure_page
from standwatch.tui.draw.traces import chart_lines
from standwatch.tui.turn import RoundMemory, Turn

if TYPE_CHECKING:
    from standwatch.tui.screens.round.telling import RoundTelling

PLACES: tuple[Place, ...] = ("round", "round-take", "round-found", "round-surprise", "round-end")
_LATE = timedelta(milliseconds=50)
"""From here on a press that had to wait is stamped by when it came."""
_TOO_LATE = timedelta(seconds=5)
_CAUTION = "Weight clear, feet clear; hands and selector alone while it strikes or chimes."


@dataclass
class ChartDrawn(Message):
    """The error's chart, drawn by a worker."""

    key: object
    lines: Sequence[Content]


class Pages:
    """The pages of the round, and what they need that is not the turn's."""

    def __init__(self, memory: RoundMemory, *, cautions: bool) -> None:
        self._memory = memory
        self.round_now: Round | None = None
        self.over = False
        self.endings: tuple[Ending, ...] = ()
        self.first = 0
        self.note = ""
        self.chart: Sequence[Content] = ()
        self.chart_key: object = None
        self._cautions = cautions

    def follow(self, view: StandView, now: datetime) -> None:
        """The round as the facts tell it, and as the last keys do whose facts are still on their way."""
        newer = self._memory.newer
        told = round_of(view, now, newer=newer, skipped=frozenset(self._memory.skipped), kept=self._memory.kept)
        self.round_now = told.marked(self._memory.marks)
        if self.over:
            self.endings = ending_of(view, self.round_now, now, newer=newer)

    def mark(self, tag: str, state: State) -> None:
        """A key told this of a clock."""
        self._memory.marks[tag] = state
        if self.round_now is not None:
            self.round_now = self.round_now.marked({tag: state})

    def unmark(self, tag: str) -> None:
        """The facts tell it by now."""
        self._memory.marks.pop(tag, None)

    def end(self, screen: RoundTelling) -> None:
        """The round is over: what is left."""
        self.over, self.first = True, 0
        if screen.view is not None and self.round_now is not None:
            self.endings = ending_of(screen.view, self.round_now, screen.stand_app.now(), newer=screen.newer)

    # drawing

    def shown(self, screen: RoundTelling) -> RoundShown | None:
        """What is drawn; None before the stand is worked out."""
        app = screen.stand_app
        if self.round_now is None or screen.view is None:
            return None
        return RoundShown(
            round=self.round_now,
            now=app.now(),
            zone=screen.view.shop.zone,
            turn=screen.turn,
            following=screen.following,
            bell=screen.memory.bell,
            reference=app.reference,
            banner=app.banner,
            pending=screen.pending,
            note=self.note,
            caution=_CAUTION if self._cautions else "",
        )

    def head(self, screen: RoundTelling, size: Size) -> Content:
        """The top line."""
        return head(self.shown(screen), size.width)

    def page(self, screen: RoundTelling, size: Size) -> Lines:
        """The page of the turn, or the round's end."""
        shown, turn = self.shown(screen), screen.turn
        if shown is None or screen.view is None:
            return [line((" the stand is being worked out", MUTED))]
        if turn is None:
            return end_page(shown, self.endings, self.first, size, screen.view.next_round)
        match turn.stage:
            case "hand":
                return hand_page(shown, turn, size)
            case "figure":
                return figure_page(shown, turn, size)
            case "hung":
                receipt = turn.fact.receipt
                return hung_page(shown, turn, size, "" if receipt is None else receipt.assessment.next.text)
            case "when":
                return when_page(shown, turn, size)
            case "surprise" if turn.surprise is not None:
                return surprise_page(shown, turn, size, (turn.surprise, screen.answers(turn)))
            case _:
                chart = self.chart if self.chart_key == self._key_of_chart(turn, size) else ()
                return found_page(shown, turn, size, chart)

    def ask_chart(self, screen: RoundTelling) -> None:
        """Have the error's chart drawn once its reading is in."""
        turn = screen.turn
        size = screen.query_one("#page").size
        width, height = chart_size(size)
        if turn is None or turn.stage != "found" or turn.fact.receipt is None or not width:
            return
        key = self._key_of_chart(turn, size)
        if key != self.chart_key:
            told = turn.fact.receipt.assessment
            job = partial(self._draw_chart, screen, told, (width, height), key)
            behind(screen, job, group="chart", exclusive=True)

    async def _draw_chart(self, screen: RoundTelling, told: Assessment, size: tuple[int, int], key: object) -> None:
        now = told.estimates.history.now
        lines = await asyncio.to_thread(chart_lines, told, "error", now, *size)
        screen.post_message(ChartDrawn(key, lines))

    def _key_of_chart(self, turn: Turn, size: Size) -> object:
        receipt = turn.fact.receipt  # another one of the same fact when it was corrected by an answer
        return (turn.tag, None if receipt is None else id(receipt), size.width, size.height)

    # keys

    def place_of(self, turn: Turn | None) -> Place:
        """Whose keys the bottom line shows."""
        if turn is None:
            return "round-end"
        places: dict[str, Place] = {"hand": "round", "figure": "round-take", "surprise": "round-surprise"}
        return places.get(turn.stage, "round-found")

    def allows(self, action: str, turn: Turn | None, past: Sequence[object]) -> bool:
        """Whether a key makes sense now."""
        if action in _ALWAYS:
            return True
        if action == "undo":
            return bool(past) or (turn is not None and (turn.stage in {"figure", "when"} or bool(turn.typed)))
        if turn is None:
            return self.over and action in _AT_THE_END
        if action == "mark":
            return bool(past) and turn.reading is not None and turn.reading.mark_assumed and not turn.taken
        if action == "figure" and turn.stage in {"found", "hung", "when"}:
            return turn.wanted is not None
        return action in _IN_STAGE[turn.stage]

    def stamp(self, now: datetime, key_at: float) -> datetime:
        """When a press came: `now`, unless it had to wait."""
        waited = timedelta(seconds=get_time() - key_at)
        return now - waited if _LATE <= waited <= _TOO_LATE else now

    def ring(self, screen: RoundTelling, *, twice: bool) -> None:
        """The terminal's bell, if it is wanted: once as expected, twice for look."""
        self._cautions = False
        if screen.memory.bell:
            screen.app.bell()
            if twice:
                screen.set_timer(0.25, screen.app.bell)

    def more(self, rows: int) -> None:
        """Further lines of the end; after the last, the first again."""
        self.first = self.first + rows if self.first + rows < len(self.endings) else 0

    def ask_note(self, screen: RoundTelling, turn: Turn) -> None:
        """Ask for a note in the bar."""

        def under(_text: str, width: int) -> Lines:
            return wrapped("Enter keeps it, Esc leaves", width, 1, MUTED)

        who = turn.before.estimates.history.position or turn.tag
        screen.ask_line(lambda: f"A NOTE  {who}", under, lambda text: screen.keep_note(turn, text))

    def go_to(self, screen: RoundTelling, number: int) -> None:
        """The nth line of the end: read it, or the screen where it is seen to."""
        if not 1 <= number <= len(self.endings) - self.first:
            return
        ending = self.endings[self.first + number - 1]
        told, app = screen.known(ending.tag), screen.stand_app
        if ending.why in {"not read", "read once more", "suspect"}:
            screen.go_back_to(ending.tag)
        elif ending.why == "runs out":
            app.open_winding()
        elif ending.why == "may go":
            app.open_release(ending.tag)
        elif told is not None and told.next.code is NextStep.REGULATE:
            app.open_regulate(ending.tag)
        else:
            app.open_clock(ending.tag)


_ALWAYS = frozenset({"back", "help", "app.quit", "bell"})
_AT_THE_END = frozenset({"figure", "press", "enter", "skip"})
_IN_STAGE: dict[str, frozenset[str]] = {
    "hand": frozenset({"press", "enter", "going", "stopped", "skip", "touched", "note"}),
    "figure": frozenset({"press", "enter", "figure", "stopped", "skip", "touched"}),
    "found": frozenset({"press", "enter", "stopped", "skip", "touched", "note", "rub_out"}),
    "hung": frozenset({"press", "enter", "skip", "touched", "note", "rub_out"}),
    "when": frozenset({"press", "enter", "figure", "rub_out"}),
    "surprise": frozenset({"press", "enter", "figure", "stopped", "skip"}),
}
