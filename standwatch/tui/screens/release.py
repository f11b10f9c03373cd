"""Release: hold a clock or let it go. Waive with a reason, sign, and release by typing its tag."""

from __future__ import annotations

from datetime import datetime

from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import DONE, Assessment
from standwatch.model.words import NEVER_WAIVED, Requirement, Work
from standwatch.service.stand import Stand
from standwatch.service.views import StandView
from standwatch.tui.actions import bindings
from standwatch.tui.delivering import left_there
from standwatch.tui.draw import release as draw
from standwatch.tui.draw.needed import evidence
from standwatch.tui.draw.paint import MUTED, line, stack, wrapped
from standwatch.tui.screens.page import OneClock, hint
from standwatch.tui.works import WORKS

_HOME = (
    "how it was left: its error such as +2, swing a2.6, beat b1.5, weights l20 c20 r20, wall or nowall, by and who "
    "winds it, n and a note; or Enter alone"
)


class ReleaseScreen(OneClock[draw.Asked]):
    """One clock's requirements, HOLD or MAY GO. What is waived here is kept with the release, not before."""

    PLACE = "release"
    BINDINGS = bindings("release")

    def __init__(self, tag: str) -> None:
        super().__init__(tag)
        self._row = 0
        self._waive: dict[Requirement, str] = {}

    def _about(self, told: Assessment, view: StandView) -> draw.Asked:
        return draw.Asked(told, view.now, view.shop.zone, self._waive, self._row)

    def _head_of(self, about: draw.Asked, width: int) -> Content:
        return draw.head(about, width)

    def _page_of(self, about: draw.Asked, size: Size) -> Content:
        return draw.page(about, size)

    def _resting(self) -> None:
        told = self._row_words()
        lines = wrapped(told, self.size.width - 2, 2, MUTED) or [Content("")]
        self.bar.rest(lambda _size: stack(line((" ", ""), part) for part in lines), len(lines))

    def _row_words(self) -> str:
        """The chosen requirement in full."""
        asked = self.about
        if asked is None:
            return ""
        verdict = asked.verdicts[self._row]
        return f"{draw.NAMES[verdict.requirement]}: {verdict.because or evidence(verdict)}"

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """A key that makes no sense now is greyed."""
        asked = self.about
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
        asked = self.about
        if asked is not None:
            self._row = min(max(self._row + by, 0), len(asked.verdicts) - 1)
            self.rest()

    def action_end(self, by: int) -> None:
        """The first or last."""
        self.action_move(by * 100)

    def action_evidence(self) -> None:
        """The chosen requirement's reason in full."""
        asked = self.about
        if asked is not None:
            name = draw.name_of(asked.verdicts[self._row].requirement)
            self.say(name.upper(), self._row_words().partition(": ")[2])

    def action_waive(self) -> None:
        """Ask for the reason; it is kept with the release."""
        asked = self.about
        if asked is None:
            return
        requirement = asked.verdicts[self._row].requirement

        def save(text: str) -> None:
            if text.strip():
                self._waive[requirement] = text.strip()
            else:
                self._waive.pop(requirement, None)
            self.rest()

        why = "type why it may be let go without; it is printed on its record. Enter alone: not waived"
        self._ask(lambda: f"WAIVE {draw.NAMES[requirement]}  {self._tag}", hint(why), save)

    def action_let_go(self) -> None:
        """Ask for its tag and the name of who lets it go."""
        what = f"type its tag from its label, then your name or initials, such as {self._tag} JQ"

        def save(text: str) -> None:
            by = text.strip().removeprefix(self._tag).strip()
            if not text.strip().startswith(self._tag) or not by:
                self._complain(f"type {self._tag}, a space, and your name or initials; Esc keeps it on the stand")
                return
            waive = {str(name): reason for name, reason in self._waive.items()}
            now = self.stand_app.now()
            self._do(lambda stand: _released(stand, self._tag, by, waive, now), f"MAY GO  {self._tag}")

        self._ask(lambda: f"RELEASE  {self._tag}", hint(what), save)

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
                lambda stand: stand.deliver(self._tag, {**left.cells, "at": now}, now).text, f"WENT HOME  {self._tag}"
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

    async def _done(self) -> None:
        self._waive.clear()


def _released(stand: Stand, tag: str, by: str, waive: dict[str, str], now: datetime) -> str:
    done = stand.release(tag, by=by, waive=waive, now=now)
    waived = f"; waived: {', '.join(done.waived)}" if done.waived else ""
    return f"let go by {by}{waived}. Its record is kept. Press d when it goes home, o to take it back to the stand."
