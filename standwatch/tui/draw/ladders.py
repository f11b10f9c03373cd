"""Where each weight hangs and when it is down, as ladders; of springs, when each was wound and when it runs out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from textual.content import Content

from standwatch.estimate.answers import TrainRun
from standwatch.horology.hanging import weight_sides
from standwatch.judge.assessment import Assessment
from standwatch.judge.level import levels_of, next_level, span_words
from standwatch.model.answers import Moment, NotYetKnown, Quantity
from standwatch.model.words import Drive
from standwatch.tui.draw import words
from standwatch.tui.draw.paint import MUTED, PLAIN, WARNING, Lines, fit, line, rule, strong

_LEVEL_FROM = 6
"""Lines from which there is room to say when weights are level with the bob."""

Cells = list[tuple[str, str]]


def ladders(assessment: Assessment, now: datetime, until: datetime, width: int, height: int) -> Lines:
    """The weights' section: a ladder each, left to right as they hang, `height` lines in all."""
    history = assessment.estimates.history
    sides = weight_sides(history.traits.trains, history.clock.weight_order)
    runs = {run.train: run for run in assessment.estimates.power.trains}
    shown = [(side, runs[train]) for side, train in sides.items() if train in runs]
    if not shown:
        return [rule("WEIGHTS", width), line(("no wind recorded yet", MUTED))]
    each = width // len(shown)
    level = _level_line(assessment, now, width) if height > _LEVEL_FROM else None
    height -= level is not None
    bob = history.clock.bob_below_top_mm
    columns = []
    for side, run in shown:
        name = f"{side} " if len(f"{side} {run.train}") < each else ""
        ladder = _ladder(run, (now, until), history.zone, height - 2, bob)
        if run.train in assessment.estimates.stuck:
            ladder = _if_it_went_on(ladder, each)
        columns.append([[(name, MUTED), (run.train.value, strong(PLAIN))], *ladder])
    lines = [rule("WEIGHTS", width, line(("mm fallen, forecast now", MUTED)))]
    for n in range(height - 1):
        parts: Cells = []
        for column in columns:
            parts += _fitted(column[n], each)
        lines.append(line(*parts))
    return lines if level is None else [*lines, level]


def _level_line(assessment: Assessment, now: datetime, width: int) -> Content | None:
    """When weights are level with the bob on this wind: the time that is now or comes next, else the last."""
    levels = levels_of(assessment.estimates)
    level = None if isinstance(levels, NotYetKnown) else next_level(levels, now)
    if level is None:
        return None
    hangs = level.open_at(now)
    who = "" if level.who.startswith("weight") else f"{level.who.removesuffix('s').removesuffix(' weight')} "
    said = span_words(level.enters.at, level.leaves.at, assessment.estimates.history.zone, by_day=level.by_day)
    style = strong(WARNING) if hangs else PLAIN if level.leaves.at > now else MUTED
    return line((fit(f"{who}level with bob {said}{' !' if hangs else ''}", width), style))


def _fitted(parts: Cells, width: int) -> Cells:
    told: Cells = []
    room = width
    for text, style in parts:
        shown = text if len(text) <= room else fit(text, room)
        told.append((shown, style))
        room -= len(shown)
    return [*told, (" " * room, PLAIN)]


