"""What the clocks of the stand share, worked out from each clock by itself and kept while no clock's facts change."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from standwatch.estimate.answers import Estimates
from standwatch.estimate.history import History
from standwatch.estimate.together import NOTHING_SHARED, Common
from standwatch.service.shelf import ClockFacts

EstimatesOf = Callable[[Sequence[History]], list[Estimates]]
CommonOf = Callable[[Sequence[Estimates]], Common]


@dataclass(frozen=True, slots=True)
class Alone:
    """One clock's History by itself, and what it rests on: its facts, and what is `around` all clocks."""

    facts: ClockFacts
    around: object
    history_of: Callable[[], History]


@dataclass(frozen=True, slots=True)
class _Kept:
    ids: tuple[str, ...]
    around: object
    estimates: Estimates


class Sharing:
    """The estimates of each clock by itself, and the `Common` that follows from all of them.

    A reading more costs its own clock's estimate and one look over all of them; the hour costs nothing.
    """

    def __init__(self, common_of: CommonOf) -> None:
        self._common_of = common_of
        self._kept: dict[str, _Kept] = {}
        self._seen: list[Estimates] = []
        self._common = NOTHING_SHARED

    def common(self, clocks: Iterable[Alone], now: datetime, estimates_of: EstimatesOf) -> Common:
        """What `clocks` share by `now`."""
        # by tag, so that a book brought in from a ledger shares the same to the last bit
        wanted = sorted(clocks, key=lambda each: each.facts.clock.body.tag)
        found = [self._known(each, now) for each in wanted]
        fresh = [each for each, known in zip(wanted, found, strict=True) if known is None]
        worked_out = iter(estimates_of([each.history_of() for each in fresh]) if fresh else ())
        estimates = []
        for each, known in zip(wanted, found, strict=True):
            if known is None:
                known = next(worked_out)  # noqa: PLW2901  # the one that was missing
                self._kept[each.facts.clock.body.tag] = _Kept(_ids(each.facts, now), each.around, known)
            estimates.append(known)
        if len(estimates) != len(self._seen) or any(a is not b for a, b in zip(estimates, self._seen, strict=True)):
            self._common = self._common_of(estimates)
            self._seen = estimates
        return self._common

    def alone(self, tag: str, now: datetime) -> Estimates | None:
        """The estimates of a clock by itself as of just `now`, if they were worked out for `common`."""
        kept = self._kept.get(tag)
        return kept.estimates if kept is not None and kept.estimates.history.now == now else None

    def _known(self, clock: Alone, now: datetime) -> Estimates | None:
        kept = self._kept.get(clock.facts.clock.body.tag)
        same = kept is not None and kept.ids == _ids(clock.facts, now) and kept.around == clock.around
        return kept.estimates if kept is not None and same else None


def _ids(facts: ClockFacts, now: datetime) -> tuple[str, ...]:
    """The facts of a clock that count by `now`. A fact never changes under its id."""
    read = [record.id for record in facts.check_ins if record.body.at <= now]
    return (facts.clock.id, *read, *(record.id for record in facts.handovers if record.body.at <= now))
