"""Listening at one quarter: whom to hear when and for what, who stays unheard and why, what is still to be heard."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from standwatch.horology.rounds import Rounds
from standwatch.judge.assessment import Assessment
from standwatch.judge.case import Case
from standwatch.judge.evidence import WORKING_DAY, listed
from standwatch.judge.sounding import HOURS, strokes
from standwatch.judge.striking import hours_to_hear
from standwatch.model.text import natural
from standwatch.model.words import Chime, Outcome, Requirement, Standing, Train
from standwatch.service.hearing.by_ear import SHUT_OFF
from standwatch.service.hearing.heard import Heard, Tries, TuneHeard, heard_of, tries_of, tunes_of
from standwatch.service.hearing.picking import Stagger, neighbours, pick, stagger_of
from standwatch.service.hearing.voices import QUARTER, REACH, Quiet, Silence, Voice, is_hour, mark_words, voices_at
from standwatch.service.hearing.worth import Point, Wanted, points_of, why_not

_HOUR = timedelta(hours=1)
_MINUTE = timedelta(minutes=1)
_OCLOCK = " o'clock"
_HOURS_AHEAD = 4
"""Full hours for which a stagger is thought of."""
_COUNTED = ("no", "one", "two", "three", "four", "five")


@dataclass(frozen=True, slots=True)
class Answered:
    """What was recorded of a voice: when, in few words, and whether it was right (None: neither)."""

    at: datetime
    text: str
    right: bool | None


@dataclass(frozen=True, slots=True)
class Row:
    """One voice as the screen shows it. `before` and `after` are the names of those that sound within 25 s of it."""

    voice: Voice
    points: tuple[Point, ...]
    before: tuple[str, ...]
    after: tuple[str, ...]
    heard: Heard
    answered: Answered | None


@dataclass(frozen=True, slots=True)
class Group:
    """Clocks, by name, of which one thing is said."""

    names: tuple[str, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Closed:
    """An hour that no open shop hears of the clocks `names`.

    `shift`: whole hours forward by which the hands of most of them are put on once for it to sound by day; 0: none.
    """

    hour: str
    names: tuple[str, ...]
    shift: int


@dataclass(frozen=True, slots=True)
class Proposal:
    """A stagger: what to do and what follows, in words, and the fact that records it."""

    stagger: Stagger
    text: str

    @property
    def tag(self) -> str:
        """The clock to set."""
        return self.stagger.voice.tag


@dataclass(frozen=True, slots=True)
class Listening:
    """One quarter's listening.

    `hear` is worth an ear, in order; `others` sound too. `left` are wanted and stay unheard, `rest` wants nothing,
    `quiet` says nothing; each group with its reason.
    """

    mark: datetime
    words: str
    hour: bool
    hear: tuple[Row, ...]
    others: tuple[Row, ...]
    left: tuple[Group, ...]
    rest: tuple[Group, ...]
    quiet: tuple[Group, ...]
    proposal: Proposal | None
    closed: tuple[Closed, ...]
    tries: tuple[Tries, ...]
    tunes: tuple[tuple[str, tuple[TuneHeard, ...]], ...]

    @property
    def short(self) -> str:
        """The quarter in words, without "o'clock"."""
        return self.words.removesuffix(_OCLOCK)

    @property
    def rows(self) -> tuple[Row, ...]:
        """Every voice, those to hear first."""
        return (*self.hear, *self.others)

    @property
    def first_to_sound(self) -> Row | None:
        """The voice that sounds first, to be heard or not."""
        return min(self.rows, key=lambda row: row.voice.at, default=None)


def listening_at(
    assessments: Sequence[Assessment], rounds: Rounds, mark: datetime, keep: Sequence[str] = (), *, brief: bool = False
) -> Listening:
    """What to listen for around the quarter `mark`; `keep` are tags that were picked for it before and stay.

    `brief`: only what sounds and is worth hearing, without a stagger and the hours that no round hears.
    """
    wanted = {told.tag: _wanted(told, rounds) for told in assessments if told.estimates.history.home_since is None}
    cases = [each.case for each in wanted.values()]
    voices, quiet = voices_at(cases, mark)
    points = {voice.tag: points_of(wanted[voice.tag], voice) for voice in voices}
    worth = {tag: sum(point.worth for point in told) for tag, told in points.items() if told}
    picked = pick(voices, worth, keep)
    rows = {v.tag: _row(v, points[v.tag], voices, wanted[v.tag].case, mark) for v in voices}
    to_hear = [rows[tag] for tag in picked.hear]
    named = {voice.tag: voice.name for voice in voices}
    hung = sorted((each for each in wanted.values() if not each.released), key=lambda each: natural(each.name))
    return Listening(
        mark=mark,
        words=mark_words(mark, rounds.zone),
        hour=is_hour(mark, rounds.zone),
        hear=tuple(to_hear),
        others=tuple(row for row in rows.values() if row not in to_hear),
        left=_grouped(
            [
                *((named[tag], why) for tag, why in picked.left.items()),
                *((each.name, each.why.value) for each in quiet if each.why is Silence.UNKNOWN),
            ]
        ),
        rest=_grouped(
            (v.name, why_not(wanted[v.tag], v)) for v in voices if v.tag not in worth and v.tag not in picked.hear
        ),
        quiet=_grouped((each.name, each.why.value) for each in quiet if _told(each, mark, rounds)),
        proposal=None if brief else _proposal(wanted, mark, rounds, sorted(picked.left, key=lambda tag: -worth[tag])),
        closed=() if brief else _closed([each.case for each in hung]),
        tries=tuple(found for each in hung if (found := tries_of(each.case, each.outcomes[Requirement.MIS_SET]))),
        tunes=tuple(
            (each.name, tunes_of(each.case))
            for each in hung
            if each.outcomes[Requirement.TUNES] in {Outcome.NOT_YET_KNOWN, Outcome.MISSED}
        ),
    )


def over(heard: Listening, now: datetime) -> bool:
    """Whether a quarter's turn is over early: all has sounded, and what was worth hearing was told a minute ago."""
    ended = all(row.voice.high + timedelta(seconds=row.voice.lasts_s) < now for row in heard.rows)
    told = all(row.answered is not None and row.answered.at + _MINUTE <= now for row in heard.hear)
    return now > heard.mark and ended and told


