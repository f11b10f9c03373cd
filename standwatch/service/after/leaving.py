"""What is asked beside the requirements before a clock is let go, and what is known of it since: words for a page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from math import hypot
from typing import TYPE_CHECKING, TypeGuard
from zoneinfo import ZoneInfo

from standwatch.judge.assessment import Verdict
from standwatch.judge.homing import home_words
from standwatch.judge.phases import Phase, phase_of
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.facts import Handover
from standwatch.model.release import Home, Judged, ReleaseRecord
from standwatch.model.units import clock_words, error_words
from standwatch.model.words import Outcome
from standwatch.service.wording import describe

if TYPE_CHECKING:
    from standwatch.service.after.gone_home import TimeThere
    from standwatch.service.earlier import Job
    from standwatch.service.stand import Stand

_TWO_SIGMA = 1.96
_SHORT_DIGEST = 12
_STEPS = {
    "released": "let go",
    "reopened": "taken back to the stand",
    "delivered": "went home",
    "called": "called",
    "called-back": "came back, or somebody had to go",
}


@dataclass(frozen=True, slots=True)
class Way:
    """Where one clock is between stand and owner. `steps` are its releases, deliveries, calls, in order.

    `there` are the errors told from its owner's since it went there last; `earlier` and `later` other jobs on it.
    """

    phase: Phase
    steps: tuple[Handover, ...]
    there: tuple[TimeThere, ...]
    earlier: tuple[Job, ...]
    later: tuple[Job, ...]

    @property
    def other_job(self) -> str | None:
        """The tag of the job before this one, else of the one after it, where the book has it."""
        return next((job.tag for job in (*self.earlier[:1], *self.later[:1]) if not job.trouble), None)


@dataclass(frozen=True, slots=True)
class Leaving:
    """One clock's way, and what is asked beside its requirements. `record` is its last release, None on the stand.

    `home` is the forecast at its owner's, None once it is there; `holding` and `since` are sentences.
    """

    way: Way
    record: ReleaseRecord | None
    home: Home | None
    holding: str
    since: tuple[str, ...]


def way_of(stand: Stand, tag: str, now: datetime) -> Way:
    """Its way up to `now`; BadValue where no clock is called `tag`."""
    steps = tuple(record.body for record in stand.steps(tag) if record.body.at <= now)
    phase = phase_of(steps)
    home = phase is Phase.DELIVERED
    return Way(
        phase=phase,
        steps=steps,
        there=stand.after.times_there(tag, now) if home else (),
        earlier=stand.earlier_jobs(tag),
        later=stand.later_jobs(tag) if home else (),
    )


def leaving_of(stand: Stand, tag: str, now: datetime) -> Leaving:
    """All of it at `now`; BadValue where no clock is called `tag`."""
    way = way_of(stand, tag, now)
    away = way.phase is not Phase.ON_STAND
    records = [record for record in stand.releases(tag) if record.at <= now] if away else []
    return Leaving(
        way=way,
        record=records[-1] if records else None,
        home=stand.home(tag, now) if way.phase is not Phase.DELIVERED else None,
        holding=stand.after.holding(tag, now),
        since=stand.since_release(tag, now) if away else (),
    )


def home_line(home: Home, rate: Answer) -> str:
    """ "at home in 14 days 0:43 slow ±8:14: the move dominates", or why that is not known.

    The move dominates where it leaves more open than `rate` here, the owner's place and the room together.
    """
    days = f"at home in {home.days:g} day{'' if home.days == 1 else 's'}"
    error = home.error_s
    if isinstance(error, NotYetKnown):
        return f"{days}: not yet known, {error.because}"
    told = f"{days} {error_words(error.estimate)} ±{clock_words(error.doubt)}"
    others = hypot(*(each.doubt for each in (rate, home.site_s_per_day, home.room_s_per_day) if _known(each)))
    return f"{told}: the move dominates" if _TWO_SIGMA * (home.move_s_per_day or 0.0) > others else told


def _known(answer: Answer | None) -> TypeGuard[Quantity]:
    return isinstance(answer, Quantity)


def learned_line(home: Home) -> str:
    """Who taught how much a move changes."""
    if home.move_s_per_day is None:
        return ""
    if not home.follow_ups:
        return "the move's doubt is the usual one: none that went home has told yet"
    return f"the move's doubt is learned from {home.follow_ups} that went home"


def home_lines(home: Home, rate: Answer) -> tuple[str, ...]:
    """The forecast at home of a clock of such a `rate` here, and what goes into it or is left out, a line each."""
    return home_line(home, rate), *home_words(home)


def as_judged(record: ReleaseRecord) -> tuple[Verdict, ...]:
    """The outcomes of a release as they were."""
    return tuple(_verdict(judged, record) for judged in record.outcomes)


def _verdict(judged: Judged, record: ReleaseRecord) -> Verdict:
    because = judged.because
    if judged.outcome is Outcome.WAIVED:
        found = "missed" if judged.found is Outcome.MISSED else "not yet known"
        because = f"{judged.waived or 'no reason was kept'}, {record.by}; it was {found}"
        because += f": {judged.because}" if judged.because else ""
    return Verdict(
        judged.name,
        judged.outcome,
        judged.observed,
        judged.limit,
        because,
        None,
        judged.unit,
        record.usual(judged),
    )


def kept_line(record: ReleaseRecord) -> str:
    """ "62 facts kept, digest 3fa91c20e7b4, rules 2"."""
    facts = f"{len(record.facts)} fact{'' if len(record.facts) == 1 else 's'} kept"
    return f"{facts}, digest {record.digest[:_SHORT_DIGEST]}, rules {record.rules}"


def step_lines(steps: Sequence[Handover], zone: ZoneInfo) -> tuple[str, ...]:
    """Each step of its way home and after, with its day."""
    return tuple(f"{_day(step.at, zone)}  {_step(step)}" for step in steps)


def _step(step: Handover) -> str:
    what = _STEPS.get(step.what, step.what)
    told = describe(step).removeprefix(step.what).removeprefix("; ")
    joint = " by " if step.what == "released" and step.by else ": "
    return f"{what}{joint}{told}" if told else what


def _day(at: datetime, zone: ZoneInfo) -> str:
    there = at.astimezone(zone)
    return f"{there:%a} {there.day} {there:%b %Y}"


def job_line(job: Job, zone: ZoneInfo) -> str:
    """One other job on the same clock, in a line."""
    if job.trouble:
        return f"{job.tag}: {job.trouble}"
    said = [f"{job.tag} {job.kind}"]
    if job.released_at is None:
        said.append("was not let go")
    else:
        by = f" by {job.released_by}" if job.released_by else ""
        said.append(f"let go {_day(job.released_at, zone)}{by}")
    said += [f"waived {', '.join(job.waived)}"] if job.waived else []
    said += [f"came back: {', '.join(job.called_back)}"] if job.called_back else []
    said += [f"repaired: {job.repaired}"] if job.repaired else []
    return ", ".join(said)
