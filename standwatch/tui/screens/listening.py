"""Listening: at each quarter whom to hear and for what; one key says what the ear decided."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from functools import partial

from textual import events

from standwatch.judge.sounding import staging_words
from standwatch.model.errors import StandwatchError
from standwatch.model.units import clock_words
from standwatch.model.words import Outcome, Requirement, Train
from standwatch.service.hearing import by_ear
from standwatch.service.hearing.quarter import Row
from standwatch.service.views import Receipt
from standwatch.tui.actions import bindings
from standwatch.tui.behind import behind
from standwatch.tui.draw.paint import HERE, MUTED, PLAIN, WARNING, Lines, line, rule, strong, wrapped
from standwatch.tui.screens.quarter import QuarterScreen
from standwatch.tui.widgets.sheet import nothing

_OF_A_VOICE = frozenset({"heard_right", "wrong_count", "quarter_off", "silent", "touched", "undo", "by_hand"})
_BY_EAR = (Requirement.TWELVE_COUNTS, Requirement.CHIME_STEP, Requirement.MIS_SET)
_EARLY = timedelta(seconds=60)
"""First blow and hands disagree by up to a minute: only what is told before that is asked about."""
_MOST_BLOWS = 24
_COUNT = "type the blows you counted, 0 to 24"
_STAGED = "type the hour you moved it to and heard right, 1 to 12"


class ListeningScreen(QuarterScreen):
    """What the ear decides of the voice under the cursor; each key is a fact at once, and the cursor goes on."""

    PLACE = "listening"
    BINDINGS = bindings("listening")

    def __init__(self, *, cautions: bool = False) -> None:
        super().__init__(cautions=cautions)
        self._silent: Row | None = None
        self._early: tuple[str, str] | None = None

    def _resting(self) -> None:
        self._silent = self._early = None
        self.bar.rest(nothing, 0)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A key that makes no sense now is greyed."""
        row = self.row
        if action in _OF_A_VOICE and row is None:
            return None
        if action == "wrong_count" and (row is None or not row.voice.strikes_hour):
            return None
        if action == "quarter_off" and (row is None or not row.voice.chimes):
            return None
        if action == "by_hand" and not self._strikes():
            return None
        if action == "staggered" and (self._heard is None or self._heard.proposal is None):
            return None
        return super().check_action(action, parameters)

    def _strikes(self) -> bool:
        told = self.chosen
        return told is not None and Train.STRIKE in told.estimates.history.traits.trains

    def on_key(self, event: events.Key) -> None:
        """A figure answers what is asked, or chooses the voice of that place."""
        figure = event.character or ""
        if self.bar.mode in {"entry", "works"} or figure not in set("123456789"):
            return
        event.stop()
        event.prevent_default()
        if self._silent is not None:
            self._answer_silent(self._silent, figure)
        else:
            self._choose(int(figure) - 1)

    def _asked_twice(self, key: str) -> bool:
        """Whether the voice may be told of now: not twice, and before its time only when the key is pressed again."""
        row, heard = self.row, self._heard
        if row is None or heard is None:
            return False
        voice = row.voice
        if row.answered is not None or (voice.tag, heard.mark) in self._told:
            self.say(f"{voice.name} IS TOLD ALREADY", "Nothing more was kept. u takes back what was told last of it.")
            return False
        left = voice.low - _EARLY - self.stand_app.now()
        if left > timedelta() and self._early != (voice.tag, key):
            soon = clock_words((voice.at - self.stand_app.now()).total_seconds())
            self.say(f"{voice.name} ALREADY?", f"It should sound in {soon}. {key} once more, if it did.", WARNING)
            self._early = (voice.tag, key)
            return False
        return True

    def _keep_heard(self, cells: by_ear.Cells, words: str) -> None:
        """Write what was heard, at once, as of this press; then the next voice."""
        now, heard = self.stand_app.now(), self._heard
        tag = str(cells["tag"])
        if heard is not None:
            self._told.add((tag, heard.mark))
        self._silent = self._early = None
        self._tag = self._next_to_hear()
        behind(self, partial(self._tell, {**cells, "at": now}, now, words), group="record")

    async def _tell(self, cells: by_ear.Cells, now: datetime, words: str) -> None:
        try:
            receipt = await self.stand_app.backroom.keep(lambda stand: stand.check_in(cells, now))
        except StandwatchError as error:
            self._told = {told for told in self._told if told[0] != cells["tag"]}
            self.say("NOT KEPT", str(error), WARNING)
            return
        self._show_receipt(receipt, words)
        self._show_missed(receipt, words)
        self.stand_app.look()

    def _show_receipt(self, receipt: Receipt, told: str) -> None:
        self._asking = False
        super()._show_receipt(receipt, told)

    def _show_missed(self, receipt: Receipt, told: str) -> None:
        """Where the ear's evidence is missed by now: why, and what to try."""
        missed = [v for v in receipt.assessment.verdicts if v.requirement in _BY_EAR and v.outcome is Outcome.MISSED]
        if missed:
            who = receipt.assessment.estimates.history.position or receipt.tag
            head = f"{who}  {told.upper()}"

            def lines(width: int) -> Lines:
                keys = line(("u", strong(HERE)), (" takes it back", MUTED))
                why = [part for v in missed for part in wrapped(f"missed: {v.because}", width, 3, strong(WARNING))]
                return [rule(head, width, keys), *why]

            self.bar.tell(lines, self.size.width)

    def action_heard_right(self) -> None:
        """All of it right."""
        row = self.row
        if row is not None and self._asked_twice("h"):
            self._keep_heard(by_ear.heard_right(row.voice), "heard right")

    def action_quarter_off(self) -> None:
        """It played another quarter."""
        row = self.row
        if row is not None and self._asked_twice("q"):
            self._keep_heard(by_ear.quarter_off(row.voice), "a quarter off")

    def action_wrong_count(self) -> None:
        """Ask how many blows were counted; what they should be is not shown."""
        row = self.row
        if row is None or not self._asked_twice("b"):
            return
        voice = row.voice

        def save(text: str) -> None:
            blows = _blows(text)
            if blows is None:
                self.bar.complain(lambda width: wrapped(_COUNT, width, 1, strong(WARNING)))
                return
            self._keep_heard(by_ear.counted(voice, blows), f"{blows} blows counted")

        self._ask(lambda: f"HOW MANY BLOWS  {voice.name}  {voice.tag}", _hint(_COUNT), save)
        self.blind(voice.tag)

    def action_silent(self) -> None:
        """It said nothing: is that meant?"""
        row = self.row
        if row is None or not self._asked_twice("s"):
            return
        chimes = row.voice.chimes or row.voice.silent
        meant = "the selector stands on silent" if chimes else "its strike is shut off"
        fault = "it should have sounded" if chimes else "it should have struck"
        name = row.voice.name

        def lines(width: int) -> Lines:
            keys = line(("Esc", strong(HERE)), (" leaves it", MUTED))
            answers = line(("1", strong(HERE)), (f" {meant}   ", PLAIN), ("2", strong(HERE)), (f" {fault}", PLAIN))
            return [rule(f"SILENT  {name}: MEANT, OR A FAULT?", width, keys), answers]

        self.bar.tell(lines, self.size.width)
        self._settle(self.PLACE)
        self._silent = row

    def _answer_silent(self, row: Row, figure: str) -> None:
        voice = row.voice
        if figure == "1" and not (voice.chimes or voice.silent):
            self._keep_heard(by_ear.shut_off(voice), "strike shut off")
        elif figure == "1":
            self._keep_heard(by_ear.selector(voice), "selector on silent")
        elif figure == "2":
            self._keep_heard(by_ear.fault(voice), "should have sounded")

    def action_by_hand(self) -> None:
        """An hour that was moved to by hand and heard."""
        told = self.chosen
        if told is None:
            return
        tag, cost = told.tag, staging_words(told.estimates.history.traits)

        def save(text: str) -> None:
            hour = _blows(text)
            if hour is None or not 1 <= hour <= 12:
                self.bar.complain(lambda width: wrapped(_STAGED, width, 1, strong(WARNING)))
                return
            cells: by_ear.Cells = {"tag": tag, "hour": hour, "blows": hour, "staged": True}
            now = self.stand_app.now()
            behind(self, partial(self._tell, {**cells, "at": now}, now, f"{hour} heard right by hand"), group="record")

        title = f"BY HAND  {told.estimates.history.position or tag}  {tag}"
        self._ask(lambda: title, _hint(f"{_STAGED}. It costs {cost}; then t, hands set."), save)

    def action_staggered(self) -> None:
        """The proposed stagger was made."""
        if self._heard is not None and self._heard.proposal is not None:
            cells = by_ear.staggered(self._heard.proposal.stagger)
            now = self.stand_app.now()
            behind(self, partial(self._tell, {**cells, "at": now}, now, "staggered"), group="record")

    def action_undo(self) -> None:
        """Take back what was just told, of whichever clock; else ask first, as everywhere."""
        tag = self._tag if self._receipt is None else self._receipt.tag
        if tag is None:
            return
        self._told = {told for told in self._told if told[0] != tag}
        self._tag = tag
        super().action_undo()


def _hint(text: str) -> Callable[[str, int], Lines]:
    return lambda _typed, width: wrapped(text, width, 2, MUTED)


def _blows(text: str) -> int | None:
    """A count as typed; None where it is none."""
    typed = text.strip()
    return int(typed) if typed.isascii() and typed.isdigit() and int(typed) <= _MOST_BLOWS else None
