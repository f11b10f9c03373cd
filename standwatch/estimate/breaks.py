"""What a piece of work breaks: TRADE's table of works, as numbers for the estimators."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime, timedelta

from standwatch.horology.kinds import Traits
from standwatch.model.facts import CheckIn
from standwatch.model.words import Train, Work

NEW = math.inf
"""The standard deviation of a step about which nothing is known: error or rate begin anew."""

WIND_LOSS_S, WIND_LOSS_SD_S = -10.0, 8.0
"""What a whole wind without maintaining power does to the error: the clock stands while the key turns (common
practice: about a second a turn)."""


@dataclass(frozen=True, slots=True)
class Break:
    """What one piece of work does to error and rate, and which evidence starts anew after it.

    The error steps by `error_shift_s` with standard doubt `error_sd_s`, the rate likewise in s/day; a doubt of NEW
    means that nothing carries over. What counts anew counts from `settled_at`.
    """

    at: datetime
    order: int
    work: Work
    amount: float | None
    error_shift_s: float
    error_sd_s: float
    rate_sd: float
    settled_at: datetime
    opens_rate: bool
    opens_swing: bool
    opens_all: bool


_DAY = timedelta(days=1)


def break_of(row: CheckIn, order: int, traits: Traits) -> Break | None:
    """What a row's work breaks; None for work that leaves error and rate alone."""
    swings_on = traits.oscillator == "balance"
    settle = 2 * _DAY if traits.oscillator == "torsion" else _DAY
    shift, sd, rate_sd, settled = 0.0, 0.0, 0.0, timedelta()
    match row.work:
        case Work.HANDS_SET:
            shift, sd = (0.0, NEW) if row.amount is None else (row.amount, 0.0 if traits.reference else 0.5)
        case Work.HELD:
            shift, sd = (0.0, NEW) if row.amount is None else (-row.amount, 1.0)
        case Work.WOUND if not traits.maintaining and row.train in {None, Train.GOING}:
            part = 1.0 if row.amount is None else min(1.0, row.amount / traits.usable_mm.get(Train.GOING, row.amount))
            shift, sd = WIND_LOSS_S * part, WIND_LOSS_SD_S * part
        case Work.STOPPED | Work.RESTARTED:
            sd = NEW
        case Work.RAN_OUT if row.train in {None, Train.GOING}:
            sd = NEW
        case Work.NUT:
            sd, rate_sd = (2.0 if swings_on else 15.0), NEW
            settled = settle if traits.oscillator == "torsion" else _DAY / 2
        case Work.BEAT_SET | Work.LEVELLED:
            sd, rate_sd, settled = 20.0, NEW, settle
        case Work.MOVED | Work.CASED:
            sd, rate_sd, settled = (2.0 if swings_on else NEW), NEW, settle
        case Work.OPENED | Work.OILED:
            sd, rate_sd, settled = NEW, NEW, settle
        case _:
            return None
    opened = row.work in {Work.OPENED, Work.OILED}
    return Break(
        at=row.at,
        order=order,
        work=row.work,
        amount=row.amount,
        error_shift_s=shift,
        error_sd_s=sd,
        rate_sd=rate_sd,
        settled_at=row.at + settled,
        opens_rate=rate_sd > 0,
        opens_swing=rate_sd > 0 and row.work is not Work.NUT,
        opens_all=opened,
    )


def back_from_owner(at: datetime) -> Break:
    """What coming back from the owner's breaks: the error begins anew, the rate is comparable."""
    return Break(at, 0, Work.MOVED, None, 0.0, NEW, 0.0, at, opens_rate=False, opens_swing=False, opens_all=False)
