"""What stays unheard and why, the stagger, the hours that no round hears, and the mis-sets with their two hours."""

from __future__ import annotations

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from textual.content import Content

from standwatch.service.hearing.heard import Tries, TryState
from standwatch.service.hearing.quarter import Closed, Group, Listening
from standwatch.tui.draw.paint import (
    ERROR,
    HERE,
    MUTED,
    PLAIN,
    SUCCESS,
    WARNING,
    Lines,
    beside,
    line,
    rule,
    spread,
    strong,
    wrapped,
)

_STATES: dict[TryState, tuple[str, str]] = {
    "right": ("✓", SUCCESS),
    "failed": ("✗", strong(ERROR)),
    "running": ("◌", strong(HERE)),
    "unheard": ("?", WARNING),
    "untried": ("·", MUTED),
}
_LEGEND = "○ new if right  ✓ heard right  ✗ heard wrong  · not heard yet"
_LEGEND_SHORT = "○ new if right  ✓ heard  ✗ wrong  · not heard"
_QUARTER = {1: "¼", 2: "½", 3: "¾", 4: "the fourth"}


def groups(heard: Listening, width: int, height: int) -> Lines:
    """Those that are wanted and stay unheard first; then those of which nothing is wanted; then the silent."""
    legend = _LEGEND if width > len(_LEGEND) + 20 else _LEGEND_SHORT
    title = "NOT THIS HOUR" if heard.hour else "NOT THIS QUARTER"
    lines = [rule(title, width, line((legend, MUTED)))]
    parts = [_group(group, strong(PLAIN), PLAIN) for group in heard.left]
    parts += [_group(group, strong(PLAIN), MUTED) for group in heard.rest]
    if heard.quiet:
        silent = "; ".join(f"{' '.join(group.names)} {_plural(group)}" for group in heard.quiet)
        parts.append(line((f"silent: {silent}", MUTED)))
    return lines + _flowing(parts, width, height)


def _plural(group: Group) -> str:
    return group.why.replace("does not strike", "do not strike") if len(group.names) > 1 else group.why


def _group(group: Group, names: str, style: str) -> Content:
    return line((" ".join(group.names), names), (f" {group.why}", style))


def _flowing(parts: Lines, width: int, height: int) -> Lines:
    """Parts one after another, three cells apart, none broken where it fits a line of its own."""
    lines: Lines = []
    for part in parts:
        if lines and lines[-1].cell_length + 3 + part.cell_length <= width:
            lines[-1] = line(lines[-1], ("   ", PLAIN), part)
        else:
            lines.append(part if part.cell_length <= width else part.truncate(width, ellipsis=True))
    if len(lines) > height:
        lines = [*lines[: height - 1], line((f"and {len(lines) - height + 1} lines more where there is room", MUTED))]
    return lines


def stagger_line(heard: Listening, width: int) -> Lines:
    """The stagger and its key; empty where none is proposed."""
    if heard.proposal is None:
        return []
    keys = line(("y", strong(HERE)), (" set so", PLAIN))
    told = line(("stagger  ", strong(PLAIN)), (heard.proposal.text, PLAIN))
    longer = line(told, (". Its error steps, its rate is kept", MUTED))
    bare = line((heard.proposal.text, PLAIN))
    room = width - keys.cell_length - 1
    return [spread(next((each for each in (longer, told) if each.cell_length <= room), bare), keys, width)]


def still_unheard(heard: Listening, zone: ZoneInfo, width: int) -> Lines:
    """The hours that no round hears, and beside them the mis-sets."""
    left_width = (width - 3) // 2
    right_width = width - 3 - left_width
    left, right = closed_lines(heard, left_width), tries_lines(heard, zone, right_width)
    if not left or not right:
        return left or right
    return beside(left, left_width, right, right_width, "   ")


def tune_lines(heard: Listening, width: int) -> Lines:
    """The quarters heard of each tune, and silent with the return from it; empty where no tune is left."""
    lines: Lines = []
    for name, tunes in heard.tunes:
        parts: list[tuple[str, str]] = [(f"{name:<4}", strong(PLAIN))]
        for tune in tunes:
            parts.append((f"{tune.position} {tune.name} " if tune.position else "silent and back ", PLAIN))
            cells = (
                [tune.done or quarter in tune.quarters for quarter in (1, 2, 3, 4)] if tune.position else [tune.done]
            )
            parts += [("✓" if cell else "·", SUCCESS if cell else MUTED) for cell in cells]
            parts.append(("   ", PLAIN))
        lines.append(line(*parts).truncate(width, ellipsis=True))
    return [rule("TUNES, BY QUARTER  ¼ ½ ¾ 4", width), *lines[:5]] if lines else []


def closed_lines(heard: Listening, width: int) -> Lines:
    """The hours that no round hears; empty where there are none."""
    return _closed(heard.closed, width) if heard.closed else []


def tries_lines(heard: Listening, zone: ZoneInfo, width: int) -> Lines:
    """The mis-sets, those whose two hours run first; empty where there are none."""
    return _tries(sorted(heard.tries, key=lambda each: each.until is None), zone, width) if heard.tries else []


def _closed(closed: tuple[Closed, ...], width: int) -> Lines:
    lines = [rule("HOURS NO ROUND HEARS", width, line(("d", strong(HERE)), (" heard by hand", PLAIN)))]
    for each in closed[:2]:
        names = wrapped(" ".join(each.names), width - 8, 2)
        head = line((f"{each.hour:<8}", strong(PLAIN)))
        lines += [line(head if n == 0 else Content(" " * 8), part) for n, part in enumerate(names)]
        if each.shift:
            hours = f"{each.shift} {'hour' if each.shift == 1 else 'hours'}"
            said = f"shift their hours {hours} on, once, and {each.hour} sounds by day"
            lines += [line((" " * 8, PLAIN), part) for part in wrapped(said, width - 8, 2, MUTED)]
    said = "by hand after the quarter has rung, pausing at each; never while it strikes or chimes"
    return lines + wrapped(said, width, 2, MUTED)


def _tries(tries: Sequence[Tries], zone: ZoneInfo, width: int) -> Lines:
    lines = [rule("MIS-SET, AND WHAT CORRECTS", width)]
    for each in tries[:5]:
        lines += _try_lines(each, zone, width)
    return lines


def _try_lines(each: Tries, zone: ZoneInfo, width: int) -> Lines:
    name = (f"{each.name:<4}", strong(PLAIN))
    if each.slipped_at is not None:
        which = f" {_QUARTER[each.slipped_quarter]}" if each.slipped_quarter else ""
        said = f"slipped{which} at {each.slipped_at.astimezone(zone):%H:%M}, nobody touched it: until put right"
        return [
            line(name if n == 0 else Content("    "), part) for n, part in enumerate(wrapped(said, width - 4, 2, ERROR))
        ]
    parts = [(f"{n} out {_STATES[state][0]}   ", _STATES[state][1]) for n, state in enumerate(each.states, start=1)]
    left = sum(state != "right" for state in each.states)
    if each.until is not None:
        tail, style = f"right by {each.until.astimezone(zone):%H:%M}?", strong(PLAIN)
    else:
        tail, style = (f"{left} to come" if left else "met"), MUTED
    return [line(name, *parts, (tail, style))]
