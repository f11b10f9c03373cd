"""A ledger's files, read row by row: which file it is, its header, and where in it something is wrong.

CSV as RFC 4180 has it, in UTF-8, with a header row; a byte-order mark and CRLF are taken. Every complaint begins with
file:line:column: the file as it was named, the line of the file (a quoted cell may hold line breaks), the number of
the cell.
"""

from __future__ import annotations

import csv
import difflib
from collections.abc import Iterator, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from typing import BinaryIO

from standwatch.model.errors import BadValue
from standwatch.store.connection import why
from standwatch.store.rows import CHECKINS, CLOCKS, HANDOVERS, SORTS, WAIVERS, AnySort

BOOK_FILE = "book.csv"
BOOK_COLUMNS = ("name", "value")
OWN_COLUMNS = ("id", "replaces")
"""What each file of facts may have beside its model's columns."""

_FILES: dict[str, AnySort | None] = {BOOK_FILE: None, **{sort.file: sort for sort in SORTS.values()}}
"""A ledger's files in the order they are taken; None for the settings, which are no facts."""

_LONGEST = 1 << 17
"""Characters in a cell at most, as the csv module has it; more is a quote that was never closed."""
_LONGEST_RECORD = 1 << 22
"""The same in releases.csv, whose records name every fact that they stood on: some 200,000 of them."""


@dataclass(slots=True)
class LedgerFile:
    """One file of a ledger, open at its first row after the header. `sort` is None for book.csv."""

    path: Path
    sort: AnySort | None
    header: list[str]
    header_line: int
    rows: Iterator[tuple[int, list[str]]]
    """(line on which it begins, cells) of each row that isn't blank."""
    row_count: int = field(default=0)
    added: int = field(default=0)

    @property
    def kind(self) -> str:
        """The ledger's own name for such a file: clocks.csv and so on."""
        return BOOK_FILE if self.sort is None else self.sort.file

    def bad(self, line: int, column: int, sentence: str, *, name: str | None = None) -> BadValue:
        """The complaint `sentence` about the cell `column` (from 1) of the row on `line`."""
        return _bad(self.path, line, column, sentence, name=name)

    def bad_cell(self, line: int, row: Sequence[str], error: BadValue) -> BadValue:
        """`error`, told with the place of the column that it blames, or of the row's first cell."""
        column = self.header.index(error.column) if error.column in self.header else 0
        # a quoted cell before it may have run over lines
        line += sum(cell.count("\n") for cell in row[:column])
        return self.bad(line, column + 1, str(error), name=error.column)

    def cells(self, line: int, row: Sequence[str]) -> dict[str, str]:
        """The cells of `row` that are given, by column."""
        if len(row) > len(self.header):
            raise self.bad(
                line,
                len(self.header) + 1,
                f"the row has {len(row)} cells and the header {len(self.header)}; "
                "put quotes round a cell with a comma in it",
            )
        return {name: text for name, cell in zip(self.header, row, strict=False) if (text := cell.strip())}


def open_ledger(paths: Sequence[Path], files: ExitStack) -> list[LedgerFile]:
    """The files that `paths` (folders, or files told by their header) name, in the order they are to be taken.

    They stay open until `files` closes. BadValue for a path that isn't there or can't be read, and for a header that is
    none of a ledger.
    """
    if not paths:
        raise BadValue("nothing to import is named; name a ledger's folder, or its files")
    found = [_open(path, sort, files) for path, sort in _named(paths)]
    order = list(_FILES)
    return sorted(found, key=lambda file: order.index(file.kind))


def _named(paths: Sequence[Path]) -> Iterator[tuple[Path, str | None]]:
    """Each file with its kind; None where the header is to tell it."""
    for path in paths:
        try:
            if not path.is_dir():
                yield path, None
                continue
            inside = [name for name in _FILES if (path / name).is_file()]
        except (OSError, ValueError) as error:
            raise _unreadable(path, error) from error
        if not inside:
            raise BadValue(f"{path}: no ledger is in this folder; it would hold {', '.join(_FILES)}, or some of them")
        yield from ((path / name, name) for name in inside)


def _open(path: Path, kind: str | None, files: ExitStack) -> LedgerFile:
    try:
        file = files.enter_context(path.open("rb"))
        rows = _Rows(path, file)
        line, cells = next(rows, (1, None))
    except (OSError, ValueError) as error:
        raise _unreadable(path, error) from error
    if cells is None:
        raise _bad(
            path, 1, 1, f"the file is empty; its first line names the columns, such as {','.join(CHECKINS.required)}"
        )
    header = [cell.strip() for cell in cells]
    for column, name in enumerate(header, 1):
        if name in header[: column - 1]:
            raise _bad(path, line, column, f"the column {name!r} stands twice in the header; keep one", name=name)
    kind = kind or _kind_of(path, header, line)
    if kind == HANDOVERS.file:
        rows.longest = _LONGEST_RECORD
    ledger = LedgerFile(path, _FILES[kind], header, line, rows)
    _check_header(ledger)
    return ledger


