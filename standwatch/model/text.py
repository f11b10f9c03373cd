"""Text from people, made safe at the model's edge."""

from __future__ import annotations

import re

# C0, DEL and C1; the line and paragraph separators break a one-line cell just as a newline does.
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+")
# Marks that turn or hide the text around them: a tag must read as it is written.
_INVISIBLE = re.compile(r"[\u200b\u200e\u200f\u202a-\u202e\u2060\u2066-\u2069\ufeff]")


def natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """A key that sorts "A2" before "A10"."""
    parts = re.findall(r"\d+|\D+", text)
    keys = [(0, int(part), "") if part.isdecimal() else (1, 0, part.casefold()) for part in parts]
    return (*keys, (-1, 0, text))


def clean(text: str) -> str:
    """`text` on one line: control characters become a space, invisible marks go, the ends are trimmed."""
    if text.isprintable():  # nearly always: nothing to take out
        return text.strip()
    return _INVISIBLE.sub("", _CONTROL.sub(" ", text)).strip()
