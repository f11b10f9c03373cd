"""How a clock's error, rate and drift wander: the noise that every estimate of them stands on."""

from __future__ import annotations


def process_noise(q1: float, q2: float, q3: float, tau_days: float) -> tuple[float, float, float, float, float, float]:
    """Covariance of error (s), rate (s/day) and drift (s/day^2) gathered over `tau_days`: Q11, Q12, Q13, Q22, Q23, Q33.

    Variances, not standard deviations: q1 of white frequency noise in s^2/day, q2 of random-walk frequency noise in
    (s/day)^2/day, q3 of the drift's in (s/day^2)^2/day. The integral of F(s) diag(q) F(s)' over s with
    F = [[1, s, s^2/2], [0, 1, s], [0, 0, 1]] (the three-state clock model, e.g. Zucca and Tavella, IEEE Trans. UFFC
    52 (2005) 289, from memory).
    """
    t = tau_days
    t2 = t * t
    t3, t4 = t2 * t, t2 * t2
    t5 = t4 * t
    return (
        q1 * t + q2 * t3 / 3 + q3 * t5 / 20,
        q2 * t2 / 2 + q3 * t4 / 8,
        q3 * t3 / 6,
        q2 * t + q3 * t3 / 3,
        q3 * t2 / 2,
        q3 * t,
    )
