"""The terminal program: opens on the stand, follows the book, keeps nothing of its own."""

from __future__ import annotations

import gc
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from textual.app import SystemCommand
from textual.message import Message
from textual.screen import Screen
from textual.worker import Worker

from standwatch.judge.assessment import Assessment
from standwatch.model.errors import StandwatchError
from standwatch.service.shop import Shop
from standwatch.service.stand import Stand
from standwatch.service.views import RosterLine, StandView
from standwatch.tui.actions import Place, at
from standwatch.tui.backroom import Backroom
from standwatch.tui.behind import behind
from standwatch.tui.personal import Own, PersonalApp
from standwatch.tui.screens.hands import HandsScreen
from standwatch.tui.screens.stand import StandScreen
from standwatch.tui.sitting import assessed

if TYPE_CHECKING:
    from standwatch.tui.due import Due
    from standwatch.tui.turn import RoundMemory

_LEAST_PAUSE = timedelta(seconds=60)
_SHARE = 100
"""Working the stand out anew takes at most one part in so many of the time."""
_FULL_COLLECTION = 500
"""Collections of the middle generation before all of memory is walked, which takes 0.15 s of 300 clocks."""


def run(
    open_stand: Callable[[], Stand], *, clock: Callable[[], datetime], banner: str | None = None, own: Own | None = None
) -> None:
    """Show the stand until the user leaves. `open_stand` is called once on each thread that needs one.

    Raises what `open_stand` raises before anything is shown. With a banner there is no backup.
    """
    # what is kept of the stand lives as long as the screens: to walk all of it again and again would stop a key
    gc.set_threshold(700, 10, _FULL_COLLECTION)
    StandwatchApp.over(open_stand, clock=clock, banner=banner, due=True, own=own).run()


