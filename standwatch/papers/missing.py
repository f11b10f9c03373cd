"""Text of users made ready for paper: inert, composed, and what the font has no letter for named by its number."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator

from standwatch.papers.blocks import Blanks, Caution, Chart, Heading, Pairs, Sheet, Table, TagMark, Ticks, Words

_JOINERS = "\u200c\u200d"
"""Zero width, yet part of how Persian and Devanagari are written."""


def inert(text: str, *, lines: bool = False) -> str:
    """`text` composed (NFC), without what turns, hides or commands: control characters become a space, marks go.

    `lines`: line feeds stay.
    """
    kept = []
    for char in unicodedata.normalize("NFC", text):
        category = unicodedata.category(char)
        if char == "\n" and lines:
            kept.append(char)
        elif category in {"Cc", "Zl", "Zp"}:
            kept.append(" ")
        elif (category != "Cf" or char in _JOINERS) and not "\ufe00" <= char <= "\ufe0f":
            kept.append(char)
    return "".join(kept)


def numbered(char: str) -> str:
    """The character by its number, as Unicode writes it: "U+6C34"."""
    return f"U+{ord(char):04X}"


class Letters:
    """What a font has letters for; `printable` keeps to it."""

    def __init__(self, codes: Iterable[int]) -> None:
        self._has = frozenset(codes)

    def printable(self, text: str, *, lines: bool = False) -> str:
        """`text` as it can be printed: inert, and each character without a letter as its number in brackets."""
        return "".join(
            char if char == "\n" or ord(char) in self._has else f"[{numbered(char)}]"
            for char in inert(text, lines=lines)
        )

    def lacking(self, sheet: Sheet) -> tuple[str, ...]:
        """The characters of `sheet` that have no letter, each once, as they come."""
        text = inert("".join(texts(sheet)))
        return tuple(dict.fromkeys(char for char in text if ord(char) not in self._has))


def sentence(lacking: Iterable[str]) -> str:
    """What a person is told of characters that could not be printed; empty where there are none."""
    named = [f"{numbered(char)} ({unicodedata.name(char, 'without a name').lower()})" for char in lacking]
    return f"Printed by their numbers, since the font has no letters for them: {', '.join(named)}." if named else ""


def texts(sheet: Sheet) -> Iterator[str]:
    """Every piece of text that `sheet` prints."""
    yield from (sheet.title, sheet.tag, sheet.foot)
    for block in sheet.blocks:
        match block:
            case Heading(text) | Words(text):
                yield text
            case Pairs(pairs):
                yield from (text for pair in pairs for text in pair)
            case Table(head, rows):
                yield from (text for row in (head, *rows) for text in row)
            case Ticks(items) | Blanks(items) | Caution(items):
                yield from items
            case TagMark(tag, lines):
                yield from (tag, *lines)
            case Chart():
                yield from (block.title, block.unit, block.above, block.below, block.caption)
                yield from (mark.words for mark in block.marks)
                yield from (words for _, words in block.limits)
            case _:
                pass
