"""Release: hold a clock or let it go. Waive with a reason, sign, and release by typing its tag."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from functools import partial

from textual.app import ComposeResult
from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import DONE, Assessment
from standwatch.model.errors import StandwatchError
from standwatch.model.words import NEVER_WAIVED, Requirement, Work
from standwatch.service.stand import Stand
from standwatch.service.views import StandView
from standwatch.tui.actions import bindings
from standwatch.tui.behind import behind
from standwatch.tui.draw import release as draw
from standwatch.tui.draw.needed import evidence
from standwatch.tui.draw.paint import MUTED, WARNING, Lines, line, stack, strong, wrapped
from standwatch.tui.entry import parse
from standwatch.tui.screens.hands import HandsScreen
from standwatch.tui.widgets.bar import Bar
from standwatch.tui.widgets.foot import Foot
from standwatch.tui.widgets.sheet import Sheet
from standwatch.tui.works import WORKS

_HOME = "its error there such as +2, swing a2.6, the word wall if the case is fixed to it, n and a note; or Enter alone"


class ReleaseScreen(HandsScreen):
    """One clock's requirements, HOLD or MAY GO. What is waived here is kept with the release, not before."""

    PLACE = "release"
    BINDINGS = bindings("release")

    def __init__(self, tag: str) -> None:
        super().__init__()
        self._tag = tag
        self._row = 0
        self._waive: dict[Requirement, str] = {}

    def compose(self) -> ComposeResult:
        """Head, page, bar, bottom line."""
        yield Sheet(self._draw_head, id="head")
        yield Sheet(self._draw_page, id="page")
        yield Bar()
        yield Foot("release")

    def on_mount(self) -> None:
        """Follow the stand."""
        self.watch(self.stand_app, "view", self._on_view, init=True)
        self.rest()

    @property
    def chosen(self) -> Assessment | None:
        """This clock."""
        return self.stand_app.assessment(self._tag)

    @property
    def asked(self) -> draw.Asked | None:
        """What the page is about."""
        if self.view is None or self.chosen is None:
            return None
        return draw.Asked(self.chosen, self.view.now, self.view.shop.zone, self._waive, self._row)

    def _on_view(self, _view: StandView | None) -> None:
        self._again()

    def on_resize(self) -> None:
        """Another size."""
        self.call_after_refresh(self._again)

    def _again(self) -> None:
        self.query_one("#head", Sheet).refresh()
        self.query_one("#page", Sheet).refresh()
        self.refresh_bindings()

    def _draw_head(self, size: Size) -> Content:
        asked = self.asked
        return Content(f" RELEASE  {self._tag}") if asked is None else draw.head(asked, size.width)

    def _draw_page(self, size: Size) -> Content:
        asked = self.asked
        if asked is None:
            return Content(" This clock is not on the stand any more; Esc goes back.")
        return draw.page(asked, size)

    def blind(self, tag: str | None) -> None:
        """Nothing here tells what a reading should show."""

    def _resting(self) -> None:
        told = self._row_words()
        lines = wrapped(told, self.size.width - 2, 2, MUTED) or [Content("")]
        self.bar.rest(lambda _size: stack(line((" ", ""), part) for part in lines), len(lines))

    def _row_words(self) -> str:
        """The chosen requirement in full."""
        asked = self.asked
        if asked is None:
            return ""
        verdict = asked.verdicts[self._row]
        return f"{draw.NAMES[verdict.requirement]}: {verdict.because or evidence(verdict)}"

    def rest(self) -> None:
        """Nothing is asked any more."""
        super().rest()
        self.call_after_refresh(self._again)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A key that makes no sense now is greyed."""
        asked = self.asked
        if action in {"waive", "let_go", "sign", "oil", "cased", "reopen", "deliver"}:
            return None if asked is None or not self._makes_sense(action, asked) else True
        return super().check_action(action, parameters)

    def _makes_sense(self, action: str, asked: draw.Asked) -> bool:
        if action in {"reopen", "deliver"}:
            return asked.released
        if asked.released:
            return False
        verdict = asked.verdicts[self._row]
        may_waive = verdict.requirement not in NEVER_WAIVED and verdict.outcome not in DONE
        return {"waive": may_waive, "let_go": asked.may_go}.get(action, True)

    # keys

    def action_move(self, by: int) -> None:
        """The requirement above or below."""
        asked = self.asked
        if asked is not None:
            self._row = min(max(self._row + by, 0), len(asked.verdicts) - 1)
            self.rest()

    def action_end(self, by: int) -> None:
        """The first or last."""
        self.action_move(by * 100)

    def action_back(self) -> None:
        """First close what is told, then back."""
        if self.bar.mode == "told":
            self.rest()
        else:
            self.app.pop_screen()

    def action_evidence(self) -> None:
        """The chosen requirement's reason in full."""
        asked = self.asked
        if asked is not None:
            name = draw.name_of(asked.verdicts[self._row].requirement)
            self.say(name.upper(), self._row_words().partition(": ")[2])

    def action_waive(self) -> None:
        """Ask for the reason; it is kept with the release."""
        asked = self.asked
        if asked is None:
            return
        requirement = asked.verdicts[self._row].requirement

        def save(text: str) -> None:
            if text.strip():
                self._waive[requirement] = text.strip()
            else:
                self._waive.pop(requirement, None)
            self.rest()

        hint = "why it may be let go without; it is printed on its record. Enter alone: not waived"
        self._ask(lambda: f"WAIVE {draw.NAMES[requirement]}  {self._tag}", _hint(hint), save)

    def action_let_go(self) -> None:
        """Ask for its tag and the name of who lets it go."""
        hint = f"its tag from its label, then your name or initials, such as {self._tag} JQ"

        def save(text: str) -> None:
            by = text.strip().removeprefix(self._tag).strip()
            if not text.strip().startswith(self._tag) or not by:
                told = f"type {self._tag}, a space, and your name or initials; Esc keeps it on the stand"
                self.bar.complain(lambda width: wrapped(told, width, 3, strong(WARNING)))
                return
            waive = {str(name): reason for name, reason in self._waive.items()}
            now = self.stand_app.now()
            self._do(lambda stand: _released(stand, self._tag, by, waive, now), "MAY GO")

        self._ask(lambda: f"RELEASE  {self._tag}", _hint(hint), save)

    def action_reopen(self) -> None:
        """Ask why it is taken back."""

        def save(text: str) -> None:
            now = self.stand_app.now()
            self._do(lambda stand: stand.reopen(self._tag, reason=text, now=now).text, "ON THE STAND AGAIN")

        self._ask(lambda: f"REOPEN  {self._tag}", _hint("why it comes back to the stand"), save)

    def action_deliver(self) -> None:
        """Ask how it was left at its owner's."""
        clock = self.chosen.estimates.history.clock if self.chosen is not None else None
        if clock is None:
            return

        def save(text: str) -> None:
            wall = "wall" in text.split(" n ", maxsplit=1)[0].split()
            entry = parse(" ".join(word for word in text.split() if word != "wall"), clock)
            if entry.problem or not entry.cells.keys() <= {"error_s", "amplitude_deg", "note"}:
                problem = entry.problem or f"here type only {_HOME}"
                self.bar.complain(lambda width: wrapped(problem, width, 3, strong(WARNING)))
                return
            cells = {**entry.cells, **({"fixed_to_wall": "yes"} if wall else {})}
            if "note" in cells:
                cells["reason"] = cells.pop("note")
            now = self.stand_app.now()
            self._do(lambda stand: stand.deliver(self._tag, {**cells, "at": now}, now).text, "WENT HOME")

        self._ask(lambda: f"WENT HOME  {self._tag}", _hint(_HOME), save)

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

    def _do(self, job: Callable[[Stand], str], title: str) -> None:
        behind(self, partial(self._done, job, title), group="record")

    async def _done(self, job: Callable[[Stand], str], title: str) -> None:
        try:
            text = await self.stand_app.backroom.keep(job)
        except StandwatchError as error:
            sentence = str(error)
            self.bar.complain(lambda width: wrapped(sentence, width, 3, strong(WARNING)))
            return
        self._waive.clear()
        self.say(f"{title}  {self._tag}", text)
        self.stand_app.look()


def _hint(hint: str) -> Callable[[str, int], Lines]:
    return lambda _text, width: wrapped(f"type {hint}", width, 3, MUTED)


def _released(stand: Stand, tag: str, by: str, waive: dict[str, str], now: datetime) -> str:
    done = stand.release(tag, by=by, waive=waive, now=now)
    waived = f"; waived: {', '.join(done.waived)}" if done.waived else ""
    return f"let go by {by}{waived}. Its record is kept. Press d when it goes home, o to take it back to the stand."
