"""The log likelihood of one filter, against statsmodels' state space on the same model.

The model: error and rate, white and random-walk frequency noise over uneven gaps (Q of the clock noise model), read
with known doubts. statsmodels gets it as time-varying system matrices.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from statsmodels.tsa.statespace.kalman_filter import KalmanFilter

from tests.simulated.physics import Floats


@dataclass(frozen=True)
class Model:
    """One clock without wind or warmth: `gaps` days between its `readings` (s), their doubts, its noise variances.

    The first reading is an ordinary one of an error N(0, `error_sd`^2) and a rate N(0, `rate_sd`^2).
    """

    gaps: Floats
    readings: Floats
    doubts: Floats
    q1: float
    q2: float
    error_sd: float
    rate_sd: float


def made(seed: int, readings: int = 60) -> Model:
    """A clock with uneven gaps and doubts of both hands."""
    rng = np.random.default_rng([seed, 55])
    gaps = rng.uniform(0.2, 3.0, readings - 1)
    values = np.cumsum(np.concatenate([[20.0], 4 * gaps + rng.standard_normal(readings - 1)]))
    return Model(gaps, values, rng.choice((0.5, 5.0), readings), 1.0, 0.01, 3000.0, 30.0)


def by_statsmodels(model: Model) -> float:
    """The log likelihood by statsmodels' Kalman filter, constants included."""
    n = len(model.readings)
    kf = KalmanFilter(k_endog=1, k_states=2, k_posdef=2, tolerance=0)
    kf.bind(model.readings[:, None])
    d = np.append(model.gaps, 1.0)  # the last transition leads nowhere
    transition = np.zeros((2, 2, n))
    transition[0, 0], transition[0, 1], transition[1, 1] = 1, d, 1
    noise = np.zeros((2, 2, n))
    noise[0, 0] = model.q1 * d + model.q2 * d**3 / 3
    noise[0, 1] = noise[1, 0] = model.q2 * d**2 / 2
    noise[1, 1] = model.q2 * d
    kf["design"] = np.array([[1.0, 0.0]])
    kf["transition"], kf["state_cov"] = transition, noise
    kf["selection"] = np.eye(2)
    kf["obs_cov"] = (model.doubts**2)[None, None, :]
    kf.initialize_known(np.zeros(2), np.diag([model.error_sd**2, model.rate_sd**2]))
    return float(kf.loglike())


def by_engine(model: Model) -> float | None:
    """The same by one filter of the program's engine; None while it gives none."""
    del model
    return None
