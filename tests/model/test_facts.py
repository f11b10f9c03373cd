"""What a fact takes and refuses, with the sentence a user reads."""

import math

import pytest
from pydantic import ValidationError

from standwatch.model.errors import BadValue
from standwatch.model.facts import CheckIn, Clock, Handover, Waiver
from standwatch.model.records import build
from standwatch.model.words import KindName, Train, Work

AT = "2026-11-20T08:00:00+00:00"


def _row(**cells: object) -> CheckIn:
    return build(CheckIn, {"at": AT, "tag": "2417", **cells})


def _refused(model: type[CheckIn | Clock | Handover | Waiver], **cells: object) -> BadValue:
    with pytest.raises(BadValue) as refused:
        build(model, {"tag": "2417", **cells})
    return refused.value


@pytest.mark.parametrize(
    ("cells", "column", "sentence"),
    [
        ({"error_s": "fast"}, "error_s", "error_s 'fast' is not a number; give seconds, + fast, at most six hours"),
        ({"error_s": "21601"}, "error_s", "error_s '21601' is out of range; give seconds"),
        ({"error_s": "nan"}, "error_s", "error_s 'nan' is not a finite number"),
        ({"error_s": "-inf"}, "error_s", "error_s '-inf' is not a finite number"),
        ({"error_u_s": "0"}, "error_u_s", "is out of range; give its standard doubt"),
        ({"dial": "3:60"}, "dial", "dial '3:60': not what a dial can show; give H:MM or H:MM:SS"),
        ({"dial": "24:00"}, "dial", "not what a dial can show"),
        ({"dial": "3.20"}, "dial", "not what a dial can show"),
        ({"error_s": 3, "dial": "8:00"}, "dial", "given beside error_s"),
        ({"read_by": "ear"}, "read_by", "read_by 'ear' is not known; give seconds-hand, minute-hand"),
        ({"amplitude_deg": 361}, "amplitude_deg", "is out of range"),
        ({"beat_error_pct": -0.1}, "beat_error_pct", "is out of range"),
        ({"going_mm": -20.5}, "going_mm", "is out of range; give mm fallen from fully wound"),
        ({"chime": "late"}, "chime", "chime 'late' is not known; give in-step"),
        ({"quarter": 5}, "quarter", "is out of range"),
        ({"quarter": "1.5"}, "quarter", "is not a whole number"),
        ({"hour": 0}, "hour", "is out of range"),
        ({"hour": 13}, "hour", "is out of range"),
        ({"blows": -1}, "blows", "is out of range"),
        ({"temperature_c": 51}, "temperature_c", "temperature_c '51' is out of range; give degrees C, -20 to 50"),
        ({"moon_age_d": 31}, "moon_age_d", "is out of range"),
        ({"staged": "perhaps"}, "staged", "neither yes nor no; give yes or no"),
        ({"work": "polished"}, "work", "work 'polished' is not known"),
        ({"work": "wound", "train": "quarter"}, "train", "is not known; give going, strike or chime"),
        ({"amount": 3}, "amount", "an amount without its work"),
        ({"work": "wound", "amount": "lots"}, "amount", "is not a number"),
        ({"work": "mis-set", "amount": 4}, "amount", "a whole number from 1 to 3"),
        ({"work": "mis-set", "amount": 1.5}, "amount", "a whole number from 1 to 3"),
        ({"work": "oil-checked", "amount": 2, "note": "ab"}, "amount", "a whole number from 0 to 1"),
        ({"work": "hours-shifted", "amount": 0.5}, "amount", "a whole number from -12 to 12"),
        ({"work": "tune", "amount": -1}, "amount", "a whole number from 0 to 99"),
        ({"work": "oil-checked", "amount": 0}, "note", "wants the initials of who looked"),
        ({"work": "safety-checked", "note": "  "}, "note", "wants the initials of who looked"),
        ({"loudness": 3}, "loudness", "loudness is no column here"),
        ({"tag": ""}, "tag", "give 1 to 24 printable characters"),
        ({"tag": "x" * 25}, "tag", "tag 'xxxxxxxxxxxxxxxxxxxxxxxxx' is too long; give 1 to 24"),
        ({"at": "yesterday"}, "at", "at 'yesterday': not a time; give ISO 8601 with an offset"),
        ({"at": "2026-11-20T08:00:00"}, "at", "a time without its offset from UTC"),
    ],
)
def test_a_check_in_refuses(cells: dict[str, object], column: str, sentence: str) -> None:
    shown = {k: v if k == "at" or not isinstance(v, int | float) else str(v) for k, v in cells.items()}
    refused = _refused(CheckIn, **{"at": AT, **shown})
    assert refused.column == column
    assert sentence in str(refused)
    assert "\n" not in str(refused)


