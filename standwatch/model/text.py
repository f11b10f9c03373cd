"""Text from people: made safe at the model's edge, put in order, measured and parted into lines."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable

# C0, DEL and C1; the line and paragraph separators break a one-line cell just as a newline does.
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+")
# Marks that turn or hide the text around them: a tag must read as it is written.
_INVISIBLE = re.compile(r"[\u200b\u200e\u200f\u202a-\u202e\u2060\u2066-\u2069\ufeff]")


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """A key that sorts "A2" before "A10"."""
    parts = re.findall(r"\d+|\D+", text)
    keys = [(0, int(part), "") if part.isdecimal() else (1, 0, part.casefold()) for part in parts]
    return (*keys, (-1, 0, text))


def columns(text: str) -> int:
    """Columns that `text` takes in a terminal: wide letters two, marks and joiners none (Unicode UAX 11)."""
    if text.isascii():
        return len(text)
    none = {"Cf", "Mn"}
    return sum(
        0
        if unicodedata.combining(char) or unicodedata.category(char) in none
        else 2
        if unicodedata.east_asian_width(char) in {"W", "F"}
        else 1
        for char in text
    )


def parted(text: str, fits: Callable[[str], bool]) -> list[str]:
    """`text` in lines that fit, a line for each of its own at least: parted at spaces, in a word only where it must."""
    lines = []
    for paragraph in text.split("\n"):
        line = ""
        for word in paragraph.split(" "):
            longer = f"{line} {word}" if line else word
            if fits(longer):
                line = longer
                continue
            if line:
                lines.append(line)
            *whole, line = _word_parted(word, fits)
            lines += whole
        lines.append(line)
    return lines


def _word_parted(word: str, fits: Callable[[str], bool]) -> list[str]:
    """A word in parts that fit; a mark stays with its letter, and a letter that fits nowhere stands alone."""
    parts = [""]
    for char in word:
        longer = parts[-1] + char
        if not parts[-1] or unicodedata.combining(char) or fits(longer):
            parts[-1] = longer
        else:
            parts.append(char)
    return parts


def clean(text: str) -> str:
    """`text` on one line: control characters become a space, invisible marks go, the ends are trimmed."""
    if text.isprintable():  # nearly always: nothing to take out
        return text.strip()
    return _INVISIBLE.sub("", _CONTROL.sub(" ", text)).strip()
