"""What explains a chime that is out of step: then it may be correcting itself, and is no slip."""

from __future__ import annotations

import math
from bisect import bisect_right
from datetime import UTC, datetime, timedelta

from standwatch.estimate.history import History, Visit
from standwatch.estimate.trainclock import train_clock
from standwatch.horology.wheelwork import parse_silence
from standwatch.model.words import Chime, Train, Work

ALLOWED = timedelta(hours=2)
"""How long a chime may be out of step after what provokes it, and how long a self-correcting one may take."""
PROVOKING = frozenset(
    {
        Work.HANDS_SET,
        Work.HOURS_SHIFTED,
        Work.HELD,
        Work.RESTARTED,
        Work.MOVED,
        Work.CASED,
        Work.TUNE,
        Work.SUMMER_TIME,
    }
)


def provoked(history: History, heard: Visit, *, by_mis_set: bool = True) -> bool:
    """Whether something explains a chime heard out of step at `heard`: then it may be correcting itself.

    Within two hours after work that provokes it, after the night's silence, or after the wind of a chime that had run
    out; after a mis-set until it is heard in step again (not asked with `by_mis_set` False).
    """
    before = [v for v in history.visits if (v.at, v.order) < (heard.at, heard.order)]
    recent = [v for v in before if heard.at - v.at <= ALLOWED]
    if any(v.work in PROVOKING for v in recent) or any(_wound_run_out(v, before) for v in recent):
        return True
    silence_ended = _silence_ended(history, heard.at)
    if silence_ended is not None and heard.at - silence_ended <= ALLOWED:
        return True
    return by_mis_set and _mis_set_open([v for v in history.since_opened if (v.at, v.order) < (heard.at, heard.order)])


def _wound_run_out(visit: Visit, before: list[Visit]) -> bool:
    """Whether `visit` wound a chime that had run out: it then begins where it had stopped."""
    if visit.work is not Work.WOUND or visit.row.train not in {None, Train.CHIME}:
        return False
    earlier = [
        v.work
        for v in before
        if (v.at, v.order) < (visit.at, visit.order)
        and v.work in {Work.WOUND, Work.RAN_OUT}
        and v.row.train in {None, Train.CHIME}
    ]
    return bool(earlier) and earlier[-1] is Work.RAN_OUT


def _silence_ended(history: History, at: datetime) -> datetime | None:
    """When the night's silence last ended before `at`, by what the dial shows; None where the clock keeps none."""
    silence = history.clock.night_silence
    if silence is None:
        return None
    ahead = timedelta(seconds=dial_ahead_s(history, at))
    shown = (at + ahead).replace(tzinfo=None)
    ends = datetime.combine(shown.date(), parse_silence(silence)[1])
    ended = ends if ends <= shown else ends - timedelta(days=1)
    return ended.replace(tzinfo=UTC) - ahead


def dial_ahead_s(history: History, at: datetime) -> float:
    """Seconds that the dial is ahead of UTC at `at`: the civil time it is kept to and the hours it was shifted."""
    offsets = train_clock(history, Train.GOING).offsets
    return offsets[max(0, bisect_right(offsets, (at.timestamp(), math.inf)) - 1)][1]


def _mis_set_open(before: list[Visit]) -> bool:
    """Whether the chime was tripped by hand and has not been heard in step since."""
    for visit in reversed(before):
        if visit.work is Work.MIS_SET:
            return True
        if visit.row.chime is Chime.IN_STEP:
            return False
    return False
