"""What the rate betrays: a jump after a move, a creep after the nut, a gain through the wind, whole-minute steps."""

from __future__ import annotations

import math
from datetime import datetime, timedelta
from itertools import pairwise

from standwatch.estimate.answers import Lead
from standwatch.estimate.breaks import Break
from standwatch.estimate.leads.evidence import Evidence
from standwatch.estimate.leads.spans import WIDER
from standwatch.estimate.leads.strength import odds_beyond, odds_of
from standwatch.estimate.prior import CURVE_SD
from standwatch.estimate.winding import winds
from standwatch.horology.warmth import warmth_of
from standwatch.model.words import Drive, KindName, Train, Work

_PLACED = frozenset({Work.MOVED, Work.CASED, Work.LEVELLED})
_DONE = {Work.MOVED: "moved", Work.CASED: "put in its case", Work.LEVELLED: "levelled", Work.BEAT_SET: "set in beat"}
_LEAST = 1.9
"""Days that a rate must have been read over, before and after."""
MOVE_USUAL = {"regulator": 1.0, "pendulum": 6.0, "balance": 2.5, "torsion": 6.0}
"""s/day that a move within the shop changes a rate by, well levelled and in beat (common practice: half of what a
move to the owner's does)."""
_MOVE_PRIOR, _MOVE_FAULTY = 0.2, 6.0
_CREEP_PRIOR = 0.05
_LEAST_SINCE_NUT, _LEAST_THIRD = timedelta(days=6), 0.9
_WIND_PRIOR = 0.1
_WINDS, _WINDS_MOST = 2, 12
MINUTE_S = 60.0
_STEP_PRIOR = 0.1
"""Of clocks whose hands moved twice and nobody logged it, those whose hands slip; else somebody set them twice."""
_MOST_MINUTES = 5


def rate_after_move(evidence: Evidence) -> Lead | None:
    """The rate after the clock was moved, cased or levelled against the rate before, nut turns taken off."""
    opened = [b for b in evidence.history.breaks if b.opens_rate]
    chain = _since_placed(opened)
    if not chain or evidence.history.now - chain[-1].settled_at < timedelta(days=_LEAST):
        return None
    first, last = chain[0], chain[-1]
    before_it = [b.settled_at for b in opened[: opened.index(first)]]
    spans = evidence.spans
    before = spans.mean_rate(max(before_it, default=evidence.history.visits[0].at), first.at)
    after = spans.mean_rate(last.settled_at, evidence.history.now)
    turned = _turned(evidence, chain)
    if before is None or after is None or turned is None or min(before.days, after.days) < _LEAST:
        return None
    traits = evidence.history.traits
    b_sd = warmth_of(evidence.history.clock, traits)[1]
    jump = after.rate - before.rate - turned[0]
    sd = math.hypot(before.sd, after.sd, turned[1], b_sd * (after.warmth - before.warmth))
    usual = MOVE_USUAL["regulator" if traits.kind.name.value == "regulator" else traits.oscillator]
    odds = odds_beyond(jump, sd, usual=usual, faulty=_MOVE_FAULTY * usual, prior=_MOVE_PRIOR, both_ways=True)
    way = "gains" if jump > 0 else "loses"
    placed = next(b for b in reversed(chain) if b.work in _PLACED)
    text = (
        f"it {way} {abs(jump):.0f} s a day more since it was {_DONE[placed.work]} on {evidence.day(placed.at)}: beat, "
        "level, rigidity or a kinked suspension; level it, set the beat, wait a day"
    )
    return Lead("rate-after-move", odds, text)


def _since_placed(opened: list[Break]) -> list[Break]:
    """The works that end in the present rate, from the latest placing on; none where an opening explains the rate.

    What was done before the clock could be read two days after the placing belongs to it.
    """
    places = [i for i, b in enumerate(opened) if b.work in _PLACED]
    if not places:
        return []
    start = places[-1]
    while (
        start
        and opened[start - 1].work in _DONE
        and opened[start].at - opened[start - 1].settled_at < timedelta(days=_LEAST)
    ):
        start -= 1
    chain = opened[start:]
    return [] if any(b.opens_all for b in chain) else chain


