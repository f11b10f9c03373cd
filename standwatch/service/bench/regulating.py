"""Regulating: whether to touch the nut, how far, what then; and what earlier turns were to do, and did."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace
from datetime import datetime
from typing import TYPE_CHECKING

from standwatch.estimate.answers import Estimates
from standwatch.estimate.breaks import Break
from standwatch.estimate.history import History
from standwatch.horology.pendulum import turn_s_per_day
from standwatch.judge.assessment import Assessment
from standwatch.judge.case import Case
from standwatch.judge.evidence import day_words, reading_from, time_words
from standwatch.judge.rate import LEAST_READINGS
from standwatch.judge.regulation import Advice, advise, nuts_since_opened, turn_effect
from standwatch.judge.settling import settled_round
from standwatch.judge.turns import PastTurn, past_turn
from standwatch.judge.wrong_way import WrongWay, wrong_way
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.units import round_to_doubt
from standwatch.service.views import StandView

if TYPE_CHECKING:
    from standwatch.service.assessing import Assessor

FINISH = "Finish in one direction, always the same: else the thread's play is in it."
"""Backlash (common practice)."""
_EIGHTHS_MOST, _EIGHTH_WITHIN = 3.0, 0.4
"""Eighths are told up to so many turns, and where they lie within so much of the doubt."""


@dataclass(frozen=True, slots=True)
class Regulation:
    """What is known of one clock's rate before its nut or index is touched.

    `rate` in s/day holds `named` ("at 20 °C", or ""), against `limit`. `turn` is what one turn towards faster does,
    in s/day, `taught` by how many told turns (0: by its length and thread). `what_next` is what to do now, in words.
    `other_way` is the last turn, where the clock then went the opposite way of what was told.
    """

    rate: Answer
    named: str
    limit: float | None
    advice: Advice | NotYetKnown
    bob: bool
    turn: Answer
    taught: int
    what_next: str
    other_way: WrongWay | None


def regulation_of(told: Assessment, view: StandView) -> Regulation:
    """Whether to touch the nut of a clock, as the stand was worked out."""
    estimates = told.estimates
    history, effect = estimates.history, turn_effect(estimates)
    return Regulation(
        rate=estimates.time.rate,
        named=estimates.time.rate_named,
        limit=history.traits.mean_rate_limit,
        advice=advise(estimates),
        bob=history.traits.oscillator == "pendulum",
        turn=NotYetKnown("what one does is not learned yet: move it a little and log how much")
        if effect is None
        else Quantity.normal(*effect),
        taught=_taught(estimates),
        what_next=_what_next(Case(estimates, told.going, view.shop.rounds)),
        other_way=wrong_way(estimates),
    )


def _taught(estimates: Estimates) -> int:
    """How many turns have taught what one does; 0 as long as that stands where the thread puts it."""
    effect, thread = turn_effect(estimates), turn_s_per_day(estimates.history.clock, estimates.history.traits)
    if effect is None or (thread is not None and math.isclose(effect[1], thread[1], rel_tol=0.01)):
        return 0
    return sum(bool(nut.amount) for nut in nuts_since_opened(estimates))


def _what_next(case: Case) -> str:
    """What to do with the clock now: read it once more, let it settle, wait for readings, or turn."""
    hangs = case.going.hangs
    if hangs is not None:
        first = "set it going" if hangs.explained or hangs.in_time else "explain its stop"
        return f"It stands still: {first} first; its nut is judged once it goes."
    history = case.history
    opened = [step for step in history.breaks if step.opens_rate]
    parts = []
    if opened and not any((r.at, r.order) > (opened[-1].at, opened[-1].order) for r in history.readings):
        held = (
            "its pendulum was held meanwhile"
            if history.traits.oscillator == "pendulum"
            else "its error may have stepped"
        )
        parts.append(f"read it once more now: {held}")
    settled = settled_round(case)
    if settled is not None and settled > case.now:
        parts.append(f"it settles until the round of {time_words(case, settled)}")
    lacking = LEAST_READINGS - case.estimates.time.readings_since_rate_opened
    if lacking > 0 and not history.traits.reference:
        at = reading_from(case, settled or case.now)
        for _ in range(lacking - 1):
            at = case.rounds.next_after(at)
        parts.append(f"read each round, its nut can be judged about {day_words(case, at)}")
    if not parts:
        turn = isinstance(advise(case.estimates), Advice)
        parts.append(
            "turn it, then read it once more and let it settle" if turn else "leave it, and read it each round"
        )
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}."


def told_turns(advice: Advice) -> tuple[str, str]:
    """How far, without its sign, and the doubt: as a person turns it."""
    return round_to_doubt(abs(advice.turns.estimate), advice.turns.doubt, most_decimals=2)


def eighths(turns: float, doubt: float) -> str:
    """ "3/8", "1 1/4": turns to the nearest eighth, where that is well within the doubt; else empty."""
    count = round(abs(turns) * 8)
    if count == 0 or abs(turns) > _EIGHTHS_MOST or abs(count / 8 - abs(turns)) > _EIGHTH_WITHIN * doubt:
        return ""
    whole, part = divmod(count, 8)
    if part == 0:
        return str(whole)
    shared = math.gcd(part, 8)
    fraction = f"{part // shared}/{8 // shared}"
    return f"{whole} {fraction}" if whole else fraction


@dataclass(frozen=True, slots=True)
class Turned:
    """A turn as typed: `turns`, + raises the bob or goes towards faster, None: not known; or what is wrong with it."""

    turns: float | None
    problem: str = ""


_TURNS = re.compile(r"([+-]?)(?:(\d+(?:\.\d+)?)|(?:(\d+)\s+)?(\d+)/(\d+))")


def read_turns(text: str, advice: Advice | NotYetKnown) -> Turned:
    """What "0.3", "-0.5", "3/8", "1 1/4" or "?" says. Without a sign it went the way that was advised.

    Where nothing was advised the sign must be given: nobody guesses which way a nut was turned.
    """
    plain = text.strip().replace("−", "-")
    if plain == "?":
        return Turned(None)
    found = _TURNS.fullmatch(plain)
    if not found or found[5] == "0":
        return Turned(
            None,
            "turns, such as 0.3 or 3/8; ? where nobody knows how far"
            if not plain
            else f"{text}: not understood; 0.3, 3/8 or 1 1/4 turns, + faster, - slower; ? where nobody knows",
        )
    size = float(found[2]) if found[2] else int(found[3] or 0) + int(found[4]) / int(found[5])
    if size == 0:
        return Turned(None, "no turn at all: nothing to keep; Esc leaves")
    if found[1]:
        return Turned(size if found[1] == "+" else -size)
    if isinstance(advice, NotYetKnown):
        return Turned(None, f"which way? +{plain} towards faster, -{plain} towards slower")
    return Turned(math.copysign(size, advice.turns.estimate))


def agreement(turn: PastTurn) -> str:
    """How a turn's outcome stands to what was expected: "as expected", or by how much it went otherwise; else empty."""
    if isinstance(turn.predicted, NotYetKnown) or isinstance(turn.became, NotYetKnown):
        return ""
    off = turn.became.estimate - turn.predicted.estimate
    if abs(off) <= math.hypot(turn.became.doubt, turn.predicted.doubt):
        return "as expected"
    return f"{abs(off):.0f} {'faster' if off > 0 else 'slower'} than expected"


def past_turns(office: Assessor, tag: str, now: datetime) -> tuple[PastTurn, ...]:
    """Every turn since the clock was last opened, oldest first: the rate predicted then, and what it became."""
    estimates = office.assess(tag, now).estimates
    history = estimates.history
    opened = [step for step in history.breaks if step.opens_rate]
    found = []
    for nut in nuts_since_opened(estimates):
        after = next((step for step in opened if (step.at, step.order) > (nut.at, nut.order)), None)
        before = office.estimates(_before(office, history, nut), now)
        later = estimates
        if after is not None:
            later = office.estimates(_before(office, history, after), now)
        found.append(past_turn(nut.at, nut.amount, before, later))
    return tuple(found)


def _before(office: Assessor, history: History, step: Break) -> History:
    """The clock as it was just before `step`, with what is known of its neighbours since."""
    return replace(office.history_before(history.clock.tag, _row(history, step)), common=history.common)


def _row(history: History, step: Break) -> str:
    """The id of the row whose work `step` is."""
    return next(visit.id for visit in history.visits if (visit.at, visit.order) == (step.at, step.order))
