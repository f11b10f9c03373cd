"""What can't be true of this clock, or not yet."""

from datetime import UTC, datetime

import pytest

from standwatch.horology.limits import check_possible
from standwatch.model.errors import BadValue
from standwatch.model.facts import CheckIn, Clock, Handover, Waiver
from standwatch.model.records import build

NOW = datetime(2026, 11, 20, 8, 20, tzinfo=UTC)


def _clock(kind: str, **columns: object) -> Clock:
    return build(Clock, {"tag": "T1", "kind": kind, **columns})


def _check(kind: str, cells: dict[str, object], **columns: object) -> None:
    row = build(CheckIn, {"at": "2026-11-20T08:00:00+00:00", "tag": "T1", **cells})
    check_possible(row, _clock(kind, **columns), now=NOW)


@pytest.mark.parametrize(
    ("kind", "cells"),
    [
        ("longcase", {"going_mm": -20}),
        ("longcase", {"going_mm": 1.5 * 165 * 8.5}),
        ("longcase", {"amplitude_deg": 45}),
        ("longcase", {"beat_error_pct": 3, "hour": 12, "blows": 12, "strike_s": 24}),
        ("longcase", {"work": "wound", "train": "strike"}),
        ("mantel", {"work": "wound", "amount": 14}),
        ("mantel-chiming", {"amplitude_deg": 300, "beat_error_ms": 2, "chime": "in-step", "quarter": 4}),
        ("torsion", {"amplitude_deg": 340, "overswing_left_deg": 25, "overswing_right_deg": 22}),
        ("floor-chiming", {"chime_mm": 400, "work": "mis-set", "amount": 2}),
        ("reference", {"error_s": 0.4, "error_u_s": 0.001}),
    ],
)
def test_what_can_be_passes(kind: str, cells: dict[str, object]) -> None:
    _check(kind, cells)


@pytest.mark.parametrize(
    ("kind", "cells", "column", "says"),
    [
        ("longcase", {"going_mm": 1.5 * 165 * 8.5 + 1}, "going_mm", "can't have fallen over 2104 mm"),
        ("longcase", {"chime_mm": 100}, "chime_mm", "no chime train"),
        ("mantel", {"going_mm": 100}, "going_mm", "no weights"),
        ("reference", {"going_mm": 100}, "going_mm", "no weights"),
        ("regulator", {"strike_mm": 100}, "strike_mm", "no strike train"),
        ("longcase", {"amplitude_deg": 45.1}, "amplitude_deg", "half-swing, 0 to 45"),
        ("longcase", {"beat_error_ms": 2}, "beat_error_ms", "give beat_error_pct instead"),
        ("carriage", {"beat_error_pct": 2}, "beat_error_pct", "give beat_error_ms instead"),
        ("torsion", {"beat_error_pct": 2}, "beat_error_pct", "give the overswing instead"),
        ("torsion", {"beat_error_ms": 2}, "beat_error_ms", "give the overswing instead"),
        ("mantel", {"overswing_left_deg": 20}, "overswing_left_deg", "give beat_error_pct instead"),
        ("longcase", {"chime": "in-step"}, "chime", "no chime train"),
        ("longcase", {"quarter": 2}, "quarter", "no chime train"),
        ("regulator", {"hour": 3}, "hour", "no strike train"),
        ("regulator", {"blows": 3}, "blows", "no strike train"),
        ("torsion", {"strike_s": 3}, "strike_s", "no strike train"),
        ("longcase", {"work": "wound", "train": "chime"}, "train", "give going or strike"),
        ("longcase", {"work": "chime-set"}, "work", "has no chime"),
        ("mantel", {"work": "tune", "amount": 1}, "work", "has no chime"),
        ("regulator", {"work": "strike-set"}, "work", "has no strike"),
        ("mantel", {"work": "wound", "amount": -3}, "amount", "can't be negative"),
        ("mantel", {"work": "held", "amount": -60}, "amount", "can't be negative"),
    ],
)
def test_what_can_t_be_is_refused(kind: str, cells: dict[str, object], column: str, says: str) -> None:
    with pytest.raises(BadValue, match=says) as refused:
        _check(kind, cells)
    assert refused.value.column == column


def test_a_clock_s_own_columns_decide() -> None:
    _check("longcase", {"chime": "in-step"}, trains="going+strike+chime")
    _check("longcase", {"going_mm": 2900}, going_usable_mm=2000)
    with pytest.raises(BadValue, match="can't have fallen over 750 mm"):
        _check("longcase", {"going_mm": 760}, going_usable_mm=500)
    # the customer's case ends a run, but on the stand a weight may hang lower
    _check("longcase", {"going_mm": 1400}, case_fall_mm=900)


@pytest.mark.parametrize(
    ("model", "cells", "column"),
    [
        (CheckIn, {"at": "2026-11-20T08:21:01+00:00"}, "at"),
        (Handover, {"at": "2026-11-20T08:21:01+00:00", "what": "delivered"}, "at"),
        (Waiver, {"at": "2026-11-20T08:21:01+00:00", "requirement": "oil", "reason": "r", "by": "b"}, "at"),
        (Clock, {"on_stand_at": "2026-11-20T09:21:01+01:00", "kind": "mantel"}, "on_stand_at"),
    ],
)
def test_the_future_begins_a_minute_past_now(
    model: type[CheckIn | Handover | Waiver | Clock], cells: dict[str, object], column: str
) -> None:
    with pytest.raises(BadValue, match="in the future") as refused:
        check_possible(build(model, {"tag": "T1", **cells}), None, now=NOW)
    assert refused.value.column == column
    a_second_less = {**cells, column: str(cells[column]).replace(":01+", ":00+")}
    check_possible(build(model, {"tag": "T1", **a_second_less}), None, now=NOW)


@pytest.mark.parametrize(
    ("cells", "column"), [({"amplitude_deg": 60}, "amplitude_deg"), ({"chime": "in-step"}, "chime")]
)
def test_a_handover_is_of_that_clock_too(cells: dict[str, object], column: str) -> None:
    step = build(Handover, {"at": NOW, "tag": "T1", "what": "called", **cells})
    with pytest.raises(BadValue) as refused:
        check_possible(step, _clock("longcase"), now=NOW)
    assert refused.value.column == column
