"""The round's page once a reading is in: the error found, large; only now what was expected; then what follows."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import Assessment
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.units import clock_words, error_words
from standwatch.model.words import ReadBy
from standwatch.service.readings import scale_reads
from standwatch.service.round.crossing import Reading, more_words
from standwatch.tui.draw import words
from standwatch.tui.draw.glyphs import large, small
from standwatch.tui.draw.paint import (
    ERROR,
    MUTED,
    PLAIN,
    SUCCESS,
    WARNING,
    Lines,
    beside,
    fit,
    line,
    rule,
    sized,
    strong,
    wrapped,
)
from standwatch.tui.draw.round.asked import asked_block, below_found, taken_lines
from standwatch.tui.draw.round.page import (
    ROOMY,
    WIDE,
    RoundShown,
    page,
    progress,
    stamp,
    top_lines,
    who_below,
)
from standwatch.tui.turn import Turn

CHART = 58


def error_figures(reading: Reading, *, tenths: bool, colour: str) -> Lines:
    """The error five rows high, its side three rows high at its foot."""
    if tenths and 0.05 <= abs(reading.error_s) < 60:
        value, side = f"{abs(reading.error_s):.1f}", "FAST" if reading.error_s > 0 else "SLOW"
    else:
        told = error_words(reading.error_s).upper()
        value, _, side = told.partition(" ")
    if value == "RIGHT":
        return [line((row, strong(colour))) for row in large("RIGHT")]
    figures, letters = large(value), ["", "", *small(side)]
    return [line((figures[n], strong(colour)), (f"   {letters[n]}", strong(colour))) for n in range(5)]


def found_page(shown: RoundShown, turn: Turn, size: Size, chart: Sequence[Content] = ()) -> Lines:
    """The reading is in."""
    width, roomy = size.width, size.height >= ROOMY
    wide = width >= WIDE
    top = top_of(shown, turn, width, roomy=roomy, colour=PLAIN)
    room = width - CHART - 4 if wide and roomy and chart else width - 4
    told: Lines = []
    if turn.asked:
        why = next((w.because for w in turn.asked if w.because), "")
        weights = sum(w.what == "weight" for w in turn.asked)
        name = turn.asked[0].name.upper() if not weights else "WEIGHTS" if weights > 1 else "WEIGHT"
        title = f"NOW THE {name}"
        told = [rule(title, room, line((why, MUTED))), *([Content("")] if roomy else [])]
        told += taken_lines(turn, room, _expected_of(turn))
    asked, below = asked_block(shown, turn, width), below_found(shown, turn, width, roomy=roomy)
    free = size.height - len(top) - len(told) - len(asked) - len(below) - 1
    left = [*_follows(turn, room, max(free, 2), roomy=roomy), *([Content("")] if told else []), *told]
    if room < width - 4:
        left = beside(left, room, [*([Content("")] if roomy else []), rule("ERROR", CHART - 2), *chart], CHART, "  ")
    middle = [line(("  " if wide else " ", PLAIN), part) for part in left]
    return page(top, middle, asked, below, size.height)


def chart_size(size: Size) -> tuple[int, int]:
    """Cells for the error's chart; nothing where there is no room."""
    return (CHART - 2, max(size.height - 22, 6)) if size.width >= WIDE and size.height >= ROOMY else (0, 0)


def top_of(shown: RoundShown, turn: Turn, width: int, *, roomy: bool, colour: str) -> Lines:
    """Progress, slot, error and what was expected; what two pages begin with."""
    reading = turn.reading
    top: Lines = [*([Content("")] if roomy else []), progress(shown, width), Content("")]
    if reading is None:
        return [*top, *top_lines(turn.before, [], width)]
    tenths = turn.before.estimates.history.usual_doubt_s < 1 and reading.crossing.way is ReadBy.SECONDS_HAND
    figures = error_figures(reading, tenths=tenths, colour=colour)
    wide = width >= WIDE
    verdict = [_verdict(reading, turn), line((_bell(shown, turn), MUTED)), Content(""), *_rate(turn)]
    top += top_lines(turn.before, figures, width, beside=[sized(each, 20) for each in verdict] if wide else [])
    indent = " " * (48 if wide else 26)
    pressed = line((_pressed(shown, reading), MUTED))
    if wide:
        return [*top, line((indent, PLAIN), _expected(reading, tenths=tenths)), line((indent, PLAIN), pressed)]
    first, second = who_below(turn.before, 25)
    told = line(_expected(reading, tenths=tenths), ("  ", PLAIN), _verdict(reading, turn))
    if turn.first is not None and reading.surprise:
        pressed = line((first_look(turn), MUTED))
    return [
        *top,
        line(first.truncate(26, pad=True), told),
        line(second.truncate(26, pad=True), pressed if turn.stage == "surprise" else line((_rate_words(turn), MUTED))),
    ]


