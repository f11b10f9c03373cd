"""Release: hold a clock or let it go. Waive with a reason, sign, and release by typing its tag; its papers; after."""

from __future__ import annotations

from datetime import datetime
from functools import partial

from textual import events
from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import DONE, Assessment
from standwatch.model.errors import StandwatchError
from standwatch.model.words import NEVER_WAIVED, REQUIREMENT_NAMES, Requirement, Work
from standwatch.service.after.leaving import Leaving, kept_line, leaving_of
from standwatch.service.stand import Stand
from standwatch.service.views import StandView
from standwatch.tui.actions import bindings
from standwatch.tui.behind import behind
from standwatch.tui.delivering import left_there
from standwatch.tui.draw import release as draw
from standwatch.tui.draw.asked import Asked, name_of, reason_of
from standwatch.tui.draw.paint import MUTED, PLAIN, Lines, line, stack, wrapped
from standwatch.tui.screens.page import OneClock, hint
from standwatch.tui.screens.papering import PaperingScreen
from standwatch.tui.works import WORKS

_HOME = (
    "how it was left: its error such as +0:02, swing a2.6, beat b1.5, weights l20 c20 r20, wall or nowall, by and who "
    "winds it, n and a note; or Enter alone"
)
_CALL_NEXT = "d on the stand says when to call"
_BEFORE = frozenset({"waive", "let_go", "sign", "oil", "cased"})


