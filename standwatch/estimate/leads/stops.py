"""Stops that have something in common, or plainly nothing (common practice: the trade's table of patterns).

What counts are the stops since the last opening that nobody has explained; a run-out in time is none.
"""

from __future__ import annotations

import math

from standwatch.estimate.answers import Lead
from standwatch.estimate.bob import BELOW_BOB_MM
from standwatch.estimate.clusters import DRAWS, Cluster, Measure
from standwatch.estimate.history import History
from standwatch.estimate.leads.bob import ABOVE_BOB_MM, steadied
from standwatch.estimate.leads.evidence import Evidence
from standwatch.model.units import HOUR_S
from standwatch.model.words import Drive, Train

BEFORE_MIN = 10.0
"""A stop so many minutes before the strike or chime lets off falls into its lift (common practice)."""
SCATTERED_LEAST = 4
_SEEN = {4: 0.54, 5: 0.76, 6: 0.83, 7: 0.88, 8: 0.92}
"""How often stops of one cause, or mostly one, are named, by their number (bench of power, its causes averaged)."""


def same_minute(evidence: Evidence) -> Lead | None:
    """Stops at one minute of the hour, away from where the strike or chime lets off."""
    cluster = evidence.gathered.on(Measure.MINUTE)
    if cluster is None or _before(evidence.history, cluster) is not None:
        return None
    text = (
        f"{_count(cluster)} came {_minutes(cluster)} past the hour: hands touching, the warning's lift or the "
        "centre wheel; look at the clearance of the hands there"
    )
    return Lead("stops-same-minute", _odds(cluster), text)


def before_hour(evidence: Evidence) -> Lead | None:
    """Stops just before the strike or the chime lets off."""
    cluster = evidence.gathered.on(Measure.MINUTE)
    what = None if cluster is None else _before(evidence.history, cluster)
    if cluster is None or what is None:
        return None
    text = (
        f"{_count(cluster)} came {_minutes(cluster)} past, just before {what[0]}: the load of the {what[1]}, or a "
        "stiff detent; feel the lift with the train let off"
    )
    return Lead("stops-before-hour", _odds(cluster), text)


def same_hour(evidence: Evidence) -> Lead | None:
    """Stops at one hour of the dial or of the day."""
    cluster = evidence.gathered.on(Measure.HALF_DAY, Measure.DAY)
    if cluster is None:
        return None
    striking = Train.STRIKE in evidence.history.traits.trains
    middle = (cluster.first + cluster.last) / 2 % (12 * HOUR_S)
    if striking and middle < HOUR_S:
        likely = "the rack tail caught on the snail's step if the strike had run out, else moon or calendar"
    else:
        likely = "the load of a moon or calendar"
    text = f"{_count(cluster)} came {_hours(cluster)}: {likely}; disengage it and let it come round again"
    return Lead("stops-same-hour", _odds(cluster), text)


def same_height(evidence: Evidence) -> Lead | None:
    """Stops with the weight at one height, or a spring at one point of its wind."""
    cluster = evidence.gathered.on(Measure.HEIGHT)
    if cluster is None:
        return None
    history = evidence.history
    if history.traits.drive is Drive.SPRING:
        text = (
            f"{_count(cluster)} came {_range(cluster, 1.0)} hours after winding: a set spring, its stopwork or a "
            "fault in the barrel; look at the swing there"
        )
        return Lead("stops-same-height", _odds(cluster), text)
    bob = history.clock.bob_below_top_mm
    middle = (cluster.first + cluster.last) / 2
    if bob is not None and bob - ABOVE_BOB_MM <= middle <= bob + BELOW_BOB_MM:
        likely = f"level with the bob at {bob:.0f} mm"
    else:
        likely = "level with the bob, its line crossing or the weight touching"
    look = f"{steadied(history)}, look at the suspension"
    text = f"{_count(cluster)} came with the going weight {_range(cluster, 5.0)} mm down: {likely}; {look}"
    return Lead("stops-same-height", _odds(cluster), text)


def scattered(evidence: Evidence) -> Lead | None:
    """Stops enough to show a common minute, hour or height, and none shows."""
    gathered = evidence.gathered
    if gathered.clusters or gathered.dials < SCATTERED_LEAST:
        return None
    missed = 1 - _SEEN[min(gathered.dials, max(_SEEN))]
    shared = "minute, hour or height" if gathered.heights else "minute or hour"
    text = (
        f"{gathered.stops} stops with no {shared} in common: beat, dirt, a bent tooth or a draught; "
        "set the beat and mark the wheels where it stops"
    )
    return Lead("stops-scattered", 1 / (1 + missed), text)


def _odds(cluster: Cluster) -> float:
    """The most that a p-value speaks for something over chance, both as likely before.

    1 / (1 - e p ln p): Sellke, Bayarri and Berger, Calibration of p values, The American Statistician 55 (2001), from
    memory.
    """
    p = max(cluster.chance, 1 / DRAWS)
    return 1 / (1 - math.e * p * math.log(p))


def _before(history: History, cluster: Cluster) -> tuple[str, str] | None:
    """What lets off just after the cluster's middle, and which train; None where nothing does."""
    minute = (cluster.first + cluster.last) / 120 % 60
    trains = history.traits.trains
    if Train.CHIME in trains and minute % 15 >= 15 - BEFORE_MIN / 2:
        return ("the hour" if minute > 45 else "the quarter"), "chime"
    if Train.STRIKE in trains and minute >= 60 - BEFORE_MIN:
        return "the hour", "strike"
    if Train.STRIKE in trains and history.traits.half_hour and 30 - BEFORE_MIN <= minute < 30:
        return "the half hour", "strike"
    return None


def _count(cluster: Cluster) -> str:
    return f"all {cluster.of} stops" if cluster.count == cluster.of else f"{cluster.count} of {cluster.of} stops"


def _minutes(cluster: Cluster) -> str:
    first, last = (round(seconds / 60) % 60 for seconds in (cluster.first, cluster.last))
    return f"{first} minutes" if first == last else f"{first} to {last} minutes"


def _hours(cluster: Cluster) -> str:
    """ "between 2:10 and 2:40 on the dial", or "between 14:10 and 14:40 each day"."""
    whole = 12 if cluster.measure is Measure.HALF_DAY else 24
    first, last = (_clock(seconds, whole) for seconds in (cluster.first, cluster.last))
    period = "on the dial" if whole == 12 else "each day"
    return f"at {first} {period}" if first == last else f"between {first} and {last} {period}"


def _clock(seconds: float, hours: int) -> str:
    minutes = round(seconds / 60) % (hours * 60)
    hour = minutes // 60
    return f"{hour or 12}:{minutes % 60:02d}" if hours == 12 else f"{hour:02d}:{minutes % 60:02d}"


def _range(cluster: Cluster, to: float) -> str:
    first, last = (round(value / to) * to for value in (cluster.first, cluster.last))
    return f"{first:.0f}" if first == last else f"{first:.0f} to {last:.0f}"
