"""Where the stops of one clock gather, from its facts."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from standwatch.estimate.answers import Power
from standwatch.estimate.clusters import LEAST_STOPS, Cluster, Measure, clusters_of
from standwatch.estimate.going import Going
from standwatch.estimate.gone import gone_of, places_of
from standwatch.estimate.history import HUNG, History
from standwatch.model.answers import Quantity
from standwatch.model.words import Train


@dataclass(frozen=True, slots=True)
class Gathered:
    """The stops that count, how many of them told a dial, whether heights were told, and where they gather."""

    stops: int
    dials: int
    heights: bool
    clusters: tuple[Cluster, ...]

    def on(self, *measures: Measure) -> Cluster | None:
        """The cluster of least chance on one of `measures`."""
        return next((cluster for cluster in self.clusters if cluster.measure in measures), None)


def gathered_of(history: History, power: Power, going: Callable[[], Going]) -> Gathered:
    """Where the unexplained stops of the going train gather; `going` is only asked for where there may be some."""
    nothing = Gathered(0, 0, False, ())
    if sum(visit.work in HUNG for visit in history.since_opened) < LEAST_STOPS:
        return nothing
    went = going()
    stops = [stop for stop in went.stops if not (stop.in_time or stop.explained)]
    gone = gone_of(history, went, _mm_per_day(history, power)) if len(stops) >= LEAST_STOPS else None
    if gone is None:
        return nothing
    places = places_of(history, stops, gone)
    dials = sum(place.dial_s is not None for place in places)
    heights = sum(place.height is not None for place in places) >= LEAST_STOPS
    return Gathered(len(stops), dials, heights, clusters_of(places, gone.ground))


def _mm_per_day(history: History, power: Power) -> float:
    """How fast the going weight falls, as learned, else as its kind's."""
    speeds = [run.speed_mm_per_day for run in power.trains if run.train is Train.GOING]
    learned = [speed.estimate for speed in speeds if isinstance(speed, Quantity)]
    return learned[0] if learned else history.traits.fall_mm_per_day
