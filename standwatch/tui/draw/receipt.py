"""What is said once a reading is in: the error found, large; only now what was expected; then what follows."""

from __future__ import annotations

from datetime import datetime

from textual.content import Content

from standwatch.judge.assessment import Assessment
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.units import clock_words, error_words
from standwatch.service.views import Receipt
from standwatch.tui.draw import words
from standwatch.tui.draw.glyphs import small
from standwatch.tui.draw.paint import HERE, MUTED, PLAIN, SUCCESS, WARNING, Lines, line, rule, sized, strong, wrapped


def receipt_lines(receipt: Receipt, told: str, width: int) -> Lines:
    """The receipt in four or five lines, two more where it betrayed something; `told` is the fact in words."""
    after = receipt.assessment
    history = after.estimates.history
    when = f"{receipt.at.astimezone(history.zone):%H:%M:%S}"
    undo = line(("u", strong(HERE)), (" takes it back", MUTED))
    head = rule(f"{words.who_words(after)}  recorded {when}", width, undo)
    if receipt.found_s is None:
        return [head, *wrapped(told, width, 2, strong(PLAIN)), *_follows(receipt, width)]
    colour = WARNING if receipt.surprise else PLAIN
    found = error_words(receipt.found_s, tenths=history.usual_doubt_s < 1)
    glyphs = small(_large(receipt.found_s, tenths=history.usual_doubt_s < 1))
    room = width - len(glyphs[0]) - 4
    beside = [*_expected(receipt), line((_rate(after), PLAIN))]
    if room < 30:
        return [head, line((found, strong(colour))), *beside, *_follows(receipt, width)]
    return [
        head,
        *(
            line((f" {row}   ", strong(colour)), sized(beside[n] if n < len(beside) else Content(""), room))
            for n, row in enumerate(glyphs)
        ),
        *_follows(receipt, width),
    ]


def _large(error_s: float, *, tenths: bool) -> str:
    if tenths and 0 < abs(error_s) < 60:
        return f"{abs(error_s):.1f} {'FAST' if error_s > 0 else 'SLOW'}"
    return error_words(error_s).upper()


def _expected(receipt: Receipt) -> Lines:
    """What was expected, and whether it was so; two lines."""
    if isinstance(receipt.expected, NotYetKnown):
        return [line(("nothing was expected:", MUTED)), line((receipt.expected.because, MUTED))]
    fine = receipt.expected.doubt < 2
    said = line((f"expected {error_words(receipt.expected.estimate, tenths=fine)} {_doubt(receipt.expected)}", PLAIN))
    if receipt.surprise:
        return [said, line(("! not as expected: look again", strong(WARNING)))]
    return [said, line(("✓ as expected", SUCCESS))]


def _doubt(expected: Quantity) -> str:
    return f"±{expected.doubt:.1f} s" if expected.doubt < 2 else f"±{clock_words(expected.doubt)}"


def _rate(after: Assessment) -> str:
    limit = after.estimates.history.traits.mean_rate_limit
    rate = words.rate_text(after.estimates.time.rate)
    known = isinstance(after.estimates.time.rate, Quantity)
    return f"{rate} s a day, limit {limit:g}" if known and limit else rate


def _follows(receipt: Receipt, width: int) -> Lines:
    """What the visit betrayed that nobody logged, what to mind and to look at again, then the next step."""
    from standwatch.judge.uncounted import uncounted_words  # noqa: PLC0415  # tags are shown before the estimators are loaded

    betrayed = [part for work in receipt.unsaid for part in wrapped(work.text, width, 2, strong(WARNING))]
    betrayed += wrapped(f"mind: {receipt.warning}", width, 3, strong(WARNING)) if receipt.warning else []
    betrayed += wrapped(receipt.unsure, width, 2, WARNING) if receipt.unsure else []
    uncounted = uncounted_words(receipt.assessment.estimates.history, receipt.id)
    betrayed += wrapped(uncounted, width, 2, WARNING) if uncounted else []
    betrayed += [part for off in receipt.falls_off for part in wrapped(off.text, width, 2, strong(WARNING))]
    return [*betrayed, *wrapped(f"follows: {receipt.assessment.next.text}", width, 2)]


def question(told: str, width: int) -> Lines:
    """Before something is taken back that was not just recorded."""
    keys = line(("u", strong(HERE)), (" takes it back   ", MUTED), ("Esc", strong(HERE)), (" leaves it", MUTED))
    return [rule("TAKE THIS BACK?", width, keys), *wrapped(told, width, 3, strong(PLAIN))]


def notice(title: str, text: str, width: int, style: str = PLAIN, mind: str = "") -> Lines:
    """Something said below the table, and what to `mind` about it."""
    keys = line(("Esc", strong(HERE)), (" closes", MUTED))
    return [rule(title, width, keys), *wrapped(text, width, 3, style), *wrapped(mind, width, 3 if mind else 0, WARNING)]


def stamp_words(at: datetime, assessment: Assessment | None) -> str:
    """The moment of the press, in the shop's time."""
    if assessment is None:
        return f"{at:%H:%M:%S}"
    return f"{at.astimezone(assessment.estimates.history.zone):%H:%M:%S}"
