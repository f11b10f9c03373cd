"""What the pages have in common: a head, a page, the bar and the bottom line, drawn anew as the stand is."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import ClassVar, Generic, TypeVar

from textual.app import ComposeResult
from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import Assessment
from standwatch.model.errors import StandwatchError
from standwatch.service.stand import Stand
from standwatch.service.views import StandView
from standwatch.tui.behind import behind
from standwatch.tui.draw.paint import MUTED, WARNING, Lines, strong, wrapped
from standwatch.tui.draw.stand import read_first
from standwatch.tui.screens.hands import HandsScreen
from standwatch.tui.widgets.bar import Bar, EntryLine
from standwatch.tui.widgets.foot import Foot
from standwatch.tui.widgets.sheet import Sheet

About = TypeVar("About")


class PageScreen(HandsScreen):
    """A page under a head, with the bar and the bottom line of its place.

    A page fills `_draw_head`, `_draw_page`, `_resting` and `chosen`, and overrides the hooks `_begin`, `_look_anew`,
    `_drawn` and `_done`, never an `on_…`: Textual calls those of every class in turn.
    """

    def compose(self) -> ComposeResult:
        """Head, page, bar, bottom line."""
        yield Sheet(self._draw_head, id="head")
        yield Sheet(self._draw_page, id="page")
        yield Bar()
        yield Foot(self.PLACE)

    def on_mount(self) -> None:
        """Follow the stand."""
        self.watch(self.stand_app, "view", self._on_view, init=True)
        self._begin()

    def _begin(self) -> None:
        """The stand has been seen once: where to start."""
        self.rest()

    def _on_view(self, _view: StandView | None) -> None:
        self._look_anew()
        self._again()

    def _look_anew(self) -> None:
        """The stand was worked out anew: put right or ask for what the page keeps of it, before it is drawn."""

    def on_resize(self) -> None:
        """Another size."""
        self.call_after_refresh(self._again)

    def _again(self) -> None:
        """Draw anew."""
        self.query_one("#head", Sheet).refresh()
        page = self.query_one("#page", Sheet)
        page.refresh()
        self.refresh_bindings()
        self._drawn(page.size)

    def _drawn(self, size: Size) -> None:
        """The page of `size` is drawn anew: begin what a worker draws for it."""

    def _draw_head(self, size: Size) -> Content:
        """The top line."""
        raise NotImplementedError

    def _draw_page(self, size: Size) -> Content:
        """All between the top line and the bar."""
        raise NotImplementedError

    def rest(self) -> None:
        """Nothing is asked any more."""
        super().rest()
        self.call_after_refresh(self._again)

    def blind(self, tag: str | None) -> None:
        """Nothing here tells what a reading should show."""

    def action_back(self) -> None:
        """First close what is told, then back."""
        if self.bar.mode == "told":
            self.rest()
        else:
            self.app.pop_screen()

    # asking and keeping

    def _put(self, text: str) -> None:
        """Have `text` typed already."""
        entry = self.query_one(EntryLine)
        entry.value = text
        entry.cursor_position = len(text)

    def _complain(self, sentence: str, title: str = "NOT KEPT") -> None:
        """What is wrong: under the line that is typed into, else in the bar under `title`."""
        if self.bar.mode == "entry":
            self.bar.complain(lambda width: wrapped(sentence, width, 3, strong(WARNING)))
        else:
            self.say(title, sentence, WARNING)

    def _do(self, job: Callable[[Stand], str], title: str) -> None:
        """Have `job` done by the backroom, and say what it tells."""
        behind(self, partial(self._doing, job, title), group="record")

    async def _doing(self, job: Callable[[Stand], str], title: str) -> None:
        try:
            text = await self.stand_app.backroom.keep(job)
        except StandwatchError as error:
            self._complain(str(error), "NOT DONE")
            return
        self._asked_undo = None
        self.say(title, text)
        await self._done()
        self.stand_app.look()

    async def _done(self) -> None:
        """What was asked to be done is done."""


class OneClock(PageScreen, Generic[About]):
    """A page of the clock `tag`, drawn from one frozen dataclass.

    A page fills `_about`, which makes it, and `_head_of` and `_page_of`, which draw it. `HIDES` is true of a page that
    tells what a reading should show: it is hidden while its clock is being read.
    """

    HIDES: ClassVar[bool] = False

    def __init__(self, tag: str) -> None:
        super().__init__()
        self._tag = tag
        self._blind = False

    @property
    def only(self) -> str:
        """This clock's tag."""
        return self._tag

    @property
    def chosen(self) -> Assessment | None:
        """This clock."""
        return self.stand_app.assessment(self._tag)

    @property
    def about(self) -> About | None:
        """What the page is about; None where the clock is not on the stand."""
        told, view = self.chosen, self.view
        return None if told is None or view is None else self._about(told, view)

    def _about(self, told: Assessment, view: StandView) -> About:
        """What the page is about."""
        raise NotImplementedError

    def _head_of(self, about: About, width: int) -> Content:
        """The top line."""
        raise NotImplementedError

    def _page_of(self, about: About, size: Size) -> Content:
        """All between the top line and the bar."""
        raise NotImplementedError

    def _draw_head(self, size: Size) -> Content:
        about = self.about
        if about is None:
            return Content(f" {self.PLACE.upper().replace('-', ' ')}  {self._tag}")
        return self._head_of(about, size.width)

    def _draw_page(self, size: Size) -> Content:
        about = self.about
        if about is None:
            return Content(" This clock is not on the stand any more; Esc goes back.")
        return read_first(size) if self._blind else self._page_of(about, size)

    def blind(self, tag: str | None) -> None:
        """Hide the page while its clock is being read, where it tells what is expected."""
        if self.HIDES:
            self._blind = tag is not None
            self.query_one("#page", Sheet).refresh()


def hint(text: str) -> Callable[[str, int], Lines]:
    """`text` under the line that is typed into, whatever is typed."""
    return lambda _typed, width: wrapped(text, width, 3, MUTED)
