"""Between a fact and its row: what is stored, the digest that tells equal facts, and the fact back from its cells.

Stored: times as ISO 8601 in UTC with six decimals (so that text sorts as time), yes and no as 1 and 0, the rest as it
is. A digest is over the given cells by name, so a column added later changes no old fact's digest.
"""

from __future__ import annotations

import secrets
import types
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from enum import StrEnum
from functools import cached_property
from hashlib import blake2b
from typing import Annotated, Any, Generic, Literal, Union, get_args, get_origin

from pydantic import BaseModel

from standwatch.model.facts import Body, CheckIn, Clock, Handover, Waiver
from standwatch.model.records import B

Cell = str | float | int | None
Stored = dict[str, str | float | int]

_ALPHABET = bytes(ord(c) for c in "23456789abcdefghijkmnpqrstuvwxyz" * 8)  # no 0 or o, no 1 or l: ids are typed
_ID_LENGTH = 12  # 60 bits: two of a million books' facts agree about once in a million books


def new_id() -> str:
    """A fresh id: twelve lower-case letters and digits, none of which looks like another."""
    return secrets.token_bytes(_ID_LENGTH).translate(_ALPHABET).decode("ascii")


def stored_time(at: datetime) -> str:
    """`at` as the book stores it."""
    return at.astimezone(UTC).isoformat(timespec="microseconds")


def stored(body: BaseModel) -> Stored:
    """The cells of `body` that are given, but its tag, as the book stores them, in the model's order."""
    cells: Stored = {}
    for name, value in vars(body).items():
        if value is None:
            continue
        kind = type(value)
        if kind is float:
            cells[name] = value + 0.0  # SQLite knows no negative zero
        elif kind is str or kind is int:
            cells[name] = value
        elif kind is datetime:
            cells[name] = stored_time(value)
        elif kind is bool:
            cells[name] = int(value)
        elif isinstance(value, StrEnum):
            cells[name] = value.value
        else:
            cells[name] = value.isoformat()  # a date
    del cells["tag"]
    return cells


def digest_of(sort: str, tag: str, cells: Stored) -> bytes:
    """What two facts of one sort share exactly when all their cells are equal by value (BLAKE2b, RFC 7693)."""
    told = [sort, tag]
    for name, value in cells.items():
        told.append(name)
        told.append(value if type(value) is str else repr(value))
    return blake2b("\x1f".join(told).encode(), digest_size=16).digest()


@dataclass(frozen=True)
class Sort(Generic[B]):
    """One sort of fact: its model, its table in the book, its file in a ledger."""

    name: str
    model: type[B]
    table: str
    file: str

    @cached_property
    def columns(self) -> tuple[str, ...]:
        """The model's columns but `tag`, which the table of facts keeps."""
        return tuple(name for name in self.model.model_fields if name != "tag")

    @cached_property
    def ledger_columns(self) -> tuple[str, ...]:
        """The model's columns in their order."""
        return tuple(self.model.model_fields)

    @cached_property
    def required(self) -> tuple[str, ...]:
        """The columns without which there is no fact."""
        return tuple(name for name, field in self.model.model_fields.items() if field.is_required())

    def insert(self, given: Iterable[str]) -> str:
        """The statement that writes a body's seq and the columns `given`: binding what is not given takes longer."""
        names = ["seq", *given]
        columns, marks = ", ".join(f'"{name}"' for name in names), ", ".join("?" * len(names))
        return f"INSERT INTO {self.table} ({columns}) VALUES ({marks})"  # noqa: S608  # names of our own

    @cached_property
    def select(self) -> str:
        """The body's columns for a SELECT in which the table is `b`."""
        return ", ".join(f'b."{name}"' for name in self.columns)

    def body(self, tag: str, cells: Sequence[Cell]) -> B:
        """The fact that a row of `select` tells. The book's own rows are trusted, not checked again."""
        values: dict[str, object] = {"tag": tag}
        for (name, read), cell in zip(self._readers, cells, strict=True):
            if cell is not None:
                values[name] = cell if read is None else read(cell)
        return self._blank.model_copy(update=values)

    @cached_property
    def kinds(self) -> dict[str, type]:
        """The plain type of each column: str, float, int, bool, datetime, date or a StrEnum."""
        return {name: _plain(field.annotation) for name, field in self.model.model_fields.items()}

    @cached_property
    def _readers(self) -> tuple[tuple[str, Callable[[Any], object] | None], ...]:
        return tuple((name, _reader(self.kinds[name])) for name in self.columns)

    @cached_property
    def _blank(self) -> B:
        nothing: dict[str, Any] = dict.fromkeys(self.model.model_fields)
        return self.model.model_construct(set(), **nothing)


CLOCKS = Sort("clock", Clock, "clocks", "clocks.csv")
CHECKINS = Sort("checkin", CheckIn, "checkins", "checkins.csv")
WAIVERS = Sort("waiver", Waiver, "waivers", "waivers.csv")
HANDOVERS = Sort("handover", Handover, "handovers", "releases.csv")

AnySort = Sort[Clock] | Sort[CheckIn] | Sort[Waiver] | Sort[Handover]
SORTS: dict[str, AnySort] = {sort.name: sort for sort in (CLOCKS, CHECKINS, WAIVERS, HANDOVERS)}
"""The sorts by name, in the order an import takes their files: a release comes after the waivers it stands on."""


def sort_of(body: Body) -> AnySort:
    """The sort that `body` is of."""
    return next(sort for sort in SORTS.values() if isinstance(body, sort.model))


def _plain(annotation: object) -> type:
    origin = get_origin(annotation)
    if origin is Annotated:
        return _plain(get_args(annotation)[0])
    if origin is Literal:
        return str
    if origin in {Union, types.UnionType}:
        [inner] = [arg for arg in get_args(annotation) if arg is not types.NoneType]
        return _plain(inner)
    assert isinstance(annotation, type)  # noqa: S101  # for the type checker: a model's field has a type
    return annotation


def _reader(kind: type) -> Callable[[Any], object] | None:
    """What makes a stored cell a value of `kind`; None where it is one already."""
    if issubclass(kind, StrEnum):
        return {member.value: member for member in kind}.__getitem__
    readers: dict[type, Callable[[Any], object]] = {
        bool: bool,
        datetime: datetime.fromisoformat,
        date: date.fromisoformat,
    }
    return readers.get(kind)
