"""Everything a timekeeping is asked, at times before, between and after the readings; to be checked and compared."""

from __future__ import annotations

import dataclasses
import math
from datetime import datetime, timedelta
from itertools import pairwise

import pytest

from standwatch.estimate.answers import Suspect, Timekeeping, TracePoint
from standwatch.estimate.history import History
from standwatch.estimate.timekeeping import timekeeping_of
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.words import ReadBy

Said = dict[str, object]
_DAY = timedelta(days=1)
_EVEN = ("within", "day_range", "turn_effect", "winding_step", "odds", "sd_s", "days")
"""Answers that are the same of a clock and of its mirror image."""
_DRAWN = 0.15
"""How far (of its own size) a day range by draws may differ between a clock and its mirror image."""
LIMITS = (0.1, 5.0, 40.0)


def times_of(history: History) -> list[datetime]:
    """Before the first reading, at and between readings, now, and to come."""
    at = sorted({visit.at for visit in history.visits})
    between = [a + (b - a) / 2 for a, b in pairwise(at)][-2:]
    now = history.now
    return [now - 90 * _DAY, *at[:1], *between, *at[-1:], now, now + 7 * _DAY, now + 400 * _DAY]


def everything(history: History, keeping: Timekeeping | None = None) -> Said:
    """Each question with its answer; `keeping` where it was made another way than from this History alone."""
    asked = keeping if keeping is not None else timekeeping_of(history)
    said: Said = {
        "rate": asked.rate,
        "rate_named": asked.rate_named,
        "turn_effect": asked.turn_effect,
        "winding_step": asked.winding_step,
        "wind_curve": asked.wind_curve,
        "residuals": asked.residuals,
        "drift": asked.drift,
        "suspects": asked.suspects,
        "suspected_work": asked.suspected_work,
        "readings_since_rate_opened": asked.readings_since_rate_opened,
        "rate_since": asked.rate_since,
        "day_range": asked.day_range(),
        "day_range_spans": asked.day_range_spans,
        "daily_rates": asked.daily_rates(),
        "trace": asked.trace(history.now - 20 * _DAY, history.now + 10 * _DAY, 6),
    }
    for number, at in enumerate(times_of(history)):
        said[f"error {number}"] = asked.error_at(at)
    for how in ReadBy:
        said[f"reading by {how}"] = asked.reading_at(history.now + _DAY, how)
    for limit in LIMITS:
        said[f"within {limit}"] = asked.rate_within(limit)
        said[f"day_range_within {limit}"] = asked.day_range_within(limit)
    return said


def sound(said: Said) -> None:
    """Every answer is finite, with an interval round it, or says why it is none."""
    for question, answer in said.items():
        _sound(question, answer)
    chances = [said[f"within {limit}"] for limit in LIMITS]
    known = [chance for chance in chances if isinstance(chance, float)]
    assert known == sorted(known)
    assert len(known) in {0, len(LIMITS)}
    assert isinstance(said["rate"], Quantity) == bool(known)


def _sound(question: str, answer: object) -> None:
    match answer:
        case NotYetKnown():
            assert answer.because, question
        case Quantity():
            assert all(math.isfinite(value) for value in (answer.low, answer.estimate, answer.high)), question
            assert answer.low <= answer.estimate <= answer.high, question
            assert answer.high > answer.low, question
        case TracePoint():
            _sound(question, Quantity(answer.error_s, answer.low, answer.high))
        case float():
            assert math.isfinite(answer), question
            if "within" in question or question.endswith(".odds"):
                assert 0 <= answer <= 1 + 1e-9, question
            if question.endswith(".sd_s"):
                assert answer > 0, question
        case tuple():
            for part in answer:
                _sound(question, part)
        case _ if dataclasses.is_dataclass(answer):
            for field in dataclasses.fields(answer):
                _sound(f"{question}.{field.name}", getattr(answer, field.name))


@dataclasses.dataclass(frozen=True, slots=True)
class Alike:
    """What one clock says against another that is like it but `later`, or its mirror image (`sign` -1).

    `tolerance` is of each number, in its own size and (with the doubt, where it has one) in its unit.
    """

    later: timedelta = timedelta()
    sign: int = 1
    tolerance: float = 1e-6

    def check(self, one: Said, other: Said) -> None:
        """Raise AssertionError, naming the question, where they differ."""
        assert one.keys() == other.keys()
        for question, answer in one.items():
            self._check(question, answer, other[question])

    def _check(self, question: str, a: object, b: object) -> None:
        told = f"{question}: {a} against {b}"
        match a:
            case NotYetKnown():
                assert isinstance(b, NotYetKnown), told
            case datetime():
                assert isinstance(b, datetime), told
                assert abs(b - a - self.later) <= timedelta(milliseconds=1), told
            case Quantity():
                assert isinstance(b, Quantity), told
                low, high = (a.low, a.high) if self._sign(question) > 0 else (a.high, a.low)
                pairs = [(a.estimate, b.estimate), (low, b.low), (high, b.high)]
                assert all(self._near(question, x, y, a.doubt) for x, y in pairs), told
            case TracePoint():
                assert isinstance(b, TracePoint), told
                assert a.starts == b.starts, told
                self._check(question, a.at, b.at)
                self._check(question, Quantity(a.error_s, a.low, a.high), Quantity(b.error_s, b.low, b.high))
            case bool() | int() | str() | None:
                assert a == b, told
            case float():
                assert isinstance(b, float), told
                assert self._near(question, a, b, 0.0), told
            case tuple():
                assert isinstance(b, tuple), told
                assert len(a) == len(b), told
                for x, y in zip(a, b, strict=True):
                    self._check(question, x, y)
            case _:
                assert dataclasses.is_dataclass(a), told
                assert type(a) is type(b), told
                for field in dataclasses.fields(a):
                    self._check(f"{question}.{field.name}", getattr(a, field.name), getattr(b, field.name))

    def _sign(self, question: str) -> int:
        asked, _, field = question.partition(".")
        return 1 if asked.startswith(_EVEN) or field in _EVEN else self.sign

    def _near(self, question: str, a: float, b: float, doubt: float) -> bool:
        drawn = self.sign < 0 and question.startswith("day_range")
        share = _DRAWN if drawn else self.tolerance
        return b == pytest.approx(self._sign(question) * a, rel=share, abs=share * max(1.0, doubt))


def suspects(said: Said) -> tuple[Suspect, ...]:
    """The suspects among what was said."""
    found = said["suspects"]
    assert isinstance(found, tuple)
    return found
