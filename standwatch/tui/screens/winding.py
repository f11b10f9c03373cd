"""Winding: every train by its run-out; one key and an optional number say what was wound."""

from __future__ import annotations

from functools import partial

from textual import events
from textual.app import ComposeResult
from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import Assessment
from standwatch.model.errors import StandwatchError
from standwatch.model.facts import Clock
from standwatch.model.words import Drive, Work
from standwatch.service.bench.winding import EXPLAIN, LET, Key, TrainLine, WindingBoard, winding_of, winds_told
from standwatch.service.stand import Stand
from standwatch.service.views import Receipt, StandView
from standwatch.tui.actions import bindings
from standwatch.tui.behind import behind
from standwatch.tui.draw import winding as draw
from standwatch.tui.draw.paint import WARNING, Lines, line, stack, wrapped
from standwatch.tui.draw.prompts import understood
from standwatch.tui.entry import parse
from standwatch.tui.screens.hands import HandsScreen
from standwatch.tui.widgets.bar import Bar, EntryLine
from standwatch.tui.widgets.foot import Foot
from standwatch.tui.widgets.sheet import Sheet

_OF_A_TRAIN = frozenset({"wound", "number", "clock_wound", "let", "mark", "undo"})
_UNREAD = "It stopped, and nobody has explained why: read dial and weights before it is wound."
_LET = "Nothing is recorded for it: leave it alone, and what is seen of it proves the run."


