"""Round: one clock fills the screen, read blind; every fact is kept as it is made."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import BindingType
from textual.content import Content
from textual.geometry import Size

from standwatch.service.round.asking import WHICH
from standwatch.service.round.plan import Spot
from standwatch.service.views import StandView
from standwatch.tui.actions import Place, bindings
from standwatch.tui.draw.paint import stack
from standwatch.tui.draw.round.surprised import first_answer
from standwatch.tui.screens.round.pages import PLACES, ChartDrawn
from standwatch.tui.screens.round.telling import BLIND_STAGES, RoundTelling
from standwatch.tui.turn import Turn, typing
from standwatch.tui.widgets.bar import Bar
from standwatch.tui.widgets.foot import Foot
from standwatch.tui.widgets.sheet import Sheet

_BOTH_FIGURES_S = 1.5
"""Who types both figures of a mark, 60 for 6, types the second so soon."""


class RoundScreen(RoundTelling):
    """The round's page and its keys."""

    PLACE = "round"
    BINDINGS: ClassVar[list[BindingType]] = [each for place in PLACES for each in bindings(place)]

    def compose(self) -> ComposeResult:
        """Head, page, bar, bottom line."""
        yield Sheet(self._draw_head, id="head")
        yield Sheet(self._draw_page, id="page")
        yield Bar()
        yield Foot("round")

    def on_mount(self) -> None:
        """Go on where the round was left."""
        self.watch(self.stand_app, "view", self._on_view, init=True)
        self.rest()
        self._beat()

    def _beat(self) -> None:
        """The reference clock moves on at each whole second of its own."""
        if self.turn is not None and self.turn.stage == "hand":
            self.query_one("#page", Sheet).refresh()
        self.set_timer(1.0 - self.stand_app.now().microsecond / 1e6, self._beat)

    def _on_view(self, view: StandView | None) -> None:
        if view is None:
            return
        for tag in [tag for tag, told in self.newer.items() if told.estimates.history.now <= view.now]:
            del self.newer[tag]
        self.pages.follow(view, self.stand_app.now())
        if self.turn is None and self.pages.round_now is not None and not self.pages.over:
            self._begin(self.pages.round_now.next_after(None))
        self.again()

    def on_resize(self) -> None:
        """Another size."""
        self.call_after_refresh(self.again)

    # drawing

    def _draw_head(self, size: Size) -> Content:
        return self.pages.head(self, size)

    def _draw_page(self, size: Size) -> Content:
        return stack(self.pages.page(self, size), size.height)

    def again(self) -> None:
        """Draw anew; the bottom line follows."""
        if not self.is_attached:
            return
        for name in ("#head", "#page"):
            self.query_one(name, Sheet).refresh()
        if self.bar.mode == "rest":
            self.query_one(Foot).place(self.place)
        self.refresh_bindings()
        self.pages.ask_chart(self)

    @property
    def place(self) -> Place:
        """Whose keys the bottom line shows."""
        return PLACES[0] if self.turn is None and not self.pages.over else self.pages.place_of(self.turn)

    def _resting(self) -> None:
        self.bar.rest(lambda _size: Content(""), 0)

    def _settle(self, place: Place) -> None:
        super()._settle(place)
        if place == self.PLACE:
            self.again()

    def blind(self, tag: str | None) -> None:
        """The page is blind by itself."""

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002  # Textual's own
        """A key that makes no sense now is greyed."""
        return True if self.pages.allows(action, self.turn, self._past) else None

    def on_screen_resume(self) -> None:
        """Back from another screen."""
        self._changed()

    def on_chart_drawn(self, event: ChartDrawn) -> None:
        """Show the chart."""
        self.pages.chart_key, self.pages.chart = event.key, event.lines
        self.query_one("#page", Sheet).refresh()

    # going from clock to clock

    def _begin(self, spot: Spot | None) -> None:
        """The turn of a clock; without one, the end of the round."""
        before = None if spot is None else self.known(spot.tag)
        if before is None:
            self.turn = None
            self.pages.end(self)
        else:
            self.pages.over = False
            self.turn = self._turn_of(before)
        self.again()

    def go_on(self, pressed_at: datetime | None = None) -> None:
        """The next figure that is to come, or the next clock; `pressed_at`: its hand crossed with this key."""
        self.pages.note = ""
        if self._pending:
            self.turn = self._pending.pop(0)
            self.again()
            return
        self._begin(self._next_spot())
        if pressed_at is not None and self.turn is not None and self.turn.stage == "hand":
            self.turn = self.turn.pressed(pressed_at)
            self.again()

    # the keys

    def on_key(self, event: events.Key) -> None:
        """Do at once what the key means here: which it was, and when it came, is told by no other way in time.

        Left to its binding it would be done after keys that came later were seen.
        """
        if self.focused is not None:
            return
        self._key = event.character if event.character and event.is_printable else event.key
        self._key_at = event.time
        self._taken, self._taken_before = False, self._taken
        bound = next(iter(self._bindings.key_to_bindings.get(event.key, [])), None)
        act = None if bound is None else getattr(self, f"action_{bound.action}", None)
        if bound is not None and act is not None and self.check_action(bound.action, ()):
            event.stop()
            event.prevent_default()
            act()

    def action_press(self) -> None:
        """The hand crosses now; where nothing more is asked, that of the next clock."""
        at = self._stamp_now()
        turn = self.turn
        if turn is None:
            if self.pages.over:
                self.action_back()
        elif turn.stage in BLIND_STAGES:
            self.turn = turn.pressed(at)
            self.again()
        elif turn.stage == "surprise":
            self.turn = turn.look_again()
            self.again()
        elif turn.wanted is not None:
            self._take()
        else:
            self.go_on(at)

    def action_enter(self) -> None:
        """Take what is typed; the first answer; the press; after a press, its figure later."""
        turn = self.turn
        if turn is not None and turn.stage == "figure":
            if turn.crossing is not None and turn.crossing.wants == "dial" and turn.typed:
                self._figured(turn.dial_told())
            else:
                self._figure_later(turn)
        elif turn is not None and turn.stage == "surprise":
            self._answer(first_answer(self.answers(turn)))
        elif self._taken_before:
            self.pages.note = "that figure is taken; Enter once more passes over this one"
            self.again()
        else:
            self.action_press()

    def _figure_later(self, turn: Turn) -> None:
        """The press is kept; its figure is asked at the end of the rail."""
        self._pending.append(turn)
        spot = self._next_spot()
        rail = turn.before.estimates.history.rail
        if spot is None or spot.rail != rail or turn.again:
            self.turn = self._pending.pop(0)
            self.again()
        else:
            self._begin(spot)

    def action_figure(self) -> None:
        """A figure: of the minute, of what is asked, or an answer."""
        key, turn = self._key, self.turn
        if key not in "0123456789" or not key:
            return
        second, until = self._swallow
        self._swallow = ("", 0.0)
        if key == second and self._key_at <= until:
            return
        if turn is None:
            self.pages.go_to(self, int(key))
        elif turn.stage == "figure":
            self._figured(turn.figure(key))
        elif turn.stage == "surprise":
            answer = next((a for a in self.answers(turn) if str(a.key) == key), None)
            if answer is not None:
                self._answer(answer)
        elif turn.wanted is not None:
            self.turn = turn.type(key)
            if turn.wanted.complete(self.turn.typed):
                self._take()
                self._taken = self.turn.wanted not in {None, WHICH}
            self.again()

    def _figured(self, turn: Turn) -> None:
        """After a figure: the reading is in, or something is still to be told."""
        crossing = turn.crossing
        asked_mark = self.turn is not None and self.turn.crossing is not None and self.turn.crossing.wants == "mark"
        if asked_mark and self._key != "0":
            self._swallow = ("0" if self._key in "36" else "5", self._key_at + _BOTH_FIGURES_S)
        self.pages.note = ""
        if crossing is not None and crossing.wants == "dial" and (self._key == "enter" or len(turn.typed) == 4):
            self.pages.note = f"no dial shows {turn.typed}; hour and minute: 827 is 8:27"
        reference = self.stand_app.reference
        told = turn.read(0.0 if reference is None else reference.extra_doubt_s)
        if told.reading is None or crossing is None or crossing.wants is not None:
            self.turn = turn
        else:
            self._keep_reading(told)
        self.again()

    def action_undo(self) -> None:
        """Take back: what is typed, a press, else the fact that was made last."""
        turn = self.turn
        if turn is not None and typing(turn) and self._key in {".", "full_stop"}:
            self.turn = turn.type(".")
        elif turn is not None and turn.typed:
            self.turn = replace(turn, typed="")
        elif turn is not None and turn.stage == "figure":
            self.turn = replace(turn, stage="hand", crossing=None)
        elif turn is not None and turn.stage == "when":
            self.turn = replace(turn, stage="surprise")
        elif self._past:
            self._go_back(self._past.pop())
        else:
            self.pages.note = "nothing of this round is left to take back"
        self.again()

    def action_rub_out(self) -> None:
        """The last figure typed; where none is, back to the figure before."""
        turn = self.turn
        if turn is None:
            return
        if turn.typed:
            self.turn = turn.rub_out()
        elif turn.stage in {"found", "hung"} and turn.taken:
            if turn.taken[-1] and self._past and self._past[-1].turn.tag == turn.tag:
                self._go_back(self._past.pop())
            else:
                self.turn = replace(turn, taken=turn.taken[:-1])
        self.again()

    def action_bell(self) -> None:
        """The bell, on or off."""
        self.memory.bell = not self.memory.bell
        self.pages.ring(self, twice=False)
        self.again()

    def action_back(self) -> None:
        """Leave; the place is kept."""
        self.stand_app.pop_screen()