class StandwatchApp(PersonalApp):
    """The app. `view` is the stand as last worked out; the screens follow it."""

    TITLE = "standwatch"
    CSS_PATH = "standwatch.tcss"
    ENABLE_COMMAND_PALETTE = True

    @dataclass
    class ViewReady(Message):
        """The stand as worked out; `anew`: all of it for this time, not only what changed."""

        view: StandView
        version: int
        took: timedelta
        anew: bool
        guests: dict[str, Assessment | None]

    @dataclass
    class Trouble(Message):
        """The book can't be read just now."""

        sentence: str

    def __init__(
        self,
        open_stand: Callable[[], Stand],
        *,
        clock: Callable[[], datetime],
        roster: tuple[RosterLine, ...],
        shop: Shop,
        banner: str | None = None,
        book: Path | None = None,
        due: bool = False,
        own: Own | None = None,
    ) -> None:
        super().__init__(own or Own())
        self.now = clock
        self.roster = roster
        self.shop = shop
        self.banner = banner
        self.backroom = Backroom(open_stand)
        self._book = book
        self._wants_due = due
        self._due: Due | None = None
        self._version: int | None = None
        self._looked_at: datetime | None = None
        self._pause = _LEAST_PAUSE
        self._troubled = False
        self._round: RoundMemory | None = None

    @classmethod
    def over(
        cls,
        open_stand: Callable[[], Stand],
        *,
        clock: Callable[[], datetime],
        banner: str | None = None,
        due: bool = False,
        own: Own | None = None,
    ) -> StandwatchApp:
        """The app over a book, its first look taken: the tags that are painted before anything is worked out.

        `due`: what is due is told while the screens are open and, without a banner, the book backed up once a day.
        """
        stand = open_stand()
        try:
            book = stand.book_path if due and banner is None else None
            roster, shop = stand.roster(clock()), stand.shop
            return cls(open_stand, clock=clock, roster=roster, shop=shop, banner=banner, book=book, due=due, own=own)
        finally:
            stand.close()

    def on_mount(self) -> None:
        """Paint the tags; then work them out."""
        self.push_screen(StandScreen())
        self.call_after_refresh(self.look)
        self.set_interval(1.0, self._tick)

    def on_unmount(self) -> None:
        """Close the book."""
        if self._due is not None:
            self._due.stop()
        self.backroom.close()

    # following the book

    def look(self) -> Worker[None]:
        """Work the stand out anew, behind."""
        return behind(self, partial(self._look, self._pause), group="look")

    async def _look(self, keep: timedelta = timedelta()) -> None:
        """Work out what changed; assessments of other clocks may be `keep` old."""
        now = self.now()
        guests = self.sitting.part([screen.only for screen in self.screen_stack if isinstance(screen, HandsScreen)])

        def job(stand: Stand) -> tuple[int, StandView, float, dict[str, Assessment | None]]:
            begun = time.monotonic()
            version = stand.version()
            view = stand.view(now, keep=keep)
            return version, view, time.monotonic() - begun, assessed(stand, guests, now)

        try:
            version, view, seconds, found = await self.backroom.ask(job)
        except StandwatchError as error:
            self.post_message(self.Trouble(str(error)))
            return
        self.post_message(self.ViewReady(view, version, timedelta(seconds=seconds), not keep, found))

    def on_standwatch_app_view_ready(self, event: ViewReady) -> None:
        """Let the screens follow."""
        self._version = event.version
        if event.anew or self._looked_at is None:
            self._looked_at = event.view.now
            self._pause = max(_LEAST_PAUSE, event.took * _SHARE)
        self._troubled = False
        self.sitting.welcome(event.guests)
        self.view = event.view
        if self._wants_due and self._due is None:
            self._due = self._begin_due()

    def _begin_due(self) -> Due:
        """The jobs, begun once the stand is painted."""
        from standwatch.tui.due import Due  # noqa: PLC0415  # the stand is painted without it

        due = Due(self, self._book)
        behind(self, due.start, group="due")
        return due

    def on_standwatch_app_trouble(self, event: Trouble) -> None:
        """Say once that the book can't be read; it is tried again."""
        if not self._troubled:
            self._troubled = True
            self.notify(event.sentence, severity="error", markup=False)

    def _tick(self) -> None:
        if not self.screen_stack:  # the app closes, and a second that was due before still comes
            return
        if isinstance(self.screen, HandsScreen):
            self.screen.tick()
        if not any(worker.group in {"poll", "look"} and worker.is_running for worker in self.workers):
            behind(self, self._poll, group="poll")

    async def _poll(self) -> None:
        """Look again when anyone has written, or when time has moved what is shown."""
        try:
            version = await self.backroom.ask(lambda stand: stand.version())
        except StandwatchError as error:
            self.post_message(self.Trouble(str(error)))
            return
        stale = self._looked_at is not None and self.now() - self._looked_at >= self._pause
        if version != self._version or stale:
            await self._look(timedelta() if stale else self._pause)

    # what the screens ask

    def open_clock(self, tag: str) -> None:
        """Show a clock's page; one that the stand doesn't show is looked up first."""
        if self.assessment(tag) is None:
            behind(self, partial(self._invite, tag), group="guest", exclusive=True)
        else:
            self._show_clock(tag)

    def _show_clock(self, tag: str) -> None:
        from standwatch.tui.screens.clock import ClockScreen  # noqa: PLC0415  # the stand is painted without it

        self.push_screen(ClockScreen(tag))

    async def _invite(self, tag: str) -> None:
        """Have a clock worked out that the stand doesn't show, and show it."""
        now = self.now()
        try:
            found = await self.backroom.ask(lambda stand: stand.assess(tag, now))
        except StandwatchError as error:
            self.notify(str(error), severity="error", markup=False)
            return
        self.sitting.guests[found.tag] = found
        self._show_clock(found.tag)

    def open_delivered(self) -> None:
        """Show the clocks at their owners'."""
        from standwatch.tui.screens.delivered import DeliveredScreen  # noqa: PLC0415  # the same

        self.push_screen(DeliveredScreen())

    def open_rates(self) -> None:
        """Show how many clocks came back."""
        from standwatch.tui.screens.rates import RatesScreen  # noqa: PLC0415  # the same

        self.push_screen(RatesScreen())

    def open_release(self, tag: str) -> None:
        """Show what a clock still has to show before it may go."""
        from standwatch.tui.screens.release import ReleaseScreen  # noqa: PLC0415  # the same

        self.push_screen(ReleaseScreen(tag))

    def open_round(self) -> None:
        """Go round the clocks, from where it was left; what to mind is said the first time in a day."""
        from standwatch.tui.screens.round.screen import RoundScreen  # noqa: PLC0415  # the same
        from standwatch.tui.turn import RoundMemory  # noqa: PLC0415  # the same

        today = self._today()
        self._round = self._round or RoundMemory(bell=self.settings.bell)
        self.push_screen(RoundScreen(self._round.on(today), cautions=self.sitting.first_on(today, "weights")))

    def open_winding(self) -> None:
        """Show every train by its run-out; what to mind is said the first time in a day."""
        from standwatch.tui.screens.winding import WindingScreen  # noqa: PLC0415  # the same

        self.push_screen(WindingScreen(cautions=self.sitting.first_on(self._today(), "weights")))

    def open_listening(self) -> None:
        """Show the coming quarter; what to mind is said the first time in a day."""
        from standwatch.tui.screens.listening import ListeningScreen  # noqa: PLC0415  # the same

        self.push_screen(ListeningScreen(cautions=self.sitting.first_on(self._today(), "listening")))

    def _today(self) -> date:
        """The day in the shop."""
        return self.now().astimezone(self.shop.zone).date()

    def open_regulate(self, tag: str) -> None:
        """Show what the nut of a clock wants."""
        from standwatch.tui.screens.regulate import RegulateScreen  # noqa: PLC0415  # the same

        self.push_screen(RegulateScreen(tag))

    def open_stoppage(self, tag: str) -> None:
        """Show when a clock stopped."""
        from standwatch.tui.screens.stoppage import StoppageScreen  # noqa: PLC0415  # the same

        self.push_screen(StoppageScreen(tag))

    def open_first_hour(self, tag: str) -> None:
        """Show the start sheet of a clock."""
        from standwatch.tui.screens.first_hour import FirstHourScreen  # noqa: PLC0415  # the same

        self.push_screen(FirstHourScreen(tag))

    def follow(self, tag: str) -> None:
        """The stand's cursor goes where the clock's page went."""
        for screen in self.screen_stack:
            if isinstance(screen, StandScreen):
                screen.table.choose(tag)

    def show_help(self, place: Place) -> None:
        """Help for where it was asked."""
        from standwatch.service.taught import taught  # noqa: PLC0415  # the same
        from standwatch.tui.screens.help import HelpScreen  # noqa: PLC0415  # the same

        self.push_screen(HelpScreen(place, () if self.view is None else taught(self.view.learned)))

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """The registry's actions of this screen that make sense now; then the theme and leaving."""
        if isinstance(screen, HandsScreen):
            place = screen.place
            for action in at(place):
                if action.palette and screen.check_action(action.id, ()) and action.id != "app.quit":
                    do = partial(behind, self, partial(screen.run_action, action.id), group="palette")
                    yield SystemCommand(f"{action.words} ({self.keys.shown(place, action)})", action.help, do)
        yield SystemCommand(
            "theme", "Choose the colours: the house's dark or light, or another.", self.action_change_theme
        )
        yield SystemCommand("quit (q)", "Leave; everything is kept.", self.action_quit)
