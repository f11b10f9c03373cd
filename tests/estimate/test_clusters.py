"""Stops that gather, against the widest arcs that the design names and against what chance is known to do.

That all of n points thrown on a circle lie on an arc of share w <= 1/2 has the probability n w^(n-1) (W. L. Stevens,
Solution to a geometrical problem in probability, Annals of Eugenics 9, 1939; from memory).
"""

from __future__ import annotations

import numpy as np
import pytest

from standwatch.estimate import clusters
from standwatch.estimate.clusters import CHANCE, Cluster, Ground, Measure, Place, clusters_of

MINUTE, HOUR = 60.0, 3600.0
RANGE_MM = 1155.0
"""Seven days of a longcase, 165 mm a day."""


def thrown(rng: np.random.Generator, draws: int, stops: int) -> tuple[np.ndarray, np.ndarray]:
    """Four weeks of going without a break, wound every week."""
    days = rng.uniform(0, 28, (draws, stops))
    return days % 1 * 86400, days % 7 * 165


GROUND = Ground(thrown, RANGE_MM, 7.0)
# by number: minutes of the hour, of twelve and of twenty-four hours, and mm
WIDEST = {3: (1, 24, 49, 33), 4: (4, 59, 119, 89), 5: (7, 95, 191, 147), 8: (16, 200, 400, 315)}
MEASURES = (Measure.MINUTE, Measure.HALF_DAY, Measure.DAY, Measure.HEIGHT)


