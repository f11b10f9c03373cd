"""Everything that is said of one clock, and the order in which clocks want somebody."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from standwatch.estimate.answers import Estimates
from standwatch.estimate.going import Going
from standwatch.horology.rounds import Rounds
from standwatch.judge.assessment import DONE, Assessment, Verdict
from standwatch.judge.case import Case
from standwatch.judge.chiming import last_heard
from standwatch.judge.evidence import day_words
from standwatch.judge.next_step import first_step
from standwatch.judge.phases import CALL_DAYS
from standwatch.judge.situation import Situation, situation_of
from standwatch.judge.standing import standing_of
from standwatch.judge.stopping import ran_down
from standwatch.model.answers import Answer, NotYetKnown
from standwatch.model.text import natural
from standwatch.model.words import Chime, Train


def assess(estimates: Estimates, going: Going, rounds: Rounds, calls: Sequence[int] = CALL_DAYS) -> Assessment:
    """The assessment of one clock as of its history's `now`; `calls` are the shop's days after delivery."""
    case = Case(estimates, going, rounds)
    situation = situation_of(case, calls)
    need, action = first_step(situation)
    return Assessment(
        estimates=estimates,
        going=going,
        standing=standing_of(situation),
        need=need,
        next=action,
        verdicts=situation.verdicts,
        error_s=_error_now(case),
        chime_word=_chime_word(situation),
        days_held=going.days,
        days_needed=case.traits.least_days,
        unread_today=situation.unread,
        earliest=_earliest(situation.verdicts),
    )


def who_first(assessments: Iterable[Assessment]) -> tuple[Assessment, ...]:
    """The clocks in the order in which they want somebody: by need, then slot, then tag."""
    return tuple(sorted(assessments, key=_place))


def _place(assessment: Assessment) -> tuple[object, ...]:
    history = assessment.estimates.history
    return assessment.need, not history.position, natural(history.position), natural(assessment.tag)


def _error_now(case: Case) -> Answer:
    hangs, home = case.going.hangs, case.history.home_since
    if home is not None and case.estimates.home is not None:
        return case.estimates.home.reading_at(case.now)
    if home is not None:
        return NotYetKnown(f"at its owner's since {day_words(case, home)}")
    if hangs is None:
        return case.estimates.time.reading_at(case.now)
    what = "ran out" if ran_down(case.history, hangs) else "stopped"
    return NotYetKnown(f"{what}, found {day_words(case, hangs.found_at)}")


def _chime_word(situation: Situation) -> str:
    """What the chime does, in five cells."""
    case = situation.case
    if Train.CHIME not in case.traits.trains or case.traits.reference:
        return "–"
    heard = last_heard(case)
    if heard is None or heard.row.chime is None:
        return "·"
    words = {Chime.IN_STEP: "in", Chime.OUT_OF_STEP: "off", Chime.SILENT: "silent", Chime.NOT_RUNNING: "none"}
    word = words[heard.row.chime]
    return "slip" if situation.slipped and word == "in" else word[:6]


def _earliest(verdicts: Iterable[Verdict]) -> datetime | None:
    """When the last of what is open could be known; None where nothing is open, or one has no date."""
    dates = [v.earliest for v in verdicts if v.outcome not in DONE]
    known = [date for date in dates if date is not None]
    return max(known) if known and len(known) == len(dates) else None
