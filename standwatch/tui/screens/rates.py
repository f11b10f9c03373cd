"""Call-back rates: what came back of what went home, by what was repaired, waived and tested."""

from __future__ import annotations

from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import Assessment
from standwatch.model.errors import StandwatchError
from standwatch.service.after.returns import FIRST_MONTHS, Returns
from standwatch.tui.actions import bindings
from standwatch.tui.behind import behind
from standwatch.tui.draw import rates as draw
from standwatch.tui.draw.paint import MUTED, line, spread, stack, strong, wrapped
from standwatch.tui.draw.words import day_words
from standwatch.tui.screens.page import PageScreen
from standwatch.tui.widgets.sheet import Sheet

_MEANS = (
    "A fault is a call-back of code set-up or mechanical. Ranges hold nineteen times in twenty; what "
    f"went home under {FIRST_MONTHS} months ago may still come back."
)


class RatesScreen(PageScreen):
    """The rates, by groups; nothing is done here."""

    PLACE = "rates"
    BINDINGS = bindings("rates")

    def __init__(self) -> None:
        super().__init__()
        self._found: Returns | None = None
        self._first = 0

    @property
    def chosen(self) -> Assessment | None:
        """No clock is chosen here."""
        return None

    def _look_anew(self) -> None:
        behind(self, self._fetch, group="rates", exclusive=True)

    async def _fetch(self) -> None:
        now = self.stand_app.now()
        try:
            self._found = await self.stand_app.backroom.ask(lambda stand: stand.after.callback_rates(now))
        except StandwatchError:
            return  # the app says so
        self._again()

    def _draw_head(self, size: Size) -> Content:
        app = self.stand_app
        left = line((" CALL-BACK RATES  ", strong("")), (day_words(app.now(), app.shop.zone), ""))
        return spread(left, line(("of all that went home ", MUTED)), size.width)

    def _draw_page(self, size: Size) -> Content:
        return Content(" …") if self._found is None else draw.page(self._found, self._first, size)

    def _resting(self) -> None:
        lines = wrapped(_MEANS, self.size.width - 2, 2, MUTED)
        self.bar.rest(lambda _size: stack(line((" ", ""), part) for part in lines), len(lines))

    # keys

    def action_move(self, by: int) -> None:
        """So many lines down."""
        if self._found is not None:
            most = draw.most(self._found, self.query_one("#page", Sheet).size)
            self._first = min(max(self._first + by, 0), most)
            self._again()

    def action_page(self, by: int) -> None:
        """A page up or down."""
        self.action_move(by * max(self.query_one("#page", Sheet).size.height - 6, 1))

    def action_end(self, by: int) -> None:
        """The top or the end."""
        self.action_move(by * 100_000)
