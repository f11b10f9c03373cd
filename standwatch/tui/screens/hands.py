"""What hands do from either screen: take a reading, record work, take back. All of it in the bar, nothing modal."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import cast

from textual.content import Content
from textual.widgets import Input

from standwatch.horology.cautions import caution
from standwatch.judge.assessment import Assessment
from standwatch.model.errors import StandwatchError
from standwatch.model.facts import CheckIn
from standwatch.model.records import Record
from standwatch.service.stand import Stand
from standwatch.service.views import Receipt, StandView
from standwatch.tui.actions import Place, find
from standwatch.tui.behind import behind
from standwatch.tui.desk import Desk
from standwatch.tui.draw.facts import fact_words
from standwatch.tui.draw.paint import WARNING, Lines, strong, wrapped
from standwatch.tui.draw.prompts import reading_under, understood
from standwatch.tui.draw.receipt import notice, question, receipt_lines, stamp_words
from standwatch.tui.draw.words import who_words
from standwatch.tui.entry import Entry, parse
from standwatch.tui.screens.typed import TypedScreen
from standwatch.tui.widgets.bar import Bar, EntryLine, WorkPicker
from standwatch.tui.widgets.foot import Foot
from standwatch.tui.works import WorkKey, ask_words, works_for

_OF_A_CLOCK = frozenset({"read", "touched", "open_clock", "regulate", "undo", "release", "stoppage"})
_WORKED_OUT = _OF_A_CLOCK | {"add", "import"}


class HandsScreen(TypedScreen):
    """A screen with a chosen clock, the bar and the bottom line."""

    PLACE: Place = "stand"
    AUTO_FOCUS = ""

    def __init__(self) -> None:
        super().__init__()
        self._saves: Callable[[str], None] | None = None
        self._stamp: datetime | None = None
        self._receipt: Receipt | None = None
        self._asked_undo: str | None = None

    def on_mount(self) -> None:
        """The keys as the person has them; Textual calls this besides the screens' own."""
        self._bindings = self.stand_app.keys.applied(self._bindings)

    @property
    def stand_app(self) -> Desk:
        """The app, as a screen knows it."""
        return cast("Desk", self.app)

    @property
    def place(self) -> Place:
        """Whose keys work now."""
        return self.PLACE

    @property
    def only(self) -> str | None:
        """The tag of the one clock that the screen is about."""
        return None

    @property
    def view(self) -> StandView | None:
        """The stand as last worked out."""
        return self.stand_app.view

    @property
    def chosen(self) -> Assessment | None:
        """The clock that keys mean."""
        raise NotImplementedError

    @property
    def bar(self) -> Bar:
        """The bar."""
        return self.query_one(Bar)

    def rest(self) -> None:
        """Nothing is asked or told any more."""
        self._saves = self._receipt = self._asked_undo = None
        self.blind(None)
        self._resting()
        self._settle(self.PLACE)

    def _resting(self) -> None:
        """Draw the bar at rest."""
        raise NotImplementedError

    def _settle(self, place: Place) -> None:
        """The bottom line shows `place`; keys go to the screen again unless something is typed."""
        self.query_one(Foot).place(place)
        if place == self.PLACE:
            self.focus_screen()
        self.refresh_bindings()

    def focus_screen(self) -> None:
        """Give the keys to what they move."""
        self.set_focus(None)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002  # Textual's own
        """A key that makes no sense now is greyed."""
        if find(action, (self.PLACE,)) is None:
            return True
        if action in _WORKED_OUT and self.view is None:
            return None
        if action in _OF_A_CLOCK and self.chosen is None:
            return None
        if action == "stoppage" and self.PLACE == "stand" and self.chosen is not None:
            return True if self.chosen.going.hangs is not None or self.chosen.going.unexplained else None
        return True

    # a reading

    def action_read(self) -> None:
        """Take a reading of the chosen clock, stamped at this press."""
        told = self.chosen
        if told is None:
            return
        clock = told.estimates.history.clock
        self._stamp = self.stand_app.now()
        who = who_words(told)

        def title() -> str:
            return f"READ  {who}  as at {stamp_words(self._stamp or self.stand_app.now(), told)} (Space: now)"

        def save(text: str) -> None:
            self._keep(parse(text, clock), told.tag)

        self.blind(told.tag)
        self._ask(title, lambda text, width: reading_under(text, parse(text, clock), clock, width), save)

    def blind(self, tag: str | None) -> None:
        """Hide what is expected of `tag` while it is being read."""
        raise NotImplementedError

    def _ask(
        self, title: Callable[[], str | Content], under: Callable[[str, int], Lines], save: Callable[[str], None]
    ) -> None:
        self._saves, self._receipt, self._asked_undo = save, None, None
        self.bar.ask(title, under)
        self._settle("entry")

    def on_entry_line_stamped(self) -> None:
        """The hand crosses now."""
        self._stamp = self.stand_app.now()
        self.bar.restamp()

    def on_entry_line_help_wanted(self) -> None:
        """What can be typed."""
        self.stand_app.show_help("entry")

    def on_entry_line_left(self) -> None:
        """Escape in the line that is typed into."""
        self.leave_entry()

    def leave_entry(self) -> None:
        """Nothing is kept."""
        self.rest()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Keep what was typed."""
        event.stop()
        if self._saves is not None:
            self._saves(event.value)

    def _keep(self, entry: Entry, tag: str) -> None:
        """Record a visit, unless the line says nothing or something is wrong with it."""
        if entry.problem or not entry.cells:
            problem = entry.problem or "nothing typed yet; Esc leaves"
            self.bar.complain(lambda width: wrapped(problem, width, 3, strong(WARNING)))
            return
        cells: dict[str, object] = {**entry.cells, "tag": tag, "at": self._stamp or self.stand_app.now()}
        now = self.stand_app.now()
        behind(self, partial(self._record, cells, now, "   ".join(entry.said)), group="record")

    async def _record(self, cells: dict[str, object], now: datetime, told: str) -> None:
        reference = self.stand_app.reference
        try:
            receipt = await self.stand_app.backroom.keep(lambda stand: stand.check_in(cells, now, reference=reference))
        except StandwatchError as error:
            sentence = str(error)
            self.bar.complain(lambda width: wrapped(sentence, width, 3, strong(WARNING)))
            return
        self._show_receipt(receipt, told)
        self.stand_app.look()

    def _show_receipt(self, receipt: Receipt, told: str) -> None:
        history = receipt.assessment.estimates.history
        visits = [visit for visit in (*history.visits, *history.at_home) if visit.id == receipt.id]
        words = fact_words(visits[0], history) if visits else told
        self._saves = None
        self._receipt = receipt
        self.blind(None)
        self.bar.tell(lambda width: receipt_lines(receipt, words, width), self.size.width)
        self._settle(self.PLACE)

    # work

    def action_touched(self) -> None:
        """Offer the works of the chosen clock."""
        told = self.chosen
        if told is None:
            return
        self._stamp = self.stand_app.now()
        history = told.estimates.history
        self._receipt = self._asked_undo = None
        self.bar.offer(f"TOUCHED  {who_words(told)}: what was done?", works_for(history.clock), self.size.width)
        self._settle("works")

    def on_work_picker_picked(self, event: WorkPicker.Picked) -> None:
        """A work's key."""
        event.stop()
        self.work_picked(event.known)

    def work_picked(self, known: WorkKey) -> None:
        """Ask for the work's amount, which may be left out."""
        if self.chosen is not None:
            self._ask_work(known, self.chosen)

    def _ask_work(self, known: WorkKey, told: Assessment) -> None:
        clock = told.estimates.history.clock
        who = who_words(told)
        hint = f"Enter alone is enough, or type {ask_words(known, clock)}"
        if known.work.value in {"oil-checked", "safety-checked", "moved"}:
            hint = f"type {ask_words(known, clock)}"

        minded = caution(clock, known.work)

        def under(text: str, width: int) -> Lines:
            entry = parse(text, clock, work=known.work)
            said = understood(entry, width) if text.strip() else wrapped(hint, width, 2, "$foreground-muted")
            return [*said[:1], *wrapped(minded, width, 2, WARNING)] if minded else said

        def save(text: str) -> None:
            self._keep(parse(text, clock, work=known.work), told.tag)

        self._ask(lambda: f"{known.words.upper()}  {who}", under, save)

    # taking back

    def action_undo(self) -> None:
        """Take back what was just recorded; else ask first, naming what was recorded last."""
        told = self.chosen
        if told is None:
            return
        tag = told.tag
        if (self._receipt is not None and self._receipt.tag == tag) or self._asked_undo == tag:
            behind(self, partial(self._take_back, tag, self.stand_app.now()), group="record")
        else:
            behind(self, partial(self._ask_undo, told), group="record")

    async def _ask_undo(self, told: Assessment) -> None:
        facts = await self.stand_app.backroom.ask(lambda stand: stand.facts(told.tag))
        words = f"clock {told.tag} itself, of which nothing else is recorded"
        if facts:
            words = _last_words(facts, told)
        self._receipt, self._asked_undo = None, told.tag
        self.bar.tell(lambda width: question(words, width), self.size.width)
        self._settle(self.PLACE)

    async def _take_back(self, tag: str, now: datetime) -> None:
        def job(stand: Stand) -> str:
            return stand.undo(tag, now).text

        self._receipt = self._asked_undo = None
        try:
            text = await self.stand_app.backroom.keep(job)
        except StandwatchError as error:
            self.say("NOT TAKEN BACK", str(error), WARNING)
            return
        self.say("TAKEN BACK", text)
        self.stand_app.look()

    def action_regulate(self) -> None:
        """Whether to touch the nut, and how far."""
        if self.chosen is not None:
            self.stand_app.open_regulate(self.chosen.tag)

    def action_stoppage(self) -> None:
        """When and why it stopped."""
        if self.chosen is not None:
            self.stand_app.open_stoppage(self.chosen.tag)

    def action_release(self) -> None:
        """May the chosen clock go?"""
        if self.chosen is not None:
            self.stand_app.open_release(self.chosen.tag)

    def tick(self) -> None:
        """A second has passed."""

    def say(self, title: str, text: str, style: str = "", mind: str = "") -> None:
        """Say something in the bar, and what to `mind` about it."""
        self._saves = None
        self.bar.tell(lambda width: notice(title, text, width, style, mind), self.size.width)
        self._settle(self.PLACE)

    def action_help(self) -> None:
        """The keys of this screen, and what the marks mean."""
        self.stand_app.show_help(self.place)


def _last_words(facts: tuple[Record[CheckIn], ...], told: Assessment) -> str:
    """The fact recorded last, in words."""
    last = max(facts, key=lambda record: record.sequence)
    history = told.estimates.history
    visits = [visit for visit in (*history.visits, *history.at_home) if visit.id == last.id]
    when = last.body.at.astimezone(history.zone)
    words = fact_words(visits[0], history) if visits else (last.body.work or "a visit")
    return f"{told.tag}, {when:%a} {when.day} {when:%b %H:%M}: {words}"


__all__ = ["EntryLine", "HandsScreen"]
