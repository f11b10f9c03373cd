"""The chime: in step at each quarter and over five mornings, every tune and silent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise

from standwatch.estimate.history import History, Visit
from standwatch.horology.rounds import Rounds
from standwatch.judge.assessment import Verdict
from standwatch.judge.case import Case
from standwatch.judge.evidence import counted, day_words, listed, met, missed, not_applicable, not_yet
from standwatch.judge.provoking import provoked
from standwatch.model.words import Chime, Requirement, Train, Work

MORNINGS = 5
QUARTERS = frozenset({1, 2, 3, 4})


def chime_step(case: Case) -> Verdict:
    """In step at every quarter and on five mornings since it was last put right, with no slip that nothing provoked."""
    name, limit = Requirement.CHIME_STEP, float(MORNINGS)
    if Train.CHIME not in case.traits.trains:
        return not_applicable(name, "does not chime")
    heard = _heard_since_set(case.history)
    in_step = [v for v in heard if v.row.chime is Chime.IN_STEP]
    days = {v.at.astimezone(case.history.zone).date() for v in in_step}
    number = float(min(len(days), MORNINGS))
    slip = slipped(case)
    if slip is not None:
        again = ", though in step again since" if heard[-1].row.chime is Chime.IN_STEP else ""
        because = (
            f"out of step on {day_words(case, slip.at)} and nobody touched it: a slip, until it is put right{again}"
        )
        return missed(name, number, limit, because)
    still = unexplained_silence(case)
    if still is not None:
        because = f"did not sound on {day_words(case, still.at)}: explain it, or put the chime right"
        return not_yet(name, number, limit, because, _mornings_from_now(case, MORNINGS, set()))
    quarters = quarters_to_hear(case)
    if not quarters and len(days) >= MORNINGS:
        return met(name, number, limit, f"each quarter heard, {counted(len(days), 'morning')} in step")
    because = f"{len(days)} of {MORNINGS} mornings in step"
    if quarters:
        because += f"; {_quarter_words(quarters)} unheard"
    return not_yet(name, number, limit, because, _mornings_from_now(case, MORNINGS - len(days), days))


def slipped(case: Case) -> Visit | None:
    """The last slip since the chime was put right: heard out of step, and nothing provoked it."""
    out = [v for v in _heard_since_set(case.history) if v.row.chime is Chime.OUT_OF_STEP]
    return next((v for v in reversed(out) if not provoked(case.history, v)), None)


def unexplained_silence(case: Case) -> Visit | None:
    """The first time since the chime was put right that it should have sounded and didn't, and nobody said why."""
    return next(iter(_silences(case.history)), None)


def silences_told(history: History) -> tuple[tuple[str, str], ...]:
    """Each time the chime should have sounded and didn't, and nobody said why: a sentence, and how to explain it."""
    told = [(visit.id, visit.at.astimezone(history.zone)) for visit in _silences(history)]
    return tuple(
        (
            f"the chime should have sounded {at:%a} {at.day} {at:%b %H:%M} and didn't",
            f"once its cause is known: standwatch correct {fact} explained=yes note='what it was'",
        )
        for fact, at in told
    )


def _silences(history: History) -> list[Visit]:
    heard = _heard_since_set(history)
    return [v for v in heard if v.row.chime is Chime.NOT_RUNNING and not v.row.explained]


def quarters_to_hear(case: Case) -> tuple[int, ...]:
    """The quarters not yet heard in step since the chime was put right."""
    heard = {v.row.quarter for v in _heard_since_set(case.history) if v.row.chime is Chime.IN_STEP}
    return tuple(sorted(QUARTERS - heard))


def last_heard(case: Case) -> Visit | None:
    """The last time the chime was listened to since it was put right."""
    heard = _heard_since_set(case.history)
    return heard[-1] if heard else None


