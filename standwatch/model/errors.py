"""What can go wrong, told to a person in one sentence: what, where, and the mend.

StandwatchError
├── BadValue        exit 4   a value that can't be, an unknown tag, bad input data
├── Refused         exit 3   a rule of the trade says no
└── BookUnusable    exit 5   the book's file can't be read or written
"""

from __future__ import annotations


class StandwatchError(Exception):
    """An error whose text is one whole sentence for the user. `exit_code` is the command's."""

    exit_code = 1


class BadValue(StandwatchError):
    """A value that can't be. `column` names the ledger's column where one is to blame."""

    exit_code = 4

    def __init__(self, sentence: str, *, column: str | None = None) -> None:
        super().__init__(sentence)
        self.column = column


class Refused(StandwatchError):
    """The trade's rules don't allow it; nothing was changed."""

    exit_code = 3


class BookUnusable(StandwatchError):
    """The book can't be used: not SQLite, locked, in a folder that can't be written, or newer than we are."""

    exit_code = 5
