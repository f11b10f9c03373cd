"""What ears betray of the strike: early or late by the hands, slow at the end of its wind, off by a constant."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta
from statistics import fmean, median, stdev

from standwatch.estimate.answers import Lead
from standwatch.estimate.history import Visit
from standwatch.estimate.leads.evidence import Evidence
from standwatch.estimate.leads.strength import odds_of, odds_over
from standwatch.estimate.miscounts import changed_places, off_by, what_to_try
from standwatch.estimate.stops import concerns
from standwatch.model.answers import Z95, NotYetKnown
from standwatch.model.units import clock_words
from standwatch.model.words import ReadBy, Train, Work

OFF_S = 60.0
"""First blow against the hands: more than this is worth a look (common practice)."""
_NEAR = timedelta(hours=36)
"""A reading of the hands tells of a first blow so far away."""
SLOWER = 1.25
"""Twelve blows so many times as long as fully wound (common practice)."""
TIMED_S = 0.5
"""Standard doubt of a strike timed by ear, in s (common practice)."""
EARLY, LATE = 0.25, 0.75
_CONSTANT_PRIOR, _MISCOUNTS_ALIKE = 0.5, 0.4
"""Of strikes heard wrong, how many are off by a constant; and how often two faults of another kind look alike."""


@dataclass(frozen=True, slots=True)
class _Pair:
    """A reading of the hands and the first blow next to it: how much faster (s) the blow makes the clock seem."""

    hand: str
    apart: timedelta
    miss: float
    variance: float


def strike_early_or_late(evidence: Evidence) -> Lead | None:
    """First blows against what the hands showed about then; two at least must be off on one side."""
    pairs = _pairs(evidence)
    if len(pairs) < 2:
        return None
    misses = [pair.miss for pair in pairs]
    off = median(misses)
    side = "early" if off > 0 else "late"
    if abs(off) <= OFF_S or sum(abs(miss) > OFF_S and miss * off > 0 for miss in misses) < 2:
        return None
    sd = math.sqrt(fmean(pair.variance for pair in pairs) / len(pairs))
    sd = max(sd, stdev(misses) / math.sqrt(len(misses)))
    text = (
        f"the first blow comes {clock_words(off)} {side} by the hands: minute-hand bush or lifting piece; turn the bush"
    )
    return Lead("strike-early-or-late", odds_over(abs(off), OFF_S, sd), text)


def _pairs(evidence: Evidence) -> list[_Pair]:
    """Each reading of the hands once, with the first blow next to it.

    Of the way the clock is usually read, what its other readings contradict is left out; the other way is always
    doubted for the usual one's sake, and tells its doubt by its scatter.
    """
    usual, doubted = evidence.history.usual_read_by, evidence.spans.doubted
    read = [
        v for v in evidence.since_opened
        if v.error_s is not None and not (v.read_by is usual and v.id in doubted)
    ]  # fmt: skip
    blows = [v for v in read if v.read_by is ReadBy.FIRST_BLOW]
    hands = [v for v in read if v.read_by in {ReadBy.SECONDS_HAND, ReadBy.MINUTE_HAND}]
    nearest: dict[str, _Pair] = {}
    for blow in blows:
        pair = _against_hands(evidence, blow, hands)
        if pair is not None and (pair.hand not in nearest or pair.apart < nearest[pair.hand].apart):
            nearest[pair.hand] = pair
    return list(nearest.values())


def _against_hands(evidence: Evidence, blow: Visit, hands: list[Visit]) -> _Pair | None:
    """`blow` against the hands as read next to it, without a step between."""
    history = evidence.history
    steps = [b.at for b in history.breaks if b.error_sd_s > OFF_S / 4 or abs(b.error_shift_s) > OFF_S / 4]
    steps += [jump.at for jump in history.common.jumps]
    near = [
        v for v in hands
        if abs(v.at - blow.at) <= _NEAR and not any(min(v.at, blow.at) <= at <= max(v.at, blow.at) for at in steps)
    ]  # fmt: skip
    if not near or blow.error_s is None:
        return None
    hand = min(near, key=lambda v: abs(v.at - blow.at))
    days = (blow.at - hand.at) / timedelta(days=1)
    rate = evidence.time.rate
    limit = history.traits.usual.mean_rate_limit or 10.0
    gains, gains_sd = (0.0, 3 * limit) if isinstance(rate, NotYetKnown) else (rate.estimate, rate.doubt / Z95)
    own = history.traits.reading_doubt_s
    var = own(blow.read_by) ** 2 + own(hand.read_by) ** 2 + (math.hypot(gains_sd, limit) * days) ** 2
    return _Pair(hand.id, abs(blow.at - hand.at), blow.error_s - (hand.error_s or 0.0) - gains * days, var)


def strike_slow(evidence: Evidence) -> Lead | None:
    """Twelve blows take a quarter longer on the last days than fully wound."""
    history = evidence.history
    if not any(visit.row.strike_s for visit in evidence.since_opened):
        return None
    wound: datetime | None = None
    full, late = [], []
    for visit in evidence.since_opened:
        row = visit.row
        if row.strike_s and row.hour == 12 and row.blows in {None, 12} and wound is not None:
            part = (visit.at - wound) / timedelta(hours=history.traits.duration_h)
            if part <= EARLY:
                full.append(row.strike_s)
            elif part >= LATE:
                late.append(row.strike_s)
        if visit.work is Work.WOUND and concerns(history, visit, Train.STRIKE):
            wound = visit.at
    if not full or not late:
        return None
    first, last = median(full), median(late)
    sd = math.hypot(TIMED_S / first / math.sqrt(len(full)), TIMED_S / last / math.sqrt(len(late)))
    causes = "thick oil or a stiff fly" if history.traits.weights else "thick oil, a weak strike spring or a stiff fly"
    text = (
        f"twelve blows take {last:.0f} s late in the wind and {first:.0f} s fully wound: {causes}; "
        "time twelve again on the last day"
    )
    return Lead("strike-slow", odds_over(math.log(last / first), math.log(SLOWER), sd), text)


def strike_off_by_constant(evidence: Evidence) -> Lead | None:
    """The last counts heard, on several hours, all wrong by the same number, or by half an hour."""
    since: list[Visit] = []
    for visit in evidence.since_opened:
        since = [] if visit.work is Work.STRIKE_SET else [*since, visit]
    half_hour = evidence.history.traits.half_hour
    wrong: list[tuple[int, int]] = []
    for visit in reversed(since):
        hour, blows = visit.row.hour, visit.row.blows
        if hour is None or blows is None:
            continue
        together = [*wrong, (hour, blows)]
        alike = len({off_by(*each) for each in together}) == 1 or changed_places(together, half_hour=half_hour)
        if blows in {hour, 0} or not alike:
            break
        wrong = together
    hours = sorted({hour for hour, _ in wrong})
    if len(hours) < 2:
        return None
    off = off_by(*wrong[0])
    counts = f"counts {off} too many" if off <= 6 else f"counts {12 - off} too few"
    if changed_places(wrong, half_hour=half_hour):
        counts = "gives one blow"
    named = ", ".join(str(hour) for hour in hours)
    odds = odds_of(_CONSTANT_PRIOR, _MISCOUNTS_ALIKE ** (1 - len(hours)))
    advice = what_to_try(since, half_hour=half_hour)
    return Lead("strike-off-by-constant", odds, f"the strike {counts} at {named}: {advice}")
