"""The chime: in step at each quarter and over five mornings, right again after a mis-set, every tune and silent."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise, zip_longest

from standwatch.estimate.history import History, Visit
from standwatch.horology.rounds import Rounds
from standwatch.judge.assessment import Verdict
from standwatch.judge.case import Case
from standwatch.judge.evidence import counted, day_words, listed, met, missed, not_applicable, not_yet
from standwatch.judge.provoking import ALLOWED, provoked
from standwatch.model.words import Chime, Outcome, Requirement, Train, Work

MORNINGS = 5
TRIES = (1, 2, 3)
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


def mis_set(case: Case) -> Verdict:
    """Set one, two and three quarters out on purpose: in step by the second hour, each time."""
    name, limit = Requirement.MIS_SET, float(len(TRIES))
    if Train.CHIME not in case.traits.trains:
        return not_applicable(name, "does not chime")
    if not case.traits.self_correcting:
        return not_applicable(name, "does not correct itself")
    outcomes = tries(case)
    right = [n for n in TRIES if outcomes.get(n) is Outcome.MET]
    number = float(len(right))
    failed = [str(n) for n in TRIES if outcomes.get(n) is Outcome.MISSED]
    if failed:
        one = failed == ["1"]
        out = f"{listed(failed)} {'quarter' if one else 'quarters'} out"
        because = f"still out of step two hours after it was set {out}: put it right and try again"
        return missed(name, number, limit, because)
    left = tries_left(case)
    if not left:
        return met(name, number, limit, "right by the second hour, all three")
    out = f"{listed([str(n) for n in left])} {'quarter' if left == (1,) else 'quarters'} out"
    because = f"{len(right)} of {len(TRIES)} passes; {out} to try"
    return not_yet(name, number, limit, because, _tried(case, len(left)))


def tries_left(case: Case) -> tuple[int, ...]:
    """The mis-sets that have not shown the chime right yet."""
    outcomes = tries(case)
    return tuple(n for n in TRIES if outcomes.get(n) is not Outcome.MET)


def try_running(case: Case) -> Visit | None:
    """The mis-set whose two hours have not passed, that nothing was heard of yet and nobody put right."""
    tried = [v for v in case.history.since_opened if v.work in {Work.MIS_SET, Work.CHIME_SET}]
    if not tried or tried[-1].work is Work.CHIME_SET or case.now - tried[-1].at > ALLOWED:
        return None
    return tried[-1] if _outcome_of_try(case, tried[-1], None) is Outcome.NOT_YET_KNOWN else None


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


def tries(case: Case) -> dict[int, Outcome]:
    """What the last try of each number of quarters showed; one that nobody listened to takes no pass away."""
    tried = [v for v in case.history.since_opened if v.work is Work.MIS_SET]
    outcomes: dict[int, Outcome] = {}
    for visit, following in zip_longest(tried, tried[1:]):
        if visit.row.amount is not None:
            quarters, outcome = int(visit.row.amount), _outcome_of_try(case, visit, following)
            if outcome is not Outcome.NOT_YET_KNOWN or outcomes.get(quarters) is not Outcome.MET:
                outcomes[quarters] = outcome
    return outcomes


def _outcome_of_try(case: Case, tried: Visit, following: Visit | None) -> Outcome:
    """Right if heard in step within two hours; failed if out of step after them, unless something else explains it.

    What was heard in the row of the next try is as found before it. Put right from outside, it shows nothing more.
    """
    after = [
        v
        for v in case.history.since_opened
        if (v.at, v.order) > (tried.at, tried.order)
        and (following is None or (v.at, v.order) <= (following.at, following.order))
    ]
    put_right = next((n for n, v in enumerate(after) if v.work is Work.CHIME_SET), len(after))
    after = after[: put_right + 1]
    if any(v.row.chime is Chime.IN_STEP and v.at - tried.at <= ALLOWED for v in after):
        return Outcome.MET
    late = [v for v in after if v.row.chime is Chime.OUT_OF_STEP and v.at - tried.at > ALLOWED]
    if any(not provoked(case.history, v, by_mis_set=False) for v in late):
        return Outcome.MISSED
    return Outcome.NOT_YET_KNOWN


def _tried(case: Case, many: int) -> datetime:
    """When the last of so many tries can be shown right: one a round, two hours each, beginning with one that runs."""
    running = try_running(case)
    at = case.now if running is None else running.at
    if running is not None:
        many -= 1
    for _ in range(many):
        at = case.rounds.next_after(at)
    return at + ALLOWED


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
