"""Papers into a folder: a PDF and its plain-text twin each, under names that no user's text leads astray."""

from __future__ import annotations

import hashlib
import os
import re
import secrets
from collections.abc import Iterable
from pathlib import Path

from standwatch.model.errors import BadValue
from standwatch.papers.blocks import Sheet
from standwatch.papers.missing import sentence
from standwatch.papers.pdf import lacking, pdfs_of
from standwatch.papers.plain import text_of

_PLAIN = re.compile(r"[A-Z0-9]+(-[A-Z0-9]+)*")
_LETTERS = 8
"""Of a tag's digest, which tells apart tags that look alike in a file's name."""


def write(folder: Path, sheets: Iterable[Sheet], paper: str = "A4") -> list[Path]:
    """Write each sheet to `folder`, made where it is missing, as .pdf on `paper` and .txt; the files, in order.

    All are made before the first is written, and each replaces an older one whole or not at all. BadValue, with the
    folder, where it can't be written to.
    """
    told = [*sheets]
    made: list[tuple[str, bytes]] = []
    for sheet, pdf in zip(told, pdfs_of(told, paper), strict=True):
        name = file_name(sheet)
        made += [(f"{name}.pdf", pdf), (f"{name}.txt", text_of(sheet).encode())]
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return [_replaced(folder / name, content) for name, content in made]
    except OSError as error:
        raise BadValue(
            f"papers can't be written to {folder}: {error.strerror or error}; give a folder that can be written to"
        ) from None


def not_printed(sheets: Iterable[Sheet]) -> str:
    """A sentence that names the characters which `sheets` have and no font here has; empty where there are none."""
    return sentence(lacking(sheets))


def file_name(sheet: Sheet) -> str:
    """The name of a sheet's files without their endings: "2398-release-record"; two tags never share one."""
    return f"{slug(sheet.tag)}-{sheet.name}" if sheet.tag else sheet.name


def slug(tag: str) -> str:
    """`tag` as letters, figures and hyphens; with a digest of it where that isn't the tag itself.

    Small letters are told by a digest too, since some disks don't tell "k17" from "K17".
    """
    if _PLAIN.fullmatch(tag):
        return tag
    told = re.sub(r"[^A-Za-z0-9]+", "-", tag).strip("-") or "tag"
    return f"{told}-{hashlib.sha256(tag.encode()).hexdigest()[:_LETTERS]}"


def _replaced(path: Path, content: bytes) -> Path:
    """`content` in the place of whatever `path` was: written beside it, then renamed."""
    beside = path.with_name(f".{path.name}-{secrets.token_hex(4)}.part")
    try:
        with beside.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.replace(path)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    return path
