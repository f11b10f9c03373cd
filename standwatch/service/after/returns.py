"""What went home and what came back: one row for each time, and the rates, each with what it rests on.

A clock that was taken back and went home again counts for each time, by the release it went on. What a user did and
what is only seen are no fault of the work; set-up and mechanical are. Who did the work is not asked.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from pydantic import BaseModel, ConfigDict, ValidationError

from standwatch.estimate.shares import most_of_none, share_of
from standwatch.horology.kinds import traits_of
from standwatch.horology.repairs import REPAIRS, repairs_in
from standwatch.model.answers import Quantity
from standwatch.model.facts import Clock, Handover
from standwatch.model.units import reached
from standwatch.model.words import Outcome, Requirement
from standwatch.service.assessing import Assessor

FAULTS = ("mechanical", "set-up")
CODES = (*FAULTS, "user", "cosmetic")
FIRST_MONTHS = 3
"""A repair that was wrong shows itself within months (common practice): who went home since may still come back."""
MONTH = timedelta(days=365.25 / 12)
OTHER, UNTOLD, NOTHING = "other work", "not told", "nothing waived"
BANDS = ("under its kind's days", "1 to 1.5 times its kind's", "over 1.5 times its kind's")
_WINDOWS = (("in the first month", 0.0, 1.0), ("in months 2 and 3", 1.0, 3.0), ("in months 4 to 12", 3.0, 12.0))


@dataclass(frozen=True, slots=True)
class Job:
    """One time that a clock went home, `since` its delivery `until` it was taken back, or now.

    `days` it had gone by its release (None: not kept), of `least_days` of its kind. `repaired` names the trade's short
    list, `waived` what it went without (None: not kept). `codes` are of the times it came back or somebody had to go,
    UNTOLD where it was taken back and none was given; `first_back` is when that was first, `first_fault` when it first
    was a fault of the work.
    """

    tag: str
    since: datetime
    until: datetime
    repaired: tuple[str, ...]
    waived: tuple[Requirement, ...] | None
    days: float | None
    least_days: float
    codes: tuple[str, ...]
    first_back: datetime | None
    first_fault: datetime | None

    @property
    def months(self) -> float:
        """Months at its owner's so far."""
        return (self.until - self.since) / MONTH

    @property
    def young(self) -> bool:
        """Not yet FIRST_MONTHS at its owner's, and not come back."""
        return self.first_back is None and self.months < FIRST_MONTHS

    @property
    def band(self) -> str | None:
        """How long it was tested, of BANDS."""
        return None if self.days is None else band_of(self.days, self.least_days)


def band_of(days: float, least_days: float) -> str:
    """Which of BANDS so many days of going are, against the kind's least days."""
    if not reached(timedelta(days=days), timedelta(days=least_days)):
        return BANDS[0]
    return BANDS[1] if days <= 1.5 * least_days else BANDS[2]


@dataclass(frozen=True, slots=True)
class Rate:
    """Of `of` clocks that went home `faults` came back for a fault of the work, and `back` in all; `young` may yet."""

    name: str
    of: int
    faults: int
    back: int
    young: int = 0

    @property
    def fault_share(self) -> Quantity:
        """The share with a fault, with Wilson's 95 % interval."""
        return share_of(self.faults, self.of)

    @property
    def back_share(self) -> Quantity:
        """The share that came back for whatever reason, likewise."""
        return share_of(self.back, self.of)

    @property
    def fault_words(self) -> str:
        """ "3 of 41 (7 %, 3 to 19 %)", or what none of so many leaves open."""
        return share_words(self.faults, self.of)


def share_words(count: int, of: int) -> str:
    """ "3 of 41 (7 %, 3 to 19 %)"; "none of 12 (0 to 22 %)"."""
    if not count:
        return f"none of {of} ({most_words(of)})"
    return f"{count} of {of} ({interval_words(share_of(count, of))})"


def most_words(of: int) -> str:
    """What none of `of` leaves open, 95 times in 100: "0 to 22 %"."""
    return f"0 to {percent(most_of_none(of))} %"


def interval_words(share: Quantity) -> str:
    """ "7 %, 3 to 19 %"."""
    return f"{percent(share.estimate)} %, {percent(share.low)} to {percent(share.high)} %"


def percent(share: float) -> str:
    """A share in per cent, to one figure at least."""
    value = 100 * share
    return f"{value:.0f}" if value >= 1 or value == 0 else f"{value:.1g}"


