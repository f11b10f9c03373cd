"""The stand's head, counts, legend, panel and what an empty one teaches."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import Assessment
from standwatch.model.words import Outcome
from standwatch.service.reference import ReferenceTime
from standwatch.service.shared_words import shared_words
from standwatch.service.shop import Shop
from standwatch.service.views import StandView
from standwatch.tui.draw import words
from standwatch.tui.draw.columns import STANDING_COLOUR
from standwatch.tui.draw.glyphs import small
from standwatch.tui.draw.ladders import ladders, springs
from standwatch.tui.draw.needed import lacking, needed_lines, why_not_yet
from standwatch.tui.draw.paint import (
    ASLEEP,
    ERROR,
    HERE,
    MUTED,
    PLAIN,
    SUCCESS,
    WARNING,
    Lines,
    block,
    fit,
    line,
    rule,
    spread,
    stack,
    strong,
    wrapped,
)

_FIRST = "adds the first: its tag and its kind are enough"
_NARROW = 58
"""Under so many columns the counts are words: their titles don't fit beside large figures."""
PANEL = 27
WIDE_PANEL = 60
"""From here it also shows weights and every requirement."""
"""The narrowest panel beside the stand, its rule included."""


def head(
    view: StandView | None,
    now: datetime,
    width: int,
    banner: str | None,
    shop: Shop,
    *,
    reference: ReferenceTime | None = None,
    by_place: bool = False,
) -> Content:
    """The top line: the screen, the reference's time and how well it is kept, what was read today, the next round.

    `by_place`: the clocks stand rail by rail, which only this line tells where there is no room for headings.
    """
    zone = shop.zone if view is None else view.shop.zone
    local = now.astimezone(zone)
    parts = [
        line((" BY PLACE  " if by_place else " STAND  ", strong(PLAIN))),
        Content(f"{words.day_words(now, zone)} {local:%H:%M:%S}"),
    ]
    if view is not None and view.unread:
        here = sum(found.estimates.history.home_since is None for found in view.assessments)
        parts.append(Content(f"   read {here - len(view.unread)} of {here}"))
    # when the next round is waits for the view: public holidays take longer to look up than all tags to paint
    coming = "" if view is None else f"{words.round_words(view.next_round, now, zone)} "
    right = line((f"next round {coming}" if coming else "", MUTED))
    if sum(part.cell_length for part in parts) + right.cell_length >= width:
        parts, right = parts[:2], line((f"next {coming}" if coming else "", MUTED))
    if sum(part.cell_length for part in parts) + right.cell_length >= width:
        right = Content("")
    if reference is not None:
        room = width - sum(part.cell_length for part in parts) - right.cell_length - 2
        parts.insert(2, kept(reference, room))
    told = Content("").join(parts)
    if banner and (room := width - told.cell_length - right.cell_length - 4) >= 4:
        shown = banner if len(banner) <= room else banner.partition(":")[0]
        told = line(told, ("   ", PLAIN), (fit(shown, min(room, len(shown))), strong(WARNING)))
    return spread(told, right, width)


def kept(reference: ReferenceTime, width: int) -> Content:
    """How well the computer's clock is kept, after a space, in whatever fits; nothing where nothing does."""
    style = MUTED if reference.state == "synchronised" else strong(WARNING)
    return next(
        (line((f" {said}", style)) for said in (reference.short, reference.mark) if len(said) < width), Content("")
    )


def common_height(view: StandView) -> int:
    """Lines that `common` takes."""
    return len(shared_words(view.common, view.now, view.shop.zone))


def common(view: StandView, size: Size) -> Content:
    """What all clocks share: a jump of the reference, the room's warmth."""
    told = shared_words(view.common, view.now, view.shop.zone)
    return stack((line((" ", PLAIN), (fit(said, size.width - 1), strong(WARNING))) for said in told), size.height)


def counts(view: StandView, size: Size) -> Content:
    """How many need you, run out before the next round, are unread today, may go; with their slots."""
    if not view.assessments:
        return _count_line([("0", "CLOCKS", "on the stand", [], ASLEEP)], size)
    narrow = size.width < _NARROW
    rounds = words.round_words(view.next_round, view.now, view.shop.zone)
    before = f"before {rounds}"
    groups: list[tuple[str, str, str, list[str], str]] = []
    for title, under, chosen, colour in (
        ("NEED YOU", "", view.need_you, ERROR),
        ("RUN OUT", before, view.run_out, WARNING),
        ("UNREAD", "today", view.unread, PLAIN),
        ("MAY GO", "", view.may_go, SUCCESS),
    ):
        slots = [a.estimates.history.position or a.tag for a in chosen]
        groups.append((str(len(slots)), title, under, slots, colour if slots else ASLEEP))
    if narrow:
        return _count_words(groups, size)
    return _count_line(groups, size)


