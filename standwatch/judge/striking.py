"""Twelve counts: each hour heard right, and one that was wrong heard right twice."""

from __future__ import annotations

from collections import Counter

from standwatch.judge.assessment import Verdict
from standwatch.judge.case import Case
from standwatch.judge.evidence import day_words, listed, met, missed, not_applicable, not_yet
from standwatch.model.words import Requirement, Train, Work

HOURS = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")


def hours_to_hear(case: Case) -> tuple[int, ...]:
    """The hours still to be heard right, 1 to 12; those wanted twice stand there until they are."""
    right, _, again = _heard(case)
    return tuple(h for h in range(1, 13) if right[h] < (2 if h in again else 1))


def twelve_counts(case: Case) -> Verdict:
    """Every hour heard right since the strike was last put right, and none wrong."""
    name = Requirement.TWELVE_COUNTS
    if Train.STRIKE not in case.traits.trains:
        return not_applicable(name, "does not strike")
    right, wrong, again = _heard(case)
    left = hours_to_hear(case)
    number = float(12 - len(left))
    if wrong:
        hour, blows, day = wrong[-1]
        because = (
            f"struck {blows} at {HOURS[hour - 1]} on {day}: put the strike right, then hear {HOURS[hour - 1]} twice"
        )
        return missed(name, number, 12.0, because)
    if not left:
        return met(name, number, 12.0, "each hour heard")
    return not_yet(name, number, 12.0, _missing(left, right, again), case.now)


def _heard(case: Case) -> tuple[Counter[int], list[tuple[int, int, str]], set[int]]:
    """Since the strike was last put right: hours heard right, counts heard wrong; and the hours that were wrong before.

    A half-hour blow has no hour and counts for none.
    """
    right: Counter[int] = Counter()
    wrong: list[tuple[int, int, str]] = []
    again: set[int] = set()
    for visit in case.history.since_opened:
        hour, blows = visit.row.hour, visit.row.blows
        if hour is not None and blows is not None:
            if hour == blows:
                right[hour] += 1
            else:
                wrong.append((hour, blows, day_words(case, visit.at)))
        if visit.work is Work.STRIKE_SET:
            again |= {hour for hour, _, _ in wrong}
            right, wrong = Counter(), []
    return right, wrong, again


def _missing(left: tuple[int, ...], right: Counter[int], again: set[int]) -> str:
    if len(left) > 4:
        return f"{12 - len(left)} of 12 heard"
    more = {h: " once more" if right[h] else " twice" for h in again}
    names = listed([HOURS[h - 1] + more.get(h, "") for h in left])
    how = ": shift the hours once, or stage it by hand" if left == (7,) else ""
    return f"{names} unheard{how}"