def first_look(turn: Turn) -> str:
    """What the first of two looks found; empty where there was one."""
    return "" if turn.first is None else f"the second look; the first was {error_words(turn.first[0].error_s)}"


def _expected(reading: Reading, *, tenths: bool) -> Content:
    if isinstance(reading.expected, NotYetKnown):
        return line(("nothing was expected: ", MUTED), (reading.expected.because, MUTED))
    fine = tenths and reading.expected.doubt < 9.95
    doubt = f"±{reading.expected.doubt:.1f}" if fine else f"±{clock_words(reading.expected.doubt)}"
    return line(
        ("expected ", PLAIN),
        (error_words(reading.expected.estimate, tenths=fine), strong(PLAIN)),
        (f" {doubt}", MUTED),
    )


def _verdict(reading: Reading, turn: Turn) -> Content:
    off = reading.off_s
    if off is None:
        return line(("✓ taken", SUCCESS))
    if reading.surprise:
        return line((f"! {more_words(off)}", strong(WARNING)))
    if turn.first is not None:
        return line(("✓ the second look", SUCCESS))
    return line(("✓ as expected", SUCCESS))


def _bell(shown: RoundShown, turn: Turn) -> str:
    if not shown.bell or turn.reading is None or turn.reading.off_s is None:
        return ""
    return "bell twice" if turn.stage == "surprise" else "bell once"


def _rate(turn: Turn) -> Lines:
    after = _after(turn)
    rate = after.estimates.time.rate
    if not isinstance(rate, Quantity):
        return [line(("rate not yet known", MUTED))]
    limit = after.estimates.history.traits.mean_rate_limit
    return [line((words.rate_text(rate), PLAIN)), line((f"s a day, limit {limit:g}" if limit else "s a day", MUTED))]


def _rate_words(turn: Turn) -> str:
    return " ".join(part.plain for part in _rate(turn))


def _after(turn: Turn) -> Assessment:
    receipt = turn.fact.receipt
    return turn.before if receipt is None else receipt.assessment


def _pressed(shown: RoundShown, reading: Reading) -> str:
    crossing = reading.crossing
    mark = f" on {reading.mark or 60}" if crossing.way is ReadBy.SECONDS_HAND else ""
    told = f", figure {crossing.figure}" if crossing.figure is not None else ""
    return f"pressed {stamp(crossing.at, shown)}{mark}{told}: the dial at {reading.dial}"


def _follows(turn: Turn, width: int, most: int, *, roomy: bool) -> Lines:
    """What follows, in at most `most` lines: what the visit betrayed, what to look at again, the next step."""
    receipt = turn.fact.receipt
    lines: Lines = [*([Content("")] if roomy else []), rule("WHAT FOLLOWS", width)]
    if roomy:
        lines.append(Content(""))
    if turn.fact.problem:
        return [*lines, *wrapped(f"not kept: {turn.fact.problem}", width, 3, strong(ERROR))]
    if turn.answered:
        lines += wrapped(turn.answered, width, 2, strong(PLAIN))
    if receipt is None:
        return [*lines, line(("…", MUTED))]
    for work in receipt.unsaid:
        lines += wrapped(work.text, width, 2, strong(WARNING))
    if receipt.falls_off and turn.wanted is None:
        lines += wrapped("look again at the weights marked !, before they are wound", width, 1, strong(WARNING))
    following = receipt.assessment.next
    first = wrapped(following.text, width - 15, max(min(most - len(lines), 3), 1))
    lines += [line((fit(following.short if n == 0 else "", 15), strong(PLAIN)), part) for n, part in enumerate(first)]
    return lines[:most]


def _expected_of(turn: Turn) -> list[str]:
    """What each weight was expected to read, shown beside what was read; empty for the rest."""
    runs = {run.train: run for run in turn.before.estimates.power.trains}
    receipt = turn.fact.receipt
    far = {} if receipt is None else {off.train: off.expected for off in receipt.falls_off}
    clock = turn.before.estimates.history.clock
    told = []
    for wanted in turn.asked:
        run = None if wanted.train is None else runs.get(wanted.train)
        expected = None if run is None else far.get(run.train, run.fall_mm)
        if wanted.train is None or not isinstance(expected, Quantity):
            told.append("")
            continue
        reads = scale_reads(clock, wanted.train, max(expected.estimate, 0.0))
        mark = "! look again: " if wanted.train in far else ""
        told.append(f"{mark}expected {reads:.0f} ±{max(expected.doubt, 1):.0f}")
    return told
