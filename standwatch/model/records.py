"""A fact with its place in the book."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Generic, Protocol, TypeVar, get_args

from pydantic import BaseModel, ValidationError

from standwatch.model.errors import BadValue
from standwatch.model.facts import Body, CheckIn, Clock, Handover, Waiver
from standwatch.model.words import KindName

B = TypeVar("B", Clock, CheckIn, Handover, Waiver)


@dataclass(frozen=True, slots=True)
class Record(Generic[B]):
    """A fact as the book keeps it.

    `sequence` is the order of writing. `place` is the sequence of the fact that this one stands for (its own, unless
    it replaces another): ties of one time keep that order, so that a correction counts as if it had been right from
    the start.
    """

    id: str
    body: B
    sequence: int
    place: int
    replaces: str | None
    recorded_at: datetime


AnyRecord = Record[Clock] | Record[CheckIn] | Record[Handover] | Record[Waiver]


@dataclass(frozen=True, slots=True)
class Outline:
    """A clock without its facts: its `place` as a record has it, its kind, and whether it goes home without a case."""

    place: int
    kind: KindName
    movement_only: bool


@dataclass(frozen=True, slots=True)
class Step:
    """A handover without what was said at it."""

    at: datetime
    what: str


class Stepped(Protocol):
    """A handover, whole or only its step."""

    @property
    def at(self) -> datetime:
        """When."""

    @property
    def what(self) -> str:
        """Released, reopened, delivered, called or called-back."""


@dataclass(frozen=True, slots=True)
class Draft:
    """A fact to be written. `body` None takes `replaces` back; `id` None lets the book choose one."""

    body: Body | None
    replaces: str | None = None
    id: str | None = None


@dataclass(frozen=True, slots=True)
class ImportReport:
    """What an import did or, with `--check`, would do: rows read and facts new to the book, by file name."""

    rows: dict[str, int]
    added: dict[str, int]
    notes: tuple[str, ...]


M = TypeVar("M", bound=BaseModel)


def build(model: type[M], cells: dict[str, object]) -> M:
    """The fact that `cells` (column name to text or value) tell; raises BadValue with the column and its mend."""
    for name in _numbers(model):
        if "_" in str(cells.get(name, "")):  # 1_0 is a ten to Python, and a slip of the hand to anyone else
            raise BadValue(_sentence(model, {"type": "float_parsing", "loc": (name,), "msg": ""}, cells), column=name)
    try:
        return model(**cells)
    except ValidationError as error:
        first = error.errors()[0]
        column = str(first["loc"][0]) if first["loc"] else None
        raise BadValue(_sentence(model, first, cells), column=column) from None


@cache
def _numbers(model: type[BaseModel]) -> tuple[str, ...]:
    """The columns that hold numbers."""
    numeric = {int, float}
    return tuple(
        name
        for name, field in model.model_fields.items()
        if field.annotation in numeric or numeric & set(get_args(field.annotation))
    )


_PLAIN = {
    "missing": "is not given",
    "extra_forbidden": "is no column here",
    "float_parsing": "is not a number",
    "int_parsing": "is not a whole number",
    "int_from_float": "is not a whole number",
    "finite_number": "is not a finite number",
    "string_too_long": "is too long",
    "too_long": "is too long",
    "string_too_short": "is empty",
    "too_short": "is empty",
    "string_type": "is empty",
    "enum": "is not known",
    "literal_error": "is not known",
    "greater_than_equal": "is out of range",
    "greater_than": "is out of range",
    "less_than_equal": "is out of range",
    "less_than": "is out of range",
}


def _sentence(model: type[BaseModel], error: object, cells: dict[str, object]) -> str:
    first: dict[str, object] = dict(error)  # type: ignore[call-overload]  # pydantic's own TypedDict
    loc = first["loc"]
    column = str(loc[0]) if isinstance(loc, tuple) and loc else "the row"
    kind = str(first["type"])
    said = str(first["msg"]) if kind == "standwatch" else _PLAIN.get(kind, "can't be right")
    field = model.model_fields.get(column)
    mend = f"; {field.description}" if field and field.description else ""
    shown = cells.get(column)
    value = "" if shown is None or kind in {"missing", "extra_forbidden"} else f" {str(shown)!r}"
    joint = ": " if kind == "standwatch" else " "
    return f"{column}{value}{joint}{said}{mend}"
