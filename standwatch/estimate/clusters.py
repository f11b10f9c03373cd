"""Whether stops gather: at one minute, one hour, one hour of the day, one height of the weight.

The score of n stops on one measure is the least over k >= 3 of C(n,k) k w^(k-1): about how often k of n times thrown at
random lie within a share w of it. Chance is the share of as many stops, thrown at random over the hours the clock
really went, that score as low on any measure; so the hours it was not watched, and many looks, are paid for.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from standwatch.model.units import DAY_S, DIAL_S, HOUR_S

Floats = NDArray[np.float64]
Thrown = Callable[[np.random.Generator, int, int], tuple[Floats, Floats]]
"""(generator, draws, stops) -> dial seconds of the day and wind heights, each (draws, stops), of times it went."""

LEAST_STOPS = 3
MOST_STOPS = 20
"""Of more stops the latest so many are looked at."""
CHANCE = 0.01
"""A cluster is named only where chance alone would make one less often."""
DRAWS, _BATCH = 20_000, 2_000
_SEED = 1155
MINUTE_S = 60.0
"""How finely a hung dial is told."""


class Measure(StrEnum):
    """What stops may share. HEIGHT is the weight's fall in mm; of springs the hours since they were wound."""

    MINUTE = "minute"
    HALF_DAY = "half-day"
    DAY = "day"
    HEIGHT = "height"


PERIOD_S = {Measure.MINUTE: HOUR_S, Measure.HALF_DAY: DIAL_S, Measure.DAY: DAY_S}


@dataclass(frozen=True, slots=True)
class Place:
    """Where one stop lies. `dial_s` are seconds past twelve on the dial, `day_s` past midnight by the dial.

    `height` is as HEIGHT tells it. None where it is not told: that stop has no say on that measure.
    """

    dial_s: float | None
    day_s: float | None
    height: float | None


@dataclass(frozen=True, slots=True)
class Ground:
    """The hours a clock really went. `thrown` draws times from them, `heights` is the range it went through.

    `height_doubt` is how finely a stop's height is told, in the same unit.
    """

    thrown: Thrown
    heights: float
    height_doubt: float


@dataclass(frozen=True, slots=True)
class Cluster:
    """`count` of `of` stops lie from `first` to `last` on `measure`: seconds past the hour or twelve, mm or hours.

    `last` is over the period where they lie across it (59 to 61 minutes). `chance` is how often chance alone makes it.
    """

    measure: Measure
    count: int
    of: int
    first: float
    last: float
    chance: float


@dataclass(frozen=True, slots=True)
class _Row:
    """The stops told on one measure: their numbers, their values, and what share a width of it is."""

    measure: Measure
    stops: tuple[int, ...]
    values: Floats
    doubt: float
    whole: float

    @property
    def circular(self) -> bool:
        return self.measure in PERIOD_S


def clusters_of(places: Sequence[Place], ground: Ground) -> tuple[Cluster, ...]:
    """The measures on which the stops, oldest first, gather more than chance makes in one case of a hundred.

    Least chance first. All measures are weighed together, and every one under the limit is named: of three stops a
    twelve-hour one often looks more like another.
    """
    places = places[-MOST_STOPS:]
    rows = [row for measure in Measure if (row := _row(measure, places, ground)) is not None]
    if not rows:
        return ()
    scores = [float(_scores(row, row.values[None, :])[0]) for row in rows]
    chances = _chances(rows, scores, len(places), ground)
    found = [_cluster(row, chance) for row, chance in zip(rows, chances, strict=True) if chance < CHANCE]
    return tuple(sorted(found, key=lambda cluster: cluster.chance))


def _row(measure: Measure, places: Sequence[Place], ground: Ground) -> _Row | None:
    """The stops told on `measure`; None where they are fewer than three."""
    told = {
        Measure.MINUTE: [place.dial_s for place in places],
        Measure.HALF_DAY: [place.dial_s for place in places],
        Measure.DAY: [place.day_s for place in places],
        Measure.HEIGHT: [place.height for place in places],
    }[measure]
    stops = tuple(n for n, value in enumerate(told) if value is not None)
    whole = PERIOD_S.get(measure, ground.heights)
    doubt = MINUTE_S if measure in PERIOD_S else ground.height_doubt
    if len(stops) < LEAST_STOPS or whole <= doubt:
        return None
    values = np.array([value for value in told if value is not None])
    return _Row(measure, stops, values % whole if measure in PERIOD_S else values, doubt, whole)


def _chances(rows: Sequence[_Row], scores: Sequence[float], stops: int, ground: Ground) -> list[float]:
    """How often `stops` thrown at random score as low as each of `scores` on any of `rows`.

    Drawing ends as soon as none can come under the limit any more: those are 1.
    """
    rng = np.random.default_rng(_SEED)
    wanted = np.array(scores) * (1 + 1e-9)
    as_low = np.zeros(len(rows), dtype=np.int64)
    for _ in range(DRAWS // _BATCH):
        day_s, heights = ground.thrown(rng, _BATCH, stops)
        drawn = [heights if row.measure is Measure.HEIGHT else day_s % row.whole for row in rows]
        least = np.min([_scores(row, values[:, row.stops]) for row, values in zip(rows, drawn, strict=True)], axis=0)
        as_low += (least[:, None] <= wanted).sum(axis=0)
        if as_low.min() >= CHANCE * DRAWS:
            return [1.0] * len(rows)
    return [float(count) / DRAWS for count in as_low]


def _scores(row: _Row, values: Floats) -> Floats:
    """The score of each draw: `values` (draws, stops) -> (draws,)."""
    count = values.shape[1]
    least = np.full(len(values), np.inf)
    spread = _spread(row, values)
    for k in range(LEAST_STOPS, count + 1):
        narrowest = _narrowest(spread, count, k, circular=row.circular).min(axis=1)
        share = np.minimum((narrowest + row.doubt) / row.whole, 1.0)
        least = np.minimum(least, math.comb(count, k) * k * share ** (k - 1))
    return least


def _spread(row: _Row, values: Floats) -> Floats:
    """In order, and once more round where the measure is a circle."""
    ordered = np.sort(values, axis=1)
    return np.concatenate([ordered, ordered + row.whole], axis=1) if row.circular else ordered


def _narrowest(spread: Floats, count: int, k: int, *, circular: bool) -> Floats:
    """The widths of `k` neighbours from each stop on."""
    starts = count if circular else count - k + 1
    return np.asarray(spread[:, k - 1 : k - 1 + starts] - spread[:, :starts])


def _cluster(row: _Row, chance: float) -> Cluster:
    """The neighbours that score least."""
    count = len(row.values)
    spread = _spread(row, row.values[None, :])
    best: tuple[float, int, int] = (math.inf, 0, 0)
    for k in range(LEAST_STOPS, count + 1):
        widths = _narrowest(spread, count, k, circular=row.circular)[0]
        start = int(np.argmin(widths))
        share = min((float(widths[start]) + row.doubt) / row.whole, 1.0)
        best = min(best, (math.comb(count, k) * k * share ** (k - 1), k, start))
    _, k, start = best
    return Cluster(row.measure, k, count, float(spread[0, start]), float(spread[0, start + k - 1]), chance)
