"""The log likelihood of one filter, against statsmodels' state space on the same model.

The model: error and rate, white and random-walk frequency noise over uneven gaps (Q of the clock noise model), a rate
that strays about its mean with a memory (an Ornstein-Uhlenbeck process, see `oracle.py`), read with known doubts.
statsmodels gets it as time-varying system matrices.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from statsmodels.tsa.statespace.kalman_filter import KalmanFilter

from standwatch.estimate.decisions import NEVER_WRONG
from standwatch.estimate.engine import posteriors
from standwatch.estimate.grid import one_member
from standwatch.estimate.history import history_of
from standwatch.estimate.prior import ERROR_SD_S, REFERENCE_RATE_SD, REFERENCE_STRAY_SD
from standwatch.estimate.timeline import timeline_of
from standwatch.horology.kinds import KINDS
from standwatch.model.facts import CheckIn, Clock
from standwatch.model.records import Record
from standwatch.model.words import KindName
from tests.simulated.facts import MIDNIGHT
from tests.simulated.physics import Floats
from tests.stories import ZONE


@dataclass(frozen=True)
class Model:
    """One clock without wind or warmth: `gaps` days between its `readings` (s), their doubts, its noise variances.

    The first reading is an ordinary one of an error N(0, `error_sd`^2) and a rate N(0, `rate_sd`^2). The rate strays by
    `stray_sd` s/day with a memory of `memory_d` days.
    """

    gaps: Floats
    readings: Floats
    doubts: Floats
    q1: float
    q2: float
    error_sd: float
    rate_sd: float
    stray_sd: float
    memory_d: float


def made(seed: int, readings: int = 60) -> Model:
    """A clock compared for its rate, with uneven gaps of whole seconds and doubts of both hands."""
    rng = np.random.default_rng([seed, 55])
    row = KINDS[KindName.REFERENCE]
    gaps = np.round(86400 * rng.uniform(0.2, 3.0, readings - 1)) / 86400
    values = np.cumsum(np.concatenate([[20.0], 4 * gaps + rng.standard_normal(readings - 1)]))
    doubts = rng.choice((0.5, 5.0), readings)
    return Model(gaps, values, doubts, row.q1_s**2, row.q2_s**2, ERROR_SD_S, REFERENCE_RATE_SD, REFERENCE_STRAY_SD, 3.0)


def by_engine(model: Model) -> float:
    """The log likelihood by one plain filter of the engine: one member of its grid, nothing wrong or unlogged."""
    at = MIDNIGHT + np.append(0, np.cumsum(np.round(86400 * model.gaps))).astype("timedelta64[s]").astype(object)
    records = []
    for n, (when, error, doubt) in enumerate(zip(at, model.readings, model.doubts, strict=True)):
        row = CheckIn(at=when, tag="T", error_s=float(error), error_u_s=float(doubt))
        records.append(Record(str(n), row, n, n, None, when))
    clock = Clock(tag="T", kind=KindName.REFERENCE)
    history = history_of(clock, records, now=records[-1].body.at, zone=ZONE)
    (told,) = posteriors([timeline_of(history)], grids=[one_member()], likely=NEVER_WRONG)
    return told.log_evidence


def by_statsmodels(model: Model) -> float:
    """The log likelihood by statsmodels' Kalman filter, constants included."""
    n = len(model.readings)
    kf = KalmanFilter(k_endog=1, k_states=3, k_posdef=3, tolerance=0)
    kf.bind(model.readings[:, None])
    d = np.append(model.gaps, 1.0)  # the last transition leads nowhere
    memory, kept, s2 = model.memory_d, np.exp(-d / model.memory_d), model.stray_sd**2
    transition = np.zeros((3, 3, n))
    transition[0, 0], transition[0, 1], transition[1, 1] = 1, d, 1
    transition[0, 2], transition[2, 2] = memory * (1 - kept), kept
    noise = np.zeros((3, 3, n))
    strayed = s2 * memory * (2 * d - memory * (3 - 4 * kept + kept**2))
    noise[0, 0] = model.q1 * d + model.q2 * d**3 / 3 + strayed
    noise[0, 1] = noise[1, 0] = model.q2 * d**2 / 2
    noise[1, 1] = model.q2 * d
    noise[0, 2] = noise[2, 0] = s2 * memory * (1 - kept) ** 2
    noise[2, 2] = s2 * (1 - kept**2)
    kf["design"] = np.array([[1.0, 0.0, 0.0]])
    kf["transition"], kf["state_cov"] = transition, noise
    kf["selection"] = np.eye(3)
    kf["obs_cov"] = (model.doubts**2)[None, None, :]
    kf.initialize_known(np.zeros(3), np.diag([model.error_sd**2, model.rate_sd**2, s2]))
    return float(kf.loglike())
