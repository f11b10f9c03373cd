"""What the clocks of the stand share, worked out from each clock by itself and kept while no clock's facts change."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, TypeAlias

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.history import History
from standwatch.estimate.together import NOTHING_SHARED, Common
from standwatch.service.office.shelf import ClockFacts

if TYPE_CHECKING:  # numpy, which tags are shown without
    from standwatch.estimate.common_mode import Voice

TimesOf: TypeAlias = Callable[[Sequence[History]], Sequence[Timekeeping]]
VoiceOf: TypeAlias = "Callable[[History, Timekeeping], Voice]"
CommonOf: TypeAlias = "Callable[[Sequence[Voice]], Common]"


@dataclass(frozen=True, slots=True)
class Alone:
    """One clock's History by itself, and what it rests on: its facts, and what is `around` all clocks."""

    facts: ClockFacts
    around: object
    history_of: Callable[[], History]


@dataclass(frozen=True, slots=True)
class _Kept:
    facts: ClockFacts
    until: datetime
    ids: tuple[str, ...]
    around: object
    history: History
    time: Timekeeping
    voice: Voice


class Sharing:
    """The error and rate of each clock by itself, and the `Common` that follows from all of them.

    A reading more costs its own clock's estimate and one look over all of them; the hour costs nothing.
    """

    def __init__(self, voice_of: VoiceOf, listening: Callable[[], CommonOf]) -> None:
        self._voice_of = voice_of
        self._listening = listening
        self._common_of: CommonOf | None = None
        self._kept: dict[str, _Kept] = {}
        self._seen: list[Voice] = []
        self._common = NOTHING_SHARED

    def common(self, clocks: Iterable[Alone], now: datetime, times_of: TimesOf) -> Common:
        """What `clocks` share by `now`."""
        # by tag, so that a book brought in from a ledger shares the same to the last bit
        wanted = sorted(clocks, key=lambda each: each.facts.clock.body.tag)
        fresh = [each for each in wanted if not self._still_good(each, now)]
        histories = [each.history_of() for each in fresh]
        for each, history, time in zip(fresh, histories, times_of(histories) if fresh else (), strict=True):
            voice = self._voice_of(history, time)
            kept = _Kept(each.facts, now, _ids(each.facts, now), each.around, history, time, voice)
            self._kept[each.facts.clock.body.tag] = kept
        voices = [self._kept[each.facts.clock.body.tag].voice for each in wanted]
        if len(voices) != len(self._seen) or any(a is not b for a, b in zip(voices, self._seen, strict=True)):
            self._common_of = self._common_of or self._listening()
            self._common = self._common_of(voices)
            self._seen = voices
        return self._common

    def alone(self, tag: str, now: datetime) -> tuple[History, Timekeeping] | None:
        """A clock by itself as of just `now`, if that was worked out for `common`."""
        kept = self._kept.get(tag)
        return (kept.history, kept.time) if kept is not None and kept.history.now == now else None

    def known(self, facts: ClockFacts) -> tuple[History, Timekeeping] | None:
        """A clock by itself as it was last worked out from just these facts, if it was."""
        kept = self._kept.get(facts.clock.body.tag)
        return (kept.history, kept.time) if kept is not None and kept.facts is facts else None

    def _still_good(self, clock: Alone, now: datetime) -> bool:
        kept = self._kept.get(clock.facts.clock.body.tag)
        if kept is None or kept.around != clock.around:
            return False
        facts = clock.facts
        if facts is kept.facts and kept.until <= now and len(kept.ids) == _count(facts):
            return True  # all of them counted already then
        return kept.ids == _ids(facts, now)


def _count(facts: ClockFacts) -> int:
    return 1 + len(facts.check_ins) + len(facts.handovers)


def _ids(facts: ClockFacts, now: datetime) -> tuple[str, ...]:
    """The facts of a clock that count by `now`. A fact never changes under its id."""
    read = [record.id for record in facts.check_ins if record.body.at <= now]
    return (facts.clock.id, *read, *(record.id for record in facts.handovers if record.body.at <= now))