def _turned(evidence: Evidence, chain: list[Break]) -> tuple[float, float] | None:
    """What the nut turns among `chain` make, in s/day, with its doubt; None where nobody can say."""
    turns = [b.amount for b in chain if b.work is Work.NUT]
    if not turns:
        return 0.0, 0.0
    effect = evidence.time.turn_effect
    total = sum(t for t in turns if t is not None)
    if effect is None or None in turns:
        return None
    return effect[0] * total, effect[1] * abs(total)


def rate_creeps(evidence: Evidence) -> Lead | None:
    """The rate goes one way from third to third of the days since the nut was turned, more than it would wander."""
    opened = [b for b in evidence.history.breaks if b.opens_rate]
    traits, now = evidence.history.traits, evidence.history.now
    if not opened or opened[-1].work is not Work.NUT or now - opened[-1].settled_at < _LEAST_SINCE_NUT:
        return None
    spans, begun = evidence.spans, opened[-1].settled_at
    last = spans.sound[-1].at if spans.sound else begun
    third = (last - begun) / 3
    told = [spans.mean_rate(begun + n * third, begun + (n + 1) * third) for n in range(3)]
    first, middle, end = told
    if first is None or middle is None or end is None or min(first.days, middle.days, end.days) < _LEAST_THIRD:
        return None
    creep = end.rate - first.rate
    b_sd = warmth_of(evidence.history.clock, traits)[1]
    sd = math.hypot(first.sd, end.sd, b_sd * (end.warmth - first.warmth))
    if not 0.2 * abs(creep) < (middle.rate - first.rate) * math.copysign(1.0, creep) < 0.8 * abs(creep):
        return None  # a single change, or none: not a creep
    apart = end.middle - first.middle
    usual = 1.5 * traits.q2_s * math.sqrt(apart)
    limit = traits.usual.mean_rate_limit or 10.0
    odds = odds_beyond(creep, sd, usual=usual, faulty=max(limit, 3 * usual), prior=_CREEP_PRIOR, both_ways=True)
    way = "faster" if creep > 0 else "slower"
    text = (
        f"the rate creeps {abs(7 * creep / apart):.1f} s/day {way} each week since the nut was turned on "
        f"{evidence.day(opened[-1].at)}: nut or bob creeping; mark the nut"
    )
    return Lead("rate-creeps", odds, text)


def rate_with_wind(evidence: Evidence) -> Lead | None:
    """It goes faster in the second half of its winds than in the first. Slower is usual, with recoil above all.

    Springs without a fusee change by 30 to 60 s/day over a wind either way and are sound (common practice).
    """
    traits = evidence.history.traits
    if traits.inferred_run or not traits.usual.day_range_limit:
        return None
    halves = _second_halves(evidence)
    if len(halves) < _WINDS:
        return None
    precision = sum(sd**-2 for _, sd in halves)
    gain = sum(g / sd**2 for g, sd in halves) / precision
    scatter = sum(((g - gain) / sd) ** 2 for g, sd in halves) / (len(halves) - 1)
    if gain <= 0:
        return None
    sd = math.sqrt(max(scatter, evidence.spans.restless**2) / precision)
    going_barrel = traits.drive is Drive.SPRING and traits.kind.name is not KindName.BRACKET
    usual = CURVE_SD / 2 if going_barrel else traits.usual.day_range_limit / 10
    odds = odds_beyond(
        gain, sd, usual=usual, faulty=max(traits.usual.day_range_limit / 2, 3 * usual), prior=_WIND_PRIOR
    )
    cause = "balance isochronism" if traits.oscillator == "balance" else "a swing that falls (circular error)"
    text = (
        f"it goes {gain:.1f} s a day faster in the second half of a wind than in the first: {cause}; "
        "read swing and rate through a wind"
    )
    return Lead("rate-with-wind", odds, text)