@dataclass(frozen=True, slots=True)
class Returns:
    """Every time a clock went home by `now`, latest first, and how many came back. Groups without any are left out."""

    now: datetime
    jobs: tuple[Job, ...]

    @property
    def all(self) -> Rate | None:
        """Of all; None where none has gone home."""
        return rate("all", self.jobs) if self.jobs else None

    @property
    def by_code(self) -> tuple[tuple[str, int], ...]:
        """Of each code, how many times that a clock went home it came back so."""
        told = ((code, sum(code in job.codes for job in self.jobs)) for code in (*CODES, UNTOLD))
        return tuple((code, count) for code, count in told if count or code != UNTOLD)

    @property
    def by_repair(self) -> tuple[Rate, ...]:
        """By what was repaired; a clock counts under each of its repairs."""
        return self._by([*(repair.name for repair in REPAIRS), OTHER, UNTOLD], lambda job: job.repaired)

    @property
    def by_waiver(self) -> tuple[Rate, ...]:
        """By what was waived at its release, and those of which nothing was."""
        return self._by([*Requirement, NOTHING], lambda job: None if job.waived is None else job.waived or (NOTHING,))

    @property
    def by_days(self) -> tuple[Rate, ...]:
        """By how long it had gone on the stand at its release, against its kind's least days."""
        return self._by(BANDS, lambda job: None if job.band is None else (job.band,))

    @property
    def by_months(self) -> tuple[Rate, ...]:
        """By months since: of the clocks that have been there through them, who first came back in them."""
        found = []
        for name, start, end in _WINDOWS:
            through = [job for job in self.jobs if job.first_back is not None or job.months >= end]
            through = [job for job in through if self.now - job.since >= end * MONTH]
            if through:
                after = [(job, job.first_fault) for job in through], [(job, job.first_back) for job in through]
                faults, back = (sum(_within(job, at, start, end) for job, at in each) for each in after)
                found.append(Rate(name, len(through), faults, back))
        return tuple(found)

    def _by(self, names: Iterable[str], groups: Callable[[Job], Sequence[str] | None]) -> tuple[Rate, ...]:
        under: dict[str, list[Job]] = {str(name): [] for name in names}
        for job in self.jobs:
            for name in groups(job) or ():
                under[str(name)].append(job)
        return tuple(rate(name, jobs) for name, jobs in under.items() if jobs)


def _within(job: Job, at: datetime | None, start: float, end: float) -> bool:
    return at is not None and start * MONTH <= max(at - job.since, timedelta()) < end * MONTH


def rate(name: str, jobs: Sequence[Job]) -> Rate:
    """The rate of these jobs."""
    faults, back = (sum(at is not None for at in ats) for ats in (_first_faults(jobs), _first_backs(jobs)))
    return Rate(name, len(jobs), faults, back, sum(job.young for job in jobs))


def _first_faults(jobs: Iterable[Job]) -> list[datetime | None]:
    return [job.first_fault for job in jobs]


def _first_backs(jobs: Iterable[Job]) -> list[datetime | None]:
    return [job.first_back for job in jobs]


def returns(office: Assessor, now: datetime) -> Returns:
    """What went home by `now`, and what came back."""
    clocks = office.clocks()
    jobs = [job for tag, steps in steps_of(office, now).items() for job in jobs_of(clocks[tag].body, steps, now)]
    return Returns(now, tuple(sorted(jobs, key=lambda job: (job.since, job.tag), reverse=True)))


def steps_of(office: Assessor, now: datetime) -> dict[str, list[Handover]]:
    """The steps of handing over up to `now` of each clock that has any, in order."""
    clocks = office.clocks()
    steps: dict[str, list[Handover]] = {}
    for record in office.book.handovers():
        if record.body.at <= now and record.body.tag in clocks:
            steps.setdefault(record.body.tag, []).append(record.body)
    return steps


def jobs_of(clock: Clock, steps: Sequence[Handover], now: datetime) -> list[Job]:
    """Each time that `clock` went home by its `steps` up to `now`, in order: delivered, or come back before it was."""
    found: list[Job] = []
    released: Handover | None = None
    since: datetime | None = None
    back: list[Handover] = []
    for step in [*steps, None]:
        if step is None or step.what == "reopened":
            if released is not None and since is not None:
                back += [step] if step is not None and not back else []  # it came back, and nobody told a code
                found.append(_job(clock, released, since, back, now if step is None else step.at))
            released, since, back = None, None, []
        elif step.what == "released":
            released = step
        elif step.what == "delivered":
            since = step.at
        elif step.what == "called-back":
            since = since or step.at
            back.append(step)
    return found


def _job(clock: Clock, released: Handover, since: datetime, back: Sequence[Handover], until: datetime) -> Job:
    stood = _stood(released.record)
    usual = traits_of(clock.model_copy(update={"least_days": None}))
    faults = [step.at for step in back if step.code in FAULTS]
    return Job(
        tag=clock.tag,
        since=since,
        until=until,
        repaired=repairs_in(clock.repaired) or (OTHER,) if clock.repaired else (UNTOLD,),
        waived=None if stood is None else tuple(o.name for o in stood.outcomes if o.outcome is Outcome.WAIVED),
        days=None if stood is None else stood.days,
        least_days=usual.least_days,
        codes=tuple(step.code or UNTOLD for step in back),
        first_back=back[0].at if back else None,
        first_fault=faults[0] if faults else None,
    )


class _Judged(BaseModel):
    model_config = ConfigDict(extra="ignore", defer_build=True)

    name: Requirement
    outcome: Outcome


class _Stood(BaseModel):
    """What a release stood on, as far as its rate wants it; the record's traces are left unread."""

    model_config = ConfigDict(extra="ignore", defer_build=True)

    days: float
    outcomes: tuple[_Judged, ...]


def _stood(record: str | None) -> _Stood | None:
    try:
        return _Stood.model_validate_json(record or "")
    except ValidationError:  # not a record that can be read; `selfcheck` says so
        return None