def _count_words(groups: Sequence[tuple[str, str, str, list[str], str]], size: Size) -> Content:
    """Where there is no room for large figures: a line each with its slots, the last two on one."""

    def said(figure: str, title: str, colour: str) -> Content:
        return line((f" {figure:>2} ", strong(colour)), (title, strong(PLAIN)))

    lines = []
    for figure, title, _, slots, colour in groups[:2]:
        first = said(figure, title, colour)
        more = " ".join(_listed(slots, size.width - first.cell_length - 3, 1))
        lines.append(line(first, (f"  {more}", MUTED)))
    lines.append(Content("  ").join(said(figure, title, colour) for figure, title, _, _, colour in groups[2:]))
    return stack(lines, size.height)


def _count_line(groups: Sequence[tuple[str, str, str, list[str], str]], size: Size) -> Content:
    """Each count three rows high, its title and slots beside."""
    shares = (26, 29, 23, 22)
    rows: list[list[Content]] = [[], [], []]
    for share, (figure, title, under, slots, colour) in zip(shares, groups, strict=False):
        glyphs = small(figure)
        room = (size.width - 1) * share // 100 - len(glyphs[0]) - 2
        texts = [(title, strong(PLAIN))]
        if under:
            forms = (under, under.replace("before ", "by "), under.removeprefix("before "))
            texts.append((next((each for each in forms if len(each) <= room), forms[-1]), MUTED))
        texts += [(text, MUTED) for text in _listed(slots, room, 3 - len(texts))]
        texts += [("", PLAIN)] * (3 - len(texts))
        for n, (text, style) in enumerate(texts):
            rows[n].append(line((glyphs[n], strong(colour)), (" " + fit(text, room) + " ", style)))
    return stack(line((" ", PLAIN), *row) for row in rows)


def _listed(slots: Sequence[str], width: int, height: int) -> list[str]:
    """Slots in lines of `width`; the last says how many more there are."""
    lines: list[str] = []
    left = list(slots)
    while left and len(lines) < height:
        last = len(lines) == height - 1
        text = ""
        while left:
            more = f" +{len(left) - 1}" if last and len(left) > 1 else ""
            joined = f"{text} {left[0]}".strip()
            if len(joined) + len(more) > width and (text or len(joined) > width):
                break
            text = joined
            left.pop(0)
        if last and left:
            text = f"{text} +{len(left)}".strip()
            left = []
        if not text:
            break
        lines.append(text)
    return lines


def legend(size: Size) -> Content:
    """What the marks mean."""
    first = [
        ("  ■", ERROR), (" attention  ", MUTED), ("◌", PLAIN), (" settling  ", MUTED), ("◆", SUCCESS),
        (" ready  no mark: on test   SWING % to spare, ° of arc, ↓ falling", MUTED),
    ]  # fmt: skip
    second = "  ? not yet known  · no reading  – does not apply  ≈ expected  ! before the next round"
    return stack([line(*first), line((second, MUTED))], size.height)


def panel_head(assessment: Assessment, width: int) -> Lines:
    """Who the panel is about, and how its error runs."""
    history = assessment.estimates.history
    standing = assessment.standing.value.replace("-", " ")
    at_home = history.home_since is not None
    place = f"{history.position} " if history.position and not at_home else ""
    who = line((place + assessment.tag, strong(PLAIN)), (f" {standing} ", STANDING_COLOUR[assessment.standing]))
    days = line((f"{int(assessment.days_held + 0.05)}/{int(assessment.days_needed + 0.99)}", strong(PLAIN)))
    clock = history.clock
    owner = f"for {clock.owner}" if clock.owner else ""
    promised = f"by {clock.promised_on.day} {clock.promised_on:%b}" if clock.promised_on else ""
    rate = line((words.rate_text(assessment.estimates.time.rate), strong(PLAIN)))
    return [
        spread(who, days, width),
        line((fit(clock.description or history.traits.kind.title, width), MUTED)),
        line((fit(", ".join(word for word in (owner, promised) if word), width), MUTED)),
        Content(""),
        rule("ERROR", width, rate),
    ]


