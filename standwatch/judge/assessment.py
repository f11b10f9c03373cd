"""What is said of one clock at one time. Frozen; the faces only show it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import IntEnum
from typing import TYPE_CHECKING

from standwatch.judge.asked import asked_words
from standwatch.model.answers import Answer, Quantity
from standwatch.model.words import NextStep, Outcome, Requirement, Standing

if TYPE_CHECKING:  # a face shows its first lines before the estimators, and numpy, are loaded
    from standwatch.estimate.answers import Estimates
    from standwatch.estimate.going import Going

DONE = frozenset({Outcome.MET, Outcome.WAIVED, Outcome.NOT_APPLICABLE})
"""Outcomes that stand in no one's way."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """One requirement: outcome, what was observed against which limit (in the limit's unit), why, and when it could be.

    `because` is what a restorer would say. `earliest` is when it could be met if all goes on as it does; None where
    nothing more is wanted or no date can be told. `unit` is of `observed`, `limit` and `usual`, which is what the
    kind's own default asks: another number where the shop asks more or less, which `asked` says.
    """

    requirement: Requirement
    outcome: Outcome
    observed: Quantity | float | str | None
    limit: float | None
    because: str
    earliest: datetime | None = None
    unit: str = ""
    usual: float | None = None

    @property
    def asked(self) -> str:
        """ "limit 7 s/day (the kind's 10: stricter)"; empty where the kind's own default is asked."""
        return asked_words(self.requirement, self.limit, self.usual, self.unit)

    @property
    def told(self) -> str:
        """`because`, and what is asked where the kind's own default is another."""
        if not self.asked:
            return self.because
        return f"{self.because.removesuffix(f', limit {self.limit:g}')}; {self.asked}".removeprefix("; ")


@dataclass(frozen=True, slots=True)
class NextAction:
    """The one thing to do next: INTERFACES' code, a sentence, and two or three words for a narrow column."""

    code: NextStep
    text: str
    short: str


class Need(IntEnum):
    """Why a clock stands where it does in "who first", most needy first."""

    STANDS_STILL = 0
    RUNS_OUT = 1
    SLIPPED = 2
    SUSPECT = 3
    UNREAD = 4
    ADJUST = 5
    READY = 6
    REST = 7


@dataclass(frozen=True, slots=True)
class Assessment:
    """Everything a face shows of one clock. `error_s` is what a reading now would show, or why nobody can say."""

    estimates: Estimates
    going: Going
    standing: Standing
    need: Need
    next: NextAction
    verdicts: tuple[Verdict, ...]
    error_s: Answer
    chime_word: str
    days_held: float
    days_needed: float
    unread_today: bool
    earliest: datetime | None

    @property
    def tag(self) -> str:
        """The clock's tag."""
        return self.estimates.history.clock.tag

    def verdict(self, requirement: Requirement) -> Verdict:
        """The verdict on `requirement`."""
        return next(v for v in self.verdicts if v.requirement is requirement)
