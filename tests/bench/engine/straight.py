"""The usual ways, from general libraries, on the same readings: a straight line, and a local linear trend.

Each gives the 95 % interval of one reading at a later time, in the way its library recommends.
"""

from __future__ import annotations

import warnings

import numpy as np
import statsmodels.api as sm
from scipy.stats import theilslopes
from statsmodels.tsa.statespace.structural import UnobservedComponents

from tests.simulated.physics import Floats

Interval = tuple[float, float]


def least_squares(days: Floats, errors: Floats, at: float) -> Interval:
    """statsmodels' OLS with its own prediction interval of an observation."""
    fit = sm.OLS(errors, sm.add_constant(days)).fit()
    low, high = fit.get_prediction(np.array([[1.0, at]])).conf_int(obs=True, alpha=0.05)[0]
    return float(low), float(high)


def least_squares_rate(days: Floats, errors: Floats) -> Interval:
    """statsmodels' OLS with its own interval of the slope, the rate in s/day."""
    low, high = sm.OLS(errors, sm.add_constant(days)).fit().conf_int(alpha=0.05)[1]
    return float(low), float(high)


def theil_sen(days: Floats, errors: Floats, at: float) -> Interval:
    """scipy's Theil-Sen line with its own interval, as scipy's documentation draws it: both slopes from one intercept.

    It is the line's, not a reading's; scipy gives none for a reading.
    """
    _, intercept, low, high = theilslopes(errors, days, alpha=0.95)
    ends = intercept + low * at, intercept + high * at
    return float(min(ends)), float(max(ends))


def theil_sen_reading(days: Floats, errors: Floats, at: float) -> Interval:
    """The same made a reading's by us: the slope's interval about the medians, and the readings' scatter (by MAD)."""
    slope, intercept, low, high = theilslopes(errors, days, alpha=0.95)
    scatter = 1.4826 * np.median(np.abs(errors - intercept - slope * days))
    reach = at - np.median(days)
    line = intercept + slope * at
    down = np.hypot((slope - low) * reach, 1.96 * scatter)
    up = np.hypot((high - slope) * reach, 1.96 * scatter)
    return float(line - down), float(line + up)


def local_trend(errors: Floats, steps: int) -> Interval:
    """statsmodels' local linear trend on daily readings, its noises fitted, `steps` days ahead."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # a fit that does not converge still answers
        fit = UnobservedComponents(errors, "lltrend").fit(disp=0)
        low, high = fit.get_forecast(steps).conf_int(alpha=0.05)[-1]
    return float(low), float(high)


def interval_score(low: Floats, high: Floats, truth: Floats) -> Floats:
    """Winkler's score of 95 % intervals (Gneiting and Raftery, JASA 102 (2007) 359, eq. 43): small is good."""
    return np.asarray(high - low + 40 * np.maximum(low - truth, 0) + 40 * np.maximum(truth - high, 0))
