"""The Earth as a clock (IERS, finals2000A by astropy-iers-data): 53 years of nights, its leap seconds left untold."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

import numpy as np

from standwatch.estimate.estimates import estimates_of
from standwatch.estimate.history import history_of
from standwatch.model.answers import Quantity
from standwatch.model.facts import CheckIn, Clock
from standwatch.model.records import Record
from standwatch.model.words import KindName, Work
from tests.published.earth import leap_seconds, midnight, nights
from tests.stories import ZONE

_MJD_2000 = 51544


@dataclass(frozen=True)
class Earth:
    """What was found: leap seconds found of `leaps`, other work called, suspects, rms of the daily rate in ms/day."""

    nights: int
    leaps: int
    found: int
    other: int
    suspects: int
    rms_ms: float


def run() -> Earth:
    """All observed nights with every leap second untold; daily rates against the mean of both nights' length of day."""
    observed = nights()
    rows = [CheckIn(at=night.at, tag="EARTH", error_s=night.ut1_utc_s, error_u_s=night.doubt_s) for night in observed]
    records = [Record(str(n), row, n, n, None, row.at) for n, row in enumerate(rows)]
    clock = Clock(tag="EARTH", kind=KindName.REFERENCE)
    (told,) = estimates_of([history_of(clock, records, now=rows[-1].at, zone=ZONE)])
    wanted = {midnight(mjd) for mjd in leap_seconds()}
    works = told.time.suspected_work
    right = {w.at for w in works if w.what is Work.HANDS_SET and abs(w.amount - 1) < 0.01} & wanted
    lod = {night.at: night.lod_ms for night in observed}
    misses = []
    for at, rate in told.time.daily_rates():
        before, after = lod.get(at - timedelta(days=1)), lod.get(at)
        if before is not None and after is not None and isinstance(rate, Quantity) and at > midnight(_MJD_2000):
            misses.append(1000 * rate.estimate + (before + after) / 2)
    return Earth(
        nights=len(rows),
        leaps=len(wanted),
        found=len(right),
        other=len(works) - len(right),
        suspects=len(told.time.suspects),
        rms_ms=float(np.sqrt(np.mean(np.square(misses)))) if misses else float("inf"),
    )
