"""The end of the morning round: what was not read, runs out, wants adjusting, may go; each with a key. Pure."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from standwatch.judge.assessment import Assessment, Need
from standwatch.model.text import natural
from standwatch.model.words import Standing, Work
from standwatch.service.round.plan import Round, State, wants_once_more
from standwatch.service.views import StandView

Why = Literal["not read", "stands still", "runs out", "suspect", "adjust", "may go", "read once more"]


@dataclass(frozen=True, slots=True)
class Ending:
    """One line of the round's end: why a clock is on it, and what to do, in a sentence and in two or three words."""

    why: Why
    tag: str
    slot: str
    text: str
    short: str


def ending_of(
    view: StandView, round_now: Round, now: datetime, *, newer: Mapping[str, Assessment] | None = None
) -> tuple[Ending, ...]:
    """What is left when the round is over: what was not read, runs out, wants adjusting, may go; by need.

    Of one clock the most needy reason is told.
    """
    told = [(newer or {}).get(a.tag, a) for a in view.assessments]
    states = {spot.tag: spot.state for spot in round_now.spots}
    found = []
    for assessment in told:
        why = _why_left(assessment, states[assessment.tag], now) if assessment.tag in states else None
        if why is not None:
            found.append((_RANK[why], assessment, why))
    found.sort(key=lambda each: (each[0], _slot_order(each[1])))
    return tuple(_ending(assessment, why) for _, assessment, why in found)


def _ending(assessment: Assessment, why: Why) -> Ending:
    slot, text, short = assessment.estimates.history.position, assessment.next.text, assessment.next.short
    if why == "read once more":
        text, short = "the pendulum was held", "read"
    elif why == "not read":
        text, short = ("seen going" if _seen_today(assessment) else ""), "read"
    return Ending(why, assessment.tag, slot, text, short)


_RANK: dict[Why, int] = {
    "not read": 0,
    "read once more": 1,
    "stands still": 2,
    "runs out": 3,
    "suspect": 4,
    "adjust": 5,
    "may go": 6,
}
_OF_NEED: dict[Need, Why] = {
    Need.STANDS_STILL: "stands still",
    Need.RUNS_OUT: "runs out",
    Need.SUSPECT: "suspect",
    Need.ADJUST: "adjust",
    Need.SLIPPED: "adjust",
}


def _slot_order(assessment: Assessment) -> tuple[object, ...]:
    position = assessment.estimates.history.position
    return not position, natural(position), natural(assessment.tag)


def _why_left(assessment: Assessment, state: State, now: datetime) -> Why | None:
    if wants_once_more(assessment, now):
        return "read once more"
    if state in {"to-do", "skipped", "going"}:
        return "not read"
    if assessment.standing is Standing.READY:
        return "may go"
    return _OF_NEED.get(assessment.need)


def _seen_today(assessment: Assessment) -> bool:
    history = assessment.estimates.history
    today = history.now.astimezone(history.zone).date()
    return any(v.at.astimezone(history.zone).date() == today for v in history.works(Work.SEEN_GOING))
