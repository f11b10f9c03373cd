import pytest
from hypothesis import given
from hypothesis import strategies as st

from standwatch.model.facts import CheckIn, Clock
from standwatch.model.records import build
from standwatch.model.words import KindName, Work
from standwatch.tui.entry import kinds_like, parse, parse_new_clock, read_error, span_seconds
from standwatch.tui.works import WORKS, works_for

CHIMER = build(Clock, {"tag": "2417", "kind": "floor-chiming"})
MANTEL = build(Clock, {"tag": "2411", "kind": "mantel"})
BALANCE = build(Clock, {"tag": "2419", "kind": "carriage"})
TORSION = build(Clock, {"tag": "2407", "kind": "torsion"})
REGULATOR = build(Clock, {"tag": "2402", "kind": "regulator"})


@pytest.mark.parametrize(
    ("text", "error_s"),
    [
        ("+14", 14),
        ("-14", -14),
        ("−1:02", -62),
        ("-1:02", -62),
        ("14 fast", 14),
        ("14fast", 14),
        ("1:02 slow", -62),
        ("+1:02:30", 3750),
        ("2.1 slow", -2.1),
        ("2.1 s slow", -2.1),
        ("right", 0),
        ("+14 fast", 14),
        ("+14 slow", None),
        ("14", None),
        ("3.20 fast", None),
        ("+3.25", None),
        ("+1:75", None),
        ("fast", None),
        ("+", None),
    ],
)
def test_an_error_is_read_with_its_side_and_never_without(text: str, error_s: float | None) -> None:
    assert read_error(text) == error_s


@given(st.integers(1, 21600), st.sampled_from("+-"))
def test_any_error_typed_as_minutes_and_seconds_reads_back(seconds: int, sign: str) -> None:
    typed = f"{sign}{seconds // 60}:{seconds % 60:02}"
    assert read_error(typed) == (seconds if sign == "+" else -seconds)


@given(st.integers(0, 11), st.integers(0, 59), st.integers(0, 59))
def test_any_dial_typed_is_the_ledgers_dial(hour: int, minute: int, second: int) -> None:
    dial = f"{hour}:{minute:02}:{second:02}"
    entry = parse(dial, CHIMER)
    assert entry.problem is None
    assert entry.cells == {"dial": dial}


@given(st.text(max_size=30))
def test_nothing_typed_ever_raises_and_what_is_kept_is_a_column(text: str) -> None:
    entry = parse(text, CHIMER)
    assert set(entry.cells) <= set(CheckIn.model_fields)
    assert set(parse(text, CHIMER, work=Work.NUT).cells) <= set(CheckIn.model_fields)
    assert set(parse_new_clock(text).cells) <= set(Clock.model_fields)


def test_one_line_tells_a_whole_visit() -> None:
    entry = parse("8:05:30 a3.1 l826 c943 r985 i2 t19.5 n line rubs [case]", CHIMER)
    assert entry.problem is None
    assert entry.cells == {
        "dial": "8:05:30",
        "amplitude_deg": 3.1,
        "strike_mm": 826,
        "going_mm": 943,
        "chime_mm": 985,
        "chime": "in-step",
        "quarter": 2,
        "temperature_c": 19.5,
        "note": "line rubs [case]",
    }


def test_the_weights_follow_the_clocks_own_order() -> None:
    hung = build(Clock, {"tag": "1", "kind": "floor-chiming", "weight_order": "chime;going;strike"})
    assert parse("l10 r20", hung).cells == {"chime_mm": 10, "strike_mm": 20}
    assert parse("c10", REGULATOR).cells == {"going_mm": 10}
    assert "no weight hangs there" in (parse("l10", REGULATOR).problem or "")
    assert "no weights" in (parse("l10", MANTEL).problem or "")


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("h7", {"hour": 7, "blows": 7}),
        ("h7=6", {"hour": 7, "blows": 6}),
        ("h12 staged", {"hour": 12, "blows": 12, "staged": "yes"}),
        ("+14 minute", {"error_s": 14, "read_by": "minute-hand"}),
        ("8:05 first", {"dial": "8:05", "read_by": "first-blow"}),
        ("b1.8", {"beat_error_pct": 1.8}),
        ("o", {"chime": "out-of-step"}),
        ("s", {"chime": "silent"}),
        ("x4", {"chime": "not-running", "quarter": 4}),
    ],
)
def test_short_words(text: str, cells: dict[str, object]) -> None:
    entry = parse(text, CHIMER)
    assert (entry.problem, entry.cells) == (None, cells)


