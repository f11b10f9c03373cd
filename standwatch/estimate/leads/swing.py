"""What the swing betrays: a loss from week to week, or only through the wind."""

from __future__ import annotations

import math

from standwatch.estimate.answers import Lead, SwingReading
from standwatch.estimate.leads.evidence import Evidence
from standwatch.estimate.leads.strength import odds_beyond, odds_over, standard
from standwatch.model.answers import NotYetKnown
from standwatch.model.words import Drive

FALLS_PCT = 2.0
"""A fall of so much a week keeps the requirement open; less is no lead either."""
_FALL_USUAL, _FALL_FAULTY, _FALL_PRIOR = 0.7, 6.0, 0.2
"""Per cent a week: what sound clocks show, what a fault adds; and how many of a stand's clocks have it: the most usual
of faults after an overhaul (common practice)."""
EARLY, LATE = 0.35, 0.75
"""Shares of the rated duration after a wind that count as wound up, and as its last days."""
WEAK = 0.25
"""A spring that takes more than this share of the swing with it is weak or set (common practice)."""
_WIND_USUAL, _WIND_USUAL_SD = 0.12, 0.10
"""What a wind takes of a spring clock's swing (logarithm), and how clocks differ in it (common practice)."""
_WEEK_SD = 0.02
_OTHERS = "oil or a worn pivot; look at endshake and the escape pivots"
_TORSION = "dirt or oil on the pallets, or the strip creeping in its clamps; look at pallets, fork and strip"
"""Where to look (common practice)."""


def swing_falls(evidence: Evidence) -> Lead | None:
    """Amplitude falls from week to week at equal wind phase, beyond its doubt."""
    trend = evidence.swing.trend_pct_per_week
    if isinstance(trend, NotYetKnown) or trend.estimate > -FALLS_PCT or trend.high >= 0:
        return None
    odds = odds_beyond(-trend.estimate, standard(trend), usual=_FALL_USUAL, faulty=_FALL_FAULTY, prior=_FALL_PRIOR)
    when, until = evidence.swing.too_little_at, ""
    if when is not None:
        until = f", too little by {evidence.day(when)}" if when > evidence.history.now else ", too little already"
    likely = _TORSION if evidence.history.traits.oscillator == "torsion" else _OTHERS
    text = f"the swing falls {-trend.estimate:.0f} % a week at equal wind{until}: {likely}"
    return Lead("swing-falls", odds, text)


def swing_low_at_end(evidence: Evidence) -> Lead | None:
    """Amplitude that comes back with the key and is low on the last days: a weak or set spring.

    Weights pull alike to the end, and a torsion pendulum is not watched through its year.
    """
    traits = evidence.history.traits
    if traits.drive is not Drive.SPRING or traits.oscillator == "torsion":
        return None
    phased = [(r, r.wind_hours / traits.duration_h) for r in evidence.swing.readings if r.wind_hours is not None]
    phases = [phase for _, phase in phased]
    if len(phased) < 3 or min(phases) > EARLY or max(phases) < LATE:
        return None
    if swing_falls(evidence) is not None:
        return None  # not through the wind only
    loss, sd = _loss_through_wind(phased)
    odds = odds_over(loss, -math.log(1 - WEAK), sd)
    text = (
        f"the swing falls {-100 * math.expm1(-loss):.0f} % through a wind and comes back with the key: "
        "a weak or set spring; read it on the last day"
    )
    return Lead("swing-low-at-end", odds, text)


def _loss_through_wind(phased: list[tuple[SwingReading, float]]) -> tuple[float, float]:
    """What a whole rated wind takes of the swing's logarithm, and its standard doubt.

    Least squares from what is usual, a trend from week to week beside it that sound clocks hardly have. The doubt
    grows with the scatter.
    """
    first = phased[0][0]
    rows = [((r.at - first.at).total_seconds() / 604800, p, math.log(r.degrees), r.doubt_deg / r.degrees)
            for r, p in phased]  # fmt: skip
    weights = [d**-2 for *_, d in rows]
    total = sum(weights)
    week_0, phase_0, log_0 = (sum(w * row[i] for w, row in zip(weights, rows, strict=True)) / total for i in range(3))
    ww, wp, pp, wl, pl = _WEEK_SD**-2, 0.0, _WIND_USUAL_SD**-2, 0.0, -_WIND_USUAL / _WIND_USUAL_SD**2
    for w, (week, phase, log, _) in zip(weights, rows, strict=True):
        a, b, c = week - week_0, phase - phase_0, log - log_0
        ww, wp, pp, wl, pl = ww + w * a * a, wp + w * a * b, pp + w * b * b, wl + w * a * c, pl + w * b * c
    det = ww * pp - wp * wp
    trend, slope = (pp * wl - wp * pl) / det, (ww * pl - wp * wl) / det
    left = sum(
        w * (c - log_0 - trend * (a - week_0) - slope * (b - phase_0)) ** 2
        for w, (a, b, c, _) in zip(weights, rows, strict=True)
    )
    scatter = max(left / max(len(rows) - 2, 1), 1.0)
    return -slope, math.sqrt(scatter * ww / det)
