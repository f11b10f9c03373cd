"""What weights do as they pass the bob: a swing that is lower there, or stops that fall there beyond chance."""

from __future__ import annotations

import math
from datetime import timedelta
from statistics import fmean

import numpy as np

from standwatch.estimate.answers import Lead, SwingReading, TrainRun
from standwatch.estimate.bob import BELOW_BOB_MM, bob_place, in_case
from standwatch.estimate.gone import gone_of, places_of
from standwatch.estimate.history import HUNG, History, Visit
from standwatch.estimate.leads.evidence import Evidence
from standwatch.estimate.leads.strength import odds_beyond, odds_of
from standwatch.estimate.telling import TOP_MM
from standwatch.estimate.winding import winds
from standwatch.model.answers import Quantity
from standwatch.model.words import Train

ABOVE_BOB_MM = 40.0
"""A weight is long: its middle above the bob, its foot is level already (common practice)."""
CLEAR_MM = 100.0
"""A weight so far above that, or below, disturbs nothing: what is compared is read there."""
LEAST_STOPS = 3
CHANCE = 0.01
_USUAL_PCT, _FAULTY_PCT, _PRIOR = 1.5, 8.0, 0.1
"""How swings differ through a wind, what a weight takes from a pendulum, and how often one does (common practice)."""
_THERE = 0.9
"""Share of the stops within the window that the bob is to blame for (heights are told to some mm)."""
_DRAWS = 4000
_SEED = 1655


def bob_window(evidence: Evidence) -> Lead | None:
    """Swing that is low, or stops, while a weight hangs level with the bob."""
    found = [lead for lead in (_swing(evidence), _stops(evidence)) if lead is not None]
    return max(found, key=lambda lead: lead.odds, default=None)


def steadied(history: History) -> str:
    """What keeps weights and pendulum apart: the case fixed to its wall, or, before it is in it, a steady stand."""
    return "fix the case" if in_case(history) else "steady the stand"


def _swing(evidence: Evidence) -> Lead | None:
    """Each swing read in the window against those read clear of it just before and after."""
    place = bob_place(evidence.history.clock, evidence.history.traits)
    readings = evidence.swing.readings
    if place is None or len(readings) < LEAST_STOPS:
        return None
    where = [_where(evidence, reading, place[0]) for reading in readings]
    drops, weights = [], []
    for n, (reading, at) in enumerate(zip(readings, where, strict=True)):
        before = next((readings[m] for m in range(n - 1, -1, -1) if where[m] == "clear"), None)
        after = next((readings[m] for m in range(n + 1, len(readings)) if where[m] == "clear"), None)
        beside = [each for each in (before, after) if each is not None]
        if at != "level" or not beside:
            continue
        usual = fmean(each.degrees for each in beside)
        drops.append(100 * (1 - reading.degrees / usual))
        weights.append((100 * reading.doubt_deg / usual) ** -2 / (1 + 1 / len(beside)))
    if not drops:
        return None
    drop = sum(d * w for d, w in zip(drops, weights, strict=True)) / sum(weights)
    odds = odds_beyond(drop, sum(weights) ** -0.5, usual=_USUAL_PCT, faulty=_FAULTY_PCT, prior=_PRIOR)
    times = {1: "once", 2: "twice"}.get(len(drops), f"{len(drops)} times")
    text = (
        f"the swing is {drop:.0f} % lower while a weight hangs level with the bob, read {times}: "
        f"it draws on the pendulum; {steadied(evidence.history)}, look at the suspension and at how near they pass"
    )
    return Lead("bob-window", odds, text)


def _where(evidence: Evidence, reading: SwingReading, bob: float) -> str:
    """Where the weights hung when the swing was read: "level" if any was, "clear" if all were, else "near"."""
    visit = next(v for v in evidence.history.visits if v.id == reading.id)
    falls = [_fall(evidence, run, visit) for run in evidence.power.trains]
    known = [fall for fall in falls if fall is not None]
    if any(bob - ABOVE_BOB_MM <= fall <= bob + BELOW_BOB_MM for fall in known):
        return "level"
    reach = (bob - ABOVE_BOB_MM - CLEAR_MM, bob + BELOW_BOB_MM + CLEAR_MM)
    all_clear = bool(known) and len(known) == len(falls) and all(not reach[0] < fall < reach[1] for fall in known)
    return "clear" if all_clear else "near"


def _fall(evidence: Evidence, run: TrainRun, visit: Visit) -> float | None:
    """Where a weight hung at a visit: as read then, else by its speed since it was wound to the top."""
    read = visit.row.fall_mm(run.train)
    if read is not None:
        return read
    before = [(at, raised) for at, raised in winds(evidence.history, run.train) if at < visit.at]
    if not before or before[-1][1] is not None or not isinstance(run.speed_mm_per_day, Quantity):
        return None
    days = (visit.at - before[-1][0]) / timedelta(days=1)
    return TOP_MM + days * run.speed_mm_per_day.estimate


def _speed(evidence: Evidence, run: TrainRun) -> float:
    told = run.speed_mm_per_day
    return told.estimate if isinstance(told, Quantity) else evidence.history.traits.fall_mm_per_day


def _stops(evidence: Evidence) -> Lead | None:
    """Stops with the going weight in the window, against the share of its going that it spends there."""
    history = evidence.history
    place = bob_place(history.clock, history.traits)
    if place is None or sum(visit.work in HUNG for visit in history.since_opened) < LEAST_STOPS:
        return None
    going = evidence.going
    stops = [stop for stop in going.stops if not (stop.in_time or stop.explained)]
    run = next(run for run in evidence.power.trains if run.train is Train.GOING)
    gone = gone_of(history, going, _speed(evidence, run)) if len(stops) >= LEAST_STOPS else None
    if gone is None:
        return None
    heights = [each.height for each in places_of(history, stops, gone) if each.height is not None]
    low, high = place[0] - ABOVE_BOB_MM, place[0] + BELOW_BOB_MM
    n, k = len(heights), sum(low <= height <= high for height in heights)
    _, thrown = gone.thrown(np.random.default_rng(_SEED), _DRAWS, 1)
    share = (float(((thrown >= low) & (thrown <= high)).sum()) + 1) / (_DRAWS + 2)
    by_chance = sum(math.comb(n, m) * share**m * (1 - share) ** (n - m) for m in range(k, n + 1))
    if k < LEAST_STOPS or by_chance >= CHANCE:
        return None
    ratio = (_THERE / share) ** k * ((1 - _THERE) / (1 - share)) ** (n - k)
    count = f"all {n} stops" if k == n else f"{k} of {n} stops"
    text = (
        f"{count} fell while the going weight passed the bob, {low:.0f} to {high:.0f} mm down: "
        f"it draws on the pendulum; {steadied(evidence.history)}, look at the suspension and at how near they pass"
    )
    return Lead("bob-window", odds_of(_PRIOR, ratio), text)
