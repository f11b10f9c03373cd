"""Regulating: what earlier turns of the nut were to do, and did."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from standwatch.estimate.breaks import Break
from standwatch.estimate.history import History
from standwatch.judge.regulation import nuts_since_opened
from standwatch.judge.turns import PastTurn, past_turn
from standwatch.service.assessing import Assessor


def past_turns(office: Assessor, tag: str, now: datetime) -> tuple[PastTurn, ...]:
    """Every turn since the clock was last opened, oldest first: the rate predicted then, and what it became."""
    estimates = office.assess(tag, now).estimates
    history = estimates.history
    opened = [step for step in history.breaks if step.opens_rate]
    found = []
    for nut in nuts_since_opened(estimates):
        after = next((step for step in opened if (step.at, step.order) > (nut.at, nut.order)), None)
        before = office.estimates(_before(office, history, nut), now)
        later = estimates
        if after is not None:
            later = office.estimates(_before(office, history, after), now)
        found.append(past_turn(nut.at, nut.amount, before, later))
    return tuple(found)


def _before(office: Assessor, history: History, step: Break) -> History:
    """The clock as it was just before `step`, with what is known of its neighbours since."""
    return replace(office.history_before(history.clock.tag, _row(history, step)), common=history.common)


def _row(history: History, step: Break) -> str:
    """The id of the row whose work `step` is."""
    return next(visit.id for visit in history.visits if (visit.at, visit.order) == (step.at, step.order))
