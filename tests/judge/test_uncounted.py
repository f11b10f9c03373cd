"""A swing that was read and is no amplitude, in words."""

from __future__ import annotations

import pytest

from standwatch.judge.uncounted import uncounted_words
from tests.judge.judged import history


def said(*rows: str, kind: str = "longcase") -> str:
    told = history(kind, rows, now="11-03 12:00", position="A1")
    return uncounted_words(told, told.visits[-1].id)


@pytest.mark.parametrize(("work", "done"), [("restarted", "set going"), ("beat-set", "set in beat")])
def test_the_first_swing(work: str, done: str) -> None:
    assert said(f"11-02 08:00 work={work}", "11-02 08:15 amplitude_deg=3.4") == (
        f"not counted: the first swing, within 15 minutes of being {done}, is wide and finds the beat; "
        "read it again later"
    )
    assert said(f"11-02 08:00 work={work}", "11-02 08:16 amplitude_deg=3.4") == ""
    assert said(f"11-02 08:00 work={work}", "11-02 08:10 error_s=3 beat_error_pct=2") == ""


def test_what_is_found_before_it_is_set_going_counts() -> None:
    assert said("11-02 08:00 amplitude_deg=2.4 work=beat-set") == ""


def test_an_overswing_is_a_swing() -> None:
    rows = ("11-02 08:00 work=restarted", "11-02 08:10 overswing_left_deg=60 overswing_right_deg=60")
    assert said(*rows, kind="torsion").startswith("not counted: the first swing")


@pytest.mark.parametrize("read", ["amplitude_deg=2.4", "beat_error_pct=2"])
def test_a_bumped_rail(read: str) -> None:
    bumped = "11-02 08:00 error_s=1 work=bumped"
    assert said(bumped, f"11-03 07:59 {read}") == (
        "not counted: its rail was bumped less than a day before; read it again tomorrow"
    )
    assert said(bumped, f"11-03 08:00 {read}") == ""
    assert said(bumped, "11-03 07:59 error_s=2") == ""
