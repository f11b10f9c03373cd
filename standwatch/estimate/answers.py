"""What the estimators answer: the seam between numbers and verdicts.

The judge and the faces know only these shapes; what fills them may be replaced. All times are UTC, rates s/day,
errors seconds (+ fast), falls mm, angles degrees. Intervals are 95 %.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import TYPE_CHECKING, Protocol

from standwatch.estimate.history import History
from standwatch.model.answers import Answer, Moment, NotYetKnown
from standwatch.model.words import ReadBy, Train, Work

if TYPE_CHECKING:  # which stand on the answers themselves
    from standwatch.estimate.beside import Beside
    from standwatch.estimate.going import Going


@dataclass(frozen=True, slots=True)
class Suspect:
    """A reading that the others contradict: what it said, and the error then by all the others."""

    id: str
    at: datetime
    error_s: float
    expected_s: float
    odds: float


@dataclass(frozen=True, slots=True)
class SuspectedWork:
    """Work that the readings betray and nobody logged: hands-set (s), nut (s/day) or wound (mm)."""

    what: Work
    at: datetime
    amount: float
    odds: float


@dataclass(frozen=True, slots=True)
class Residual:
    """One sound reading against what was expected of it just before: `miss_s` (+ faster than expected), `sd_s`.

    `days` is the time since the reading before. The first reading after the error began anew has none.
    """

    at: datetime
    miss_s: float
    sd_s: float
    days: float


@dataclass(frozen=True, slots=True)
class TracePoint:
    """The error at one time, for a chart; `starts` where the line begins anew."""

    at: datetime
    error_s: float
    low: float
    high: float
    starts: bool


class Timekeeping(Protocol):
    """Error and rate of one clock. Works for any time, past or to come; the clock is taken to go on as it does."""

    @property
    def rate(self) -> Answer:
        """s/day now: of weights the mean over a wind, of springs the mean over a whole wind."""

    @property
    def rate_named(self) -> str:
        """What temperature `rate` holds for: "at 20 °C", "at the present temperature", or "" where none matters."""

    @property
    def turn_effect(self) -> tuple[float, float] | None:
        """s/day that one turn towards faster makes on this clock, as its turns have taught, and its standard doubt.

        None where neither its pendulum nor its turns tell.
        """

    @property
    def winding_step(self) -> Answer:
        """What a whole wind does to the error of this clock, in s (of weights without maintaining power)."""

    @property
    def wind_curve(self) -> Answer:
        """How much faster a spring drives this clock fully wound than at the end of its usual wind, in s/day."""

    @property
    def residuals(self) -> tuple[Residual, ...]:
        """Each sound reading against what was expected of it, oldest first."""

    @property
    def drift(self) -> Answer:
        """Change of rate in s/day per day, between equal wind phases."""

    @property
    def warmth(self) -> tuple[float, float]:
        """s/day lost a deg C warmer, and its standard deviation: as told so far, else as clocks of its make do."""

    @property
    def stand_c(self) -> float | None:
        """Deg C of the stand for which its forecast rate holds; None where nothing was logged while it was judged."""

    @property
    def suspects(self) -> tuple[Suspect, ...]:
        """Readings that the others contradict, oldest first."""

    @property
    def suspected_work(self) -> tuple[SuspectedWork, ...]:
        """Work that nobody logged, oldest first."""

    @property
    def readings_since_rate_opened(self) -> int:
        """Sound readings since the last work that opened the rate, after settling."""

    @property
    def rate_since(self) -> datetime | None:
        """From when readings count for the rate: the settling's end, or the first reading. None where there is none."""

    @property
    def day_range_spans(self) -> tuple[tuple[datetime, datetime], ...]:
        """The spans, oldest first, whose mean rates `day_range` compares; empty where there are too few readings."""

    def error_at(self, at: datetime) -> Answer:
        """The error at `at`, in seconds."""

    def reading_at(self, at: datetime, how: ReadBy | None = None) -> Answer:
        """The error a reading at `at` is expected to show, taken `how` (the usual way if None)."""

    def rate_within(self, limit: float) -> float | NotYetKnown:
        """Probability that |rate| <= `limit` s/day (JCGM 106:2012, 7)."""

    def day_range(self) -> Answer:
        """Spread in s/day of the true rates of the last five days with a reading, all within nine days."""

    def day_range_within(self, limit: float) -> float | NotYetKnown:
        """Probability that `day_range` <= `limit`, or why readings so far can't show it."""

    def daily_rates(self) -> tuple[tuple[datetime, Answer], ...]:
        """The rate over each interval of about a day between sound readings, as smoothed; for charts and papers."""

    def trace(self, start: datetime, end: datetime, points: int) -> tuple[TracePoint, ...]:
        """The error from `start` to `end` in about `points` steps, broken where it stepped; for charts."""


