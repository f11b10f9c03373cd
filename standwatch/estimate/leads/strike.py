"""What ears betray of the strike: early or late by the hands, slow at the end of its wind, off by a constant."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from statistics import fmean, median, stdev

from standwatch.estimate.answers import Lead
from standwatch.estimate.history import Visit
from standwatch.estimate.leads.evidence import Evidence
from standwatch.estimate.leads.strength import odds_of, odds_over
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


def strike_early_or_late(evidence: Evidence) -> Lead | None:
    """First-blow readings against what the hands showed about then.

    One way of reading is always doubted for the other's sake, so doubt is told by the scatter alone.
    """
    blows = [v for v in evidence.since_opened if v.read_by is ReadBy.FIRST_BLOW and v.error_s is not None]
    if len(blows) < 2:
        return None
    by_hand = {ReadBy.SECONDS_HAND, ReadBy.MINUTE_HAND}
    hands = [v for v in evidence.since_opened if v.read_by in by_hand and v.error_s is not None]
    pairs = [pair for blow in blows if (pair := _against_hands(evidence, blow, hands)) is not None]
    if len(pairs) < 2:
        return None
    off = fmean(miss for miss, _ in pairs)
    if abs(off) <= OFF_S:
        return None
    sd = math.sqrt(fmean(var for _, var in pairs) / len(pairs))
    sd = max(sd, stdev(miss for miss, _ in pairs) / math.sqrt(len(pairs)))
    side = "early" if off > 0 else "late"
    text = (
        f"the first blow comes {clock_words(off)} {side} by the hands: minute-hand bush or lifting piece; turn the bush"
    )
    return Lead("strike-early-or-late", odds_over(abs(off), OFF_S, sd), text)


def _against_hands(evidence: Evidence, blow: Visit, hands: list[Visit]) -> tuple[float, float] | None:
    """How much faster (s) the clock seems by its first blow than by its hands, and the variance of that."""
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
    limit = history.traits.mean_rate_limit or 10.0
    gains, gains_sd = (0.0, 3 * limit) if isinstance(rate, NotYetKnown) else (rate.estimate, rate.doubt / Z95)
    own = history.traits.reading_doubt_s
    var = own(blow.read_by) ** 2 + own(hand.read_by) ** 2 + (math.hypot(gains_sd, limit) * days) ** 2
    return blow.error_s - (hand.error_s or 0.0) - gains * days, var


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
    text = (
        f"twelve blows take {last:.0f} s late in the wind and {first:.0f} s fully wound: thick oil, a weak strike "
        "spring or a stiff fly; time twelve again on the last day"
    )
    return Lead("strike-slow", odds_over(math.log(last / first), math.log(SLOWER), sd), text)


def strike_off_by_constant(evidence: Evidence) -> Lead | None:
    """The last counts heard, on several hours, all wrong by the same number."""
    heard: list[tuple[int, int]] = []
    for visit in evidence.since_opened:
        if visit.work is Work.STRIKE_SET:
            heard = []
        elif visit.row.hour is not None and visit.row.blows is not None:
            heard.append((visit.row.hour, visit.row.blows))
    wrong: list[tuple[int, int]] = []
    for hour, blows in reversed(heard):
        off = (blows - hour) % 12
        if off == 0 or (wrong and off != (wrong[0][1] - wrong[0][0]) % 12):
            break
        wrong.append((hour, blows))
    hours = sorted({hour for hour, _ in wrong})
    if len(hours) < 2:
        return None
    off = (wrong[0][1] - wrong[0][0]) % 12
    side = f"{off} too many" if off <= 6 else f"{12 - off} too few"
    odds = odds_of(_CONSTANT_PRIOR, _MISCOUNTS_ALIKE ** (1 - len(hours)))
    text = (
        f"the strike counts {side} at {', '.join(str(hour) for hour in hours)}: hour hand shifted or count wheel out; "
        "trip the strike until it is right"
    )
    return Lead("strike-off-by-constant", odds, text)
