"""What was learned, kept in a file from one start of the program to the next.

It may be thrown away at any time: it is then worked out again, from the facts, which takes some seconds in a book of
some hundred clocks. It is found by a digest of all that it rests on, and so never stands for other facts.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from standwatch import __version__
from standwatch.estimate.learned import Learned

EDITION = 1
"""Of the learning: another one learns anew."""
_KEPT = 8
"""So many lessons are kept: some books, looked at as of some weeks."""


def key_of(*rests_on: object) -> str:
    """A digest (SHA-256, in hex) of what a lesson rests on, of this program and its edition of learning."""
    return hashlib.sha256(repr((EDITION, __version__, rests_on)).encode()).hexdigest()


class Lessons:
    """The lessons in the file that `where` names, when it is first wanted. A file that can't be used is left alone."""

    def __init__(self, where: Callable[[], Path]) -> None:
        self._where = where

    def recall(self, key: str) -> Learned | None:
        """What was learned under `key`; None where that is not kept, or can't be read."""
        try:
            return _adapter().validate_python(self._read()[key])
        except (KeyError, ValidationError):
            return None

    def keep(self, key: str, learned: Learned) -> None:
        """Keep what was learned, if the file can be written."""
        kept = dict([*self._read().items(), (key, _adapter().dump_python(learned, mode="json"))][-_KEPT:])
        path = self._where()
        beside = path.with_name(f"{path.name}.{os.getpid()}")
        with suppress(OSError):
            path.parent.mkdir(parents=True, exist_ok=True)
            try:
                beside.write_text(json.dumps(kept), encoding="utf-8")
                beside.replace(path)
            finally:
                beside.unlink(missing_ok=True)  # of a full disk

    def _read(self) -> dict[str, object]:
        try:
            kept = json.loads(self._where().read_text(encoding="utf-8"))
        except (OSError, ValueError):
            return {}
        return kept if isinstance(kept, dict) else {}


@cache
def _adapter() -> TypeAdapter[Learned]:
    return TypeAdapter(Learned)
