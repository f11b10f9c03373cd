"""What was learned, as it is said."""

from __future__ import annotations

import pytest

from standwatch.estimate.learned import DEFAULTS, Learned, NoiseShift, WindingStep
from standwatch.model.words import KindName
from standwatch.service.taught import taught


@pytest.mark.parametrize(
    ("shift", "said"),
    [
        (NoiseShift(1.42, 1.38, 1.03, 41), "41 mantel clocks: they wander 1.4 times the usual and are read as usual"),
        (
            NoiseShift(1.5, 0.67, 1.5, 40),
            (
                "40 mantel clocks: they wander 1.5 times the usual from day to day and 0.7 times the usual from week "
                "to week and are misread 1.5 times the usual"
            ),
        ),
        (NoiseShift(1.01, 0.99, 0.667, 9), "9 mantel clocks: they wander as usual and are misread 0.7 times the usual"),
        (NoiseShift(0.33, 0.33, 1.0, 1), "1 mantel clock: they wander 0.33 times the usual and are read as usual"),
    ],
)
def test_a_kind_s_noise(shift: NoiseShift, said: str) -> None:
    assert taught(Learned({KindName.MANTEL: shift})) == (f"learned from {said}",)


def test_a_wind() -> None:
    # the doubt is said as on every screen: what it may be out by, nineteen times in twenty
    assert taught(Learned(winding=WindingStep(-7.2, 0.77, 12))) == (
        "a wind costs 7.2 ± 1.5 s (from 12 clocks; usual 10)",
    )
    assert taught(Learned(winding=WindingStep(1.0, 0.2, 1))) == ("a wind gains 1.0 ± 0.4 s (from 1 clock; usual 10)",)


def test_kinds_come_by_name_and_the_wind_last() -> None:
    same = NoiseShift(1.2, 1.2, 1.0, 20)
    lines = taught(Learned({KindName.MANTEL: same, KindName.CUCKOO: same}, WindingStep(-8, 1, 3)))
    assert [line.split(":")[0] for line in lines[:2]] == [
        "learned from 20 cuckoo clocks",
        "learned from 20 mantel clocks",
    ]
    assert lines[2].startswith("a wind costs 8")


def test_where_no_default_was_replaced_nothing_is_said() -> None:
    assert taught(DEFAULTS) == ()
