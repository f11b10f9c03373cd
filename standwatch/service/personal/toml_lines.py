"""A TOML file read line by line: every value with its line, and past a broken line the rest.

A parser of the whole stops at the first mistake and tells no line of what it read; here each `key = value` is
given to the parser alone. A value may go over several lines where it is a list or a text in three quotes.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

_BEGINS = re.compile(r"""\s*(\[|#|$|[\w."'() -]+?\s*=)""")
_GOES_ON = re.compile(r"""[^=]*=\s*(\[|\{|\"\"\"|''')""")
_LONGEST = 40
"""A value goes over so many lines at most."""
_AT_LINE = re.compile(r"\(at line (\d+), column \d+\)")


@dataclass(frozen=True, slots=True)
class Leaf:
    """One value: where it belongs, and its line, from 1."""

    path: tuple[str, ...]
    value: object
    line: int

    @property
    def shown(self) -> str:
        """The value as a sentence quotes it."""
        return repr(self.value) if isinstance(self.value, str) else str(self.value).lower()


@dataclass(frozen=True, slots=True)
class Wrong:
    """A line that can't be, what is wrong with it and the mend. `section` is its table's; "?" where that is lost."""

    line: int
    sentence: str
    section: str = "?"


def read_lines(text: str) -> tuple[list[Leaf], list[Wrong]]:
    """Every value of `text` in order, and what could not be read. Of two values for one key the first is taken."""
    leaves: list[Leaf] = []
    wrong: list[Wrong] = []
    at: dict[tuple[str, ...], int] = {}
    for told in _statements(text.removeprefix("\ufeff")):
        if isinstance(told, Wrong):
            wrong.append(told)
        elif told.path in at:
            name, first = ".".join(told.path), at[told.path]
            wrong.append(Wrong(told.line, f"{name} stands on line {first} already; keep one", told.path[0]))
        else:
            at[told.path] = told.line
            leaves.append(told)
    if not wrong and (whole := _as_a_whole(text.removeprefix("\ufeff"))) is not None:
        wrong.append(whole)
    return leaves, wrong


def _as_a_whole(text: str) -> Wrong | None:
    """What only the whole file shows, such as a table that stands twice."""
    try:
        tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        found = _AT_LINE.search(str(error))
        said = _AT_LINE.sub("", str(error)).strip().rstrip(".")
        return Wrong(int(found[1]) if found else 0, f"the file can't be read as TOML: {said}; mend that line")
    return None


def _statements(text: str) -> Iterator[Leaf | Wrong]:
    lines = text.split("\n")
    table: tuple[str, ...] | None = ()
    n = 0
    while n < len(lines):
        start, n = n, n + 1
        stripped = lines[start].strip()
        if not stripped or stripped.startswith("#"):
            continue
        if stripped.startswith("["):
            table = _table(lines[start])
            if table is None:
                yield Wrong(start + 1, f"{stripped!r} is no heading such as [keys]; what is under it is not read")
            continue
        parsed, n = _value(lines, start)
        if table is None:
            continue
        if parsed is None:
            mend = 'write name = value, texts in "quotes"'
            yield Wrong(start + 1, f"{_short(stripped)!r} can't be read; {mend}", table[0] if table else "")
        else:
            yield from _leaves(table, parsed, start + 1)


def _short(text: str) -> str:
    return text if len(text) <= 40 else text[:39] + "…"


def _table(line: str) -> tuple[str, ...] | None:
    """The table that a heading opens; None where it is none (a list of tables is none of ours)."""
    try:
        found: object = tomllib.loads(line)
    except tomllib.TOMLDecodeError:
        return None
    path: list[str] = []
    while isinstance(found, Mapping) and found:
        name, found = next(iter(found.items()))
        path.append(name)
    return tuple(path) if found == {} else None


def _value(lines: list[str], start: int) -> tuple[Mapping[str, object] | None, int]:
    """What the statement that begins on `start` says, None where it can't be read; and the line after it."""
    text = lines[start]
    parsed = _parsed(text)
    if parsed is not None or not _GOES_ON.match(text):
        return parsed, start + 1
    for n in range(start + 1, min(start + _LONGEST, len(lines))):
        if _BEGINS.match(lines[n]) and lines[n].strip() and not lines[n].strip().startswith("#"):
            break
        text = f"{text}\n{lines[n]}"
        parsed = _parsed(text)
        if parsed is not None:
            return parsed, n + 1
    return None, start + 1


def _parsed(text: str) -> Mapping[str, object] | None:
    try:
        return tomllib.loads(text)
    except (tomllib.TOMLDecodeError, RecursionError):
        return None


def _leaves(table: tuple[str, ...], found: object, line: int) -> Iterator[Leaf]:
    if isinstance(found, Mapping):
        for name, value in found.items():
            yield from _leaves((*table, name), value, line)
    else:
        yield Leaf(table, found, line)