def coming_up(assessments: Sequence[Assessment], rounds: Rounds, mark: datetime, quarters: int = 4) -> Listening | None:
    """The first of so many quarters after `mark` at which something is worth hearing; None where none is."""
    following = (listening_at(assessments, rounds, mark + n * QUARTER, brief=True) for n in range(1, quarters + 1))
    return next((heard for heard in following if heard.hear), None)


def coming_words(following: Listening | None) -> str:
    """What is said where nothing is worth hearing now."""
    if following is None:
        return "Nothing is worth hearing for an hour."
    names = [row.voice.name for row in following.hear]
    return f"Nothing is worth hearing now. Next: {following.words}, {listed(names)}."


def _wanted(told: Assessment, rounds: Rounds) -> Wanted:
    outcomes = {verdict.requirement: verdict.outcome for verdict in told.verdicts}
    return Wanted(Case(told.estimates, told.going, rounds), outcomes, told.standing is Standing.RELEASED)


def _row(voice: Voice, points: tuple[Point, ...], voices: Sequence[Voice], case: Case, mark: datetime) -> Row:
    near = neighbours(voice, voices)
    return Row(
        voice=voice,
        points=points,
        before=tuple(other.name for other in near if other.at < voice.at),
        after=tuple(other.name for other in near if other.at >= voice.at),
        heard=heard_of(
            case,
            new_hour=voice.hour if voice.strikes_hour else None,
            new_quarter=voice.quarter if voice.chimes else None,
        ),
        answered=_answered(case, voice, mark),
    )


