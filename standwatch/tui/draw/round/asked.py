"""What is asked in the round beside the dial: the steps of a clock, the block with a figure, and who is next."""

from __future__ import annotations

from collections.abc import Sequence

from textual.content import Content
from textual.geometry import Size

from standwatch.judge.assessment import Assessment
from standwatch.model.words import ReadBy
from standwatch.service.round.asking import Wanted, read_words
from standwatch.service.round.crossing import mark_words, way_of
from standwatch.tui.draw.glyphs import small
from standwatch.tui.draw.paint import (
    ERROR,
    HERE,
    MUTED,
    PLAIN,
    SUCCESS,
    WARNING,
    Lines,
    Part,
    fit,
    line,
    rule,
    spread,
    strong,
    wrapped,
)
from standwatch.tui.draw.round.page import (
    ROOMY,
    WIDE,
    RoundShown,
    bed,
    chip,
    page,
    progress,
    question,
    title_of,
    top_lines,
    where_of,
    who_below,
)
from standwatch.tui.turn import Turn, ran_out


def press_words(way: ReadBy, *, short: bool = False) -> str:
    """What is waited for."""
    return {
        ReadBy.SECONDS_HAND: f"the hand crosses {mark_words()}",
        ReadBy.MINUTE_HAND: "the hand covers a mark" if short else "the minute hand covers a minute mark",
        ReadBy.FIRST_BLOW: "the first blow falls",
        ReadBy.ESTIMATE: "you look at the dial",
    }[way]


def then_line(turn: Turn, width: int, *, right: Content | None = None) -> Content:
    """Every step of this clock, with what is done, what is at hand, and what follows."""
    begun = [] if turn.stage == "hung" else ["hand", "figure"]
    names = [*begun, *(w.name.partition(",")[0] for w in turn.asked)]
    at = {"hand": 0, "figure": 1}.get(turn.stage, len(begun) + len(turn.taken))
    parts: list[Part] = [(" then     ", MUTED)]
    for n, name in enumerate(names):
        if n < at:
            parts.append((f"✓ {name}  ", MUTED))
        elif n == at:
            parts.append((f"› {name}  ", strong(HERE)))
        else:
            parts.append((f"· {name}  ", MUTED))
    told = line(*parts)
    return told if right is None else spread(told, right, width - 1)


def taken_lines(turn: Turn, width: int, expected: Sequence[str] = ()) -> Lines:
    """Each figure that is asked: what was taken, what is at hand, what follows.

    `expected` is what each was expected to read, beside it; one that begins with ! lies far off.
    """
    beside = [*expected, *[""] * len(turn.asked)]
    return [_taken_line(turn, n, beside[n]).truncate(width) for n in range(len(turn.asked))]


def _taken_line(turn: Turn, n: int, expected: str) -> Content:
    wanted = turn.asked[n]
    if n < len(turn.taken):
        typed = turn.taken[n]
        value = read_words(wanted, typed, turn.before.estimates.history) if typed else "not read"
        far = expected.startswith("!")
        mark = ("! ", WARNING) if far else ("✓ ", SUCCESS) if typed else ("– ", MUTED)
        told = (expected if typed else "", strong(WARNING) if far else MUTED)
        return line(mark, (fit(wanted.name, 17), PLAIN), (fit(value, 22), strong(PLAIN) if typed else MUTED), told)
    here = n == len(turn.taken)
    mark = ("› ", strong(HERE)) if here else ("· ", MUTED)
    why = "" if wanted.because == turn.asked[0].because else wanted.because
    return line(mark, (fit(wanted.name, 17), strong(PLAIN) if here else PLAIN), (why, MUTED))


def asked_block(shown: RoundShown, turn: Turn, width: int) -> Lines:
    """The block with the figure that is asked, or with the next clock's press."""
    wanted = turn.wanted
    if wanted is not None:
        unit = f" {wanted.unit}" if wanted.unit else ""
        ask = line((wanted.ask, strong(PLAIN)), ("   ", PLAIN), bed(_typed(wanted, turn.typed)), (unit, PLAIN))
        return question(ask, width, line((_alone(wanted, turn, shown, short=width < WIDE), MUTED)))
    return next_block(shown, width)


def _alone(wanted: Wanted, turn: Turn, shown: RoundShown, *, short: bool) -> str:
    """What Enter does where nothing is typed."""
    if wanted.what == "which":
        return f"Enter: {'ran out' if ran_out(turn, shown.now) else 'stopped'}"
    said = "nobody knows" if wanted.what == "when" else "not read"
    return f"Enter: {said}" if short else f"Enter alone: {said}"


def _typed(wanted: Wanted, typed: str) -> str:
    if wanted.what in {"dial", "when"} and len(typed) >= 3:
        return f"{typed[:-2]}:{typed[-2:]}"
    return typed


def next_block(shown: RoundShown, width: int) -> Lines:
    """The next clock's press, or the end of the round."""
    following = shown.following
    if following is None:
        return question(
            line(chip("Space"), (" or ", MUTED), chip("Enter"), ("   the end of the round", strong(PLAIN))), width
        )
    history = following.estimates.history
    if shown.pending:
        ask = f"the figure of {history.position or following.tag}, which is stamped"
    elif following.going.hangs is not None:
        ask = f"{history.position or following.tag} stands still: its dial and weights"
    else:
        ask = f"{history.position or following.tag}: {press_words(way_of(history), short=width < WIDE)}"
    tag = line((f"{following.tag} ", MUTED)) if width < WIDE else None
    return question(line(chip("Space"), ("  the next, ", PLAIN), (ask, strong(PLAIN))), width, tag)


def below_found(shown: RoundShown, turn: Turn, width: int, *, roomy: bool) -> Lines:
    """Under the block: what was just done, and who is next."""
    following: Assessment | None = shown.following
    if shown.note:
        last = line((f" {fit(shown.note, width - 2).rstrip()}", WARNING))
    elif following is not None:
        history = following.estimates.history
        last = line(
            (" next     ", MUTED),
            (history.position, strong(HERE)),
            (f"  {history.clock.tag}  ", strong(PLAIN)),
            (f"{title_of(following)}, {where_of(following, whole=False)}", MUTED),
        )
    else:
        last = line((" next     the end of the round", MUTED))
    if not roomy:
        return [last]
    return [Content(""), then_line(turn, width), Content(""), last]


def hung_page(shown: RoundShown, turn: Turn, size: Size, receipt_next: str) -> Lines:
    """It stands still: dial, weights, stopped or ran out; nothing is touched before."""
    width, roomy = size.width, size.height >= ROOMY
    top = [*([Content("")] if roomy else []), progress(shown, width), Content("")]
    large_word = [Content("") for _ in range(2)] + [line((row, strong(ERROR))) for row in small("STANDS STILL")]
    top += top_lines(turn.before, large_word, width)
    if width < WIDE:
        top += who_below(turn.before, width)
    middle: Lines = [
        Content(""),
        line(("  ", PLAIN), rule("AS IT HANGS", width - 4, line(("touch nothing yet", MUTED)))),
        Content(""),
    ]
    middle += [line(("  ", PLAIN), part) for part in taken_lines(turn, width - 4)]
    if turn.wanted is None and receipt_next:
        middle += [Content(""), *(line(("  ", PLAIN), part) for part in wrapped(receipt_next, width - 4, 3))]
    return page(top, middle, asked_block(shown, turn, width), below_found(shown, turn, width, roomy=roomy), size.height)
