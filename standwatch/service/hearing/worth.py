"""What a voice is worth hearing for, at one quarter: each thing that it would show, and how much that is wanted."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from standwatch.estimate.history import Visit
from standwatch.judge.case import Case
from standwatch.judge.chiming import (
    last_heard,
    positions_left,
    quarters_to_hear,
    slipped,
    turns_heard,
)
from standwatch.judge.mis_setting import try_running
from standwatch.judge.provoking import ALLOWED, provoked
from standwatch.judge.sounding import HOURS
from standwatch.judge.striking import hours_to_hear
from standwatch.model.words import Chime, Outcome, Requirement, Work
from standwatch.service.hearing.voices import Voice

QUARTER_NAMES = {1: "first quarter", 2: "second quarter", 3: "third quarter", 4: "fourth quarter"}
RUNNING_TRY, OWN_CASE, STEP_AGAIN, NEW, MORNING = 6, 5, 5, 4, 3
"""What a thing to hear is worth: a mis-set's two hours pass, a morning comes again tomorrow."""


@dataclass(frozen=True, slots=True)
class Point:
    """One thing to listen for. `asks`: the ear has to decide between two."""

    text: str
    worth: int
    asks: bool = False


@dataclass(frozen=True, slots=True)
class Wanted:
    """The outcomes of one clock's requirements, as the judge said them, and its case."""

    case: Case
    outcomes: dict[Requirement, Outcome]
    released: bool

    @property
    def name(self) -> str:
        """Its slot, or its tag where it hangs nowhere."""
        return self.case.history.position or self.case.history.clock.tag

    def open(self, requirement: Requirement) -> bool:
        """Evidence of it is still wanted."""
        return self.outcomes[requirement] is Outcome.NOT_YET_KNOWN


def points_of(wanted: Wanted, voice: Voice) -> tuple[Point, ...]:
    """What `voice` is worth hearing for, the chime's first, since it sounds first; empty where nothing is wanted."""
    if wanted.released:
        return ()
    if voice.silent:
        return (Point("silent: it must say nothing", MORNING),)
    chime = _of_chime(wanted, voice) if voice.chimes else []
    strike = _of_strike(wanted, voice) if voice.strikes_hour else []
    return (*chime, *strike)


def _of_chime(wanted: Wanted, voice: Voice) -> list[Point]:
    case, quarter = wanted.case, QUARTER_NAMES[voice.quarter]
    running = try_running(case)
    if running is not None and wanted.open(Requirement.MIS_SET) and voice.at - running.at <= ALLOWED:
        until = (running.at + ALLOWED).astimezone(case.history.zone)
        return [Point(f"{quarter}, in step again by {until:%H:%M}?", RUNNING_TRY, asks=True)]
    if slipped(case) is not None or _correcting(case):
        return [Point(f"{quarter}, or another?", STEP_AGAIN, asks=True)]
    points = []
    if wanted.open(Requirement.TUNES):
        points += _of_tune(case, voice)
    if wanted.open(Requirement.CHIME_STEP):
        if voice.quarter in quarters_to_hear(case):
            points.append(Point(f"{quarter}, new", NEW))
        elif not _heard_today(case):
            points.append(Point(f"{quarter}, a further morning", MORNING))
    if not points and _in_own_case(wanted) and not _since_cased(case, voice, chime=True):
        points.append(Point(f"{quarter}, in its own case", OWN_CASE))
    return points


def _correcting(case: Case) -> bool:
    """Last heard out of step for a reason: it must be heard right again."""
    heard = last_heard(case)
    return heard is not None and heard.row.chime is Chime.OUT_OF_STEP and provoked(case.history, heard)


def _of_tune(case: Case, voice: Voice) -> list[Point]:
    """The tune that is set, where this quarter of it was not heard; and the return from silent."""
    turns, left, names = turns_heard(case), positions_left(case), case.history.clock.tune_names
    if not turns or not turns[-1].position:
        return []
    now, before = turns[-1], turns[-2] if len(turns) > 1 else None
    if 0 in left and before is not None and before.position == 0 and before.silent and not now.in_step:
        return [Point("back from silent, in step?", NEW, asks=True)]
    if now.position in left and voice.quarter not in now.quarters and now.position <= len(names):
        return [Point(f"tune {now.position} {names[now.position - 1]}, {QUARTER_NAMES[voice.quarter]}", NEW)]
    return []


def _heard_today(case: Case) -> bool:
    zone = case.history.zone
    today = case.now.astimezone(zone).date()
    heard = (v.at for v in since(case, Work.CHIME_SET) if v.row.chime is Chime.IN_STEP)
    return any(at.astimezone(zone).date() == today for at in heard)


def _of_strike(wanted: Wanted, voice: Voice) -> list[Point]:
    case, hour = wanted.case, HOURS[voice.hour - 1]
    if wanted.open(Requirement.TWELVE_COUNTS) and voice.hour in hours_to_hear(case):
        once = any(v.row.hour == voice.hour == v.row.blows for v in since(case, Work.STRIKE_SET))
        return [Point(f"{hour}, once more" if once else f"{hour}, new", NEW)]
    if voice.hour == 12 and _in_own_case(wanted) and not _since_cased(case, voice, chime=False):
        return [Point("twelve, in its own case", OWN_CASE)]
    return []


def _in_own_case(wanted: Wanted) -> bool:
    return wanted.open(Requirement.OWN_CASE) and any(v.work is Work.CASED for v in wanted.case.history.since_opened)


def _since_cased(case: Case, voice: Voice, *, chime: bool) -> bool:
    """Whether this quarter was heard in step, or this hour right, since it hangs in its own case."""
    rows = [visit.row for visit in since(case, Work.CASED)]
    if chime:
        return any(row.chime is Chime.IN_STEP and row.quarter == voice.quarter for row in rows)
    return any(row.hour == voice.hour == row.blows for row in rows)


def since(case: Case, work: Work) -> list[Visit]:
    """The visits since the last `work` after the last opening; all of them where there was none."""
    visits = case.history.since_opened
    last = max((n for n, visit in enumerate(visits) if visit.work is work), default=-1)
    return list(visits[last + 1 :])


def why_not(wanted: Wanted, voice: Voice) -> str:
    """Why a voice that sounds is worth nothing now, in few words."""
    if wanted.released:
        return "released"
    wrong = wrong_hours(wanted.case)
    if wrong and voice.strikes_hour:
        return f"{HOURS[wrong[-1] - 1]} was wrong: set its strike right first"
    if wanted.outcomes[Requirement.TWELVE_COUNTS] is Outcome.MET:
        return "all heard" if voice.chimes else "twelve met"
    if not voice.strikes_hour:
        return "nothing wanted at this quarter"
    return f"{HOURS[voice.hour - 1]} heard"


def wrong_hours(case: Case) -> tuple[int, ...]:
    """The hours counted wrong since the strike was last put right, in the order of hearing."""
    return tuple(_wrong(since(case, Work.STRIKE_SET)))


def _wrong(visits: Iterable[Visit]) -> Iterable[int]:
    for visit in visits:
        hour, blows = visit.row.hour, visit.row.blows
        if hour is not None and blows is not None and hour != blows:
            yield hour
