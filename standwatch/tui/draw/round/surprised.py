"""The round's page where a reading lies far off: what happened? The ready answers, and when it was set going."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content
from textual.geometry import Size

from standwatch.model.units import error_words
from standwatch.service.round.crossing import other_reading
from standwatch.service.round.surprise import Ready, Surprise
from standwatch.tui.draw.glyphs import small
from standwatch.tui.draw.paint import (
    ASLEEP,
    ERROR,
    HERE,
    MUTED,
    PLAIN,
    WARNING,
    Lines,
    Part,
    beside,
    block,
    fit,
    line,
    rule,
    sized,
    strong,
    wrapped,
)
from standwatch.tui.draw.round.asked import asked_block
from standwatch.tui.draw.round.found import first_look, top_of
from standwatch.tui.draw.round.page import ROOMY, WIDE, RoundShown, filled, page
from standwatch.tui.turn import Turn


def surprise_page(
    shown: RoundShown, turn: Turn, size: Size, told: tuple[Surprise, Sequence[Ready]], chart: Sequence[Content] = ()
) -> Lines:
    """Far from what was expected: what happened? Look again first."""
    surprise, answers = told
    width, roomy = size.width, size.height >= ROOMY
    wide = width >= WIDE
    top = top_of(shown, turn, width, roomy=roomy, colour=WARNING)
    reading = surprise.reading
    other = other_reading(reading)
    if wide and other is not None and not surprise.again:
        said = f"the seconds agree; were it {other[0]}, {error_words(other[1])}" if surprise.minutes else ""
        top.append(line((" " * 48, PLAIN), (said, MUTED)))
    if wide and surprise.again and not surprise.cleared:
        top.append(line((" " * 48 + first_look(turn), MUTED)))
    head = "  " if wide else " "
    title = "THE SECOND LOOK IS AS EXPECTED. WHAT WAS THE FIRST?" if surprise.cleared else "WHAT HAPPENED?"
    top += [*([Content("")] if roomy else []), line((head, PLAIN), rule(title, width - 2 * len(head)))]
    first = first_answer(answers)
    middle = _large_answers(answers, first, width) if roomy else _short_answers(answers, first, width)
    if wide and roomy and chart:
        middle = [*middle, Content("")][: max(size.height - len(top) - 4, 0)]
    below = [line((f" {fit(shown.note, width - 2).rstrip()}", WARNING))] if shown.note else []
    return page(top, middle, [], below, size.height)


def first_answer(answers: Sequence[Ready]) -> Ready:
    """The answer that Enter gives: look again, or what two looks have shown."""
    return next((a for a in answers if a.code == "misread" and a.on), answers[0])


def _large_answers(answers: Sequence[Ready], first: Ready, width: int) -> Lines:
    """The first in the filled block, the rest in two columns, with large figures."""
    lines: Lines = [Content("")]
    rows = _answer_rows(first)
    key = line((" Enter ", block(HERE)), (" or ", MUTED), (f" {first.key} ", block(HERE)))
    blank = Content("")
    inner = [rows[0], *rows[1:]]
    told = [sized(row, width - 26) for row in inner]
    told[0] = line(told[0], key)
    lines += [*filled([blank, *told, blank], width), blank]
    rest = [answer for answer in answers if answer is not first]
    half = -(-len(rest) // 2)
    column = (width - 6) // 2
    left = [row for answer in rest[:half] for row in (*_answer_rows(answer), blank)]
    right = [row for answer in rest[half:] for row in (*_answer_rows(answer), blank)]
    return [*lines, *(line(("     ", PLAIN), each) for each in beside(left, column, right, column, " "))]


def _answer_rows(answer: Ready) -> Lines:
    """An answer in three lines with its large figure."""
    figure = small(str(answer.key))
    on = answer.on
    fits = (
        (f"   {answer.fits}", strong(ERROR if answer.fits == "a fault" else HERE))
        if answer.fits and on
        else ("", PLAIN)
    )
    texts: list[list[Part]] = [
        [(answer.title, strong(PLAIN) if on else ASLEEP), fits],
        [(answer.means, PLAIN if on else ASLEEP)],
        [(answer.does, MUTED if on else ASLEEP)],
    ]
    return [line((f"{figure[n]}   ", strong(HERE) if on else ASLEEP), *texts[n]) for n in range(3)]


def _short_answers(answers: Sequence[Ready], first: Ready, width: int) -> Lines:
    """Two lines an answer."""
    lines: Lines = []
    for answer in answers:
        on = answer.on
        style = PLAIN if on else ASLEEP
        fault = answer.fits == "a fault"
        key: Part = (
            (f" {answer.key} ", block(HERE)) if answer is first else (f" {answer.key} ", strong(HERE) if on else ASLEEP)
        )
        one = line(key, (" ", PLAIN), (fit(answer.title, 25), strong(style) if on else ASLEEP), (answer.means, style))
        fits = (fit(answer.fits if on else "", 25), strong(ERROR if fault else HERE))
        two = line(("    ", PLAIN), fits, (answer.does, MUTED if on else ASLEEP))
        if answer is first:
            lines += filled([one, two], width)
        else:
            lines += [line(("    ", PLAIN), one), line(("    ", PLAIN), two)]
    return lines


def when_page(shown: RoundShown, turn: Turn, size: Size) -> Lines:
    """It was stopped and restarted: when was it set going?"""
    width, roomy = size.width, size.height >= ROOMY
    top = top_of(shown, turn, width, roomy=roomy, colour=WARNING)
    told = "stopped, and set going by someone: the error begins anew, the stop stays to be explained"
    middle = [Content(""), line(("  ", PLAIN), rule("STOPPED, RESTARTED", width - 4)), Content("")]
    middle += [line(("  ", PLAIN), part) for part in wrapped(told, width - 4, 2)]
    below = [line((f" {fit(shown.note, width - 2).rstrip()}", WARNING))]
    return page(top, middle, asked_block(shown, turn, width), below, size.height)