def _kind_of(path: Path, header: list[str], line: int) -> str:
    """Which file of a ledger has such a header."""
    has = set(header)
    if has == set(BOOK_COLUMNS):
        return BOOK_FILE
    for sort, mark in ((WAIVERS, "requirement"), (HANDOVERS, "what"), (CLOCKS, "kind"), (CHECKINS, "at")):
        if mark in has and "tag" in has:
            return sort.file
    if "replaces" in has and has <= set(OWN_COLUMNS):
        return CHECKINS.file
    if path.name in _FILES:
        return path.name
    raise _bad(
        path,
        line,
        1,
        f"this header is none of a ledger; clocks have tag and kind, check-ins at and tag, {HANDOVERS.file} at, tag "
        f"and what, {WAIVERS.file} at, tag and requirement, {BOOK_FILE} name and value",
    )


def _check_header(file: LedgerFile) -> None:
    known = BOOK_COLUMNS if file.sort is None else (*file.sort.ledger_columns, *OWN_COLUMNS)
    for column, name in enumerate(file.header, 1):
        if name not in known:
            near = difflib.get_close_matches(name, known, n=1)
            mend = f"did you mean {near[0]}?" if near else "take it out"
            if ";" in name or "\t" in name:
                mend = "separate the columns with commas"
            shown = repr(name) if name else "without a name"
            raise file.bad(file.header_line, column, f"{file.kind} has no column {shown}; {mend}", name=name)
    wanted = BOOK_COLUMNS if file.sort is None else file.sort.required
    if "replaces" in file.header and set(file.header) <= set(OWN_COLUMNS):
        wanted = ()  # rows that only take back
    for name in wanted:
        if name not in file.header:
            raise file.bad(
                file.header_line, len(file.header), f"{file.kind} needs the column {name}; add it", name=name
            )


class _Rows:
    """(line, cells) of each row that isn't blank, the header's too; `longest` is how long a cell may be."""

    def __init__(self, path: Path, file: BinaryIO) -> None:
        self.longest = _LONGEST
        self._path = path
        self._reader = csv.reader(_lines(path, file), strict=True)

    def __iter__(self) -> Iterator[tuple[int, list[str]]]:
        return self

    def __next__(self) -> tuple[int, list[str]]:
        while True:
            line = self._reader.line_num + 1
            try:
                row = next(self._reader) if self.longest == _LONGEST else self._long_row()
            except csv.Error as error:
                raise _broken(self._path, line, str(error), self.longest) from error
            except OSError as error:
                raise _unreadable(self._path, error) from error
            if row:
                return line, row

    def _long_row(self) -> list[str]:
        """The next row; the csv module has one limit for all its readers, which is afterwards as it was."""
        before = csv.field_size_limit(self.longest)
        try:
            return next(self._reader)
        finally:
            csv.field_size_limit(before)


def _lines(path: Path, file: BinaryIO) -> Iterator[str]:
    for number, raw in enumerate(file, 1):
        if number == 1 and raw.startswith(b"\xef\xbb\xbf"):
            raw = raw[3:]  # noqa: PLW2901  # a byte-order mark is no part of the line
        if b"\0" in raw:
            before = raw[: raw.index(b"\0")].decode("utf-8", "replace")
            raise _bad(path, number, _cell_count(before), "a NUL byte; save the file as CSV in UTF-8")
        try:
            yield raw.decode("utf-8")
        except UnicodeDecodeError as error:
            before = raw[: error.start].decode("utf-8")
            raise _bad(
                path,
                number,
                _cell_count(before),
                f"the byte {raw[error.start]:#04x} is no UTF-8; save the file as CSV in UTF-8",
            ) from None


def _cell_count(text: str) -> int:
    """How many cells have begun in `text`, the beginning of a line."""
    return max(1, len(next(csv.reader([text]), [])))


def _broken(path: Path, line: int, said: str, longest: int) -> BadValue:
    """What csv can't read in the row that begins on `line`."""
    try:
        with path.open("rb") as file:
            begins = next(islice(file, line - 1, None), b"").decode("utf-8", "replace")
        column = _cell_count(begins[:_LONGEST])
    except (OSError, csv.Error):
        column = 1
    if "unexpected end" in said:
        return _bad(path, line, column, "a quote is opened here and never closed; close it")
    if "field limit" in said or "field larger" in said:
        return _bad(
            path,
            line,
            column,
            f"a cell is longer than {longest} characters; shorten it, or close its quote",
        )
    if "new-line" in said:
        return _bad(path, line, column, "a lone carriage return; end lines with LF or CRLF, or quote the cell")
    return _bad(path, line, column, f"not CSV ({said}); quote the cell and double the quotes in it")


def _unreadable(path: Path, error: OSError | ValueError) -> BadValue:
    if isinstance(error, FileNotFoundError):
        return BadValue(f"{path}: there is no such file or folder; name a ledger's folder, or its files")
    return BadValue(f"{path}: can't be read ({why(error)}); see to its permissions, or name another")


def _bad(path: Path, line: int, column: int, sentence: str, *, name: str | None = None) -> BadValue:
    return BadValue(f"{path}:{line}:{column}: {sentence}", column=name)