@pytest.mark.parametrize("typed", ["1_0", "3_600", "1_0.5"])
def test_a_number_with_a_line_in_it_is_no_number(typed: str) -> None:
    with pytest.raises(BadValue, match=f"temperature_c '{typed}' is not a number"):
        build(CheckIn, {"at": "2026-11-20T08:05:00+00:00", "tag": "2417", "temperature_c": typed})


def test_what_is_missing_is_named() -> None:
    assert str(_refused(CheckIn)) == "at is not given; give ISO 8601 with an offset, such as 2026-11-20T08:05:00+00:00"
    assert _refused(Clock).column == "kind"


@pytest.mark.parametrize(
    ("cells", "column"),
    [
        ({"kind": "sundial"}, "kind"),
        ({"kind": "mantel", "duration_h": 11}, "duration_h"),
        ({"kind": "mantel", "going_turns": 0}, "going_turns"),
        ({"kind": "mantel", "night_silence": "22:00"}, "night_silence"),
        ({"kind": "mantel", "night_silence": "25:00-07:00"}, "night_silence"),
        ({"kind": "mantel", "scale": "sideways"}, "scale"),
        ({"kind": "mantel", "promised_on": "soon"}, "promised_on"),
        ({"kind": "mantel", "trains": "strike"}, "trains"),
        ({"kind": "mantel", "on_stand_at": "2026-11-02"}, "on_stand_at"),
        ({"kind": "mantel", "position": "behind the stove"}, "position"),
    ],
)
def test_a_clock_refuses(cells: dict[str, object], column: str) -> None:
    assert _refused(Clock, **cells).column == column


def test_a_waiver_wants_its_reason_and_who() -> None:
    cells: dict[str, object] = {"at": AT, "requirement": "oil", "reason": "seen in the bench light", "by": "mk"}
    assert build(Waiver, {"tag": "2417", **cells}).requirement == "oil"
    assert _refused(Waiver, **{**cells, "reason": "  "}).column == "reason"
    assert _refused(Waiver, **{**cells, "by": ""}).column == "by"
    assert _refused(Waiver, **{**cells, "requirement": "looks"}).column == "requirement"
    assert _refused(Handover, at=AT, what="lent").column == "what"


def test_columns_come_as_text() -> None:
    row = _row(error_s="-12.5", hour="7", blows="7", staged="YES", work="wound", train="going", amount="14")
    assert (row.error_s, row.hour, row.staged, row.work, row.train, row.amount) == (
        -12.5, 7, True, Work.WOUND, Train.GOING, 14.0,
    )  # fmt: skip


@pytest.mark.parametrize(("dial", "kept"), [("3:47", "3:47"), ("03:47", "3:47"), (" 15:47:09 ", "15:47:09")])
def test_a_dial_is_kept_as_it_was_read(dial: str, kept: str) -> None:
    assert _row(dial=dial).dial == kept


@pytest.mark.parametrize(("told", "counts"), [(-20, 0), (-0.5, 0), (0, 0), (165.5, 165.5)])
def test_a_weight_over_its_top_counts_as_wound(told: float, counts: float) -> None:
    assert _row(going_mm=told).fall_mm(Train.GOING) == counts
    assert _row(going_mm=told).fall_mm(Train.STRIKE) is None


def test_initials_are_enough() -> None:
    assert _row(work="oil-checked", amount=0, note="mk").note == "mk"
    assert _row(work="safety-checked", note="mk").work is Work.SAFETY_CHECKED


def test_tunes_in_the_selector_s_order() -> None:
    clock = build(Clock, {"tag": "2417", "kind": "mantel-chiming", "tunes": " quarters on eight ; morning;;evening "})
    assert clock.tune_names == ("quarters on eight", "morning", "evening")
    assert build(Clock, {"tag": "2417", "kind": "mantel-chiming"}).tune_names == ()


def test_facts_are_frozen() -> None:
    row = _row(error_s=3)
    with pytest.raises(ValidationError):
        row.error_s = 4


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf])
def test_no_number_is_not_finite(value: float) -> None:
    for model in (CheckIn, Clock, Handover):
        for column, field in model.model_fields.items():
            if "float" in str(field.annotation):
                cells = {"tag": "2417", "at": AT, "kind": KindName.MANTEL, "what": "called", "work": "wound"}
                known = {name: cell for name, cell in cells.items() if name in model.model_fields}
                with pytest.raises(BadValue) as refused:
                    build(model, {**known, column: value})
                assert refused.value.column == column
