"""What the service hands to the faces. Frozen; times are UTC, errors seconds (+ fast)."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from standwatch.estimate.learned import Learned
from standwatch.estimate.together import Common
from standwatch.judge.assessment import Assessment, Need
from standwatch.model.answers import Answer
from standwatch.model.records import AnyRecord
from standwatch.model.words import Standing
from standwatch.service.shop import Shop

if TYPE_CHECKING:
    from standwatch.estimate.look_again import FallOff
    from standwatch.judge.unlogged import Unlogged


@dataclass(frozen=True, slots=True)
class RosterLine:
    """What can be said of a clock before anything is worked out."""

    tag: str
    kind: str
    position: str


@dataclass(frozen=True, slots=True)
class StandView:
    """The stand at one time: the clocks on it, and those delivered whose calls are still due, who first.

    `learned` is what the shop's own clocks had taught by then in place of defaults, `common` what all clocks share.
    """

    now: datetime
    next_round: datetime
    shop: Shop
    assessments: tuple[Assessment, ...]
    learned: Learned
    common: Common

    @property
    def need_you(self) -> tuple[Assessment, ...]:
        """Standing still, slipped or to be explained, suspect, or to adjust."""
        wanting = {Need.STANDS_STILL, Need.SLIPPED, Need.SUSPECT, Need.ADJUST}
        return tuple(a for a in self.assessments if a.need in wanting)

    @property
    def run_out(self) -> tuple[Assessment, ...]:
        """Going, and may run out before the next round."""
        return tuple(a for a in self.assessments if a.need is Need.RUNS_OUT)

    @property
    def unread(self) -> tuple[Assessment, ...]:
        """Not read since the round of today began."""
        return tuple(a for a in self.assessments if a.unread_today)

    @property
    def may_go(self) -> tuple[Assessment, ...]:
        """Ready to be released."""
        return tuple(a for a in self.assessments if a.standing is Standing.READY)


@dataclass(frozen=True, slots=True)
class Receipt:
    """A visit as recorded: what a reading then was expected to show, what it showed, and what follows.

    `expected` is from all facts but this one. `found_s` is None where no error was read. `surprise`: the reading lies
    well outside what was expected, or the readings together contradict it. `betrayed` is work that nobody logged and
    that is known of only since this visit. `falls_off` are weights read far from where they were expected.
    `warning` is a sentence on where a clock that was moved hangs now; empty where there is nothing to mind. `unsure`
    says that the reading's doubt grew, since nothing keeps the computer's clock right; empty where it didn't.
    """

    id: str
    tag: str
    at: datetime
    expected: Answer
    found_s: float | None
    surprise: bool
    assessment: Assessment
    betrayed: tuple[Unlogged, ...] = ()
    falls_off: tuple[FallOff, ...] = ()
    warning: str = ""
    unsure: str = ""

    @property
    def unsaid(self) -> tuple[Unlogged, ...]:
        """Of what it betrayed, what the next step doesn't say already."""
        return tuple(work for work in self.betrayed if work.text not in self.assessment.next.text)


@dataclass(frozen=True, slots=True)
class Written:
    """A fact that was written: its id, its clock's tag, and what it is, in words.

    `warning` is a sentence on what to mind now, as where a new clock hangs; empty where there is nothing.
    """

    id: str
    tag: str
    text: str
    warning: str = ""


@dataclass(frozen=True, slots=True)
class Undone:
    """A fact taken back and, where it was a correction, the fact that counts again."""

    tag: str
    record: AnyRecord
    restored: AnyRecord | None
    text: str


@dataclass(frozen=True, slots=True)
class Released:
    """A release: the fact's id, the record that was frozen with it, and what was waived."""

    id: str
    tag: str
    record: dict[str, object]
    waived: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Forecast:
    """The error that a reading of one clock is expected to show at `at`.

    `place`: of a clock at its owner's, what that place does to it is in the forecast, or why it is not; else empty.
    """

    tag: str
    at: datetime
    error_s: Answer
    place: str = ""


@dataclass(frozen=True, slots=True)
class Setting:
    """One of the book's own settings. `given`: set in the book, not the default."""

    name: str
    value: str
    given: bool
    words: str


@dataclass(frozen=True, slots=True)
class Selfcheck:
    """What is wrong with the book (a sentence each; empty: nothing), and what is known of the computer's clock."""

    problems: tuple[str, ...]
    releases: int
    computer_clock: str
