"""The few styles and shapes every drawing uses. Colours are theme variables; words and marks carry the state."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rich.cells import cell_len, set_cell_size
from textual.content import Content

ERROR = "$text-error"
WARNING = "$text-warning"
SUCCESS = "$text-success"
HERE = "$text-primary"
MUTED = "$foreground-muted"
ASLEEP = "$foreground-disabled"
STRONG = "bold"
PLAIN = ""

Part = tuple[str, str]
Lines = list[Content]


def strong(style: str) -> str:
    """`style`, bold."""
    return f"bold {style}".strip()


def block(style: str) -> str:
    """`style` as a filled block."""
    return f"bold reverse {style}".strip()


def fit(text: str, width: int, *, right: bool = False) -> str:
    """`text` in exactly `width` cells: padded, or cut with … where it is longer."""
    width = max(width, 0)
    size = cell_len(text)
    if size > width:
        return set_cell_size(text, width - 1) + "…" if width else ""
    pad = " " * (width - size)
    return pad + text if right else text + pad


def line(*parts: Part | Content) -> Content:
    """One line of styled parts. The text is text: nothing in it is markup."""
    pieces = [part if isinstance(part, Content) else Content.styled(part[0], part[1]) for part in parts]
    return Content("").join(pieces)


def sized(content: Content, width: int) -> Content:
    """`content` in exactly `width` cells."""
    return content.truncate(width, ellipsis=True, pad=True) if width > 0 else Content("")


def stack(lines: Iterable[Content], height: int | None = None) -> Content:
    """Lines one under another, at most `height` of them."""
    chosen = list(lines)
    return Content("\n").join(chosen if height is None else chosen[:height])


def spread(left: Content, right: Content, width: int) -> Content:
    """`left` at the left edge and `right` at the right one; the left gives way."""
    room = width - right.cell_length
    if left.cell_length >= room > 1:
        left = line(sized(left, room - 1), (" ", PLAIN))
    return line(sized(left, room), right)


def crown(who: Content, told: Content, rights: Sequence[Content], width: int) -> Content:
    """A screen's top line: `who` is never cut; `told` gives way, and the right end by its forms, longest first."""
    right = next((each for each in rights if who.cell_length + each.cell_length + 1 <= width), Content(""))
    room = width - who.cell_length - right.cell_length - 1
    shown = sized(told, min(room, told.cell_length)) if room >= 6 else Content("")
    if shown.plain.endswith(" …"):  # a mark of what was cut, with nothing before it, tells nothing
        shown = shown.right_crop(2)
    return spread(line(who, shown), right, width)


def rule(title: str, width: int, right: Content | None = None) -> Content:
    """A section's head: bold capitals, a thin rule, and what stands at its end."""
    end = right if right is not None else Content("")
    gap = 1 if end else 0
    dashes = width - cell_len(title) - 1 - end.cell_length - gap
    if dashes < 1:
        return spread(line((title, STRONG)), end, width)
    return line((title, STRONG), (" " + "─" * dashes + " " * gap, MUTED), end)


def beside(left: Sequence[Content], left_width: int, right: Sequence[Content], right_width: int, joint: str) -> Lines:
    """Two columns, `joint` between them, as long as the longer."""
    height = max(len(left), len(right))
    blank = Content("")
    return [
        line(
            sized(left[n] if n < len(left) else blank, left_width),
            (joint, MUTED),
            sized(right[n] if n < len(right) else blank, right_width),
        )
        for n in range(height)
    ]


def wrapped(text: str, width: int, height: int, style: str = PLAIN) -> Lines:
    """`text` in lines of `width`, broken between words; what doesn't fit in `height` ends in …"""
    if width < 2 or height < 1:
        return []
    lines = Content.styled(text, style).wrap(width)
    if len(lines) <= height:
        return lines
    last = lines[height - 1].plain.rstrip()
    while cell_len(last) > width - 2:
        last = last.rpartition(" ")[0] or fit(last, width - 3).rstrip("…")
    return [*lines[: height - 1], line((f"{last} …", style))]
