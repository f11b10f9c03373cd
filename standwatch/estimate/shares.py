"""Shares of a count, such as of clocks that came back, with what so many can tell."""

from __future__ import annotations

import math

from standwatch.model.answers import Z95, Quantity


def share_of(count: int, of: int) -> Quantity:
    """`count` of `of` as a share, 0 to 1, with Wilson's 95 % interval. Raises ValueError unless 0 <= count <= of > 0.

    (p + z²/2n ± z √(p(1 − p)/n + z²/4n²)) / (1 + z²/n): E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209-212; without
    continuity correction it is method 3 of R. G. Newcombe, Statist. Med. 17 (1998) 857-872.
    """
    if of < 1 or not 0 <= count <= of:
        raise ValueError("a share is of one at least, and of no more than all")
    share, square = count / of, Z95**2 / of
    middle = share + square / 2
    half = Z95 * math.sqrt(share * (1 - share) / of + square / (4 * of))
    low, high = (middle - half) / (1 + square), (middle + half) / (1 + square)
    return Quantity(share, low if count else 0.0, high if count < of else 1.0)


def most_of_none(of: int) -> float:
    """The share that may still be hidden where none of `of` showed any: 95 % would then have shown one at least.

    1 − 0.05^(1/n), exact by the binomial. Raises ValueError where `of` is under one.
    """
    if of < 1:
        raise ValueError("of none, nothing is told")
    return 1 - math.pow(0.05, 1 / of)


def rule_of_three(of: int) -> float:
    """The same as it is said by heart, a little over it: 3/n, all of it for fewer than three.

    J. A. Hanley and A. Lippman-Hand, J. Am. Med. Assoc. 249 (1983) 1743-1745.
    """
    return min(3 / of, 1.0)