def _second_halves(evidence: Evidence) -> list[tuple[float, float]]:
    """Of each whole wind that was read three times: how much faster its second half went, and the doubt.

    Winds without an unknown step or a new rate, and read over three quarters of what is usual.
    """
    history, traits = evidence.history, evidence.history.traits
    wound = [at for at, _ in winds(history, Train.GOING)]
    doubted_from = [work.at for work in evidence.time.suspected_work]
    doubted_from += [jump.at for jump in history.common.jumps]
    steps = [b.at for b in history.breaks if b.work is not Work.WOUND and (b.error_sd_s > 1 or b.opens_rate)]
    settling = [(b.at, b.settled_at) for b in history.breaks if b.opens_rate]
    found = []
    q1, q2 = WIDER * traits.q1_s, WIDER * traits.q2_s
    opened = history.opened_at
    for start, end in pairwise(wound[-_WINDS_MOST - 1 :]):
        if (opened and start < opened) or any(since < end and until > start for since, until in settling):
            continue
        if any(start < at < end for at in (*steps, *doubted_from)):
            continue
        read = [(v.at, v.error_s or 0.0, v.doubt_s or 0.0) for v in evidence.spans.within(start, end)]
        half = _half(read, traits.duration_h, q1, q2)
        if half is not None:
            found.append(half)
    return found


def _half(
    read: list[tuple[datetime, float, float]], duration_h: float, q1: float, q2: float
) -> tuple[float, float] | None:
    """The rate of the second half less that of the first, by the first, middle and last of `read`, and its doubt."""
    if len(read) < 3:
        return None
    (t0, x0, u0), (t2, x2, u2) = read[0], read[-1]
    t1, x1, u1 = min(read[1:-1], key=lambda r: abs((r[0] - t0) - (t2 - r[0])))
    d1, d2 = (t1 - t0) / timedelta(days=1), (t2 - t1) / timedelta(days=1)
    if d1 + d2 < duration_h / 24 / 2 or min(d1, d2) < (d1 + d2) / 4:
        return None
    gain = (x2 - x1) / d2 - (x1 - x0) / d1
    noise = (u2 / d2) ** 2 + (u0 / d1) ** 2 + (u1 * (1 / d1 + 1 / d2)) ** 2
    return gain, math.sqrt(noise + q1**2 * (1 / d1 + 1 / d2) + q2**2 * (d1 + d2) / 3)


def steps(evidence: Evidence) -> Lead | None:
    """Hands that moved twice the same way by a whole minute, and nobody logged it."""
    opened = evidence.history.opened_at
    moved = [
        work for work in evidence.time.suspected_work
        if work.what is Work.HANDS_SET and (opened is None or work.at >= opened)
    ]  # fmt: skip
    minutes = [round(work.amount / MINUTE_S) for work in moved]
    if len(moved) < 2 or len({m > 0 for m in minutes}) > 1 or not all(0 < abs(m) <= _MOST_MINUTES for m in minutes):
        return None
    # how closely a step can be told: readings before and after, and a day's wandering
    sd = max(math.hypot(math.sqrt(2) * evidence.history.usual_doubt_s, 2 * evidence.history.traits.q1_s), 1.0)
    ratio = 0.0
    for work, whole in zip(moved, minutes, strict=True):
        off = work.amount - whole * MINUTE_S
        ratio += math.log(MINUTE_S / (sd * math.sqrt(2 * math.pi))) - 0.5 * (off / sd) ** 2
    ratio += (len(moved) - 1) * math.log(2)  # all one way
    called = math.prod(work.odds for work in moved)
    odds = called * odds_of(_STEP_PRIOR, math.exp(min(ratio, 50.0)))
    way = "forward" if minutes[0] > 0 else "back"
    times = "twice" if len(moved) == 2 else f"{len(moved)} times"
    each = f"{abs(minutes[0])} min" if len(set(minutes)) == 1 else "whole minutes"
    text = (
        f"the hands went {way} by {each} {times} with nobody setting them: a slack cannon pinion or minute hand, or a "
        "tripping escapement; watch the seconds hand against the minute hand"
    )
    return Lead("steps", odds, text)
