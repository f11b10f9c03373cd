"""The error as a line through time, for charts: as smoothed in the past, as forecast from now on."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import datetime, timedelta

from standwatch.estimate.answers import TracePoint
from standwatch.model.answers import Answer, NotYetKnown

_JUST_BEFORE = timedelta(seconds=1)


def trace(
    error_at: Callable[[datetime], Answer], breaks: Iterable[datetime], start: datetime, end: datetime, points: int
) -> tuple[TracePoint, ...]:
    """`error_at` in about `points` even steps from `start` to `end`, and on both sides of each of `breaks` between.

    Where the error isn't known there is no point; the next one starts the line anew.
    """
    if end < start or points < 1:
        return ()
    count = max(points - 1, 1)
    times = {start + (end - start) * k / count: False for k in range(count + 1)}
    for at in breaks:
        if start < at <= end:
            before = max(at - _JUST_BEFORE, start)
            times.setdefault(before, False)
            times[at] = True
    line: list[TracePoint] = []
    anew = True
    for at in sorted(times):
        answer = error_at(at)
        if isinstance(answer, NotYetKnown):
            anew = True
            continue
        line.append(TracePoint(at, answer.estimate, answer.low, answer.high, anew or times[at]))
        anew = False
    return tuple(line)
