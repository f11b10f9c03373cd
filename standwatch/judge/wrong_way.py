"""A turn of the nut or index after which the clock went the other way: which way was it turned?

Nobody is told that he is wrong: what was written down and what the readings show are set side by side, with the command
that turns the fact round. Until then the turn teaches nothing good of what a turn does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

from standwatch.estimate.answers import Estimates
from standwatch.estimate.breaks import Break
from standwatch.estimate.history import Visit
from standwatch.horology.pendulum import turn_s_per_day
from standwatch.horology.warmth import warmth_of
from standwatch.model.words import Work

_LEAST_DAYS = 0.9
"""A rate read over less says nothing, before or after."""
_SURE = 3.0
"""Standard doubts by which the rate must have gone the other way (chance makes that in one turn of a thousand)."""
_LEAST_SHARE = 0.3
"""Of what the thread gives: less is a bob that slips or a nut that binds, and no turn the other way."""


@dataclass(frozen=True, slots=True)
class WrongWay:
    """The turn of the check-in `id` at `at`, told as `turns` (+ raises the bob or goes towards faster).

    The rate went the other way by `change` s/day (+ faster). `seen` is the first reading that the rate after it
    stands on.
    """

    id: str
    at: datetime
    turns: float
    change: float
    seen: datetime


def wrong_way(estimates: Estimates) -> WrongWay | None:
    """The last told turn since the clock was opened, if the rate plainly went the other way after it."""
    history = estimates.history
    opened = [b for b in history.breaks if b.opens_rate]
    turned = [(n, b) for n, b in enumerate(opened) if b.work is Work.NUT and b.amount]
    if not turned or any(b.opens_all for b in opened[turned[-1][0] :]):
        return None
    place, nut = turned[-1]
    visit = next((v for v in history.works(Work.NUT) if (v.at, v.order) == (nut.at, nut.order)), None)
    if visit is None or nut.amount is None:
        return None
    change = _change(estimates, opened, place)
    if change is None or change[0] * nut.amount >= 0 or abs(change[0]) < _SURE * change[1]:
        return None
    thread = turn_s_per_day(history.clock, history.traits)
    if thread is not None and abs(change[0]) < _LEAST_SHARE * thread[0] * abs(nut.amount):
        return None
    return WrongWay(visit.id, nut.at, nut.amount, change[0], change[2].at)


def _change(estimates: Estimates, opened: list[Break], place: int) -> tuple[float, float, Visit] | None:
    """By how much the rate changed (s/day), its standard doubt, and the first reading after; None if not read enough.

    From what opened the rate before the turn to what opens it next, at one temperature as far as that is known.
    """
    from standwatch.estimate.leads.spans import WIDER, Spans  # noqa: PLC0415  # tags are shown before the estimators are loaded

    history, nut = estimates.history, opened[place]
    spans = Spans(history, estimates.time, history.since_opened)
    start = opened[place - 1].settled_at if place else history.visits[0].at
    end = opened[place + 1].at if place + 1 < len(opened) else history.now
    read = spans.within(nut.settled_at, end)
    if not read:
        return None
    # what somebody turned besides, and didn't log, is another matter; but where this turn ran the other way, the
    # readings seem to tell of one more before they were first taken again
    others = [work.at for work in estimates.time.suspected_work if work.what is Work.NUT]
    start = max([start, *(at for at in others if at <= nut.at)])
    end = min([end, *(at - timedelta(seconds=1) for at in others if at > read[0].at)])
    before, after = spans.mean_rate(start, nut.at), spans.mean_rate(nut.settled_at, end)
    if before is None or after is None or min(before.days, after.days) < _LEAST_DAYS:
        return None
    wandered = WIDER * history.traits.q2_s * math.sqrt(after.middle - before.middle)
    b_sd = warmth_of(history.clock, history.traits)[1]
    sd = math.hypot(before.sd, after.sd, wandered, b_sd * (after.warmth - before.warmth))
    return after.rate - before.rate, sd, read[0]
