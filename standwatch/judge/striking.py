"""Twelve counts: each hour heard right, and one that was wrong heard right twice."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

from standwatch.estimate.history import Visit
from standwatch.estimate.miscounts import what_to_try
from standwatch.judge.assessment import Verdict
from standwatch.judge.case import Case
from standwatch.judge.evidence import counted, day_words, listed, met, missed, not_applicable, not_yet
from standwatch.judge.sounding import HOURS, closed_words, strokes
from standwatch.model.words import Requirement, Train, Work


def hours_to_hear(case: Case) -> tuple[int, ...]:
    """The hours still to be heard right, 1 to 12; those wanted twice stand there until they are."""
    return _heard(case).left


def twelve_counts(case: Case) -> Verdict:
    """Every hour heard right since the strike was last put right, and none wrong."""
    name = Requirement.TWELVE_COUNTS
    if Train.STRIKE not in case.traits.trains:
        return not_applicable(name, "does not strike")
    heard = _heard(case)
    number = float(12 - len(heard.left))
    if heard.wrong:
        return missed(name, number, 12.0, _wrong_words(case, heard))
    if not heard.left:
        return met(name, number, 12.0, f"each hour heard: {none_wrong_words(heard.right.total())}{_still_on(case)}")
    return not_yet(name, number, 12.0, _missing(case, heard), case.now)


def strikes_heard(case: Case) -> tuple[int, int]:
    """How many hours were heard strike since the counts last began, staged ones too, and how many of them wrong."""
    heard = _heard(case)
    return heard.right.total() + len(heard.wrong), len(heard.wrong)


def none_wrong_words(strikes: int) -> str:
    """What `strikes` heard without a wrong one, three or more, still allow, by `estimate.shares.rule_of_three`."""
    return f"{strikes} strikes and none wrong, which still allows 1 wrong in {strikes // 3} (95 %)"


@dataclass(slots=True)
class _Heard:
    """Since the strike was last put right: how often each hour was heard right, the counts that were wrong, all visits.

    `again` are the hours that were wrong before it was put right.
    """

    right: Counter[int] = field(default_factory=Counter)
    wrong: list[Visit] = field(default_factory=list)
    since: list[Visit] = field(default_factory=list)
    again: set[int] = field(default_factory=set)

    @property
    def left(self) -> tuple[int, ...]:
        return tuple(h for h in range(1, 13) if self.right[h] < (2 if h in self.again else 1))


def _heard(case: Case) -> _Heard:
    """What was counted; a half-hour blow has no hour and counts for none."""
    heard = _Heard()
    for visit in case.history.since_opened:
        hour, blows = visit.row.hour, visit.row.blows
        heard.since.append(visit)
        if hour is not None and blows is not None:
            if hour == blows:
                heard.right[hour] += 1
            else:
                heard.wrong.append(visit)
        if visit.work is Work.STRIKE_SET:
            wrong = {visit.row.hour for visit in heard.wrong if visit.row.hour is not None}
            heard = _Heard(again=heard.again | wrong)
    return heard


def _wrong_words(case: Case, heard: _Heard) -> str:
    last = heard.wrong[-1]
    hour = HOURS[(last.row.hour or 12) - 1]
    struck = f"struck {last.row.blows} at {hour}" if last.row.blows else f"did not strike {hour}"
    advice = what_to_try(heard.since, half_hour=case.traits.half_hour)
    return f"{struck} on {day_words(case, last.at)}: {advice}; once put right, hear {hour} twice"


def _still_on(case: Case) -> str:
    """A reminder of hours that were shifted to hear them, and not put back: by twelve they are right again."""
    on = round(sum(visit.row.amount or 0.0 for visit in case.history.works(Work.HOURS_SHIFTED))) % 12
    return f"; the hands are still {counted(on, 'hour')} on, put them right before it goes" if on else ""


def _missing(case: Case, heard: _Heard) -> str:
    left = heard.left
    if len(left) > 4:
        return f"{12 - len(left)} of 12 heard"
    more = {h: " once more" if heard.right[h] else " twice" for h in heard.again}
    text = f"{listed([HOURS[h - 1] + more.get(h, '') for h in left])} unheard"
    closed = closed_words(strokes(case), left, case.traits)
    return f"{text}; {closed}" if closed else text
