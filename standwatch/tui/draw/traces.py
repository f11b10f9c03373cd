"""What the charts of one clock show: its error, its daily rates, its swing; each also as a table of words."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

from standwatch.estimate.history import History, Visit
from standwatch.judge.assessment import Assessment
from standwatch.judge.unlogged import unlogged_of
from standwatch.model.answers import Quantity
from standwatch.model.units import MINUS, clock_words, days, error_words
from standwatch.model.words import Work
from standwatch.tui.draw import words
from standwatch.tui.draw.chart import Chart, Point, draw
from standwatch.tui.draw.paint import Lines

Which = Literal["error", "rate", "swing"]

_WORK_WORDS = {
    Work.HANDS_SET: "set", Work.NUT: "nut", Work.BEAT_SET: "beat", Work.LEVELLED: "levelled", Work.MOVED: "moved",
    Work.CASED: "cased", Work.STOPPED: "stopped", Work.RAN_OUT: "ran out", Work.RESTARTED: "restarted",
    Work.OPENED: "opened", Work.OILED: "oiled", Work.HELD: "held", Work.SUMMER_TIME: "summer time",
}  # fmt: skip


def chart_of(assessment: Assessment, which: Which, now: datetime, columns: int) -> Chart:
    """The chart of `which`, over what `columns` cells can show."""
    history = assessment.estimates.history
    start = _start(history, now, columns)
    ahead = (now - start) / 5 if which == "error" else timedelta()
    end = now + max(min(ahead, timedelta(days=3)), timedelta(hours=1))
    makers = {"error": _error, "rate": _rate, "swing": _swing}
    traces, readings, edges, levels = makers[which](assessment, start, now, end, columns)
    return Chart(
        x_low=days(start),
        x_high=days(end),
        traces=traces,
        readings=readings,
        works=tuple((days(at), word) for at, word in _works(assessment) if start <= at <= end),
        edges=edges,
        levels=levels,
        x_words=_day_marks(start, now, history.zone, columns),
        now=days(now) if which == "error" else None,
        y_words={
            "error": _error_axis if columns >= 40 else _error_axis_short,
            "rate": _rate_axis,
            "swing": lambda y: f"{y:g}°",
        }[which],
        sixties=which == "error",
    )


def chart_lines(assessment: Assessment, which: Which, now: datetime, width: int, height: int) -> Lines:
    """The chart of `which` in `height` lines; under that of the rate, how steady it is. Slow enough for a worker."""
    from standwatch.tui.draw.steadiness import steadiness_lines  # noqa: PLC0415  # the stand is painted without it

    below = steadiness_lines(assessment, width, height) if which == "rate" else []
    return [*draw(chart_of(assessment, which, now, width), width, height - len(below)), *below]


def _start(history: History, now: datetime, columns: int) -> datetime:
    """From the first fact, but not more than a day for each two columns."""
    most = now - timedelta(days=max(columns // 2, 10))
    first = history.visits[0].at if history.visits else now - timedelta(days=1)
    return min(max(first, most), now - timedelta(hours=12))


_Drawn = tuple[
    tuple[tuple[Point, ...], ...], tuple[Point, ...], tuple[tuple[Point, ...], ...], tuple[tuple[float, str], ...]
]


def _error(assessment: Assessment, start: datetime, now: datetime, end: datetime, columns: int) -> _Drawn:
    time = assessment.estimates.time
    history = assessment.estimates.history
    readings = tuple((days(v.at), v.error_s or 0.0) for v in history.readings if start <= v.at)
    runs: list[list[Point]] = []
    if readings:
        first = max(start, next(v.at for v in history.readings if start <= v.at))
        hangs = assessment.going.hangs
        until = now if hangs is None else max(first, hangs.shown_until or hangs.found_at)
        for point in time.trace(first, until, 2 * columns):
            if point.starts or not runs:
                runs.append([])
            runs[-1].append((days(point.at), point.error_s))
    low: list[Point] = []
    high: list[Point] = []
    steps = 12
    for n in range(steps + 1):
        at = now + (end - now) * n / steps
        expected = time.error_at(at)
        if isinstance(expected, Quantity) and assessment.going.hangs is None:
            low.append((days(at), expected.low))
            high.append((days(at), expected.high))
    edges = (tuple(low), tuple(high)) if low else ()
    return tuple(tuple(run) for run in runs), readings, edges, ()


def _rate(assessment: Assessment, start: datetime, _now: datetime, _end: datetime, _columns: int) -> _Drawn:
    rates = [(days(at), rate) for at, rate in assessment.estimates.time.daily_rates() if isinstance(rate, Quantity)]
    inside = [(x, rate) for x, rate in rates if x >= days(start)]
    edges = (tuple((x, rate.low) for x, rate in inside), tuple((x, rate.high) for x, rate in inside))
    points = tuple((x, rate.estimate) for x, rate in inside)
    return (points,) if points else (), points, edges if points else (), ()


def _swing(assessment: Assessment, start: datetime, _now: datetime, _end: datetime, _columns: int) -> _Drawn:
    readings = tuple((days(r.at), r.degrees) for r in assessment.estimates.swing.readings if r.at >= start)
    history = assessment.estimates.history
    needed = history.traits.swing_needed_deg(history.clock.unlock_deg)
    levels = ((needed, "least"),) if needed is not None and history.traits.oscillator == "pendulum" else ()
    return (readings,) if readings else (), readings, (), levels


def _error_axis(seconds: float) -> str:
    if round(seconds, 1) == 0:
        return "0"
    side = "fast" if seconds > 0 else "slow"
    if abs(seconds) < 60 and seconds != round(seconds):
        return f"{abs(seconds):.1f} {side}"
    return f"{clock_words(seconds)} {side}"


def _error_axis_short(seconds: float) -> str:
    if round(seconds, 1) == 0:
        return "0"
    text = f"{abs(seconds):.1f}" if abs(seconds) < 60 and seconds != round(seconds) else clock_words(seconds)
    return f"{'+' if seconds > 0 else MINUS}{text}"


def _rate_axis(rate: float) -> str:
    return words.plus(rate, 0 if rate == round(rate) else 1)


def _works(assessment: Assessment) -> list[tuple[datetime, str]]:
    """The works that the charts mark, oldest first; among them those that nobody logged."""
    logged = [(v.at, word) for v in assessment.estimates.history.visits if (word := _work_word(v))]
    return sorted(logged + [(work.before, work.mark) for work in unlogged_of(assessment.estimates)])


def _work_word(visit: Visit) -> str | None:
    row = visit.row
    if row.work is Work.NUT and row.amount:
        return f"nut {words.plus(row.amount)}"
    return _WORK_WORDS.get(row.work) if row.work else None


def _day_marks(start: datetime, now: datetime, zone: ZoneInfo, columns: int) -> tuple[tuple[float, str], ...]:
    """Local midnights, as many as have room, "Tue 3"."""
    first = (start.astimezone(zone) + timedelta(days=1)).replace(hour=0, minute=0, second=0, microsecond=0)
    total = max((now - start) / timedelta(days=1), 1)
    every = max(1, round(total / max(columns // 12, 2)))
    marks = []
    day = first
    while day < now - timedelta(hours=12):
        marks.append((days(day), f"{day:%a} {day.day}"))
        day += timedelta(days=every)
    return tuple(marks)


def table_of(assessment: Assessment, which: Which, zone: ZoneInfo) -> list[tuple[str, str, str]]:
    """The chart as words, latest first: (when, value, doubt or work)."""
    history = assessment.estimates.history
    if which == "rate":
        rates = assessment.estimates.time.daily_rates()
        told = [(words.time_words(at, zone), *words.rate_parts(rate)) for at, rate in rates]
    elif which == "swing":
        readings = assessment.estimates.swing.readings
        told = [(words.time_words(r.at, zone), f"{r.degrees:.2f}°", _wind_phase(r.wind_hours)) for r in readings]
    else:
        unlogged = {work.before: work.mark for work in unlogged_of(assessment.estimates)}
        told = [
            (words.time_words(v.at, zone), *_error_row(v, history.usual_doubt_s, unlogged.get(v.at, "")))
            for v in history.visits
            if v.error_s is not None or _work_word(v)
        ]
    return told[::-1]


def _wind_phase(hours: float | None) -> str:
    return "" if hours is None else f"{hours / 24:.1f} days after winding"


def _error_row(visit: Visit, usual_doubt: float, unlogged: str) -> tuple[str, str]:
    error = "" if visit.error_s is None else error_words(visit.error_s, tenths=usual_doubt < 1)
    before = f"{unlogged} before" if unlogged and error else ""
    return error, "; ".join(part for part in (before, _work_word(visit)) if part)


def chart_heads() -> Sequence[tuple[Which, str]]:
    """Each chart with its title, unit in the head."""
    return (("error", "ERROR"), ("rate", "RATE s/day"), ("swing", "SWING"))
