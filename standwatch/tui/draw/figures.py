"""The head of a clock's page: its rate as large figures, and the key numbers beside it."""

from __future__ import annotations

from textual.content import Content

from standwatch.judge.assessment import Assessment
from standwatch.judge.stopping import ran_down
from standwatch.model.answers import NotYetKnown
from standwatch.model.words import Outcome, Requirement
from standwatch.tui.draw import words
from standwatch.tui.draw.glyphs import large, small
from standwatch.tui.draw.needed import MARKS, evidence
from standwatch.tui.draw.paint import ERROR, MUTED, PLAIN, WARNING, Lines, fit, line, strong
from standwatch.tui.draw.shown import Shown

_WARMTH = {"at the present temperature": "as warm as now"}
"""What a rate holds for, where the estimator's words are too long."""


def figures(shown: Shown, width: int, *, tall: bool) -> Lines:
    """The rate as large figures, its doubt and words; beside them the key numbers."""
    told = shown.assessment
    rate = told.estimates.time.rate
    value, doubt = words.rate_parts(rate)
    glyphs = large(value) if tall else small(value)
    beside_rate = _rate_words(told, doubt, tall=tall)
    numbers = _key_numbers(shown)
    room = max(len(text) for text, _ in beside_rate) + 2
    lines: Lines = []
    for n, row in enumerate(glyphs):
        text, style = beside_rate[n] if n < len(beside_rate) else ("", PLAIN)
        name, number, colour = numbers[n] if n < len(numbers) else ("", "", PLAIN)
        start = line((f"{row}  ", strong(PLAIN)), (fit(text, room), style))
        rest = width - start.cell_length - 11
        lines.append(line(start, (fit(name, 11), MUTED), (fit(number, max(rest, 0)), strong(colour))))
    return lines


def _rate_words(told: Assessment, doubt: str, *, tall: bool) -> list[tuple[str, str]]:
    rate = told.estimates.time.rate
    verdict = told.verdict(Requirement.MEAN_RATE)
    mark, colour = MARKS[verdict.outcome]
    limit = told.estimates.history.traits.mean_rate_limit
    judged = (f"{mark} {verdict.outcome.value.replace('-', ' ')}", colour)
    if isinstance(rate, NotYetKnown):
        return [("s/day", strong(PLAIN)), *_because_lines(rate.because), judged]
    drift = "gains" if rate.estimate > 0 else "loses"
    words_of = f"{drift}, limit {limit:g}" if limit else f"{drift}, no limit given"
    named = told.estimates.time.rate_named
    if tall:
        return [(f"{doubt} s/day", strong(PLAIN)), (words_of, PLAIN), judged, (_WARMTH.get(named, named), MUTED)]
    # where there is little room a rate is taken for that of today's warmth, unless it says otherwise
    figures = f"{doubt} s/day {named if named not in _WARMTH else ''}".rstrip()
    return [(figures, strong(PLAIN)), (words_of, PLAIN), judged]


def _because_lines(because: str) -> list[tuple[str, str]]:
    lines = Content(because).wrap(34)
    return [(part.plain.rstrip(), MUTED) for part in lines[:2]]


def _key_numbers(shown: Shown) -> list[tuple[str, str, str]]:
    """Error, left, swing, day spread, beat: what fits goes first."""
    told = shown.assessment
    history = told.estimates.history
    text, manner = words.error_cell(told)
    if manner == "unknown":
        text = "not yet known"
    if manner == "none":
        text = "no reading yet"
    if manner == "expected" and not shown.at_home:
        text = f"{text} expected"
    numbers = [("error", text, WARNING if manner == "suspect" else PLAIN)]
    hangs = told.going.hangs
    soonest = told.estimates.running.soonest
    if hangs is not None:
        numbers.append(("left", "ran out" if ran_down(history, hangs) else "stopped", ERROR))
    elif not history.traits.reference and not shown.at_home:
        soon = words.runs_out_before(soonest, shown.view.next_round)
        left = words.left_words(soonest, shown.view.now, history.traits.drive)
        which = "" if isinstance(soonest, NotYetKnown) or left == "?" else f" {soonest.train}"
        left = "not yet known" if left == "?" else f"{left}{' !' if soon else ''}{which}"
        numbers.append(("left", left, WARNING if soon else PLAIN))
    swing = words.swing_text(told.estimates)
    sure = swing not in {words.UNKNOWN, words.NO_READING}
    falls = swing.endswith("↓")
    more = " falling" if falls else " to spare" if "%" in swing else ""
    numbers.append(("swing", f"{swing}{more}" if sure else "not read", WARNING if falls else PLAIN))
    for name, requirement in (("day spread", Requirement.DAY_RANGE), ("beat", Requirement.BEAT)):
        verdict = told.verdict(requirement)
        numbers.append((name, evidence(verdict) if verdict.outcome is not Outcome.NOT_APPLICABLE else "–", PLAIN))
    return numbers