class ReleaseScreen(PaperingScreen, OneClock[Asked]):
    """One clock's requirements, HOLD or MAY GO. What is waived here is kept with the release, not before."""

    PLACE = "release"
    BINDINGS = bindings("release")

    def __init__(self, tag: str) -> None:
        super().__init__(tag)
        self._row = 0
        self._moved = self._full = False
        self._first = 0
        self._leaving: Leaving | None = None

    @property
    def _waive(self) -> dict[Requirement, str]:
        return self.stand_app.sitting.waiving.setdefault(self._tag, {})

    def _about(self, told: Assessment, view: StandView) -> Asked:
        asked = Asked(told, view.now, view.shop.zone, self._waive, 0, self._leaving, self._full, self._first)
        self._row = min(self._row, max(len(asked.rows) - 1, 0))
        return Asked(told, view.now, view.shop.zone, self._waive, self._row, self._leaving, self._full, self._first)

    def _head_of(self, about: Asked, width: int) -> Content:
        return draw.head(about, width)

    def _page_of(self, about: Asked, size: Size) -> Content:
        return draw.page(about, size)

    # what is asked for behind

    def _look_anew(self) -> None:
        behind(self, self._fetch, group="leaving", exclusive=True)

    async def _fetch(self) -> None:
        """The forecast at home, what speaks for holding, what was kept: worked out by the backroom."""
        tag, now = self._tag, self.stand_app.now()
        try:
            self._leaving = await self.stand_app.backroom.ask(lambda stand: leaving_of(stand, tag, now))
        except StandwatchError:
            return  # the app says so
        if self.bar.mode == "rest":
            self._resting()
        self._again()

    # the bar at rest

    def _resting(self) -> None:
        asked = self.about
        chosen = "" if asked is None else self._row_words(asked)
        told = chosen if asked is None or self._moved else _next_words(asked) or chosen
        height = 2

        def lines(width: int) -> Lines:
            return wrapped(told, width - 2, height, MUTED if told == chosen else PLAIN) or [Content("")]

        self.bar.rest(lambda size: stack(line((" ", ""), part) for part in lines(size.width)), height)

    def _row_words(self, asked: Asked) -> str:
        """The chosen requirement in full."""
        if not asked.rows:
            return ""
        verdict = asked.rows[self._row]
        return f"{REQUIREMENT_NAMES[verdict.requirement]}: {reason_of(verdict)}"

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A key that makes no sense now is greyed."""
        asked = self.about
        if action in _BEFORE | {"reopen", "deliver"}:
            return None if asked is None or not self._makes_sense(action, asked) else True
        if action in {"papers", "label", "in_full", "evidence"}:
            return None if asked is None else True
        return super().check_action(action, parameters)

    def _makes_sense(self, action: str, asked: Asked) -> bool:
        if action == "reopen":
            return asked.released
        if action == "deliver":
            return asked.released and not asked.at_home
        if asked.released:
            return False
        if action == "waive":
            verdict = asked.rows[self._row] if asked.rows else None
            return verdict is not None and verdict.requirement not in NEVER_WAIVED and verdict.outcome not in DONE
        return asked.may_go if action == "let_go" else True

    # keys

    def on_key(self, event: events.Key) -> None:
        """The first figure of its tag begins the release, so that a scanner may type it."""
        figure = event.character or ""
        asked = self.about
        if figure.isdecimal() and self.bar.mode != "entry" and asked is not None and asked.may_go:
            event.stop()
            event.prevent_default()
            self.action_let_go()
            self._put(figure)

    def action_move(self, by: int) -> None:
        """The requirement above or below; of it in full, a line."""
        asked = self.about
        if asked is None:
            return
        if self._full:
            size = self.query_one("#page").size
            self._first = min(max(self._first + by, 0), max(draw.full_length(asked, size.width) - size.height + 1, 0))
            self._again()
            return
        self._row = min(max(self._row + by, 0), max(len(asked.rows) - 1, 0))
        self._moved = True
        self.rest()

    def action_page(self, by: int) -> None:
        """A screenful."""
        self.action_move(by * max(self.query_one("#page").size.height - 3, 1))

    def action_end(self, by: int) -> None:
        """The first or last."""
        self.action_move(by * 10_000)

    def action_in_full(self) -> None:
        """All of it in sentences, or back."""
        self._full, self._first = not self._full, 0
        self.rest()

    def action_back(self) -> None:
        """First close what is told or open, then back."""
        if self.bar.mode != "told" and self._full:
            self.action_in_full()
        else:
            super().action_back()

    def action_evidence(self) -> None:
        """The chosen requirement's reason in full."""
        asked = self.about
        if asked is not None and asked.rows:
            name = name_of(asked.rows[self._row].requirement)
            self.say(name.upper(), self._row_words(asked).partition(": ")[2])

    def action_waive(self) -> None:
        """Ask for the reason; it is kept with the release."""
        asked = self.about
        if asked is None:
            return
        requirement = asked.rows[self._row].requirement

        def save(text: str) -> None:
            if text.strip():
                self._waive[requirement] = text.strip()
            else:
                self._waive.pop(requirement, None)
            self.rest()

        why = "type why it may be let go without; it is printed on its record. Enter alone: not waived"
        self._ask(lambda: f"WAIVE {REQUIREMENT_NAMES[requirement]}  {self._tag}", hint(why), save)
        self._put(self._waive.get(requirement, ""))

    def action_let_go(self) -> None:
        """Ask for its tag and the name of who lets it go; who did so last need not say it again."""
        usual = self.stand_app.sitting.by
        name = f"your name or initials ({usual} if you give none)" if usual else "your name or initials"
        what = f"type its tag from its label, then {name}, such as {self._tag} {usual or 'JQ'}"

        def save(text: str) -> None:
            tag, by = text.strip()[: len(self._tag)], text.strip()[len(self._tag) :].strip() or usual
            if tag.casefold() != self._tag.casefold():
                self._complain(f"that is not its tag: type {self._tag}, a space, and your name or initials")
            elif not by:
                self._put(f"{self._tag} ")
                self.call_after_refresh(
                    self._complain, f"type {self._tag}, a space, and your name or initials; Esc keeps it on the stand"
                )
            else:
                behind(self, partial(self._let_go, by), group="record")

        self._ask(lambda: f"LET GO  {self._tag}", hint(what), save)

    async def _let_go(self, by: str) -> None:
        now, waive = self.stand_app.now(), {str(name): reason for name, reason in self._waive.items()}
        try:
            told = await self.stand_app.backroom.keep(lambda stand: _released(stand, self._tag, by, waive, now))
        except StandwatchError as error:
            self.say("NOT LET GO", str(error))
            self.stand_app.look()
            return
        self.stand_app.sitting.by = by
        self.stand_app.sitting.waiving.pop(self._tag, None)
        self._row, self._moved = 0, False
        self.say(f"LET GO  {self._tag}", told)
        self.stand_app.look()

    def action_reopen(self) -> None:
        """Ask why it is taken back."""

        def save(text: str) -> None:
            now = self.stand_app.now()
            title = f"ON THE STAND AGAIN  {self._tag}"
            self._do(lambda stand: stand.reopen(self._tag, reason=text, now=now).text, title)

        self._ask(lambda: f"REOPEN  {self._tag}", hint("type why it comes back to the stand"), save)

    def action_deliver(self) -> None:
        """Ask how it was left at its owner's."""
        clock = self.chosen.estimates.history.clock if self.chosen is not None else None
        if clock is None:
            return

        def save(text: str) -> None:
            left = left_there(text, clock)
            if left.problem:
                self._complain(left.problem)
                return
            now = self.stand_app.now()
            self._do(
                lambda stand: f"{stand.deliver(self._tag, {**left.cells, 'at': now}, now).text}; {_CALL_NEXT}",
                f"WENT HOME  {self._tag}",
            )

        self._ask(lambda: f"WENT HOME  {self._tag}", hint(f"type {_HOME}"), save)

    def action_sign(self) -> None:
        """Safety looked over and signed."""
        self._work(Work.SAFETY_CHECKED)

    def action_oil(self) -> None:
        """The oil looked at."""
        self._work(Work.OIL_CHECKED)

    def action_cased(self) -> None:
        """Into its own case."""
        self._work(Work.CASED)

    def _work(self, work: Work) -> None:
        if self.chosen is not None:
            self._stamp = self.stand_app.now()
            self._ask_work(next(known for known in WORKS if known.work is work), self.chosen)


def _next_words(asked: Asked) -> str:
    """What to do with it now, before a requirement is chosen."""
    tag = asked.found.tag
    if asked.at_home:
        return f"{tag} is at its owner's: p prints its papers, o takes it back to the stand."
    if asked.released:
        return f"{tag} was let go: p its papers, d when it goes home, o back to the stand."
    if asked.may_go:
        return f"{tag} may go; you decide: type its tag, or e. Then p prints its papers."
    return ""


def _released(stand: Stand, tag: str, by: str, waive: dict[str, str], now: datetime) -> str:
    done = stand.release(tag, by=by, waive=waive, now=now)
    waived = f"; waived: {', '.join(done.waived)}" if done.waived else ""
    kept = kept_line(stand.releases(tag)[-1])
    return f"let go by {by}{waived}; {kept}. p prints its papers, d when it goes home."