def tunes(case: Case) -> Verdict:
    """Each tune in step at four quarters, and silent with a return from it."""
    name, names = Requirement.TUNES, case.history.clock.tune_names
    if Train.CHIME not in case.traits.trains or not names:
        return not_applicable(name, "no tunes to choose")
    limit = float(len(names) + 1)
    left = positions_left(case)
    number = limit - len(left)
    if not left:
        return met(name, number, limit, "each tune and silent, with the return")
    told = [n for n in left if n]
    words = [f"{tune_words(case, told)}, four quarters{' each' if len(told) > 1 else ''}"] if told else []
    words += ["silent with the return from it"] if 0 in left else []
    return not_yet(name, number, limit, f"to hear: {'; '.join(words)}", case.now)


def tune_words(case: Case, positions: Sequence[int]) -> str:
    """ "Larkspur", "Larkspur and Mill": tunes by their places on the selector, from 1."""
    return listed([case.history.clock.tune_names[n - 1] for n in positions])


def quarters_left_of(case: Case, position: int) -> tuple[int, ...]:
    """The quarters still to be heard of the tune at `position`; if it is on, less those heard since it was chosen."""
    turns = turns_heard(case)
    heard = turns[-1].quarters if turns and turns[-1].position == position else frozenset()
    return tuple(sorted(QUARTERS - heard))


def positions_left(case: Case) -> tuple[int, ...]:
    """The selector's positions still to be shown: tunes from 1, then 0 for silent."""
    turns = turns_heard(case)
    done = {t.position for t in turns if t.position and t.quarters >= QUARTERS}
    if any(a.silent and b.position and b.in_step for a, b in pairwise(turns) if a.position == 0):
        done.add(0)
    wanted = [*range(1, len(case.history.clock.tune_names) + 1), 0]
    return tuple(n for n in wanted if n not in done)


def silent_set(case: Case) -> bool:
    """Whether the selector stands on silent, as far as the facts tell."""
    turns = turns_heard(case)
    return bool(turns) and turns[-1].position == 0


@dataclass(frozen=True, slots=True)
class Turn:
    """What was heard from one turn of the selector to the next; position None where it wasn't told."""

    position: int | None
    quarters: frozenset[int]
    in_step: bool
    silent: bool


def turns_heard(case: Case) -> list[Turn]:
    """The selector's turns in order; turns that leave it on silent are one."""
    positions: list[int | None] = []
    heard: list[list[Visit]] = []
    for visit in case.history.since_opened:
        if heard and visit.row.chime is not None:
            heard[-1].append(visit)
        if visit.work is Work.TUNE:
            position = None if visit.row.amount is None else int(visit.row.amount)
            if not (positions and position == 0 == positions[-1]):
                positions.append(position)
                heard.append([])
    turns = []
    for position, visits in zip(positions, heard, strict=True):
        right = [v for v in visits if v.row.chime is Chime.IN_STEP]
        turns.append(
            Turn(
                position,
                frozenset(v.row.quarter for v in right if v.row.quarter is not None),
                bool(right),
                any(v.row.chime is Chime.SILENT for v in visits),
            )
        )
    return turns


def _heard_since_set(history: History) -> list[Visit]:
    heard: list[Visit] = []
    for visit in history.since_opened:
        if visit.row.chime is not None:
            heard.append(visit)
        if visit.work is Work.CHIME_SET:
            heard = []
    return heard


def _mornings_from_now(case: Case, missing: int, days: set[date]) -> datetime:
    """When the last of so many further mornings can be heard; today counts, where nothing was heard today."""
    at, left = case.now, missing
    zone = case.history.zone
    if case.now.astimezone(zone).date() not in days and _open_today(case.rounds, case.now):
        left -= 1
    today = case.now.astimezone(zone).date()
    for _ in range(max(0, left)):
        at = case.rounds.next_after(at)
        while at.astimezone(zone).date() == today:  # today's round is to come, and today is counted already
            at = case.rounds.next_after(at)
    return at


def _open_today(rounds: Rounds, now: datetime) -> bool:
    return rounds.is_open(now.astimezone(rounds.zone).date())


def _quarter_words(quarters: tuple[int, ...]) -> str:
    return f"{'quarter' if len(quarters) == 1 else 'quarters'} {listed([str(q) for q in quarters])}"
