"""The hours a clock really went, how its weight (or spring) stood in them, and where its stops lie."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standwatch.estimate.clusters import Ground, Place
from standwatch.estimate.going import Going
from standwatch.estimate.history import HUNG, History, Visit
from standwatch.estimate.spells import Stop
from standwatch.estimate.trainclock import train_clock
from standwatch.horology.hanging import one_weight
from standwatch.model.units import DAY_S, HOUR_S, dial_seconds
from standwatch.model.words import Train, Work

Floats = NDArray[np.float64]

SURE = 0.9
"""Odds from which a stop's half-day is taken as told."""
FALL_DOUBT_MM = 7.0
SPRING_DOUBT_H = 1.0


@dataclass(frozen=True, slots=True)
class Gone:
    """The spans that a clock went, in seconds since 1970, and how its weight stood.

    `heights` at `knots`, straight between them: mm fallen, of springs hours since the wind. `offsets` are (from when,
    seconds the dial is ahead of UTC).
    """

    starts: Floats
    ends: Floats
    knots: Floats
    heights: Floats
    offsets: Floats
    doubt: float

    def height(self, seconds: Floats) -> Floats:
        """How the weight stood."""
        return np.interp(seconds, self.knots, self.heights)

    def dial(self, seconds: Floats) -> Floats:
        """Seconds past midnight by the dial."""
        at = np.maximum(np.searchsorted(self.offsets[:, 0], seconds, side="right") - 1, 0)
        return np.asarray((seconds + self.offsets[at, 1]) % DAY_S)

    def thrown(self, rng: np.random.Generator, draws: int, stops: int) -> tuple[Floats, Floats]:
        """Times at random over the hours it went, as the dial and the weight tell them; (draws, stops) each."""
        lengths = self.ends - self.starts
        into = rng.uniform(0.0, float(lengths.sum()), (draws, stops))
        upto = np.cumsum(lengths)
        span = np.minimum(np.searchsorted(upto, into, side="right"), len(lengths) - 1)
        seconds = self.starts[span] + into - (upto - lengths)[span]
        return self.dial(seconds), self.height(seconds)

    @property
    def ground(self) -> Ground:
        """What stops are weighed against."""
        edges = np.concatenate([self.starts, self.ends, self.knots])
        inside = [(edges >= a) & (edges <= b) for a, b in zip(self.starts, self.ends, strict=True)]
        stood = self.height(edges[np.any(inside, axis=0)])
        return Ground(self.thrown, float(stood.max() - stood.min()), self.doubt)


def gone_of(history: History, going: Going, mm_per_day: float) -> Gone | None:
    """The hours that the clock went since it was last opened; None where none are known.

    `mm_per_day` is how fast its going weight falls where readings don't tell.
    """
    spans = [(s.start.timestamp(), s.end.timestamp()) for s in going.spells if s.end > s.start]
    if not spans:
        return None
    weights = history.traits.weights
    way = list(_way(history, going, mm_per_day if weights else DAY_S / HOUR_S))
    spans_of = np.array(spans)
    return Gone(
        starts=spans_of[:, 0],
        ends=spans_of[:, 1],
        knots=np.array([at for at, _ in way]),
        heights=np.array([height for _, height in way]),
        offsets=np.array(train_clock(history, Train.GOING).offsets),
        doubt=FALL_DOUBT_MM if weights else SPRING_DOUBT_H,
    )


def places_of(history: History, stops: Sequence[Stop], gone: Gone) -> tuple[Place, ...]:
    """Where each of `stops` lies, by its dial, its weight and the time that is sure."""
    by_id = {visit.id: visit for visit in history.visits}
    return tuple(_place(by_id[stop.id], stop, gone) for stop in stops)


def _place(visit: Visit, stop: Stop, gone: Gone) -> Place:
    sure = np.array([at.timestamp() for at, odds in stop.candidates[:1] if odds >= SURE])
    dial = None if visit.row.dial is None else dial_seconds(visit.row.dial)
    height = visit.row.fall_mm(Train.GOING)
    if height is None and sure.size:
        height = float(gone.height(sure)[0])
    return Place(dial, float(gone.dial(sure)[0]) if sure.size else None, height)


def _way(history: History, going: Going, a_day: float) -> Iterator[tuple[float, float]]:
    """(seconds, height) where its course bends: read, wound, stopped, set going again. It falls `a_day` between."""
    edges = {at: (n % 2 == 0) for s in going.spells for n, at in enumerate((s.start, s.end))}
    visits = [visit for visit in history.since_opened if _tells(history, visit)]
    times = sorted({visit.at for visit in visits} | set(edges))
    if not times:
        return
    at, height, goes = times[0], 0.0, False
    for time in times:
        if goes:
            height += a_day * (time - at).total_seconds() / DAY_S
        at = time
        here = [visit for visit in visits if visit.at == time]
        read = [mm for visit in here if history.traits.weights and (mm := visit.row.fall_mm(Train.GOING)) is not None]
        height = read[0] if read else height
        yield time.timestamp(), height
        wound = _wound(history, here, height)
        if wound != height:
            height = wound
            yield time.timestamp() + 1e-3, height
        goes = edges.get(time, goes and not any(visit.work in HUNG for visit in here))


def _tells(history: History, visit: Visit) -> bool:
    """Whether the visit says something of the going train's weight."""
    return visit.row.fall_mm(Train.GOING) is not None or _winds(history, visit)


def _winds(history: History, visit: Visit) -> bool:
    one = one_weight(history.traits)
    return visit.work is Work.WOUND and (one or visit.row.train in {None, Train.GOING})


def _wound(history: History, visits: Sequence[Visit], height: float) -> float:
    """The height after the winds among `visits`; a spring is taken to be wound fully."""
    for visit in visits:
        if _winds(history, visit):
            raised = visit.row.amount if history.traits.weights else None
            height = 0.0 if raised is None else max(0.0, height - raised)
    return height