@dataclass(frozen=True, slots=True)
class TrainRun:
    """One train's wind: when it was last wound, where its weight is now, and when it runs out."""

    train: Train
    wound_at: datetime | None
    fall_mm: Answer
    floor_mm: float | None
    speed_mm_per_day: Answer
    runs_out: Moment | NotYetKnown


@dataclass(frozen=True, slots=True)
class Power:
    """The wind-down of each train, in the trains' order."""

    trains: tuple[TrainRun, ...]

    def without(self, stuck: Collection[Train]) -> Power:
        """The same without the trains that seem `stuck`, whose weights hang still; with them where no other tells."""
        running = tuple(run for run in self.trains if run.train not in stuck)
        return Power(running) if any(isinstance(run.runs_out, Moment) for run in running) else self

    @property
    def soonest(self) -> TrainRun | NotYetKnown:
        """The train that runs out first, or why none can be told."""
        known = [(run.runs_out.at, run) for run in self.trains if isinstance(run.runs_out, Moment)]
        if known:
            return min(known, key=lambda pair: pair[0])[1]
        because = [run.runs_out.because for run in self.trains if isinstance(run.runs_out, NotYetKnown)]
        return NotYetKnown(because[0] if because else "this kind has no train to wind")


@dataclass(frozen=True, slots=True)
class SwingReading:
    """One amplitude reading that counts: degrees, its standard doubt, and hours since the last wind."""

    id: str
    at: datetime
    degrees: float
    doubt_deg: float
    wind_hours: float | None


@dataclass(frozen=True, slots=True)
class Swing:
    """Amplitude in degrees (half-swing of a pendulum, amplitude of a balance, total of a torsion pendulum).

    `spare_pct` is per cent over the clock's own unlocking point. `trend_pct_per_week` is between equal wind phases.
    `too_little_at` is when a fall would bring it to what it needs.
    """

    amplitude: Answer
    spare_pct: Answer
    trend_pct_per_week: Answer
    too_little_at: datetime | None
    readings: tuple[SwingReading, ...]


STRONG = 0.8
"""A lead at least so likely is worth the walk when nothing else is due."""


@dataclass(frozen=True, slots=True)
class Lead:
    """A pattern worth a look: INTERFACES' code, how strong, and where to look next. Never a verdict."""

    code: str
    odds: float
    text: str


class Home(Protocol):
    """The error of one clock at its owner's; `site` is what a pendulum gains a day there, in s, if one swings.

    `room` is what the clock gains a day by the owner's room against the stand; None for a reference.
    """

    site: Answer | None
    room: Answer | None

    @property
    def told(self) -> tuple[tuple[datetime, float, Answer], ...]:
        """The errors told there, oldest first: when, what, and what was expected by all that was told before."""

    def reading_at(self, at: datetime) -> Answer:
        """The error in seconds that a reading there at `at`, taken the usual way, is expected to show."""


@dataclass(frozen=True)
class Estimates:
    """Everything that is estimated of one clock, with the History it stands on.

    `find_leads` works out `leads`, which is done when they are first asked for, `find_going` likewise `going`,
    `find_winds` the winds that nobody logged, `find_stuck` the trains that seem `stuck`, and `find_home` `home`; that
    is None of a clock on the stand. `beside` are the neighbours that may pass swing to it.
    """

    history: History
    time: Timekeeping
    power: Power
    swing: Swing
    find_leads: Callable[[], tuple[Lead, ...]] = field(repr=False, compare=False)
    find_going: Callable[[], Going] = field(repr=False, compare=False)
    find_home: Callable[[], Home] | None = field(default=None, repr=False, compare=False)
    find_winds: Callable[[], tuple[SuspectedWork, ...]] = field(default=tuple, repr=False, compare=False)
    find_stuck: Callable[[], frozenset[Train]] = field(default=frozenset, repr=False, compare=False)
    beside: tuple[Beside, ...] = ()

    @cached_property
    def suspected_work(self) -> tuple[SuspectedWork, ...]:
        """Work that nobody logged, oldest first: of hands and nut by the errors, of the going weight by its falls."""
        return tuple(sorted((*self.time.suspected_work, *self.find_winds()), key=lambda work: work.at))

    @cached_property
    def leads(self) -> tuple[Lead, ...]:
        """The patterns worth a look, strongest first."""
        return self.find_leads()

    @cached_property
    def stuck(self) -> frozenset[Train]:
        """The trains that seem stuck by their weights: `power` tells what they would do if they went on."""
        return self.find_stuck()

    @cached_property
    def running(self) -> Power:
        """`power` without the trains that seem stuck, where another tells when it runs out."""
        return self.power.without(self.stuck)

    @cached_property
    def going(self) -> Going:
        """When it went and stopped, the dials of its stops by the error it had."""
        return self.find_going()

    @cached_property
    def home(self) -> Home | None:
        """The error at its owner's; None where it is on the stand, or nobody asked for it to be worked out."""
        return None if self.find_home is None else self.find_home()