def _answered(case: Case, voice: Voice, mark: datetime) -> Answered | None:
    """What was recorded of this voice while it was the turn of `mark`, if anything."""
    for visit in reversed(case.history.visits):
        row = visit.row
        if visit.at < mark - REACH:
            break
        if visit.at < mark + REACH and (row.note or "").startswith(SHUT_OFF):
            return Answered(visit.at, SHUT_OFF, right=None)
        if visit.at >= mark + REACH or (row.chime is None and row.blows is None):
            continue
        if row.chime is not None and row.chime is not Chime.IN_STEP:
            words = {Chime.OUT_OF_STEP: "a quarter off", Chime.SILENT: "silent", Chime.NOT_RUNNING: "did not sound"}
            right = row.chime is Chime.SILENT if voice.silent else None if row.chime is Chime.SILENT else False
            return Answered(visit.at, words[row.chime], right)
        if row.blows is not None and row.hour is not None and row.blows != row.hour:
            return Answered(visit.at, f"counted {row.blows}" if row.blows else "did not strike", right=False)
        return Answered(visit.at, "heard right", right=True)
    return None


def _grouped(pairs: Iterable[tuple[str, str]]) -> tuple[Group, ...]:
    groups: dict[str, list[str]] = defaultdict(list)
    for name, why in pairs:
        groups[why].append(name)
    return tuple(Group(tuple(sorted(names, key=natural)), why) for why, names in groups.items())


def _told(quiet: Quiet, mark: datetime, rounds: Rounds) -> bool:
    """Whether it is worth saying that a clock says nothing: at a quarter not of those that strike hours only."""
    if quiet.why is Silence.UNKNOWN:
        return False
    return is_hour(mark, rounds.zone) or quiet.why is not Silence.HOURS_ONLY


def _proposal(wanted: dict[str, Wanted], mark: datetime, rounds: Rounds, left: Sequence[str]) -> Proposal | None:
    """A stagger by which the first of `left` that can sounds alone, the next time that it is wanted."""
    if not left:
        return None
    cases = [each.case for each in wanted.values()]
    step, steps = (_HOUR, _HOURS_AHEAD) if is_hour(mark, rounds.zone) else (QUARTER, 1)
    for following in (mark + n * step for n in range(1, steps + 1)):
        if not open_at(rounds, following):
            break
        voices, _ = voices_at(cases, following)
        points = {voice.tag: points_of(wanted[voice.tag], voice) for voice in voices}
        worth = {tag: sum(point.worth for point in told) for tag, told in points.items() if told}
        found = stagger_of(voices, worth, left)
        if found is not None:
            return Proposal(found, _stagger_words(found, following, rounds))
    return None


def _stagger_words(found: Stagger, following: datetime, rounds: Rounds) -> str:
    minutes = abs(found.seconds) // 60
    side = "fast" if found.seconds > 0 else "slow"
    how = f"set {found.voice.name} {_COUNTED[minutes]} {'minute' if minutes == 1 else 'minutes'} {side}"
    verb = "strikes" if found.voice.strikes_hour and not found.voice.chimes else "chimes"
    at = f"{found.voice.at.astimezone(rounds.zone):%H:%M:%S}"
    if not is_hour(following, rounds.zone):
        return f"{how}: then it {verb} alone, {at}"
    return f"{how}: at {mark_words(following, rounds.zone).removesuffix(_OCLOCK)} it {verb} alone, {at}"


def open_at(rounds: Rounds, at: datetime) -> bool:
    """Whether the shop is open at `at`: from a round on for a working day."""
    return at - rounds.before(at) < WORKING_DAY


def _closed(cases: Sequence[Case]) -> tuple[Closed, ...]:
    """The hours still wanted that sound only while the shop is closed, with the clocks that want them."""
    names: dict[int, list[str]] = defaultdict(list)
    shifts: dict[int, Counter[int]] = defaultdict(Counter)
    for case in cases:
        left = hours_to_hear(case) if Train.STRIKE in case.traits.trains and case.going.hangs is None else ()
        heard = strokes(case) if left else None
        for hour in heard.closed(left) if heard else ():
            names[hour].append(case.history.position or case.history.clock.tag)
            shifts[hour][(heard.shift_for((hour,)) if heard else None) or 0] += 1
    return tuple(
        Closed(HOURS[hour - 1], tuple(sorted(names[hour], key=natural)), shifts[hour].most_common(1)[0][0])
        for hour in sorted(names, key=lambda hour: -len(names[hour]))
    )
