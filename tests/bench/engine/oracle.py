"""A Kalman filter that knows of each clock what nobody can: its noises, its warmth, its wind curve, which readings lie.

Written for the bench alone; it shares nothing with the program. State: error x, rate y, the weather's deviation, what a
wind costs. The weather is the simulated room's own process, with its integral over a gap in closed form (an
Ornstein-Uhlenbeck process of memory m and spread s over d days, k = exp(-d/m)):

    integral = m (1 - k) now + noise,  var = s^2 m (2 d - m (3 - 4 k + k^2)),  cov with the end = s^2 m (1 - k)^2

What no one is told it does not know either: the weather to come, what the next wind will cost beyond those past.
"""

from __future__ import annotations

import numpy as np

from tests.simulated.physics import Floats, wind_gain
from tests.simulated.reading import WAYS
from tests.simulated.stand import Watched

_LOSS_SD_S = 7.5
_THERMOMETER_C = np.hypot(0.2, 0.1 / np.sqrt(12))
_FIRST_ERROR_S = 30.0


class Oracle:
    """The filter over all clocks of a stand, one state a clock."""

    def __init__(self, stand: Watched, rate_spread: float = 1.0) -> None:
        self.stand = stand
        nature, room = stand.natures, stand.watch.room
        clocks = nature.clocks
        loses = bool(np.any(nature.loss_s))
        self.state = np.zeros((clocks, 4))
        self.state[:, 3] = -10.0 if loses else 0.0
        spread = [_FIRST_ERROR_S, rate_spread * nature.limit, room.weather_c, _LOSS_SD_S if loses else 0.0]
        self.cov = np.tile(np.diag(np.square(spread)), (clocks, 1, 1))
        self.read_var = nature.reading_s**2 + WAYS[nature.read_by].step_s ** 2 / 12

    def ahead(self, day: int, days: int) -> tuple[Floats, Floats]:
        """Mean and standard deviation of the reading `days` after `day`, from the readings up to `day`."""
        for now in range(day + 1):
            if now:
                self._pass(now - 1)
            self._read(now)
        for now in range(day, day + days):
            self._pass(now)
        return self.state[:, 0].copy(), np.sqrt(self.cov[:, 0, 0] + self.read_var)

    def _read(self, day: int) -> None:
        stand = self.stand
        trusted = stand.seen[:, day] & ~stand.wrong[:, day]
        self._weigh(0, stand.readings[:, day], np.where(trusted, self.read_var, np.inf))
        if stand.watch.thermometer:
            room = stand.watch.room
            weather = stand.warmth_c[:, day] - room.mean_c - room.daily(stand.at_d[:, day])
            self._weigh(2, weather, np.full(len(weather), _THERMOMETER_C**2))

    def _weigh(self, part: int, value: Floats, var: Floats) -> None:
        gain = self.cov[:, :, part] / (self.cov[:, part, part] + var)[:, None]
        self.state = self.state + gain * (value - self.state[:, part])[:, None]
        self.cov = self.cov - gain[:, :, None] * self.cov[:, part, None, :]

    def _pass(self, day: int) -> None:
        """From the reading of `day` to the next morning's."""
        stand, nature, room = self.stand, self.stand.natures, self.stand.watch.room
        start, end = stand.at_d[:, day], stand.at_d[:, day + 1]
        d = end - start
        memory, kept = room.memory_d, np.exp(-d / room.memory_d)
        wound = stand.wound[:, day].astype(float)
        step = np.tile(np.eye(4), (nature.clocks, 1, 1))
        step[:, 0, 1], step[:, 0, 2], step[:, 0, 3] = d, -nature.warmth * memory * (1 - kept), wound
        step[:, 2, 2] = kept
        at_wind = stand.at_d[:, day // nature.wound_every_d * nature.wound_every_d]
        sure = nature.curve * wind_gain(start - at_wind, end - at_wind, nature.wound_every_d)
        sure -= nature.warmth * (room.daily_gain(end) - room.daily_gain(start) + (room.mean_c - 20) * d)
        self.state = np.einsum("nij,nj->ni", step, self.state)
        self.state[:, 0] += sure
        q1, q2, s2 = nature.q1_s**2, nature.q2_s**2, room.weather_c**2
        integral = s2 * memory * (2 * d - memory * (3 - 4 * kept + kept**2))
        noise = np.zeros((nature.clocks, 4, 4))
        noise[:, 0, 0] = q1 * d + q2 * d**3 / 3 + nature.warmth**2 * integral + wound * nature.loss_scatter_s**2
        noise[:, 0, 1] = noise[:, 1, 0] = q2 * d**2 / 2
        noise[:, 1, 1] = q2 * d
        noise[:, 0, 2] = noise[:, 2, 0] = -nature.warmth * s2 * memory * (1 - kept) ** 2
        noise[:, 2, 2] = s2 * (1 - kept**2)
        self.cov = np.einsum("nij,njk,nlk->nil", step, self.cov, step) + noise