class WindingScreen(HandsScreen):
    """The trains of the stand. The cursor stays where the hand was, as what was wound goes down the list."""

    PLACE = "winding"
    BINDINGS = bindings("winding")

    def __init__(self, *, cautions: bool) -> None:
        super().__init__()
        self._cautions = cautions
        self._cursor = 0
        self._first = 0
        self._marked: set[Key] = set()
        self._batch: tuple[str, ...] = ()
        self._board: WindingBoard | None = None

    def compose(self) -> ComposeResult:
        """Head, counts, trains, legend, bar, bottom line."""
        yield Sheet(self._draw_head, id="head")
        yield Sheet(self._draw_counts, id="winding-counts")
        yield Sheet(self._draw_table, id="page")
        yield Sheet(draw.legend, id="winding-legend")
        yield Bar()
        yield Foot("winding")

    def on_mount(self) -> None:
        """Follow the stand, from the first train that may be wound."""
        self.watch(self.stand_app, "view", self._on_view, init=True)
        if self._board is not None:
            lines = self._board.lines
            self._cursor = next((n for n, each in enumerate(lines) if each.do != EXPLAIN), 0)
        self.rest()

    def _on_view(self, view: StandView | None) -> None:
        if view is None:
            return
        self._board = winding_of(view)
        known = {each.key for each in self._board.lines}
        self._marked &= known
        self._cursor = min(self._cursor, max(len(known) - 1, 0))
        if self.bar.mode == "rest":
            self._resting()
        self._again()

    def on_resize(self) -> None:
        """Another size."""
        self.call_after_refresh(self._again)

    def _again(self) -> None:
        airy = self.size.height >= 30
        self.query_one("#winding-legend").display = airy
        counts = self.query_one("#winding-counts")
        counts.styles.height = 5 if airy else 3
        counts.styles.padding = (1, 0) if airy else 0
        self._into_sight()
        for name in ("#head", "#winding-counts", "#page"):
            self.query_one(name, Sheet).refresh()
        self.refresh_bindings()

    def _into_sight(self) -> None:
        if self._board is None:
            return
        room = draw.rows_shown(self._board, max(self.query_one("#page").size.height, 3))
        first = min(self._first, self._cursor, max(len(self._board.lines) - room, 0))
        self._first = max(first, self._cursor - room + 1)

    def tick(self) -> None:
        """A second has passed."""
        self.query("#head").refresh()

    @property
    def line(self) -> TrainLine | None:
        """The train under the cursor."""
        lines = () if self._board is None else self._board.lines
        return lines[self._cursor] if self._cursor < len(lines) else None

    @property
    def chosen(self) -> Assessment | None:
        """The clock of the train under the cursor."""
        return None if self.line is None else self.stand_app.assessment(self.line.tag)

    def _draw_head(self, size: Size) -> Content:
        if self._board is None or self.view is None:
            return Content(" WINDING")
        return draw.head(self._board, self.stand_app.now(), self.view.shop.zone, size.width)

    def _draw_counts(self, size: Size) -> Content:
        if self._board is None or self.view is None:
            return Content("")
        return draw.counts(self._board, self.view.shop.zone, size, cautions=self._cautions)

    def _draw_table(self, size: Size) -> Content:
        if self._board is None or self.view is None:
            return Content(" The stand is being worked out.")
        zone = self.view.shop.zone
        return draw.table(draw.Listed(self._board, zone, self._cursor, self._first, self._marked), size)

    def blind(self, tag: str | None) -> None:
        """Nothing here tells what a reading should show."""

    def _resting(self) -> None:
        each = self.line
        text = "" if each is None else f"{_who(each)}: {each.explained}"
        self.bar.rest(lambda size: stack(line((" ", ""), part) for part in wrapped(text, size.width - 2, 2)), 2)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A key that makes no sense now is greyed."""
        each = self.line
        if action in _OF_A_TRAIN and each is None:
            return None
        if action == "all_marked" and not self._marked:
            return None
        if action == "restarted" and (each is None or not each.may_restart):
            return None
        return super().check_action(action, parameters)

    # moving and marking

    def action_move(self, by: int) -> None:
        """Another train."""
        count = 0 if self._board is None else len(self._board.lines)
        self._batch = ()
        self._cursor = min(max(self._cursor + by, 0), max(count - 1, 0))
        self.rest()
        self._again()

    def action_page(self, by: int) -> None:
        """A screenful of trains."""
        self.action_move(by * max(self.query_one("#page").size.height - 4, 1))

    def action_end(self, by: int) -> None:
        """The first train or the last."""
        self.action_move(by * 10_000)

    def action_mark(self) -> None:
        """Mark the train, or take its mark off; then the next."""
        each = self.line
        if each is not None and each.do == EXPLAIN:
            self.say(f"NOT MARKED  {_who(each)}", _UNREAD, WARNING)
        elif each is not None:
            self._marked ^= {each.key}
            self.action_move(1)

    def action_back(self) -> None:
        """First close what is told, then back."""
        if self.bar.mode == "told":
            self.rest()
        else:
            self.app.pop_screen()

    def on_click(self, event: events.Click) -> None:
        """A click chooses a train."""
        if event.widget is not None and event.widget.id == "page" and self._board is not None:
            at = self._first + event.y - 1 - (1 if event.y - 1 > self._board.above - self._first else 0)
            if event.y >= 1 and at < len(self._board.lines):
                self.action_move(at - self._cursor)

    # what was wound

    def on_key(self, event: events.Key) -> None:
        """A figure begins the turns or mm of the train under the cursor."""
        figure = event.character or ""
        if self.bar.mode != "entry" and figure in set("123456789") and self.line is not None:
            event.stop()
            event.prevent_default()
            self._ask_wound(figure)

    def action_number(self) -> None:
        """Ask for turns or mm."""
        self._ask_wound("")

    def action_wound(self) -> None:
        """Wound: Enter alone is fully."""
        self._ask_wound("")

    def _ask_wound(self, figure: str) -> None:
        each, told = self.line, self.chosen
        if each is None or told is None:
            return
        clock = told.estimates.history.clock
        self._stamp = self.stand_app.now()

        def under(text: str, width: int) -> Lines:
            entry = parse(text, clock, work=Work.WOUND)
            said = understood(entry, width) if text.strip() else wrapped(_hint(each), width, 1, "$foreground-muted")
            return [*said[:1], *wrapped(_mind(each, clock), width, 2, WARNING)]

        def save(text: str) -> None:
            entry = parse(text, clock, work=Work.WOUND)
            entry.cells |= {name: value for name, value in each.cells.items() if name not in entry.cells}
            self._keep(entry, each.tag)

        self._ask(lambda: f"WOUND  {_who(each)}", under, save)
        if figure:
            entry_line = self.query_one(EntryLine)
            entry_line.value = figure
            entry_line.cursor_position = len(figure)

    def _show_receipt(self, receipt: Receipt, told: str) -> None:
        self._batch = (receipt.tag,)
        super()._show_receipt(receipt, told)
        self._marked = {key for key in self._marked if key[0] != receipt.tag}

    def action_clock_wound(self) -> None:
        """Every train of the clock, to the top, at once; one that nobody explained is asked about first."""
        if self.line is not None and self.line.do == EXPLAIN:
            self._ask_wound("")
        elif self.line is not None:
            self._write(({"tag": self.line.tag, "work": Work.WOUND.value},))

    def action_restarted(self) -> None:
        """Set going again."""
        if self.line is not None:
            self._write(({"tag": self.line.tag, "work": Work.RESTARTED.value},))

    def action_all_marked(self) -> None:
        """All marked trains, to the top."""
        if self._board is not None and self._marked:
            self._write(winds_told(self._board, self._marked))

    def _write(self, rows: tuple[dict[str, object], ...]) -> None:
        now = self.stand_app.now()
        behind(self, partial(self._record_all, tuple({**row, "at": now} for row in rows)), group="record")

    async def _record_all(self, rows: tuple[dict[str, object], ...]) -> None:
        """Each row is a fact by itself; what was written before one that is refused stays and is said."""
        now = self.stand_app.now()
        written: list[str] = []
        trouble = ""
        for row in rows:
            try:
                await self.stand_app.backroom.keep(partial(Stand.check_in, cells=row, now=now))
            except StandwatchError as error:
                trouble = str(error)
                break
            written.append(str(row["tag"]))
        self._marked = {key for key in self._marked if key[0] not in written}
        names = ", ".join(dict.fromkeys(written))
        what = "RESTARTED" if rows[0]["work"] == Work.RESTARTED.value else "WOUND"
        self.say(what, f"{names}: kept; u takes {'it' if len(written) == 1 else 'them'} back. {trouble}".strip())
        self._batch = tuple(written)
        self.stand_app.look()

    def action_let(self) -> None:
        """Why it is let run out, or not; nothing is recorded."""
        each = self.line
        if each is not None:
            tail = f". {_LET}" if each.do == LET else "."
            self.say(f"LET RUN OUT?  {_who(each)}", f"{each.explained}{tail}")

    def action_undo(self) -> None:
        """Take back what was just recorded here; else ask first, as everywhere."""
        if not self._batch:
            super().action_undo()
            return
        batch, self._batch = self._batch, ()
        behind(self, partial(self._take_all_back, batch), group="record")

    async def _take_all_back(self, batch: tuple[str, ...]) -> None:
        now, told = self.stand_app.now(), []
        for tag in reversed(batch):
            try:
                undone = await self.stand_app.backroom.keep(partial(Stand.undo, tag=tag, now=now))
            except StandwatchError as error:
                self.say("NOT TAKEN BACK", str(error), WARNING)
                return
            told.append(f"{undone.tag} {undone.text}")
        self._receipt = None
        self.say("TAKEN BACK", "; ".join(told))
        self.stand_app.look()


def _who(each: TrainLine) -> str:
    return "  ".join(part for part in (each.slot, each.tag, each.name) if part)


def _hint(each: TrainLine) -> str:
    if each.drive is Drive.WEIGHT:
        return "Enter alone: to the top; or the mm raised"
    full = "" if each.full_turns is None else f", {each.full_turns:g} from run down"
    return f"Enter alone: fully{full}; or the turns of the key"


def _mind(each: TrainLine, clock: Clock) -> str:
    if each.do == EXPLAIN:
        return _UNREAD
    return f"This clock: {clock.hazards}." if clock.hazards else ""
