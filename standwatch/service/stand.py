"""The stand as the faces use it: every use case is one method."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from standwatch.judge.assessment import Assessment
from standwatch.model.answers import NotYetKnown
from standwatch.model.facts import CheckIn, Clock, Handover
from standwatch.model.records import ImportReport, Record
from standwatch.model.words import Train
from standwatch.service import looking, recording
from standwatch.service.after.asking import After
from standwatch.service.assessing import Assessor
from standwatch.service.ports import Book
from standwatch.service.release import handing
from standwatch.service.shop import Shop
from standwatch.service.views import (
    Forecast,
    Receipt,
    Released,
    RosterLine,
    Selfcheck,
    Setting,
    StandView,
    Undone,
    Written,
)

if TYPE_CHECKING:
    from standwatch.estimate.learned import Learned
    from standwatch.estimate.together import Common
    from standwatch.judge.due import Due
    from standwatch.judge.regulation import Advice
    from standwatch.judge.turns import PastTurn
    from standwatch.model.release import Home, ReleaseRecord
    from standwatch.service.earlier import Job
    from standwatch.service.home_forecast import ForHome
    from standwatch.service.office.lessons import Lessons
    from standwatch.service.personal.settings import OwnSettings
    from standwatch.service.reference import ReferenceTime


class Stand:
    """One book and what is worked out from it. One per thread, as its book.

    Every method that takes `now` works things out as of then; facts later than `now` stay in the book and don't
    count. Errors are BadValue, Refused or BookUnusable, and after one nothing was changed.
    """

    def __init__(
        self,
        book: Book,
        *,
        computer_zone: Callable[[], str] = lambda: "UTC",
        own: OwnSettings | None = None,
        lessons: Lessons | None = None,
    ) -> None:
        """`own`: the person's settings, of which a new book and a new clock take what they are given no other of.

        `lessons` keeps what the shop's clocks taught until the program is started again.
        """
        self._book = book
        self._assessor = Assessor(book, computer_zone, own, lessons)
        self._closing: list[Callable[[], None]] = []

    @property
    def book_path(self) -> Path:
        """The book's file."""
        return self._book.path

    def version(self) -> int:
        """Grows whenever anyone wrote to the book, from any process."""
        return self._book.version()

    def on_close(self, call: Callable[[], None]) -> None:
        """Have `call` made when the book is let go of."""
        self._closing.append(call)

    def close(self) -> None:
        """Let go of the book."""
        self._book.close()
        while self._closing:
            self._closing.pop()()

    # looking

    @property
    def shop(self) -> Shop:
        """The shop's zone, rounds, open days, site and calls."""
        return self._assessor.shop()

    def roster(self, now: datetime) -> tuple[RosterLine, ...]:
        """The clocks on the stand by slot, before anything is worked out."""
        return looking.roster(self._assessor, now)

    def view(self, now: datetime, *, keep: timedelta = timedelta()) -> StandView:
        """The stand at `now`, who first. Assessments of unchanged clocks up to `keep` old are taken as they are."""
        return self._assessor.view(now, keep=keep)

    def assess(self, tag: str, now: datetime) -> Assessment:
        """One clock at `now`, wherever it is; BadValue for an unknown tag."""
        return self._assessor.assess(self._assessor.exact(tag), now)

    def chosen(self, tags: Sequence[str], now: datetime) -> tuple[Assessment, ...]:
        """The clocks `tags` (the whole stand if empty) at `now`, who first."""
        return looking.chosen(self._assessor, tags, now)

    def learned(self, now: datetime) -> Learned:
        """What the shop's own clocks have taught in place of defaults; nothing where the book's `learning` is no."""
        return self._assessor.learned(now)

    def common(self, now: datetime) -> Common:
        """What the clocks of the stand share: jumps of the reference, and the room's warmth."""
        return self._assessor.common(now)

    def clocks(self) -> tuple[Record[Clock], ...]:
        """Every clock of the book, in order of first writing."""
        return tuple(self._assessor.clocks().values())

    def clock(self, tag: str) -> Record[Clock]:
        """The clock called `tag`; BadValue, with a near name where there is one, if there is none."""
        return self._assessor.clock(tag)

    def facts(self, tag: str) -> tuple[Record[CheckIn], ...]:
        """The current check-ins of `tag`, in order of time."""
        return self._assessor.facts(self._assessor.exact(tag)).check_ins

    def steps(self, tag: str) -> tuple[Record[Handover], ...]:
        """The current releases, deliveries, calls of `tag`, in order of time."""
        return self._assessor.facts(self._assessor.exact(tag)).handovers

    # recording

    def check_in(
        self, cells: Mapping[str, object], now: datetime, *, reference: ReferenceTime | None = None
    ) -> Receipt:
        """Record one visit: readings as found, and at most one work after them. `cells` are checkins.csv's columns.

        `tag` is needed; `at` is now unless given. `reference` is the computer's clock where the error was read
        against it: while nothing keeps it right, the reading's doubt grows, and is recorded with it.
        """
        return recording.check_in(self._assessor, cells, now, reference)

    def undo(self, tag: str | None, now: datetime) -> Undone:
        """Take back the fact (of `tag`) recorded last; Refused for a release, which is reopened instead."""
        return recording.undo(self._assessor, tag, now)

    def correct(self, id_prefix: str, cells: Mapping[str, str | None], now: datetime) -> Written:
        """Replace a fact by one with other `cells`; empty or None is "not given"."""
        return recording.correct(self._assessor, id_prefix, cells, now)

    def add_clock(self, cells: Mapping[str, object], now: datetime) -> Written:
        """A new clock; `cells` are clocks.csv's columns, of which `tag` and `kind` are needed."""
        return recording.add_clock(self._assessor, cells, now)

    def change_clock(self, tag: str, cells: Mapping[str, str | None], now: datetime) -> Written:
        """Other columns for a clock; what is left out stays, empty or None is "not given"."""
        return recording.change_clock(self._assessor, tag, cells, now)

    def move_clock(self, tag: str, slot: str, now: datetime, *, at: datetime | None = None) -> Receipt:
        """Move a clock to another slot: the work `moved`, whose slot holds from then."""
        return recording.move_clock(self._assessor, tag, slot, now, at=at)

    # the ledger

    def import_ledger(
        self,
        paths: Sequence[Path],
        now: datetime,
        *,
        dry_run: bool = False,
        progress: Callable[[int], None] = lambda _rows: None,
    ) -> ImportReport:
        """Bring in a ledger, all or nothing; BadValue says file:line:column. `progress` is told the rows done."""
        return recording.import_ledger(self._assessor, paths, now, dry_run=dry_run, progress=progress)

    def export_ledger(self, folder: Path) -> dict[str, int]:
        """Write the whole book as a ledger; rows by file name."""
        return self._book.export_ledger(folder)

    # release and after

    def release(self, tag: str, *, by: str, waive: Mapping[str, str], now: datetime) -> Released:
        """Let a clock go; Refused, naming what is missing, unless every requirement is met, waived or not applicable.

        `waive` is requirement to reason; BadValue for an unknown one, Refused for one that is never waived.
        """
        return handing.release(self._assessor, tag, by=by, waive=waive, now=now)

    def releases(self, tag: str) -> tuple[ReleaseRecord, ...]:
        """Every release of a clock as it was frozen, oldest first, whatever its edition."""
        from standwatch.service.release.releases import releases  # noqa: PLC0415  # tags are shown without it

        return releases(self._assessor, self._assessor.exact(tag))

    def released(self, tag: str, now: datetime) -> ReleaseRecord:
        """The last release by `now`, for papers; Refused where there is none, BookUnusable where it was altered."""
        from standwatch.service.release.releases import released  # noqa: PLC0415  # the same

        return released(self._assessor, self._assessor.exact(tag), now)

    def since_release(self, tag: str, now: datetime) -> tuple[str, ...]:
        """A sentence for each thing that is other than at the last release: limits, facts, columns, rules."""
        from standwatch.service.release.since_release import since_release  # noqa: PLC0415  # the same

        return since_release(self._assessor, self._assessor.exact(tag), now)

    def reopen(self, tag: str, *, reason: str, now: datetime) -> Written:
        """Take a released clock back to the stand; its evidence counts on, its waivers don't."""
        return handing.reopen(self._assessor, tag, reason=reason, now=now)

    def deliver(self, tag: str, cells: Mapping[str, object], now: datetime) -> Written:
        """A released clock goes home: `cells` are releases.csv's columns of how it was left there, and at, reason."""
        return handing.deliver(self._assessor, tag, cells, now)

    def call(self, tag: str, cells: Mapping[str, object], now: datetime) -> Written:
        """A call after delivery: `cells` hold reason (the result) and may hold error_s, stopped, chime."""
        return handing.call(self._assessor, tag, cells, now)

    def callback(self, tag: str, cells: Mapping[str, object], now: datetime) -> Written:
        """A released clock came back, or someone had to go: `cells` hold code and may hold at, stopped, reason."""
        return handing.callback(self._assessor, tag, cells, now)

    @property
    def after(self) -> After:
        """What is asked of clocks once they may go home: warranty, call-back rates, holding."""
        return After(self._assessor)

    def earlier_jobs(self, tag: str) -> tuple[Job, ...]:
        """The earlier jobs on the same clock, by `earlier_tag`, the latest first; what ends the chain amiss says so."""
        from standwatch.service.earlier import earlier_jobs  # noqa: PLC0415  # the same

        return earlier_jobs(self._assessor, tag)

    def later_jobs(self, tag: str) -> tuple[Job, ...]:
        """The jobs that name this one as their earlier job."""
        from standwatch.service.earlier import later_jobs  # noqa: PLC0415  # the same

        return later_jobs(self._assessor, tag)

    # looking ahead

    def forecast(self, ats: Sequence[datetime], tags: Sequence[str], now: datetime) -> tuple[Forecast, ...]:
        """The errors expected at `ats` for `tags` (the whole stand if empty), clock by clock."""
        return looking.forecast(self._assessor, ats, tags, now)

    def due(self, until: datetime | None, now: datetime) -> tuple[Due, ...]:
        """What is due up to `until` (the end of the next round if None), soonest first."""
        return looking.due(self._assessor, until, now)

    def regulate(self, tag: str, target_s_per_day: float, now: datetime) -> Advice | NotYetKnown:
        """How to bring a clock to `target_s_per_day`, or why to leave it alone."""
        from standwatch.judge.regulation import advise  # noqa: PLC0415  # tags are shown before the estimators are loaded

        return advise(self.assess(tag, now).estimates, target_s_per_day)

    def home(self, tag: str, now: datetime, days: float = 14.0) -> Home:
        """The error of a clock that is still here `days` after it is set right at its owner's, and what goes into it.

        Refused for a clock that is there already.
        """
        from standwatch.service.home_forecast import home_of  # noqa: PLC0415  # the same

        return home_of(self._assessor, tag, now, days)

    def for_home(self, tag: str, now: datetime, wanted_s_per_day: float = 0.0) -> ForHome:
        """The rate to leave a clock at here so that it goes `wanted_s_per_day` at its owner's."""
        from standwatch.service.home_forecast import for_home  # noqa: PLC0415  # the same

        return for_home(self._assessor, tag, now, wanted_s_per_day)

    def past_turns(self, tag: str, now: datetime) -> tuple[PastTurn, ...]:
        """Every turn of the nut since the clock was last opened: the rate predicted then, and what it became."""
        from standwatch.service.bench.regulating import past_turns  # noqa: PLC0415  # the same

        return past_turns(self._assessor, self._assessor.exact(tag), now)

    def stop_times(
        self, tag: str, dial: str, falls: Mapping[Train, float], now: datetime, *, moon_age_d: float | None = None
    ) -> tuple[tuple[datetime, float], ...]:
        """When the clock, found hanging at `now`, stopped: times with their odds, likeliest first."""
        return looking.stop_times(self._assessor, tag, dial, falls, now, moon_age_d=moon_age_d)

    # the book's own

    def settings(self) -> tuple[Setting, ...]:
        """The book's settings, in order."""
        return self._assessor.settings.listed()

    def set_settings(self, values: Mapping[str, str], now: datetime) -> tuple[Setting, ...]:
        """Set some, all or none; BadValue for one that can't be. The settings after it."""
        return recording.set_settings(self._assessor, values, now)

    def backup(self, to: Path) -> None:
        """Copy the book to the file `to`, whole and consistent, while others may go on writing."""
        self._book.backup(to)

    def selfcheck(self) -> Selfcheck:
        """Look the book over: the file, the releases' digests, and whether the computer's clock is synchronised."""
        from standwatch.service import safety  # noqa: PLC0415  # ctypes and subprocess, which nothing else wants

        return safety.selfcheck(self._book)
