"""Delivered: whom to call, what was told, and what came back."""

from __future__ import annotations

from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import Assessment
from standwatch.judge.phases import EARLY_CALL_D
from standwatch.model.errors import StandwatchError
from standwatch.service.after.gone_home import Gone, TimeThere
from standwatch.tui.actions import bindings
from standwatch.tui.behind import behind
from standwatch.tui.delivering import back_cells, call_cells
from standwatch.tui.draw import delivered as draw
from standwatch.tui.draw.paint import MUTED, WARNING, line, spread, stack, strong
from standwatch.tui.draw.words import day_words
from standwatch.tui.screens.page import PageScreen, hint
from standwatch.tui.screens.papering import PaperingScreen

_CALL = "what was said; before it, if told: +0:05 for five seconds fast, -1:00 a minute slow, or the word stopped"
_BACK = "1 set-up  2 mechanical  3 user  4 cosmetic; then what was found, such as 2 stopped, the line came off"


class DeliveredScreen(PaperingScreen, PageScreen):
    """The clocks at their owners', calls due first."""

    PLACE = "delivered"
    BINDINGS = bindings("delivered")

    def __init__(self) -> None:
        super().__init__()
        self._gone: tuple[Gone, ...] = ()
        self._row = 0
        self._there: dict[str, tuple[Assessment, tuple[TimeThere, ...]]] = {}

    @property
    def chosen(self) -> Assessment | None:
        """The chosen clock, once it is worked out; those about whom a call is still due are at once."""
        if self.gone is None:
            return None
        there = self._there.get(self.gone.tag)
        return self.stand_app.assessment(self.gone.tag) or (None if there is None else there[0])

    @property
    def gone(self) -> Gone | None:
        """The chosen clock."""
        return self._gone[self._row] if self._row < len(self._gone) else None

    @property
    def paper_tag(self) -> str | None:
        """The chosen clock's."""
        return None if self.gone is None else self.gone.tag

    @property
    def let_go(self) -> bool:
        """All here were let go."""
        return True

    def _look_anew(self) -> None:
        behind(self, self._fetch, group="delivered", exclusive=True)

    async def _fetch(self) -> None:
        now = self.stand_app.now()
        try:
            gone = await self.stand_app.backroom.ask(lambda stand: stand.after.gone_home(now))
        except StandwatchError:
            return  # the app says so
        tag = self.gone.tag if self.gone is not None else None
        self._gone = gone
        self._row = next((n for n, known in enumerate(gone) if known.tag == tag), min(self._row, max(len(gone) - 1, 0)))
        self._there = {}
        self._look_there()
        if self.bar.mode == "rest":
            self._resting()
        self._again()

    def _look_there(self) -> None:
        """Have the times told of the chosen clock set beside what was expected."""
        if self.gone is not None and self.gone.tag not in self._there:
            behind(self, self._fetch_there, group="there", exclusive=True)

    async def _fetch_there(self) -> None:
        gone, now = self.gone, self.stand_app.now()
        if gone is None:
            return
        try:
            there = await self.stand_app.backroom.ask(
                lambda stand: (stand.assess(gone.tag, now), stand.after.times_there(gone.tag, now))
            )
        except StandwatchError:
            return  # the app says so
        self._there[gone.tag] = there
        self._again()

    def _draw_head(self, size: Size) -> Content:
        app = self.stand_app
        left = line((" DELIVERED  ", strong("")), (day_words(app.now(), app.shop.zone), ""))
        days = ", ".join(f"{day}" for day in app.shop.calls)
        early = f"; without its case day {EARLY_CALL_D} too" if EARLY_CALL_D not in app.shop.calls else ""
        return spread(left, line((f"calls: day {days}{early} ", MUTED)), size.width)

    def _draw_page(self, size: Size) -> Content:
        known = self._there.get(self.gone.tag) if self.gone is not None else None
        there = () if known is None else known[1]
        home = draw.AtHome(self._gone, self._row, there, self.stand_app.now(), self.stand_app.shop.zone)
        return draw.page(home, size)

    def _resting(self) -> None:
        gone = self.gone
        app = self.stand_app
        lines = draw.said(gone, app.now(), app.shop.zone, self.size.width - 2) if gone is not None else [Content("")]
        self.bar.rest(lambda _size: stack(line((" ", ""), part) for part in lines), len(lines))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A key that makes no sense now is greyed."""
        if action in {"call", "came_back", "undo", "take_back", "papers", "open_clock"} and self.gone is None:
            return None
        if action == "read":
            return True if self.chosen is not None else None
        return super().check_action(action, parameters) if action not in {"undo", "open_clock"} else True

    # keys

    def action_move(self, by: int) -> None:
        """The clock above or below."""
        self._row = min(max(self._row + by, 0), max(len(self._gone) - 1, 0))
        self.rest()
        self._look_there()
        self._again()

    def action_end(self, by: int) -> None:
        """The first or last."""
        self.action_move(by * 100_000)

    def action_open_clock(self) -> None:
        """Its page."""
        if self.gone is not None:
            self.stand_app.open_clock(self.gone.tag)

    def action_rates(self) -> None:
        """How many came back."""
        self.stand_app.open_rates()

    def action_call(self) -> None:
        """Ask what was said."""
        gone = self.gone
        if gone is None:
            return

        def save(text: str) -> None:
            cells = call_cells(text)
            if "reason" not in cells:
                self._complain(f"type {_CALL}")
                return
            now = self.stand_app.now()
            self._do(lambda stand: stand.call(gone.tag, {**cells, "at": now}, now).text, f"CALLED  {gone.tag}")

        self._ask(lambda: f"CALLED  {gone.tag}  {gone.owner}", hint(f"type {_CALL}"), save)

    def action_came_back(self) -> None:
        """Ask why."""
        gone = self.gone
        if gone is None:
            return

        def save(text: str) -> None:
            now = self.stand_app.now()
            self._do(lambda stand: stand.callback(gone.tag, back_cells(text), now).text, f"CAME BACK  {gone.tag}")

        self._ask(lambda: f"CAME BACK, or somebody had to go  {gone.tag}: why?", hint(_BACK), save)

    def action_take_back(self) -> None:
        """Back to the stand."""
        gone = self.gone
        if gone is None:
            return

        def save(text: str) -> None:
            now = self.stand_app.now()
            self._do(lambda stand: stand.reopen(gone.tag, reason=text, now=now).text, f"ON THE STAND  {gone.tag}")

        self._ask(lambda: f"BACK TO THE STAND  {gone.tag}", hint("type why it comes back to the stand"), save)

    def action_undo(self) -> None:
        """Take back what was recorded last of the chosen clock."""
        gone = self.gone
        if gone is None:
            return
        if self._asked_undo != gone.tag:
            self.say("TAKE BACK?", f"u again takes back what was recorded last of {gone.tag}; Esc keeps it.", WARNING)
            self._asked_undo = gone.tag
            return
        now = self.stand_app.now()
        self._do(lambda stand: stand.undo(gone.tag, now).text, "TAKEN BACK")

    async def _done(self) -> None:
        await self._fetch()
