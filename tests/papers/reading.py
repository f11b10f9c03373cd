"""A PDF read back by pypdf: its words, where they stand, its fonts."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass

from pypdf import PdfReader
from pypdf.generic import ContentStream, DictionaryObject, StreamObject

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


def shown(data: bytes) -> str:
    """The letters of a PDF in the order in which they are set, left to right and line by line; one letter a glyph."""
    told = ""
    for page in reader(data).pages:
        fonts = {name: _letters(font.get_object()) for name, font in page["/Resources"]["/Font"].items()}  # type: ignore[index]
        letters: dict[int, str] = {}
        for operands, operator in ContentStream(page.get_contents(), page.pdf).operations:
            if operator == b"Tf":
                letters = fonts[operands[0]]
            elif operator == b"Tj":
                raw = operands[0].original_bytes
                told += "".join(letters[int.from_bytes(raw[n : n + 2], "big")] for n in range(0, len(raw), 2))
    return told


def _letters(font: DictionaryObject) -> dict[int, str]:
    """Which letter each code of a font is, by its ToUnicode map (ISO 32000-1, 9.10.3)."""
    told = font["/ToUnicode"].get_object()
    assert isinstance(told, StreamObject)
    pairs = re.findall(r"<([0-9A-F]{4})> <([0-9A-F]{4,})>", told.get_data().decode())
    return {int(code, 16): bytes.fromhex(letter).decode("utf-16-be") for code, letter in pairs}
