"""The font of the papers, FiraGO, in regular and bold: laid out as files once for all sheets of one command."""

from __future__ import annotations

import tempfile
from pathlib import Path
from types import MappingProxyType
from typing import Self

import pymupdf_fonts
from fpdf import FPDF
from fpdf.fonts import TTFFont

from standwatch.papers.missing import Letters

FAMILY = "FiraGO"
_FILES = MappingProxyType({"": "figo", "B": "figbo"})
_NOT_EMBEDDED = ("GDEF", "GPOS", "GSUB")
"""How letters join; the shaper reads it from the file, the library drops it, after it has taken all of it apart."""


class Fonts:
    """The font's files for as long as a `with`; the library wants fonts by a file's name."""

    def __init__(self) -> None:
        self._folder = tempfile.TemporaryDirectory(prefix="standwatch-")
        for name in _FILES.values():
            self._path(name).write_bytes(pymupdf_fonts.myfont(name))

    def __enter__(self) -> Self:
        """Itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """The files are gone."""
        self._folder.cleanup()

    def _path(self, name: str) -> Path:
        return Path(self._folder.name) / f"{name}.ttf"

    def add_to(self, pdf: FPDF) -> Letters:
        """Make both known to `pdf`, and say what they have letters for; `close` when it is made."""
        for style, name in _FILES.items():
            pdf.add_font(FAMILY, style, str(self._path(name)))
        regular, bold = _fonts_of(pdf)
        for table in _NOT_EMBEDDED:
            del regular.ttfont[table], bold.ttfont[table]
        return Letters(regular.cmap)


def close(pdf: FPDF) -> None:
    """Close the font's files that `pdf` reads."""
    for font in _fonts_of(pdf):
        font.close()


def _fonts_of(pdf: FPDF) -> list[TTFFont]:
    return [font for font in pdf.fonts.values() if isinstance(font, TTFFont)]