def _ladder(
    run: TrainRun, when: tuple[datetime, datetime], zone: ZoneInfo, height: int, bob: float | None
) -> list[Cells]:
    """One train's weight from the top to its floor in `height` lines: now, the days to come, level with the bob."""
    now, until = when
    floor = run.floor_mm
    wound = "" if run.wound_at is None else f" {words.near_words(run.wound_at, now, zone)}"
    lines: list[Cells] = [[("┬", MUTED), (wound or " wound ?", MUTED)]]
    lines += [[("│", MUTED)] for _ in range(height - 2)]
    lines.append([("┴", MUTED), *_bottom(run, now, until, zone)])
    if floor is None or isinstance(run.fall_mm, NotYetKnown):
        lines[height // 2] = [("│", MUTED), (" not read", MUTED)]
        return lines

    def row(mm: float) -> int:
        return min(max(round(mm / floor * (height - 1)), 0), height - 1)

    if bob is not None and bob < floor:
        lines[row(bob)] = [("┼", MUTED), ("┄bob", MUTED)]
    here = row(run.fall_mm.estimate)
    if isinstance(run.speed_mm_per_day, Quantity):
        for at, name in _midnights(now, zone):
            day = (at - now) / timedelta(days=1)
            where = row(run.fall_mm.estimate + day * run.speed_mm_per_day.estimate)
            if here < where < height - 1 and lines[where][0][0] == "│":
                lines[where] = [("├", MUTED), (f" {name}", MUTED)]
    here = min(max(here, 1), height - 2)
    doubt = f" ±{max(1, round(run.fall_mm.doubt))}"
    lines[here] = [("█", strong(PLAIN)), (f" {run.fall_mm.estimate:.0f}", strong(PLAIN)), (doubt, MUTED)]
    return lines


def _if_it_went_on(ladder: list[Cells], width: int) -> list[Cells]:
    """The ladder of a train that seems stuck: what it says below is if the train went on from now."""
    marked = [*ladder]
    marked[0] = [("┬", MUTED), (" seems stuck", strong(WARNING))]
    free = next((n for n in range(len(marked) - 2, 0, -1) if marked[n][0][0] != "█"), len(marked) - 2)
    marked[free] = [("│", MUTED), (" if it went on" if width > len("│ if it went on") else " if it goes", MUTED)]
    end, *parts = marked[-1]
    marked[-1] = [end, *((text.rstrip("!"), MUTED) for text, _ in parts)]
    return marked


def _midnights(now: datetime, zone: ZoneInfo) -> Sequence[tuple[datetime, str]]:
    today = now.astimezone(zone).replace(hour=0, minute=0, second=0, microsecond=0)
    days = [today + timedelta(days=n) for n in range(1, 9)]
    return [(day, f"{day:%a}") for day in days]


def _bottom(run: TrainRun, now: datetime, until: datetime, zone: ZoneInfo) -> Cells:
    if not isinstance(run.runs_out, Moment):
        return [(" ?", MUTED)]
    local = run.runs_out.at.astimezone(zone)
    near = abs(run.runs_out.at - now) < timedelta(days=7)
    text = f"{local:%a} {local:%H:%M}" if near else f"{local.day} {local:%b %H:%M}"
    if run.runs_out.low < until:
        return [(f" {text}!", strong(WARNING))]
    return [(f" {text}", PLAIN)]


def springs(assessment: Assessment, now: datetime, until: datetime, width: int) -> Lines:
    """The springs' section: a line a train."""
    zone = assessment.estimates.history.zone
    lines = [rule("SPRINGS", width, line(("runs out", MUTED)))]
    for run in assessment.estimates.power.trains:
        wound = "not known when wound" if run.wound_at is None else f"wound {words.time_words(run.wound_at, zone)}"
        if isinstance(run.runs_out, Moment):
            when = words.moment_words(run.runs_out, now, zone, Drive.SPRING)
            style = PLAIN
            if run.runs_out.low < until:
                when, style = f"{when} !", strong(WARNING)
        else:
            when, style = "not yet known", MUTED
        room = width - 8 - len(when) - 1
        lines.append(
            line((fit(run.train.value, 8), strong(PLAIN)), (fit(wound, room), MUTED), (" ", PLAIN), (when, style))
        )
    return lines


def run_lines(assessment: Assessment, now: datetime, until: datetime, width: int, height: int) -> list[Content]:
    """How the clock is driven, weights or springs, in at most `height` lines."""
    if assessment.estimates.history.traits.reference:
        return []
    if assessment.estimates.history.traits.weights:
        return ladders(assessment, now, until, width, height)
    return springs(assessment, now, until, width)[:height]