def gathered(measure: Measure, stops: int, arc: float) -> list[Place]:
    """Stops evenly over `arc` (minutes or mm) of one measure, and apart on every other."""
    apart = [(n + 0.5) / stops for n in range(stops)]
    within = [arc * n / (stops - 1) for n in range(stops)]
    mixed = [apart[(n * (stops // 2 + 1)) % stops] for n in range(stops)]
    match measure:
        case Measure.MINUTE:
            dials = [int(share * 12) * HOUR + 20 * MINUTE + m * MINUTE for share, m in zip(apart, within, strict=True)]
            return [Place(dial, None, None) for dial in dials]
        case Measure.HALF_DAY:
            return [Place(2 * HOUR + m * MINUTE, None, None) for m in within]
        case Measure.DAY:
            return [Place(None, 14 * HOUR + m * MINUTE, None) for m in within]
        case _:
            return [Place(12 * HOUR * share, None, 400 + mm) for share, mm in zip(mixed, within, strict=True)]


def on(measure: Measure, found: tuple[Cluster, ...]) -> Cluster | None:
    return next((cluster for cluster in found if cluster.measure is measure), None)


@pytest.mark.parametrize("stops", WIDEST)
def test_the_widest_arcs_that_count(stops: int) -> None:
    """What all stops may spread over at a chance of 1 %, all measures told, as the design's table has it to 6 %."""
    doubts = [MINUTE, MINUTE, MINUTE, 7.0]
    rows = [
        clusters._Row(m, tuple(range(stops)), np.zeros(stops), doubt, clusters.PERIOD_S.get(m, RANGE_MM))
        for m, doubt in zip(MEASURES, doubts, strict=True)
    ]
    days, heights = thrown(np.random.default_rng(1), 40_000, stops)
    drawn = [heights if row.measure is Measure.HEIGHT else days % row.whole for row in rows]
    least = np.min([clusters._scores(row, values) for row, values in zip(rows, drawn, strict=True)], axis=0)
    share = (float(np.quantile(least, CHANCE)) / stops) ** (1 / (stops - 1))
    for row, widest in zip(rows, WIDEST[stops], strict=True):
        unit = MINUTE if row.measure in clusters.PERIOD_S else 1.0
        assert (share * row.whole - row.doubt) / unit == pytest.approx(widest, rel=0.06, abs=0.6)


@pytest.mark.parametrize("stops", WIDEST)
@pytest.mark.parametrize("measure", MEASURES)
def test_much_narrower_is_named_and_much_wider_is_not(measure: Measure, stops: int) -> None:
    widest = WIDEST[stops][MEASURES.index(measure)]
    assert on(measure, clusters_of(gathered(measure, stops, widest * 0.6), GROUND)) is not None
    assert on(measure, clusters_of(gathered(measure, stops, widest * 2 + 3), GROUND)) is None


@pytest.mark.parametrize(("stops", "share"), [(3, 0.02), (5, 0.17), (8, 0.59)])
def test_three_within_five_minutes_are_chance(stops: int, share: float) -> None:
    """Three of the stops on an arc of five minutes of the hour, as often as the design says."""
    row = clusters._Row(Measure.MINUTE, tuple(range(stops)), np.zeros(stops), MINUTE, HOUR)
    minutes = np.random.default_rng(2).uniform(0, HOUR, (20_000, stops))
    narrowest = clusters._narrowest(clusters._spread(row, minutes), stops, 3, circular=True).min(axis=1)
    assert float((narrowest <= 5 * MINUTE).mean()) == pytest.approx(share, abs=0.012)


@pytest.mark.parametrize("stops", [3, 4, 6])
def test_all_on_one_arc_comes_as_often_as_is_known(stops: int) -> None:
    row = clusters._Row(Measure.MINUTE, tuple(range(stops)), np.zeros(stops), MINUTE, HOUR)
    minutes = np.random.default_rng(3).uniform(0, HOUR, (40_000, stops))
    arcs = clusters._narrowest(clusters._spread(row, minutes), stops, stops, circular=True).min(axis=1)
    for share in (0.2, 0.4):
        known = stops * share ** (stops - 1)
        assert float((arcs <= share * HOUR).mean()) == pytest.approx(known, abs=4 * np.sqrt(known / 40_000))


def test_three_within_five_minutes_of_the_hour_are_not_named() -> None:
    places = [Place(2 * HOUR + 58 * MINUTE, None, None), Place(7 * HOUR + 56 * MINUTE, None, None)]
    assert clusters_of([*places, Place(11 * HOUR + 61 * MINUTE - 12 * HOUR, None, None)], GROUND) == ()


def test_an_arc_may_lie_across_the_hour() -> None:
    minutes = [59.0, 0.0, 58.5, 1.0]
    places = [Place((2 + 3 * n) * HOUR % (12 * HOUR) + m * MINUTE, None, None) for n, m in enumerate(minutes)]
    [cluster] = clusters_of(places, GROUND)
    assert (cluster.measure, cluster.count, cluster.of) == (Measure.MINUTE, 4, 4)
    assert cluster.first == pytest.approx(58.5 * MINUTE)
    assert cluster.last == pytest.approx(61 * MINUTE)


def test_every_period_under_the_limit_is_named() -> None:
    """At one hour of the day, and so at one of the dial."""
    places = [Place(2 * HOUR + n * 2 * MINUTE, 14 * HOUR + n * 2 * MINUTE, 200.0 * n + 31) for n in range(5)]
    found = clusters_of(places, GROUND)
    assert {cluster.measure for cluster in found} == {Measure.HALF_DAY, Measure.DAY}
    assert all(cluster.chance < CHANCE for cluster in found)
    assert [c.chance for c in found] == sorted(c.chance for c in found)


def test_some_of_the_stops_may_gather_and_the_others_not() -> None:
    places = [Place(n * 2 * HOUR % (12 * HOUR) + 17 * MINUTE, None, None) for n in range(5)]
    places += [Place(3 * HOUR + 44 * MINUTE, None, None), Place(5 * HOUR + 3 * MINUTE, None, None)]
    [cluster] = clusters_of(places, GROUND)
    assert (cluster.count, cluster.of) == (5, 7)


def test_two_stops_or_what_nobody_noted_gather_nowhere() -> None:
    same = Place(3 * HOUR, 15 * HOUR, 400.0)
    assert clusters_of([same, same], GROUND) == ()
    assert clusters_of([same, same, Place(None, None, None)], GROUND) == ()
    assert clusters_of([Place(None, None, None)] * 5, GROUND) == ()


def test_the_same_stops_have_the_same_chance() -> None:
    places = gathered(Measure.HEIGHT, 5, 40)
    assert clusters_of(places, GROUND) == clusters_of(places, GROUND)


def test_hours_not_gone_are_no_evidence() -> None:
    """A clock that is only let go in the mornings stops in the morning."""

    def mornings(rng: np.random.Generator, draws: int, stops: int) -> tuple[np.ndarray, np.ndarray]:
        hours = rng.uniform(8, 9, (draws, stops))
        return hours * HOUR, rng.uniform(0, RANGE_MM, (draws, stops))

    places = [Place(h * HOUR, h * HOUR, None) for h in (8.0, 8.3, 8.6, 8.95)]
    assert clusters_of(places, GROUND) != ()
    assert clusters_of(places, Ground(mornings, RANGE_MM, 7.0)) == ()
