"""How one clock's readings miss what was expected of them where its rate changes and stays changed: a matched filter.

Each clock's readings miss what was expected of them, one by one and independently (the innovations of a Kalman
filter). A rate that changed for good makes them miss by a known pattern, which fades as the filter takes the change
for the clock's own; matched to that pattern they tell the change and its doubt (G. L. Turin, IRE Trans. Inf. Theory 6
(1960) 311, from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.answers import Residual
from standwatch.estimate.noise import process_noise
from standwatch.estimate.room import straying
from standwatch.model.units import days_of

Floats = NDArray[np.float64]

_FOLLOWED_DAYS = 14.0
"""How long a change is followed in the readings after it."""
_LEAST_BEFORE = 6
"""Readings before it, from which a clock's rate was known."""
_LEAST_AFTER = 2
_SAME_MOMENT_D = 1 / 1440


@dataclass(frozen=True, slots=True, eq=False)
class WarmthVoice:
    """What one clock has to say of the room: what a deg C does to it, and its residuals since its rate was opened.

    `steel` and `dull` (warmth leaves it alone, as far as one can know) say in which of the two parties it is, if any.
    `residuals` are `read_at` in days since 2000. `far_off` are its readings that went further than wandering and by
    how much, `turned` its nut as nobody logged it, s/day. `reading_var` is its usual reading's variance, `rate_var`
    that of a rate nobody knows, `stray_sd` how far it strays with the weather (s/day), `noise` its kind's q1 and q2 as
    variances. `logged_at` is when the room's temperature was last logged, by any clock's row.
    """

    now: datetime
    per_c: float
    steel: bool
    dull: bool
    residuals: tuple[Residual, ...]
    read_at: Floats
    far_off: tuple[tuple[datetime, float], ...]
    turned: tuple[tuple[datetime, float], ...]
    reading_var: float
    rate_var: float
    stray_sd: float
    noise: tuple[float, float]
    logged_at: datetime | None


class Matched:
    """One clock's residuals, but for those over one of `jumps`, and how they answer to a change at each onset.

    An onset (days since 2000) is worked out once, when first asked for, and by itself: whatever else is asked.
    """

    def __init__(self, voice: WarmthVoice, jumps: Sequence[datetime]) -> None:
        self.per_c = voice.per_c
        own = voice.residuals
        if jumps:
            own = tuple(e for e in own if not any(e.at - timedelta(days=e.days) < jump <= e.at for jump in jumps))
        self._at = voice.read_at if len(own) == len(voice.residuals) else np.array(days_of(e.at for e in own))
        spans = np.array([e.days for e in own])
        self._since = self._at - spans
        self._misses = np.array([e.miss_s for e in own])
        self._variances = np.array([e.sd_s**2 for e in own])
        self._steps = _steps(voice, spans, self._at, self._since)
        self._told: dict[float, tuple[Floats, float, float]] = {}

    def shift(self, onset: float) -> tuple[float, float]:
        """The change of rate (s/day) at `onset` and its doubt, which is infinite where the clock can't tell."""
        _, shift, doubt = self._of(onset)
        return shift, doubt

    def without(self, place: float, warmer_c: float, onset: float) -> tuple[float, float]:
        """The same, had the clock not met the warmth from the onset at `place` on."""
        answers, shift, doubt = self._of(onset)
        if math.isinf(doubt):
            return shift, doubt
        lost = self.per_c * warmer_c * float((answers * self._of(place)[0] / self._variances).sum())
        return shift + lost * doubt**2, doubt

    def _of(self, onset: float) -> tuple[Floats, float, float]:
        told = self._told.get(onset)
        if told is None:
            told = self._told[onset] = self._answer(onset)
        return told

    def _answer(self, onset: float) -> tuple[Floats, float, float]:
        """What a rate 1 s/day faster from `onset` on makes each reading miss, and the shift that the readings tell."""
        answers = np.zeros(len(self._at))
        before, end = (int(n) for n in self._at.searchsorted((onset, onset + _FOLLOWED_DAYS), side="right"))
        if before < _LEAST_BEFORE or end - before < _LEAST_AFTER:
            return answers, 0.0, math.inf
        x = y = v = 0.0
        for n in range(before, end):
            anew, span, enters, keep, gain_x, gain_y, gain_v = self._steps[n]
            x = (0.0 if anew else x) + span * y + enters * v
            v = keep * v
            if self._since[n] <= onset:
                x += float(self._at[n]) - onset
                y += 1.0
            answers[n] = x
            x, y, v = x - gain_x * x, y - gain_y * x, v - gain_v * x
        if np.count_nonzero(answers) < _LEAST_AFTER:
            return np.zeros_like(answers), 0.0, math.inf
        weighed = answers / self._variances
        information = float((weighed * answers).sum())
        return answers, float((weighed * self._misses).sum()) / information, 1 / math.sqrt(information)


_Step = tuple[bool, float, float, float, float, float, float]
"""Whether the error began anew; days; what a stray adds to the error and what is left of it; three gains."""


def _steps(voice: WarmthVoice, spans: Floats, at: Floats, since: Floats) -> list[_Step]:
    """The gains of a filter of error, rate, and a rate that strays with the weather, as its kind has them.

    By how much it takes a change for the clock's own, or for weather that will pass, is what the answers fade by.
    """
    keep, enters, gathered_xx, gathered_xv, gathered_vv = (part.tolist() for part in straying(spans, voice.stray_sd))
    anew = np.abs(since - np.append(-np.inf, at[:-1])) > _SAME_MOMENT_D if len(at) else np.zeros(0, bool)
    r = voice.reading_var
    xx, xy, xv, yy, yv, vv = r, 0.0, 0.0, voice.rate_var, 0.0, voice.stray_sd**2
    found: list[_Step] = []
    for n, span in enumerate(spans.tolist()):
        if anew[n]:
            xx, xy, xv = r, 0.0, 0.0
        q11, q12, _, q22, _, _ = process_noise(*voice.noise, 0.0, span)
        t, k = enters[n], keep[n]
        to_y, to_v = xy + span * yy + t * yv, xv + span * yv + t * vv
        xx = xx + span * xy + t * xv + span * to_y + t * to_v + q11 + gathered_xx[n]
        xy, xv = to_y + q12, k * to_v + gathered_xv[n]
        yy, yv, vv = yy + q22, k * yv, k * k * vv + gathered_vv[n]
        gain_x, gain_y, gain_v = (each / (xx + r) for each in (xx, xy, xv))
        found.append((bool(anew[n]), span, t, k, gain_x, gain_y, gain_v))
        yy, yv, vv = yy - gain_y * xy, yv - gain_y * xv, vv - gain_v * xv
        xx, xy, xv = xx - gain_x * xx, xy - gain_x * xy, xv - gain_x * xv
    return found
