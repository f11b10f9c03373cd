"""Stoppage: how it hung, large; when it stopped, with odds; its stops round the twelve hours and by height."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from rich.cells import cell_len
from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import Assessment
from standwatch.judge.stopping import nearest_minute, odds_words
from standwatch.service.bench.stoppage import Gathering, Question, StopShown, what_would_tell
from standwatch.tui.draw import words
from standwatch.tui.draw.crowns import clock_crown, set_beside, standing_words
from standwatch.tui.draw.glyphs import large, small
from standwatch.tui.draw.paint import (
    ASLEEP,
    ERROR,
    HERE,
    MUTED,
    PLAIN,
    SUCCESS,
    WARNING,
    Lines,
    Part,
    beside,
    block,
    fit,
    line,
    rule,
    stack,
    strong,
    wrapped,
)
from standwatch.tui.draw.stop_places import heights, ring, strips

_MOST_TIMES = 6
_RIGHT = 45
_TINT = "on $primary 22%"


@dataclass(frozen=True, slots=True)
class Page:
    """What the page is about.

    `asked` are all questions of this visit in order, `at` the one that is asked now (None: none is), `told` the
    answers so far in words, `typed` what stands in the line. `gathering` is None until it is worked out.
    """

    told: Assessment
    stops: tuple[StopShown, ...]
    cursor: int
    asked: tuple[Question, ...]
    at: int | None
    answers: dict[str, str]
    typed: str
    gathering: Gathering | None
    now: datetime
    zone: ZoneInfo

    @property
    def question(self) -> Question | None:
        """What is asked now."""
        return None if self.at is None else self.asked[self.at]

    @property
    def stop(self) -> StopShown | None:
        """The stop under the cursor."""
        return self.stops[self.cursor] if self.cursor < len(self.stops) else None

    @property
    def chosen_id(self) -> str:
        """Its id; empty where there is none."""
        return "" if self.stop is None else self.stop.id


def head(page: Page, width: int) -> Content:
    """The top line."""
    return clock_crown("STOPPAGE", page.told, standing_words(page.told), width)


def body(page: Page, size: Size) -> Content:
    """The page under its head: two columns where there is room."""
    width, tall = size.width - 2, size.height >= 26
    if size.width < 110:
        lines = _left(page, width, size.height, tall=False)
        lines += strips(page.gathering, page.chosen_id, width, size.height - len(lines))
        return stack((line((" ", PLAIN), part) for part in lines), size.height)
    left_width = width - _RIGHT - 3
    left = [Content(""), *_left(page, left_width, size.height - 1, tall=tall)]
    right = [
        Content(""),
        *ring(page.gathering, page.chosen_id, _RIGHT),
        Content(""),
        *heights(page.gathering, page.chosen_id, _RIGHT),
        Content(""),
        *_leads(page, _RIGHT),
    ]
    joined = beside([line((" ", PLAIN), part) for part in left], left_width + 1, right, _RIGHT, " │ ")
    return stack(joined, size.height)


def _left(page: Page, width: int, height: int, *, tall: bool) -> Lines:
    lines = _top(page, width, tall=tall)
    gap = [Content("")] if tall else []
    if page.question is not None or page.answers:
        lines += [*gap, *_checklist(page, width)]
    if page.question is None:
        lines += [*gap, *_times(page, width)]
    room = height - len(lines) - len(gap) - (0 if tall else 5)
    return [*lines, *gap, *_stops(page, width, max(room, 2))] if page.stops else lines


def _top(page: Page, width: int, *, tall: bool) -> Lines:
    """The question, with what is typed for it large; or the dial of the chosen stop as it hung."""
    if page.question is not None:
        return _bed(page, page.question, width, tall=tall)
    stop = page.stop
    if stop is None:
        return [
            line(("It goes, and has never been found stopped since it was opened.", strong(PLAIN))),
            line(
                (" o ", block(HERE)), ("  found stopped now: the dial first, then the weights; nothing touched", PLAIN)
            ),
        ]
    shown = stop.dial or "?"
    figures = large(shown) if tall else small(shown)
    what = "ran out" if stop.ran_out else "stopped"
    state = "hangs" if stop.hangs else "set going again"
    known = "in time, no fault" if stop.in_time else "explained" if stop.explained else "not explained"
    colour = ERROR if stop.wanting else PLAIN
    told: list[Part] = [
        (f"{what}, {known}; {state}", strong(colour)),
        (f"found {words.time_words(stop.found_at, page.zone)}", PLAIN),
        (_hung(stop), MUTED) if stop.falls or stop.said else (_seen(stop, page.zone), MUTED),
        (_seen(stop, page.zone) if stop.falls or stop.said else "", MUTED),
    ]
    return set_beside(figures, told, width)


def _hung(stop: StopShown) -> str:
    falls = ", ".join(f"{train} {mm:.0f}" for train, mm in stop.falls)
    return "; ".join(part for part in (f"{falls} mm down" if falls else "", stop.said) if part)


def _seen(stop: StopShown, zone: ZoneInfo) -> str:
    return "" if stop.seen is None else f"last seen going {words.time_words(stop.seen, zone)}"


def _bed(page: Page, question: Question, width: int, *, tall: bool) -> Lines:
    """One question in a filled block, and a bed for its figures."""
    typed = page.typed
    shown = f"{typed[:-2]}:{typed[-2:]}" if question.kind == "dial" and typed.isdigit() and len(typed) > 2 else typed
    drawn = shown if shown and all(char in "0123456789.:-" for char in shown) else "?"
    figures = (large if tall else small)(drawn.replace("-", "−"))
    lines = [line((f" {question.name.upper()}? ", block(HERE)), (f"  {question.ask}", PLAIN))]
    if question.kind == "tick":
        lines = [line((" WHERE WAS IT CAUGHT? ", block(HERE)), ("  a figure, or words", MUTED))]
        return [*lines, *_choices(question.ask, width, tall=tall)]
    colour = HERE if typed else ASLEEP
    return [*lines, *(line((row, strong(colour))) for row in figures)]


def _choices(ask: str, width: int, *, tall: bool) -> Lines:
    """The ready answers with their figures: a line each where there is room, else as many to a line as stay whole."""
    rows: list[list[str]] = []
    for choice in ask.split("   "):
        if tall or not rows or cell_len("   ".join([*rows[-1], choice])) > width:
            rows.append([])
        rows[-1].append(choice)
    lines = []
    for row in rows:
        parts: list[Part] = []
        for choice in row:
            figure, _, said = choice.partition(" ")
            parts += [(f"{figure} ", strong(HERE)), (f"{said}   ", PLAIN)]
        lines.append(line(*parts))
    return lines


def _checklist(page: Page, width: int) -> Lines:
    """What is read, what is asked, what comes."""
    parts: list[Part] = []
    for n, question in enumerate(page.asked):
        said = page.answers.get(question.name)
        if n == page.at:
            parts += [("› ", strong(HERE)), (question.name, strong(PLAIN))]
        elif said:
            parts += [("✓ ", SUCCESS), (f"{question.name} ", PLAIN), (said, strong(PLAIN))]
        elif said == "":
            parts += [("– ", MUTED), (question.name, MUTED)]
        else:
            parts += [("· ", MUTED), (question.name, MUTED)]
        parts.append(("   ", PLAIN))
    return line(*parts).wrap(width)[:3]


def _times(page: Page, width: int) -> Lines:
    """When it stopped: each time that dial and weights leave, with its odds."""
    stop = page.stop
    if stop is None:
        return []
    lines = [rule("WHEN IT STOPPED" if not stop.ran_out else "WHEN IT RAN OUT", width, line(("odds", MUTED)))]
    shown = sorted(stop.candidates[:_MOST_TIMES], key=lambda pair: -pair[1])
    for at, odds in shown:
        bar = "▄" * max(round(odds * 20), 1)
        style = strong(PLAIN) if odds >= 0.5 else PLAIN
        when = words.time_words(nearest_minute(at), page.zone)
        lines.append(line((fit(when, 16), style), (fit(_odds(odds), 10, right=True), style), (f"  {bar}", HERE)))
    left = len(stop.candidates) - len(shown)
    if left > 0:
        lines.append(line((f"and {left} more, each less likely", MUTED)))
    if not stop.candidates and stop.dial is None:
        lines.append(line(("nobody noted its dial", MUTED)))
    tell = what_would_tell(stop, page.told.estimates.history)
    end = "" if tell.endswith("?") else "."
    return lines + (wrapped(f"{tell[0].upper()}{tell[1:]}{end}", width, 2, WARNING) if tell else [])


def _odds(share: float) -> str:
    """What is nearly sure is never told as sure, nor what is unlikely as out of the question."""
    return odds_words(share) if share >= 0.01 else "under 1 %"


def _stops(page: Page, width: int, room: int) -> Lines:
    """The stops since it was opened, latest first."""
    lines = [rule("STOPS", width, line(("latest first, since it was opened", MUTED)))]
    most = max(room - 1, 1)
    first = min(max(page.cursor - most + 1, 0), max(len(page.stops) - most, 0))
    for n, stop in list(enumerate(page.stops))[first : first + most]:
        lines.append(_stop_line(page, stop, width, chosen=n == page.cursor))
    below = len(page.stops) - first - most
    if below > 0:
        lines[-1] = line((f"▼ {below + 1} more", MUTED))
    return lines


def _stop_line(page: Page, stop: StopShown, width: int, *, chosen: bool) -> Content:
    mark = ("■", ERROR) if stop.hangs and stop.wanting else ("?", WARNING) if stop.wanting else ("✓", SUCCESS)
    what = "ran out" if stop.ran_out else "stopped"
    when = "" if not stop.candidates else words.time_words(nearest_minute(stop.candidates[0][0]), page.zone)
    sure = "" if not stop.candidates or stop.candidates[0][1] > 0.9 else "?"
    known = "in time" if stop.in_time else "explained" if stop.explained else "not explained"
    room = max(width - 47, 8)
    said = f"{known}; {stop.said}"
    told = said if stop.said and cell_len(said) <= room else known
    who = "" if stop.train.value == "going" else f"{stop.train} "
    row = line(
        ("›" if chosen else " ", strong(HERE)),
        mark,
        (f" {fit(words.near_words(stop.found_at, page.now, page.zone), 7)}", MUTED),
        (f"{fit(who + what, 15)}", strong(PLAIN)),
        (fit(stop.dial or "", 6), PLAIN),
        (fit(f"{when}{sure}", 16), MUTED),
        (fit(told, room), PLAIN),
    )
    return row.stylize_before(_TINT) if chosen else row


def _leads(page: Page, width: int) -> Lines:
    """What the stops speak for: patterns, no verdicts."""
    if page.gathering is None or not page.gathering.leads:
        return []
    lines = [rule("LOOK INTO", width, line(("patterns, no verdicts", MUTED)))]
    for text in page.gathering.leads[:2]:
        lines += wrapped(f"{text[0].upper()}{text[1:]}.", width, 4)
    return lines
