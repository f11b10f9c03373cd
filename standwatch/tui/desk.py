"""What a screen may ask of the app. The screens know this; only the app knows the screens."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from textual.app import App
from textual.reactive import reactive
from textual.worker import Worker

from standwatch.judge.assessment import Assessment
from standwatch.service.personal.settings import Settings
from standwatch.service.personal.toml_lines import Wrong
from standwatch.service.reference import ReferenceTime
from standwatch.service.shop import Shop
from standwatch.service.views import RosterLine, StandView
from standwatch.tui.actions import Place
from standwatch.tui.backroom import Backroom
from standwatch.tui.keys import Keys
from standwatch.tui.sitting import Sitting


class Desk(App[None]):
    """The stand as last worked out, the time, the backroom; and the openers of screens, which the app fills in.

    `reference` is what is known of the computer's clock, None before it was asked and where another clock is shown
    than the computer's. `settings` are the person's own, `settings_file` where they are kept (None: nowhere), `keys`
    where the actions lie by them, and `wrong` the lines of their file that can't be. `sitting` is what pages remember.
    """

    view: reactive[StandView | None] = reactive(None, always_update=True)
    now: Callable[[], datetime]
    roster: tuple[RosterLine, ...]
    shop: Shop
    banner: str | None
    backroom: Backroom
    reference: reactive[ReferenceTime | None] = reactive(None)
    settings: Settings
    settings_file: Path | None
    keys: Keys
    wrong: tuple[Wrong, ...]
    sitting: Sitting

    def assessment(self, tag: str | None) -> Assessment | None:
        """The clock `tag` as last worked out, on the stand or looked at from elsewhere."""
        if self.view is None or tag is None:
            return None
        return next((told for told in self.view.assessments if told.tag == tag), self.sitting.guests.get(tag))

    def look(self) -> Worker[None]:
        """Work the stand out anew, behind."""
        raise NotImplementedError

    def follow(self, tag: str) -> None:
        """Put the stand's cursor on the clock `tag`."""
        raise NotImplementedError

    # the openers, one a screen

    def open_clock(self, tag: str) -> None:
        """Show a clock's page."""
        raise NotImplementedError

    def open_release(self, tag: str) -> None:
        """Show what a clock still has to show before it may go."""
        raise NotImplementedError

    def open_delivered(self) -> None:
        """Show the clocks at their owners'."""
        raise NotImplementedError

    def open_rates(self) -> None:
        """Show how many clocks came back."""
        raise NotImplementedError

    def open_round(self) -> None:
        """Go round the clocks, from where it was left."""
        raise NotImplementedError

    def open_winding(self) -> None:
        """Show every train by its run-out."""
        raise NotImplementedError

    def open_listening(self) -> None:
        """Show what is worth hearing at the coming quarter."""
        raise NotImplementedError

    def open_regulate(self, tag: str) -> None:
        """Show what the nut of a clock wants."""
        raise NotImplementedError

    def open_stoppage(self, tag: str) -> None:
        """Show when a clock stopped."""
        raise NotImplementedError

    def open_first_hour(self, tag: str) -> None:
        """Show the start sheet of a clock."""
        raise NotImplementedError

    def show_help(self, place: Place) -> None:
        """Show the help of `place`."""
        raise NotImplementedError
