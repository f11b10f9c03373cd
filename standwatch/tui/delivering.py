"""What is typed of a clock at its owner's: how it was left, what was said of it, why it came back. Pure.

+2 a2.6 b1.5 l20 c20 wall by the owner n thick carpet     how it was left
+5 goes well      stopped on Friday                       what was said on the telephone
2 stopped, the line came off                              why it came back: a code, then words
"""

from __future__ import annotations

import re

from standwatch.model.facts import Clock
from standwatch.model.words import Chime
from standwatch.tui.entry import Entry, parse, read_error

CODES = {"1": "set-up", "2": "mechanical", "3": "user", "4": "cosmetic"}
_LEFT = {"error_s", "amplitude_deg", "beat_error_pct", "beat_error_ms", "going_mm", "strike_mm", "chime_mm", "note"}
_NOTE = re.compile(r"(?:^|\s)[nN](?:\s|$)")
_BY = re.compile(r"(?:^|\s)by\s+(.*)", re.IGNORECASE)
_WALL = {"wall": "yes", "nowall": "no"}


def left_there(text: str, clock: Clock) -> Entry:
    """How `clock` was left: error, swing, beat, weights, wall or nowall, by whom it is wound, n and a note."""
    note = _NOTE.search(text)
    told, rest = (text, "") if note is None else (text[: note.start()], text[note.start() :])
    by = _BY.search(told)
    told = told if by is None else told[: by.start()]
    words = told.split()
    entry = parse(" ".join([*(word for word in words if word.lower() not in _WALL), rest.strip()]).strip(), clock)
    strange = entry.cells.keys() - _LEFT
    if strange and entry.problem is None:
        entry.problem = f"{', '.join(sorted(strange))}: no part of how it was left"
    for word in words:
        if word.lower() in _WALL:
            fixed = _WALL[word.lower()]
            entry.put("fixed_to_wall", fixed, "fixed to the wall" if fixed == "yes" else "not fixed to the wall")
    if by is not None and by[1].strip():
        entry.put("wound_by", by[1].strip(), f"wound by {by[1].strip()}")
    if "note" in entry.cells:
        entry.cells["reason"] = entry.cells.pop("note")
    return entry


def call_cells(text: str) -> dict[str, object]:
    """What was said on the telephone: an error or "stopped" first if they were told, a chime's state, then words."""
    cells: dict[str, object] = {}
    said = text.split()
    while said:
        word = said[0].lower()
        error = read_error(word)
        if error is not None:
            cells["error_s"] = error
        elif word == "stopped":
            cells["stopped"] = "yes"
        elif word in set(Chime):
            cells["chime"] = word
        else:
            break
        said.pop(0)
    if said or cells:
        cells["reason"] = " ".join(said) or " ".join(text.split())
    return cells


def back_cells(text: str) -> dict[str, object]:
    """Why it came back: the code or its number, "stopped" if it had, then words."""
    words = text.split()
    code = words.pop(0) if words else ""
    cells: dict[str, object] = {"code": CODES.get(code, code)}
    if words and words[0].lower().strip(",.;:") == "stopped":
        cells["stopped"] = "yes"
    if words:
        cells["reason"] = " ".join(words)
    return cells
