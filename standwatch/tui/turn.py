"""One clock's turn in the round: what is asked now, what has been told, and what a key makes of it. Pure.

A turn is never changed: each key gives another, so that to take back is to go back to the one before.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, datetime
from typing import Literal

from standwatch.judge.assessment import Assessment
from standwatch.service.readings import fallen_mm
from standwatch.service.round import crossing as crossings
from standwatch.service.round.asking import HUNG_DIAL, WHEN, WHICH, Wanted, weights_hung
from standwatch.service.round.crossing import Crossing, Reading
from standwatch.service.round.plan import Reckoned, State, hung_row, ran_out_likely
from standwatch.service.round.surprise import Surprise
from standwatch.service.views import Receipt

Stage = Literal["hand", "figure", "found", "surprise", "when", "hung"]

MARK_OF_FIGURE = {"6": 0, "0": 0, "1": 15, "3": 30, "4": 45}
"""The first figure of 60, 15, 30 and 45."""


class Fact:
    """A fact that is being written: its id once it is in the book, and what follows."""

    def __init__(self, known: str = "") -> None:
        self.id = known
        self.receipt: Receipt | None = None
        self.problem = ""


@dataclass
class RoundMemory:
    """What is remembered of a day's round while the program runs: what was passed over, and whether the bell rings."""

    day: date | None = None
    skipped: set[str] = field(default_factory=set)
    cool: set[str] = field(default_factory=set)
    bell: bool = False
    newer: dict[str, Assessment] = field(default_factory=dict)
    """Clocks as they were worked out after the last key, until the stand is."""
    marks: dict[str, State] = field(default_factory=dict)
    """What the last keys told of clocks, until it is in the book."""

    kept: dict[str, Reckoned] = field(default_factory=dict)
    """What each clock's assessment gives for the round."""

    def on(self, day: date) -> RoundMemory:
        """The memory of `day`: nothing is passed over at its beginning."""
        if self.day != day:
            self.day, self.skipped, self.cool = day, set(), set()
        return self


@dataclass(frozen=True, slots=True)
class Turn:
    """What is asked of one clock and what was told so far.

    `before` is the clock as it was worked out before this morning's first press. `asked` are the figures beside the
    dial, `taken` what was typed for each (empty: passed over), in order; `typed` what stands in the bed now.
    `asked_whole`: the whole dial time will be asked. `answered` is what an answer to a surprise did.
    """

    tag: str
    before: Assessment
    stage: Stage = "hand"
    crossing: Crossing | None = None
    reading: Reading | None = None
    fact: Fact = field(default_factory=Fact)
    again: bool = False
    first: tuple[Reading, Fact] | None = None
    asked: tuple[Wanted, ...] = ()
    taken: tuple[str, ...] = ()
    typed: str = ""
    answered: str = ""
    asked_whole: bool = False

    @property
    def wanted(self) -> Wanted | None:
        """The figure that is asked now; None where none is."""
        if self.stage == "when":
            return WHEN
        if self.stage not in {"found", "hung"} or len(self.taken) >= len(self.asked):
            return None
        return self.asked[len(self.taken)]

    @property
    def blind(self) -> bool:
        """Nothing that was expected may be seen yet."""
        return self.stage in {"hand", "figure", "hung"}

    @property
    def surprise(self) -> Surprise | None:
        """What its ready answers are about."""
        if self.reading is None:
            return None
        history = self.before.estimates.history
        if self.first is None:
            return Surprise(history, self.reading, self.fact.id)
        return Surprise(history, self.reading, self.fact.id, self.first[0], self.first[1].id)

    def pressed(self, at: datetime) -> Turn:
        """The hand crosses."""
        crossing = crossings.crossed(self.before, at, again=self.again)
        return replace(self, stage="figure", crossing=crossing, reading=None, typed="", fact=Fact())

    def figure(self, key: str) -> Turn:
        """A figure after a press: of the minute, of the whole dial, or of the mark."""
        crossing = self.crossing
        if crossing is None:
            return self
        match crossing.wants:
            case "figure":
                crossing = crossings.with_figure(crossing, int(key))
            case "mark":
                if key not in MARK_OF_FIGURE:
                    return self
                crossing = crossings.with_mark(crossing, MARK_OF_FIGURE[key])
            case "dial":
                typed = self.typed + key
                if not crossings.dial_complete(typed):
                    return replace(self, typed=typed[:4])
                return replace(self, typed=typed).dial_told()
            case None:
                return self
        return replace(self, crossing=crossing)

    def dial_told(self) -> Turn:
        """The whole dial is typed; the turn itself where no dial shows that."""
        told = None if self.crossing is None else crossings.with_dial(self.crossing, self.typed)
        return self if told is None else replace(self, crossing=told, typed="")

    def read(self, reference_doubt_s: float) -> Turn:
        """Everything of the reading is told: work it out."""
        if self.crossing is None or self.crossing.wants is not None:
            return self
        reading = crossings.read(self.crossing, self.before.estimates.history, reference_doubt_s=reference_doubt_s)
        # a second look is always answered: it tells what the first was
        surprising = reading.surprise or self.first is not None
        return replace(self, stage="surprise" if surprising else "found", reading=reading, fact=Fact())

    def look_again(self) -> Turn:
        """A second look: what was read is the first."""
        if self.reading is None:
            return self
        return replace(self, stage="hand", again=True, first=(self.reading, self.fact), crossing=None, reading=None)

    def asking(self, asked: tuple[Wanted, ...]) -> Turn:
        """The figures beside the dial are asked now."""
        return replace(self, stage="found", asked=asked, taken=(), typed="")

    def found_hanging(self, fact: Fact) -> Turn:
        """It stands still: its dial and weights are asked, and whether it ran out."""
        history = self.before.estimates.history
        asked = (HUNG_DIAL, *weights_hung(history), WHICH)
        return replace(self, stage="hung", fact=fact, asked=asked, taken=(), typed="", crossing=None, reading=None)

    def hangs_untold(self) -> Turn:
        """It was found hanging before, and nobody has told its dial and weights: what is missing is asked."""
        hangs = self.before.going.hangs
        row = None if hangs is None else hung_row(self.before, hangs)
        if hangs is None or row is None:
            return self
        weights = weights_hung(self.before.estimates.history)
        asked = (
            *(() if row.row.dial else (HUNG_DIAL,)),
            *(w for w in weights if w.train and row.row.fall_mm(w.train) is None),
        )
        return replace(self, stage="hung", fact=Fact(hangs.id), asked=asked, taken=(), typed="")

    def type(self, key: str) -> Turn:
        """One more figure, or a point, in the bed."""
        return replace(self, typed=(self.typed + key)[:7])

    def rub_out(self) -> Turn:
        """The last figure in the bed is taken away."""
        return replace(self, typed=self.typed[:-1])

    def took(self) -> Turn:
        """What is typed is taken (nothing: passed over), and the next figure is asked."""
        return replace(self, taken=(*self.taken, self.typed), typed="")


def typing(turn: Turn) -> bool:
    """Whether a figure is being typed into which a point can go."""
    return turn.wanted is not None and bool(turn.typed) and "." not in turn.typed


def ran_out(turn: Turn, now: datetime) -> bool:
    """Whether a clock found hanging looks run out, by the weights that were read and when it was due."""
    falls: dict[str, float] = {}
    history = turn.before.estimates.history
    for wanted, typed in zip(turn.asked, turn.taken, strict=False):
        if wanted.what == "weight" and wanted.train is not None and typed:
            falls[wanted.train] = fallen_mm(history.clock, wanted.train, float(typed))
    return ran_out_likely(turn.before, now, falls)
