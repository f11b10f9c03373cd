"""The documents of --json: exact names, numbers in full, times in UTC."""

from __future__ import annotations

import json
from collections.abc import Iterable
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from standwatch.model.answers import Answer, Moment, NotYetKnown, Quantity

if TYPE_CHECKING:
    from standwatch.estimate.learned import Learned
    from standwatch.estimate.together import Common
    from standwatch.judge.assessment import Assessment, Verdict
    from standwatch.judge.due import Due
    from standwatch.judge.regulation import Advice
    from standwatch.judge.turns import PastTurn
    from standwatch.service.views import Forecast

Json = dict[str, object]


def emit(document: object) -> None:
    """One JSON document and nothing else, on stdout."""
    click.echo(json.dumps(document, indent=2, allow_nan=False))


def iso(at: datetime) -> str:
    """A time in UTC with `+00:00`."""
    return at.astimezone(UTC).isoformat()


def answer(value: Answer) -> Json:
    """Q of the interface."""
    if isinstance(value, Quantity):
        return {"estimate": value.estimate, "low": value.low, "high": value.high}
    return {"not_yet_known": value.because}


def status(now: datetime, found: Iterable[Assessment], learned: Learned, common: Common) -> Json:
    """`status --json`."""
    clocks = [_clock(each) for each in found]
    return {"now": iso(now), "clocks": clocks, "learned": _learned(learned), "common": _common(common)}


def _common(common: Common) -> Json:
    heating = common.heating
    return {
        "reference_jumps": [
            {"at": iso(each.at), "seconds": each.seconds, "doubt_s": each.doubt_s, "clocks": each.clocks}
            for each in common.jumps
        ],
        "heating": None
        if heating is None
        else {
            "since": iso(heating.since),
            "loss_s_per_day": heating.loss_s_per_day,
            "warmer_c": heating.warmer_c,
            "doubt_c": heating.doubt_c,
            "clocks": heating.clocks,
        },
    }


def _learned(learned: Learned) -> Json:
    winding = learned.winding
    return {
        "noise": {
            str(kind): {"white": each.white, "walk": each.walk, "reading": each.reading, "clocks": each.clocks}
            for kind, each in sorted(learned.noise.items())
        },
        "winding": None
        if winding is None
        else {"seconds": winding.seconds, "doubt_s": winding.doubt_s, "clocks": winding.clocks},
    }


def forecasts(found: Iterable[Forecast]) -> list[Json]:
    """`forecast --json`."""
    return [{"tag": each.tag, "at": iso(each.at), "error_s": answer(each.error_s)} for each in found]


def _clock(found: Assessment) -> Json:
    history, estimates = found.estimates.history, found.estimates
    time = estimates.time
    return {
        "tag": found.tag,
        "kind": str(history.clock.kind),
        "position": history.position or None,
        "standing": str(found.standing),
        "error_s": answer(found.error_s),
        "rate_s_per_day": answer(time.rate),
        "rate_named": time.rate_named,
        "drift_s_per_day2": answer(time.drift),
        "amplitude_deg": answer(estimates.swing.amplitude),
        "wind_down": _wind_down(found),
        "suspect_readings": [
            {"at": iso(each.at), "error_s": each.error_s, "expected_s": each.expected_s} for each in time.suspects
        ],
        "suspected_work": [
            {"what": str(each.what), "at": iso(each.at), "amount": each.amount, "odds": each.odds}
            for each in estimates.suspected_work
        ],
        "leads": [{"code": each.code, "odds": each.odds, "text": each.text} for each in estimates.leads],
        "requirements": [_requirement(verdict) for verdict in found.verdicts],
        "next": {"code": str(found.next.code), "text": found.next.text},
    }


def _wind_down(found: Assessment) -> Json:
    soonest = found.estimates.running.soonest
    if isinstance(soonest, NotYetKnown):
        return {"not_yet_known": soonest.because}
    runs_out = soonest.runs_out
    if not isinstance(runs_out, Moment):
        return {"not_yet_known": runs_out.because}
    return {
        "train": str(soonest.train),
        "at": iso(runs_out.at),
        "low": iso(runs_out.low),
        "high": iso(runs_out.high),
    }


def _requirement(verdict: Verdict) -> Json:
    observed = verdict.observed
    return {
        "name": str(verdict.requirement),
        "outcome": str(verdict.outcome),
        "observed": answer(observed) if isinstance(observed, Quantity) else observed,
        "limit": verdict.limit,
        "because": verdict.because,
        "earliest": None if verdict.earliest is None else iso(verdict.earliest),
        **({"usual": verdict.usual} if verdict.asked else {}),  # only where the shop asks more or less
    }


def advice(tag: str, found: Advice | NotYetKnown, past: Iterable[PastTurn]) -> Json:
    """`regulate --json`."""
    turned = [_past(each) for each in past]
    if isinstance(found, NotYetKnown):
        return {"tag": tag, "not_yet_known": found.because, "past": turned}
    return {
        "tag": tag,
        "turns": answer(found.turns),
        "direction": found.direction,
        "rate_after": answer(found.rate_after),
        "past": turned,
    }


def _past(turn: PastTurn) -> Json:
    return {
        "at": iso(turn.at),
        "turns": turn.turns,
        "predicted": answer(turn.predicted),
        "became": answer(turn.became),
    }


def candidates(found: Iterable[tuple[datetime, float]]) -> list[Json]:
    """`stop-times --json`."""
    return [{"at": iso(at), "odds": odds} for at, odds in found]


def due(found: Iterable[Due]) -> list[Json]:
    """`due --json`."""
    return [
        {"tag": each.tag, "what": each.what, "at": iso(each.at), "low": iso(each.low), "high": iso(each.high)}
        for each in found
    ]
