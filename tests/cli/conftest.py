from __future__ import annotations

import io
import json
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest

from standwatch.bootstrap import house
from standwatch.cli.main import run
from tests.shop import NOW


@dataclass(frozen=True)
class Told:
    """What one run of the command line said."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> Any:
        """The one JSON document on stdout."""
        return json.loads(self.out)


@dataclass(frozen=True)
class Program:
    """The whole program, run in this process on a real book."""

    book: Path

    def __call__(self, *arguments: object, now: datetime | str | None = NOW, code: int = 0) -> Told:
        words = [str(word) for word in arguments]
        common = ["--book", str(self.book)]
        if now is not None:
            common += ["--now", now if isinstance(now, str) else now.isoformat()]
        out, err = io.StringIO(), io.StringIO()
        with redirect_stdout(out), redirect_stderr(err):
            left = run(house(), [*common, *words])
        told = Told(left, out.getvalue(), err.getvalue())
        assert left == code, f"{words}: exit {left}\n{told.out}\n{told.err}"
        return told


@pytest.fixture
def program(tmp_path: Path) -> Program:
    """The program on a book of its own that isn't there yet, in a shop in London."""
    return Program(tmp_path / "book.sqlite")
