"""In which order and direction the parts of a line are set: the bidirectional algorithm (UAX 9) as runs to draw."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from itertools import groupby

from fpdf.bidi import BidiParagraph, auto_detect_base_direction


@dataclass(frozen=True, slots=True)
class Run:
    """A part of a line in one direction, its letters in the order in which they are read."""

    text: str
    leftwards: bool


def visual_runs(text: str) -> list[Run]:
    """The runs of one line from left to right, whichever way each is read (UAX 9, rule L2)."""
    base = auto_detect_base_direction(text)
    paragraph = BidiParagraph(text=text, base_direction=base, preserve_bn_chars=True)  # joiners are spelling
    levels: list[int] = []
    for char in paragraph.get_characters_with_embedding_level():
        joiner = unicodedata.bidirectional(char.character) == "BN"
        levels.append(levels[-1] if joiner and levels else char.embedding_level)  # as UAX 9, 5.2
    runs = [
        (level, "".join(char for char, _ in part))
        for level, part in groupby(zip(text, levels, strict=True), key=lambda pair: pair[1])
    ]
    for level in range(max((level for level, _ in runs), default=0), 0, -1):
        runs = _reversed_from(runs, level)
    return [Run(part, leftwards=level % 2 == 1) for level, part in runs]


def _reversed_from(runs: list[tuple[int, str]], level: int) -> list[tuple[int, str]]:
    """Each stretch of runs at `level` or higher turned round."""
    turned: list[tuple[int, str]] = []
    for high, part in groupby(runs, key=lambda run: run[0] >= level):
        stretch = [*part]
        turned += reversed(stretch) if high else stretch
    return turned
