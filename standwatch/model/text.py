"""Text from people, made safe at the model's edge."""

from __future__ import annotations

import re

# C0, DEL and C1; the line and paragraph separators break a one-line cell just as a newline does.
_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029]+")
# Marks that turn or hide the text around them: a tag must read as it is written.
_INVISIBLE = re.compile(r"[\u200b\u200e\u200f\u202a-\u202e\u2060\u2066-\u2069\ufeff]")


def clean(text: str) -> str:
    """`text` on one line: control characters become a space, invisible marks go, the ends are trimmed."""
    if text.isprintable():  # nearly always: nothing to take out
        return text.strip()
    return _INVISIBLE.sub("", _CONTROL.sub(" ", text)).strip()
