"""When the next thing worth hearing sounds: a quarter, an hour not heard yet, the end of a mis-set's two hours."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from standwatch.judge.case import Case
from standwatch.judge.chiming import (
    chime_step,
    last_heard,
    positions_left,
    quarters_left_of,
    quarters_to_hear,
    silent_set,
    tune_words,
    turns_heard,
    unexplained_silence,
)
from standwatch.judge.evidence import counted, day_words, listed
from standwatch.judge.mis_setting import tries_left, try_running
from standwatch.judge.provoking import ALLOWED, provoked
from standwatch.judge.running import to_hear_in_case
from standwatch.judge.sounding import HOURS, closed_words, next_in_shop, next_quarter, strokes
from standwatch.judge.stopping import nearest_minute
from standwatch.judge.striking import hours_to_hear
from standwatch.model.words import Chime, Outcome, Requirement, Train


@dataclass(frozen=True, slots=True)
class Hearing:
    """Something to hear: when it sounds (None where that is not in the shop's hours), a sentence, and two words."""

    at: datetime | None
    text: str
    short: str


def chime_to_hear(case: Case) -> Hearing:
    """The next quarter, for a chime that slipped and is to be put right."""
    at = next_quarter(case, case.now)
    return Hearing(at, f"then listen {_when(case, at)}", _short(case, at))


def to_hear(case: Case, wanted: frozenset[Requirement]) -> Hearing | None:
    """What is worth hearing next for the `wanted` requirements; None where nothing is."""
    running = try_running(case)
    if running is not None and Requirement.MIS_SET in wanted:
        at = running.at + ALLOWED
        return Hearing(at, f"listen by {_clock(case, at)}: in step after the mis-set", _short(case, at))
    if _out_for_a_reason(case):
        return _correcting(case)
    for requirement, hear in (
        (Requirement.TWELVE_COUNTS, _counts),
        (Requirement.CHIME_STEP, _step),
        (Requirement.TUNES, _tunes),
        (Requirement.MIS_SET, _mis_set),
        (Requirement.OWN_CASE, _in_case),
    ):
        if requirement in wanted and (found := hear(case)) is not None:
            return found
    return _left_silent(case)


def _counts(case: Case) -> Hearing:
    hours = hours_to_hear(case)
    names = listed([HOURS[h - 1] for h in hours])
    many = "the twelve hours" if len(hours) == 12 else f"{len(hours)} of the twelve hours"
    heard = strokes(case)
    coming = [(at, h) for h in hours if (at := heard.of(h)) is not None]
    short = f"hear {names}" if len(hours) == 1 else f"hear {len(hours)} hours"
    text = f"hear {names if len(hours) <= 4 else many}"
    if coming:
        at, hour = min(coming)
        text += f" {_when(case, at)}" if len(hours) == 1 else f"; {HOURS[hour - 1]} sounds {_when(case, at)}"
    closed = closed_words(heard, hours, case.traits)
    return Hearing(min(coming)[0] if coming else None, f"{text}; {closed}" if closed else text, short)


def _step(case: Case) -> Hearing | None:
    heard, quarters = last_heard(case), quarters_to_hear(case)
    silence = unexplained_silence(case)
    if silence is None and heard is not None and _today(case, heard.at) and not quarters:
        return None
    at = next_quarter(case, next_in_shop(case, case.now), quarters or (1, 2, 3, 4))
    what = f"{_quarters(quarters)} in step" if quarters else "a further morning in step"
    if silence is not None:
        what = f"it did not sound on {day_words(case, silence.at)}; explain that, or put the chime right"
    return Hearing(at, f"listen {_when(case, at)}: {what}", _short(case, at))


def _tunes(case: Case) -> Hearing | None:
    left = positions_left(case)
    if not left:
        return None
    at = next_quarter(case, next_in_shop(case, case.now))
    turns = turns_heard(case)
    on = turns[-1] if turns else None
    if left[0]:
        name, quarters = tune_words(case, left[:1]), _quarters(quarters_left_of(case, left[0]))
        chosen = on is not None and on.position == left[0]
        text = f"hear {name}, {quarters}" if chosen else f"set the selector to {name} and hear {quarters}"
        return Hearing(at, text, f"hear tune {left[0]}")
    if on is None or on.position != 0:
        text = "set the selector to silent, hear that it is, then a tune in step"
    elif not on.silent:
        text = "hear that the chime keeps silent, then a tune in step"
    else:
        text = "set the selector from silent to a tune, and hear it in step"
    return Hearing(at, text, "hear silent")


def _mis_set(case: Case) -> Hearing | None:
    left = tries_left(case)
    if not left:
        return None
    text = f"trip the chime {counted(left[0], 'quarter')} out by hand, and hear it in step within two hours"
    return Hearing(next_quarter(case, next_in_shop(case, case.now)), text, f"mis-set {left[0]}")


def _in_case(case: Case) -> Hearing | None:
    """What its own case wants of ears: hands, gongs and rods were off."""
    twelve, quarters = to_hear_in_case(case)
    if quarters and not silent_set(case):
        at = next_quarter(case, next_in_shop(case, case.now), quarters)
        return Hearing(at, f"listen {_when(case, at)}: {_quarters(quarters)} in step in its own case", _short(case, at))
    struck = strokes(case).of(12) if twelve else None
    if struck is None:
        return None
    return Hearing(struck, f"hear twelve {_when(case, struck)}, in its own case", "hear twelve")


def _out_for_a_reason(case: Case) -> bool:
    """Whether the chime was last heard out of step for a reason, and must be heard right again."""
    if Train.CHIME not in case.traits.trains or silent_set(case):
        return False
    heard = last_heard(case)
    return heard is not None and heard.row.chime is Chime.OUT_OF_STEP and provoked(case.history, heard)


def _correcting(case: Case) -> Hearing:
    if case.traits.self_correcting:
        at = next_quarter(case, case.now, (4,))
        return Hearing(at, f"correcting: listen after {_clock(case, at)}", _short(case, at))
    at = next_quarter(case, case.now)
    text = f"out of step, and it does not correct itself: put the chime right and listen {_when(case, at)}"
    return Hearing(at, text, "set the chime")


def _left_silent(case: Case) -> Hearing | None:
    """A selector that stands at silent while the chime is still to be heard."""
    if not silent_set(case) or chime_step(case).outcome is not Outcome.NOT_YET_KNOWN:
        return None
    at = next_quarter(case, next_in_shop(case, case.now))
    return Hearing(at, "the selector stands at silent: set it to a tune, and hear the chime", "set a tune")


def _today(case: Case, at: datetime) -> bool:
    zone = case.history.zone
    return at.astimezone(zone).date() == case.now.astimezone(zone).date()


def _quarters(quarters: tuple[int, ...]) -> str:
    return f"{'quarter' if len(quarters) == 1 else 'quarters'} {listed([str(q) for q in quarters])}"


def _when(case: Case, at: datetime) -> str:
    """ "at 10:00", on another day "on Mon 16 Nov at 10:00"."""
    day = "" if _today(case, at) else f"on {day_words(case, at)} "
    return f"{day}at {_clock(case, at)}"


def _short(case: Case, at: datetime) -> str:
    return f"listen {_clock(case, at)}"


def _clock(case: Case, at: datetime) -> str:
    return f"{nearest_minute(at).astimezone(case.history.zone):%H:%M}"
