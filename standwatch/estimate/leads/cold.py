"""Whether the cold makes it fail: stops, or a low swing, by what the thermometer said."""

from __future__ import annotations

import math
from bisect import bisect_left
from datetime import datetime, timedelta
from operator import itemgetter
from statistics import fmean

from standwatch.estimate.answers import Lead
from standwatch.estimate.leads.evidence import Evidence
from standwatch.estimate.leads.strength import odds_beyond, odds_of
from standwatch.model.words import Work

_PRIOR, _SWING_PRIOR = 0.1, 0.03
_LEAST_SWINGS = 8
_LEAST_STOPS = 2
_LEAST_LOG = 8
LEAST_SPREAD_C = 4.0
"""The room must have been so much colder at times (deg C), or nothing can be told."""
_NIGHT = timedelta(hours=14)
"""A stop found in the morning came in the night; what the thermometer said so long before counts too."""
_NEAR = timedelta(hours=12)
_USUAL_PCT, _FAULTY_PCT = 0.3, 2.0
"""Per cent of its swing that a sound clock, and one with thick oil, loses for each deg C colder (common practice)."""


def cold(evidence: Evidence) -> Lead | None:
    """It stops, or its swing is low, only when the room is cold."""
    log = [(at, c) for at, c in evidence.history.temperatures]
    values = [c for _, c in log]
    if len(values) < _LEAST_LOG or max(values) - min(values) < LEAST_SPREAD_C:
        return None
    found = [lead for lead in (_stops(evidence, log), _swing(evidence, log)) if lead is not None]
    return max(found, key=lambda lead: lead.odds, default=None)


def _stops(evidence: Evidence, log: list[tuple[datetime, float]]) -> Lead | None:
    """All its stops in the cold: the chance of that, had they come at any of the logged temperatures."""
    if len(evidence.history.works(Work.STOPPED, Work.RAN_OUT)) < _LEAST_STOPS:
        return None
    stops = [stop for stop in evidence.going.stops if not stop.in_time]
    coldest = []
    for stop in stops:
        near = [c for at, c in log if stop.found_at - _NIGHT <= at <= stop.found_at]
        if near:
            coldest.append(min(near))
    if len(coldest) < max(_LEAST_STOPS, len(stops)):
        return None
    warmest = max(coldest)
    began = evidence.history.visits[0].at
    felt = [c for at, c in log if at >= began]
    share = (sum(c <= warmest for c in felt) + 1) / (len(felt) + 2)
    odds = odds_of(_PRIOR, share ** -len(coldest))
    text = (
        f"all {len(coldest)} stops came at {warmest:.0f} °C or colder: thick oil, too little endshake or a wooden case "
        "that moves; run it through a cold night"
    )
    return Lead("cold", odds, text)


def _swing(evidence: Evidence, log: list[tuple[datetime, float]]) -> Lead | None:
    """The swing's logarithm against the temperature, a trend from week to week beside it."""
    pairs = [
        ((r.at - log[0][0]) / timedelta(days=7), warmth, math.log(r.degrees), r.doubt_deg / r.degrees)
        for r in evidence.swing.readings
        if (warmth := _near(log, r.at)) is not None
    ]
    if len(pairs) < _LEAST_SWINGS or max(c for _, c, *_ in pairs) - min(c for _, c, *_ in pairs) < LEAST_SPREAD_C:
        return None
    mean = [fmean(p[i] for p in pairs) for i in range(3)]
    ww, wc, cc, wa, ca = 1e-9, 0.0, 1e-9, 0.0, 0.0
    for week, warmth, log_a, _ in pairs:
        w, c, a = week - mean[0], warmth - mean[1], log_a - mean[2]
        ww, wc, cc, wa, ca = ww + w * w, wc + w * c, cc + c * c, wa + w * a, ca + c * a
    det = ww * cc - wc * wc
    if det <= 1e-6 * ww * cc:
        return None
    slope, trend = (ww * ca - wc * wa) / det, (cc * wa - wc * ca) / det
    left = sum((a - mean[2] - trend * (w - mean[0]) - slope * (c - mean[1])) ** 2 for w, c, a, _ in pairs)
    sd = max(math.sqrt(left / (len(pairs) - 3)), fmean(d for *_, d in pairs)) * math.sqrt(ww / det)
    odds = odds_beyond(100 * slope, 100 * sd, usual=_USUAL_PCT, faulty=_FAULTY_PCT, prior=_SWING_PRIOR)
    text = (
        f"the swing is {100 * slope:.1f} % lower for each °C colder: thick oil, too little endshake or a wooden case; "
        "run it through a cold night"
    )
    return Lead("cold", odds, text)


def _near(log: list[tuple[datetime, float]], at: datetime) -> float | None:
    """What the thermometer said nearest to `at`, within half a day."""
    place = bisect_left(log, at, key=itemgetter(0))
    near = min(log[max(place - 1, 0) : place + 1], key=lambda entry: abs(entry[0] - at), default=None)
    return near[1] if near is not None and abs(near[0] - at) <= _NEAR else None
