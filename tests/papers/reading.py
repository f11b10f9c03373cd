"""A PDF read back by pypdf: its words, where they stand, its fonts."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass

from pypdf import PdfReader

MM = 72 / 25.4


@dataclass(frozen=True)
class Placed:
    """A run of text with its begin (mm from the left, mm from the foot) and its size in points."""

    text: str
    x: float
    y: float
    size: float


def reader(data: bytes) -> PdfReader:
    """The PDF."""
    return PdfReader(io.BytesIO(data), strict=True)


def words(data: bytes) -> str:
    """All its text on one line, spaces single."""
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in reader(data).pages)).strip()


def squeezed(text: str) -> str:
    """Without any space, for text that was wrapped in cells."""
    return re.sub(r"\s+", "", text)


def placed(data: bytes) -> list[list[Placed]]:
    """Each page's runs of text."""
    pages = []
    for page in reader(data).pages:
        runs: list[Placed] = []

        def visit(
            text: str, cm: list[float], tm: list[float], _font: object, size: float, runs: list[Placed] = runs
        ) -> None:
            if text.strip():
                x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
                y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
                runs.append(Placed(text.strip(), x / MM, y / MM, size))

        page.extract_text(visitor_text=visit)
        pages.append(runs)
    return pages
