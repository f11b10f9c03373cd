"""The likeliest account of a clock's readings: which are sound, where the hands were set or the nut turned unlogged."""

from __future__ import annotations

from datetime import datetime
from functools import cached_property

import numpy as np

from standwatch.estimate.batch import Posterior, likeliest
from standwatch.estimate.decisions import HANDS_SET_SD, Decision
from standwatch.estimate.making import Column
from standwatch.model.words import Work

_CALLED = 0.9
"""Odds from which work that nobody logged is spoken of."""
_CLEAN_AFTER = 2
"""Sound readings that must follow: until then it may be a misreading."""
_NEAR = 2
"""Readings over which the odds of one piece of work may be spread."""
_BLUNDER, _SET, _NUT = range(3)


class Story:
    """What the posterior makes of each reading. Steps are numbered as in the timeline."""

    def __init__(self, posterior: Posterior) -> None:
        self.line, self._odds = posterior.line, posterior.odds
        sources = np.array(self.line.sources, dtype=np.int64)
        self._steps = np.flatnonzero(sources >= 0)
        bad = self._odds[:, _BLUNDER] > 0.5 + 1e-9  # an even chance is one, whatever the rounding
        latest = likeliest(posterior.belief, len(bad))
        if len(latest):  # of two that contradict each other one is wrong, not both
            bad[-len(latest) :] &= (latest == Decision.BLUNDER) | (latest == Decision.FAR_BLUNDER)
        self.sound = tuple(int(n) for n in self._steps[~bad])
        self.dropped = tuple(int(n) for n in self._steps[bad])
        self.runs = np.cumsum(self.line.steps[:, Column.X_NEW] > 0) if len(sources) else sources

    def blunder_odds(self, step: int) -> float:
        """Probability that the reading of a step is a blunder."""
        return float(self._odds[np.searchsorted(self._steps, step), _BLUNDER])

    @cached_property
    def work(self) -> tuple[tuple[Work, int, float], ...]:
        """Work that nobody logged, oldest first: what, the step of the first reading after it, odds; over one half."""
        found = []
        for column, what in ((_SET, Work.HANDS_SET), (_NUT, Work.NUT)):
            odds = self._odds[:, column]
            near: list[int] = []
            for number in [*np.flatnonzero(odds > 0.02), len(odds) + _NEAR + 1]:
                if near and number - near[-1] > _NEAR:
                    total = float(odds[near].sum())
                    if total > 0.5:
                        found.append((what, int(self._steps[near[int(np.argmax(odds[near]))]]), min(total, 1.0)))
                    near = []
                near.append(int(number))
        return tuple(sorted(found, key=lambda one: one[1]))

    @property
    def called(self) -> tuple[tuple[Work, int, float], ...]:
        """The work to speak of: sure enough, and borne out by the readings after."""
        return tuple(w for w in self.work if w[2] > _CALLED and sum(n > w[1] for n in self.sound) >= _CLEAN_AFTER)

    @cached_property
    def shifts(self) -> dict[int, float]:
        """The variance (s²) of each unlogged step of the error, by the step of the reading after it."""
        sd = HANDS_SET_SD[Decision.HANDS_SET_FAR]
        return {step: sd**2 for what, step, _ in self.work if what is Work.HANDS_SET}

    @cached_property
    def turns(self) -> dict[int, float]:
        """The variance ((s/day)²) of each unlogged step of the rate, likewise."""
        return {step: self.line.prior.turn**2 for what, step, _ in self.work if what is Work.NUT}

    @cached_property
    def turned_at(self) -> datetime | None:
        """The first reading after the last turn of the nut that nobody logged and the readings betray."""
        steps = [step for what, step, _ in self.called if what is Work.NUT]
        return self._read_at(steps[-1]) if steps else None

    @cached_property
    def rate_since(self) -> datetime | None:
        """From when readings count for the rate: the last opening's settling, or an unlogged turn's first reading."""
        since = self.line.rate_since
        return self.turned_at if since and self.turned_at and self.turned_at > since else since

    def _read_at(self, step: int) -> datetime:
        return self.line.visits[self.line.sources[step]].at

    def rate_steps(self) -> list[int]:
        """The sound readings since the rate was opened and settled."""
        since = self.rate_since
        return [n for n in self.sound if since is not None and self._read_at(n) >= since]

    def spans(self) -> list[tuple[int, int]]:
        """The first and last of the rate's readings in each run that has two or more, some time apart."""
        spans: dict[int, tuple[int, int]] = {}
        for number in self.rate_steps():
            first, _ = spans.get(int(self.runs[number]), (number, number))
            spans[int(self.runs[number])] = (first, number)
        return [(a, b) for a, b in spans.values() if self.line.days_at[b] > self.line.days_at[a]]

    def read_in_run(self, day: float) -> bool:
        """Whether a sound reading tells the error of the run that `day` lies in."""
        run = self.runs[self.line.last_step(day)]
        return any(self.runs[number] == run for number in self.sound)

    def doubted_in_run(self, day: float) -> int:
        """How many readings of the run that `day` lies in are no good."""
        run = self.runs[self.line.last_step(day)]
        return sum(bool(self.runs[number] == run) for number in self.dropped)