def test_units_follow_the_kind() -> None:
    assert parse("b1.8", BALANCE).cells == {"beat_error_ms": 1.8}
    assert parse("v24,22", TORSION).cells == {"overswing_left_deg": 24, "overswing_right_deg": 22}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("14", "fast or slow"),
        ("3.20", "3:20 for minutes"),
        ("8:05 +14", "not both"),
        ("+14 +15", "given twice"),
        ("25:10", "no dial"),
        ("h13", "1 to 12"),
        ("wibble", "not understood"),
    ],
)
def test_a_slip_is_named_with_its_mend(text: str, says: str) -> None:
    assert says in (parse(text, CHIMER).problem or "")


def test_a_chime_is_not_heard_of_a_clock_that_has_none() -> None:
    assert "no chime" in (parse("i", MANTEL).problem or "")


@pytest.mark.parametrize(
    ("work", "text", "cells"),
    [
        (Work.WOUND, "", {"work": "wound"}),
        (Work.WOUND, "12", {"work": "wound", "amount": 12}),
        (Work.WOUND, "strike", {"work": "wound", "train": "strike"}),
        (Work.NUT, "-0.6", {"work": "nut", "amount": -0.6}),
        (Work.HANDS_SET, "-1:02", {"work": "hands-set", "amount": -62}),
        (Work.STOPPED, "3:47 expl n line", {"work": "stopped", "dial": "3:47", "explained": "yes", "note": "line"}),
        (Work.OIL_CHECKED, "0 n JW", {"work": "oil-checked", "amount": 0, "note": "JW"}),
        (Work.MOVED, "n A4", {"work": "moved", "note": "A4"}),
    ],
)  # fmt: skip
def test_a_work_with_its_amount(work: Work, text: str, cells: dict[str, object]) -> None:
    entry = parse(text, MANTEL, work=work)
    assert (entry.problem, entry.cells) == (None, cells)


def test_every_work_has_one_key() -> None:
    assert {known.work for known in WORKS} == set(Work)
    assert len({known.key for known in WORKS}) == len(WORKS)
    assert not {known.work for known in works_for(MANTEL)} & {Work.MIS_SET, Work.TUNE, Work.CHIME_SET}


def test_a_new_clock_is_its_tag_and_its_kind() -> None:
    assert parse_new_clock("2426 longcase A4").cells == {"tag": "2426", "kind": "longcase", "position": "A4"}
    assert parse_new_clock("No 3 [loan] mantel").cells == {"tag": "No 3 [loan]", "kind": "mantel"}
    assert "which?" in (parse_new_clock("1 spring").problem or "")
    assert "no kind" in (parse_new_clock("1 sundial").problem or "")
    assert parse_new_clock("longcase").problem is not None


def test_a_new_clock_s_repairs_are_words_counted_under_the_short_list() -> None:
    entry = parse_new_clock("2426 longcase A4 r two pivots, re-bushed")
    assert entry.cells == {
        "tag": "2426",
        "kind": "longcase",
        "position": "A4",
        "repaired": "two pivots, re-bushed",
    }
    assert entry.said[-1] == "repaired “two pivots, re-bushed” (pivots, bushes)"
    assert parse_new_clock("No r 3 mantel r a mystery").said[-1] == "repaired “a mystery” (other work)"
    asked = parse_new_clock("2426 longcase r")
    assert "repaired" not in asked.cells
    assert "pivots, bushes, mainspring" in asked.said[-1]


def test_a_kinds_own_name_is_not_its_longer_neighbours() -> None:
    assert kinds_like("longcase") == [KindName.LONGCASE]
    assert kinds_like("mantel-c") == [KindName.MANTEL_CHIMING]


def test_two_figures_after_the_point_are_not_guessed() -> None:
    assert span_seconds("3.20") is None
    assert span_seconds("3.2") == 3.2


def test_falls_are_typed_as_the_slots_paper_scale_reads() -> None:
    columns = {"strike_scale_mm": 1480, "going_scale_mm": 1500, "scale": "up"}
    clock = build(Clock, {"tag": "2417", "kind": "floor-chiming", **columns})
    entry = parse("l654 c557 r985", clock)
    assert entry.problem is None
    assert entry.cells == {"strike_mm": 826, "going_mm": 943, "chime_mm": 985}, "the chime has no scale"
    assert "left, strike 654 on the scale, 826 mm fallen" in entry.said
    down = build(Clock, {"tag": "2417", "kind": "longcase", "going_scale_mm": 100, "scale": "down"})
    assert parse("r926", down).cells == {"going_mm": 826}