def panel(assessment: Assessment, view: StandView, size: Size, chart: Sequence[Content]) -> Content:
    """The panel beside the stand: the chosen clock's error trace, why not yet, what is needed; weights where wide."""
    width, height = size.width - 2, size.height
    unlogged = words.unlogged_lines(assessment, width, 4)
    lines: Lines = [Content(""), *panel_head(assessment, width), *chart, *unlogged, Content("")]
    wide = width >= WIDE_PANEL
    if wide:
        lines += [*_run_lines(assessment, view, width), Content("")]
    met = sum(v.outcome in {Outcome.MET, Outcome.WAIVED} for v in assessment.verdicts)
    wanted = [v for v in assessment.verdicts if v.outcome in {Outcome.NOT_YET_KNOWN, Outcome.MISSED}]
    why = why_not_yet(assessment)
    rest = height - len(lines)
    if why and not wide:
        room = max(min(rest - len(wanted) - 4, 6), 2)
        lines += [rule("WHY NOT YET", width), *wrapped(why, width, room), Content("")]
    shown = assessment.verdicts if wide else wanted
    lines.append(rule("NEEDED", width, line((f"{met} met", MUTED))))
    earliest = assessment.earliest
    foot = [] if earliest is None else [
        spread(
            line(("earliest", MUTED)), line((words.day_words(earliest, view.shop.zone), strong(PLAIN))), width
        )
    ]  # fmt: skip
    room = max(height - len(lines) - len(foot), 0)
    table = needed_lines(shown, width, now=view.now, zone=view.shop.zone, dates=wide)
    if len(table) > room > 0:
        table = [*table[: room - 1], line((f"  and {len(table) - room + 1} more: Enter", MUTED))]
    lines += table + foot
    return stack((line((" ", PLAIN), part) for part in lines), height)


def _run_lines(assessment: Assessment, view: StandView, width: int) -> Lines:
    if assessment.estimates.history.traits.weights:
        return ladders(assessment, view.now, view.next_round, width, 10)
    return springs(assessment, view.now, view.next_round, width)


def panel_chart_size(assessment: Assessment, size: Size) -> tuple[int, int]:
    """Cells for the panel's chart: in a wide panel what its other parts leave."""
    width = size.width - 2
    if width < WIDE_PANEL:
        return width, max(min(size.height // 4 + 1, 14), 5)
    traits = assessment.estimates.history.traits
    runs = 0 if traits.reference else 11 if traits.weights else len(traits.trains) + 2
    return width, max(min(size.height - runs - len(assessment.verdicts) - 9, 20), 6)


def read_first(size: Size) -> Content:
    """In the place of what is known, while a clock is being read."""
    said = "Read first: what was expected is shown once the reading is in."
    return stack([Content(""), *(line((" ", PLAIN), part) for part in wrapped(said, size.width - 2, 5, MUTED))])


def advice(assessment: Assessment | None, view: StandView | None, size: Size) -> Content:
    """What to do with the chosen clock and, if there is room, why it may not go yet."""
    if assessment is None or view is None:
        return Content("")
    lines = wrapped(assessment.next.text, size.width - 2, size.height)
    if len(lines) < size.height:
        lines += wrapped(lacking(assessment), size.width - 2, size.height - len(lines), MUTED)
    return stack(line((" ", PLAIN), part) for part in lines)


def teach(size: Size) -> Content:
    """What an empty stand says: how to begin."""
    margin = " " * max((size.width - 62) // 2, 1)
    lines = [
        line((f"{margin}No clock is on the stand yet.", strong(PLAIN))),
        Content(""),
        line((margin, PLAIN), (" a ", block(HERE)), (f"  {_FIRST}", strong(PLAIN))),
        Content(""),
        line((f"{margin} i ", strong(HERE)), ("  brings in a ledger you already keep", PLAIN)),
        Content(""),
        line((f"{margin}`standwatch demo` opens a stand of sixteen clocks to look at.", PLAIN)),
        Content(""),
        line((f"{margin}What you will see here: who needs you first, and what to do.", MUTED)),
    ]  # fmt: skip
    above = max((size.height - len(lines)) // 4, 1)
    return stack([Content("")] * above + lines, size.height)
