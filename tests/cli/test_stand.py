"""A clock's way by commands: added, read, worked on, looked at."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import tzlocal

from standwatch.model.words import Requirement
from tests.cli.conftest import Program
from tests.shop import NOW, Row, morning, regulator_ready, write_csv, write_ledger

STATUS_KEYS = [
    "tag",
    "kind",
    "position",
    "standing",
    "error_s",
    "rate_s_per_day",
    "rate_named",
    "drift_s_per_day2",
    "amplitude_deg",
    "wind_down",
    "suspect_readings",
    "suspected_work",
    "leads",
    "requirements",
    "next",
]
OF_ALL: dict[str, object] = {
    "learned": {"noise": {}, "winding": None},
    "common": {"reference_jumps": [], "heating": None},
}
"""What `status --json` tells of all clocks, where nothing was learned and nothing is shared."""
REQUIREMENTS = [str(requirement) for requirement in Requirement]


def gaining(program: Program, tag: str = "T1", days: int = 10, rate: float = 3.0) -> None:
    """A longcase wound and read every morning for `days`, gaining `rate` a day."""
    program("clock", "add", tag, "--kind", "longcase", "--position", "A3")
    folder = program.book.parent / f"of-{tag}"
    folder.mkdir()
    rows = [
        {"at": morning(days - d), "tag": tag, "error_s": round(rate * d, 1), "going_mm": round(165 * d)}
        for d in range(days + 1)
    ]
    rows.insert(0, {"at": morning(days) - timedelta(minutes=5), "tag": tag, "work": "wound"})
    program("import", write_csv(folder / "checkins.csv", rows, ("at", "tag")))


def test_status_of_no_book_is_an_empty_stand_and_makes_no_file(program: Program) -> None:
    told = program("status")
    assert "No clock is on the stand" in told.out
    assert "not there yet" in told.err
    assert program("status", "--json").json == {"now": "2026-11-20T09:00:00+00:00", "clocks": [], **OF_ALL}
    assert program("forecast", "--at", "2026-11-21T08:00", "--json").json == []
    assert program("due", "--json").json == []
    assert not program.book.exists()


def test_status_json_is_the_interface(program: Program) -> None:
    gaining(program, days=8)
    told = program("status", "--json").json
    assert list(told) == ["now", "clocks", *OF_ALL]
    assert {name: told[name] for name in OF_ALL} == OF_ALL
    [clock] = told["clocks"]
    assert list(clock) == STATUS_KEYS
    assert (clock["tag"], clock["kind"], clock["position"]) == ("T1", "longcase", "A3")
    assert [each["name"] for each in clock["requirements"]] == REQUIREMENTS
    for each in clock["requirements"]:
        assert list(each) == ["name", "outcome", "observed", "limit", "because", "earliest"]
    rate = clock["rate_s_per_day"]
    assert rate["low"] < 3.0 < rate["high"]
    assert list(clock["wind_down"]) == ["train", "at", "low", "high"]
    assert clock["wind_down"]["at"].endswith("+00:00")
    assert list(clock["next"]) == ["code", "text"]
    assert clock["leads"] == []


def test_forecast_of_now_is_the_error_of_status(program: Program) -> None:
    gaining(program, days=8)
    [clock] = program("status", "--json").json["clocks"]
    [here, then] = program("forecast", "--at", NOW.isoformat(), "--at", "2026-11-27T09:00", "T1", "--json").json
    assert here["error_s"] == clock["error_s"]
    assert list(then) == ["tag", "at", "error_s"]
    assert then["at"] == "2026-11-27T09:00:00+00:00"
    assert then["error_s"]["low"] < 24 + 3 * 7 < then["error_s"]["high"]
    assert then["error_s"]["high"] - then["error_s"]["low"] > here["error_s"]["high"] - here["error_s"]["low"]


def test_a_check_in_tells_what_was_expected_and_what_follows(program: Program) -> None:
    gaining(program, days=8)
    told = program("checkin", "T1", "--error", "24.5", "--at", NOW.isoformat())
    assert "found     24.5 s fast" in told.out
    assert "expected" in told.out
    assert "surprise" not in told.out
    assert "next:" in told.out


def test_a_far_off_reading_is_a_surprise(program: Program) -> None:
    gaining(program, days=8)
    assert "a surprise" in program("checkin", "T1", "--error", "84.5", "--at", NOW.isoformat()).out


def test_a_dial_is_worked_out_in_the_book_s_zone(program: Program) -> None:
    program("clock", "add", "T1", "--kind", "mantel")
    program("set", "zone=Europe/Berlin")
    program("checkin", "T1", "--dial", "9:05", "--at", "2026-11-20T08:00:00+00:00")  # 09:00 in Berlin
    told = program("forecast", "--at", "2026-11-20T08:00:00+00:00", "--json").json
    assert told[0]["error_s"]["estimate"] == pytest.approx(300, abs=30)
    assert "dial 9:05" in program("clock", "show", "T1").out


def test_swing_in_mm_becomes_degrees_on_the_clock_s_scale(program: Program) -> None:
    program("clock", "add", "T1", "--kind", "longcase")
    told = program("checkin", "T1", "--swing-mm", "44", "--at", NOW.isoformat(), code=4)
    assert "swing_scale_mm" in told.err
    program("clock", "change", "T1", "swing_scale_mm=1000")
    program("checkin", "T1", "--swing-mm", "44", "--at", NOW.isoformat())
    # atan(44 / 1000) = 2.519 degrees
    assert "swing 2.51939°" in program("clock", "show", "T1").out


@pytest.mark.parametrize(("kind", "words"), [("mantel", "beat error 1.5 %"), ("carriage", "beat error 1.5 ms")])
def test_beat_error_goes_by_the_oscillator(program: Program, kind: str, words: str) -> None:
    program("clock", "add", "T1", "--kind", kind)
    program("checkin", "T1", "--beat-error", "1.5")
    assert words in program("clock", "show", "T1").out


def test_where_an_interval_spans_years_they_are_named(program: Program) -> None:
    """A torsion clock is rated 9600 h and runs a year or more."""
    program("clock", "add", "T1", "--kind", "torsion")
    program("work", "T1", "wound", "--at", "2026-11-19T08:00+00:00")
    [ends] = [line for line in program("status", "T1").out.splitlines() if line.startswith("  going  ends")]
    assert re.search(r"20\d\d \(95 %: \d\d \w{3} 20\d\d to \d\d \w{3} 20\d\d\)$", ends), ends


def test_a_torsion_clock_has_overswing_and_no_beat_error(program: Program) -> None:
    program("clock", "add", "T1", "--kind", "torsion")
    program("checkin", "T1", "--overswing", "24,22")
    assert "overswing 24°, 22°" in program("clock", "show", "T1").out
    assert "overswing" in program("checkin", "T1", "--beat-error", "1.5", code=4).err
    assert "two sides" in program("checkin", "T1", "--overswing", "24", code=4).err


def test_everything_a_visit_may_tell(program: Program) -> None:
    program("clock", "add", "T1", "--kind", "floor-chiming", "--moon", "yes", "--trains", "going+strike+chime")
    options = [
        *("--error", 3, "--read-by", "first-blow", "--doubt", 2, "--amplitude", 3.1, "--beat-error", 1),
        *("--going-fall", 10, "--strike-fall", 20, "--chime-fall", 30, "--chime", "in-step", "--quarter", 2),
        *("--hour", 8, "--blows", 8, "--staged", "--seconds", 12, "--moon-age", 9.5, "--temperature", 18.5),
        "--explained",
    ]
    program("checkin", "T1", *options, "--note", "first hour")
    program("export", program.book.parent / "out")
    row = (program.book.parent / "out" / "checkins.csv").read_text(encoding="utf-8").splitlines()
    cells = dict(zip(row[0].split(","), row[1].split(","), strict=True))
    told = {
        "error_s": "3.0",
        "read_by": "first-blow",
        "error_u_s": "2.0",
        "amplitude_deg": "3.1",
        "beat_error_pct": "1.0",
        "going_mm": "10.0",
        "strike_mm": "20.0",
        "chime_mm": "30.0",
        "chime": "in-step",
        "quarter": "2",
        "hour": "8",
        "blows": "8",
        "staged": "yes",
        "strike_s": "12.0",
        "moon_age_d": "9.5",
        "temperature_c": "18.5",
        "explained": "yes",
        "note": "first hour",
    }
    numbers = {k: (float(cells[k]) if cells[k].replace(".", "").isdigit() else cells[k]) for k in told}
    assert numbers == {k: (float(v) if v.replace(".", "").isdigit() else v) for k, v in told.items()}


def test_a_stop_stands_first_until_restarted_and_explained(program: Program) -> None:
    gaining(program, days=8)
    program("clock", "add", "T2", "--kind", "mantel", "--position", "A1")
    program("work", "T1", "stopped", "--dial", "3:47", "--going-fall", "1100", "--at", NOW.isoformat())
    [first, _] = program("status", "--json").json["clocks"]
    assert (first["tag"], first["standing"]) == ("T1", "attention")
    assert "not_yet_known" in first["error_s"]
    [told] = program("forecast", "--at", "2026-11-21T08:00", "T1", "--json").json
    assert "not_yet_known" in told["error_s"]
    for what in ("wound", "restarted"):
        program("work", "T1", what, "--at", NOW.isoformat())
    [first, _] = program("status", "--json").json["clocks"]
    assert (first["standing"], first["next"]["code"]) == ("attention", "explain")


def test_stop_times_are_candidates_with_odds(program: Program) -> None:
    gaining(program, days=8)
    told = program("stop-times", "T1", "--dial", "8:30", "--going-fall", "1322", "--json").json
    assert told
    assert list(told[0]) == ["at", "odds"]
    assert sum(each["odds"] for each in told) == pytest.approx(1)
    assert "8:30" not in program("stop-times", "T1", "--dial", "8:30").err
    assert program("stop-times", "T1", "--dial", "25:30", code=4).err.startswith("standwatch: dial '25:30'")


def test_regulate_advises_or_says_why_not(program: Program) -> None:
    gaining(program, days=8, rate=30.0)
    told = program("regulate", "T1", "--json").json
    assert list(told) == ["tag", "turns", "direction", "rate_after", "past"]
    assert told["past"] == []
    assert told["direction"] == "lower"
    assert told["turns"]["estimate"] < 0
    # a longcase's nut: 43200 x 0.65 x 0.9 / 993.6 = 25.4 s/day a turn; 80 % of the way the first time
    assert told["turns"]["estimate"] == pytest.approx(-0.8 * 30 / 25.4, rel=0.1)
    assert "lower the bob" in program("regulate", "T1").out
    program("clock", "add", "T2", "--kind", "mantel")
    told = program("regulate", "T2", "--json").json
    assert list(told) == ["tag", "not_yet_known", "past"]
    assert program("regulate", "T1", "--target", "fast", code=4).err


def test_regulate_shows_what_past_turns_were_to_do_and_did(program: Program) -> None:
    program("clock", "add", "T1", "--kind", "longcase")
    # its nut makes 30 s/day a turn, not the usual 25.4: 24 fast, lowered by half a turn, 9 fast
    rows: list[Row] = [{"at": morning(20 - d), "tag": "T1", "error_s": 24 * d} for d in range(9)]
    rows.append({"at": morning(12), "tag": "T1", "work": "nut", "amount": -0.5})
    rows += [{"at": morning(12 - d), "tag": "T1", "error_s": 192 + 9 * d} for d in range(1, 9)]
    rows.append({"at": morning(4), "tag": "T1", "work": "nut", "amount": ""})
    rows.append({"at": morning(3), "tag": "T1", "error_s": 265})
    program("import", write_csv(program.book.parent / "checkins.csv", rows, ("at", "tag")))
    first, second = program("regulate", "T1", "--json").json["past"]
    assert (first["at"], first["turns"]) == (morning(12).isoformat(), -0.5)
    # 43200 x 0.65 x 0.9 / 993.6 = 25.4 s/day a turn, known to a quarter
    assert first["predicted"]["estimate"] == pytest.approx(24 - 25.4 / 2, abs=0.7)
    assert first["predicted"]["low"] < 9 < first["predicted"]["high"]
    assert first["became"]["estimate"] == pytest.approx(9, abs=0.7)
    assert first["became"]["high"] - first["became"]["low"] < first["predicted"]["high"] - first["predicted"]["low"]
    assert (second["turns"], list(second["predicted"])) == (None, ["not_yet_known"])
    assert second["became"] == {"not_yet_known": "1 of 2 readings since it settled"}
    lines = program("regulate", "T1").out.splitlines()
    assert lines[1:3] == ["", "TURNED                 TURNS  PREDICTED s/d  BECAME s/d"]
    assert "Sun 08 Nov 2026 08:00  −0.50" in lines[3]
    assert lines[4].endswith("predicted: how far it was turned was not told; became: 1 of 2 readings since it settled")
    before = program("regulate", "T1", "--json", now=morning(13)).json
    assert before["past"] == []
    assert before["turns"]["estimate"] == pytest.approx(-0.8 * 24 / 25.4, rel=0.05)


def test_due_until_the_end_of_the_next_round(program: Program) -> None:
    program("clock", "add", "R1", "--kind", "regulator")
    rows: list[Row] = [{"at": morning(7.5), "tag": "R1", "work": "wound"}]
    rows += [{"at": morning(d), "tag": "R1", "error_s": 0, "going_mm": 150 * (7.5 - d)} for d in range(7, -1, -1)]
    # 1125 of 1275 mm down at 150 a day: down on Saturday morning, before Monday's round
    program("import", write_csv(program.book.parent / "checkins.csv", rows, ("at", "tag")))
    told = program("due", "--json").json
    [wind] = [each for each in told if each["what"] == "wind"]
    assert list(wind) == ["tag", "what", "at", "low", "high"]
    assert "2026-11-21" in wind["at"]
    assert wind["low"] < wind["at"] < wind["high"]
    assert "wind" in program("due").out
    soon = program("due", "--until", "2026-11-20T09:30", "--json").json
    assert not [each for each in soon if each["what"] == "wind"]


def test_move_holds_from_then(program: Program) -> None:
    gaining(program, days=8)
    program("clock", "move", "T1", "B2")
    assert program("status", "--json").json["clocks"][0]["position"] == "B2"
    before = program("status", "--json", now=NOW - timedelta(hours=1)).json["clocks"][0]
    assert before["position"] == "A3"
    assert program("clock", "move", "T1", "far-too-long-a-slot", code=4).err


def test_now_replays(program: Program) -> None:
    gaining(program, days=8)
    early = program("status", "--json", now=morning(4)).json["clocks"][0]
    late = program("status", "--json").json["clocks"][0]
    assert early["error_s"]["estimate"] == pytest.approx(12, abs=2)
    assert late["error_s"]["estimate"] == pytest.approx(24, abs=2)


def test_common_options_before_or_after_the_command(program: Program) -> None:
    gaining(program, days=8)
    other = Program(program.book.parent / "other.sqlite")
    assert other("status", "--book", program.book, "--json").json == program("status", "--json").json
    assert other("clock", "--book", program.book, "list").out == program("clock", "list").out
    assert program("status", "--json", "--now", morning(4).isoformat()).json["now"] == "2026-11-16T08:00:00+00:00"
    assert not other.book.exists()


def test_the_environment_names_the_book(program: Program, monkeypatch: pytest.MonkeyPatch) -> None:
    gaining(program, days=8)
    monkeypatch.setenv("STANDWATCH_BOOK", str(program.book))
    told = subprocess.run(
        [sys.executable, "-m", "standwatch", "--now", NOW.isoformat(), "status", "--json"],
        capture_output=True,
        text=True,
        check=True,
        env=dict(os.environ),
    )
    assert told.stdout == program("status", "--json").out
    assert told.stderr == ""


def test_status_of_named_clocks_is_in_full(program: Program) -> None:
    gaining(program, days=8)
    told = program("status", "t1").out  # lower case names it too
    assert "continuous-running *" in told
    assert "gains" in told or "s/day" in told
    assert len(program("status", "T1", "T1", "--json").json["clocks"]) == 1


def test_times_without_offset_are_the_shop_s(program: Program) -> None:
    program("clock", "add", "T1", "--kind", "mantel", now="2026-11-20T09:00")
    told = program("checkin", "T1", "--error", "1", "--at", "2026-03-29T01:30", now=NOW, code=4)
    assert "does not exist in Europe/London" in told.err  # the clocks go forward from 01:00 to 02:00
    told = program("checkin", "T1", "--error", "1", "--at", "2026-10-25T01:30")
    assert "comes twice" in told.err  # the clocks go back at 02:00; the first is British Summer Time
    assert "2026-10-25T00:30:00+00:00" in (export(program) / "checkins.csv").read_text(encoding="utf-8")


def export(program: Program) -> Path:
    folder = program.book.parent / "exported"
    program("export", folder)
    return folder


def test_import_twice_adds_nothing_and_order_doesn_t_matter(program: Program) -> None:
    clock, rows = regulator_ready()
    folder = write_ledger(program.book.parent / "ledger", [clock], rows)
    told = program("import", folder, "--check").out
    assert "would add" in told
    assert not program.book.exists()
    program("import", folder)
    assert "added 0" in program("import", folder).out
    straight = program("status", "--json").out
    works = [row for row in rows if "work" in row]
    shuffled = [row for row in reversed(rows) if "work" not in row] + works
    other = Program(program.book.parent / "other.sqlite")
    other("import", write_ledger(program.book.parent / "shuffled", [clock], shuffled))
    # rows of one `at` keep their order: readings stand before the works in both
    assert other("status", "--json").out == straight


def test_export_then_import_is_the_same_stand(program: Program) -> None:
    clock, rows = regulator_ready(missing="safety")
    program("import", write_ledger(program.book.parent / "ledger", [clock], rows))
    gaining(program, days=8)
    program("set", "open_days=Mon-Sat", "next_round=07:30", "calls=9")
    receipt = program("checkin", "T1", "--error", "99", "--at", NOW.isoformat()).out
    fact = receipt.split("recorded ")[1].split()[0]
    program("correct", fact[:10], "error_s=24.4")
    program("undo", "R1")
    folder = export(program)
    other = Program(program.book.parent / "other.sqlite")
    other("import", folder)
    for command in (("status", "--json"), ("due", "--json"), ("set",)):
        assert other(*command).out == program(*command).out
    assert "added 0" in other("import", folder).out


def test_a_corrected_past_imports_too(program: Program) -> None:
    """What was impossible for the clock as it is now was corrected; its old rows travel all the same."""
    program("clock", "add", "T1", "--kind", "weight-wall")
    told = program("checkin", "T1", "--error", "3", "--going-fall", "300").out
    program("correct", told.split("recorded ")[1].split()[0], "going_mm=")
    program("clock", "change", "T1", "kind=mantel")
    program("clock", "add", "T2", "--kind", "longcase")
    told = program("checkin", "T2", "--error", "3", "--going-fall", "300").out
    program("correct", told.split("recorded ")[1].split()[0], "tag=T2", "going_mm=30")
    program("undo")
    other = Program(program.book.parent / "other.sqlite")
    other("import", export(program))
    assert other("status", "--json").out == program("status", "--json").out
    assert other("clock", "show", "T1").out == program("clock", "show", "T1").out
    other("undo")
    program("undo")
    assert other("status", "--json").out == program("status", "--json").out


def test_correct_and_undo_are_as_if_right_from_the_start(program: Program) -> None:
    gaining(program, days=8)
    right = program("status", "--json").out
    told = program("checkin", "T1", "--error", "84", "--at", morning(2.5).isoformat()).out
    fact = told.split("recorded ")[1].split()[0]
    wrong = program("status", "--json").out
    assert wrong != right
    program("correct", fact, f"error_s={3 * 5.5}")
    corrected = program("status", "--json").out
    program("undo", "T1")
    assert program("status", "--json").out == wrong
    told = program("undo").out
    assert "taken back" in told
    assert program("status", "--json").out == right
    program("checkin", "T1", "--error", f"{3 * 5.5}", "--at", morning(2.5).isoformat())
    assert program("status", "--json").out == corrected


def test_undo_takes_a_clock_back_last_and_its_tag_is_free_again(program: Program) -> None:
    program("clock", "add", "T1", "--kind", "mantel")
    program("checkin", "T1", "--error", "3")
    program("undo")
    program("undo")
    assert program("clock", "list").out.splitlines()[1:] == []
    program("clock", "add", "T1", "--kind", "carriage")
    assert "carriage" in program("clock", "list").out
    program("undo")
    assert program("undo", code=4).err == "standwatch: nothing is left to take back\n"


def test_a_correction_may_move_a_reading_to_another_clock(program: Program) -> None:
    program("clock", "add", "T1", "--kind", "mantel")
    program("clock", "add", "T2", "--kind", "mantel")
    told = program("checkin", "T1", "--error", "3").out
    fact = told.split("recorded ")[1].split()[0]
    told = program("correct", fact, "tag=t2").out
    assert "reading" not in program("clock", "show", "T1").out
    assert "reading 3.0 s fast" in program("clock", "show", "T2").out
    assert "no clock is called 'T9'" in program("correct", _new_id(told), "tag=T9", code=4).err


def _new_id(told: str) -> str:
    return told.rstrip().rpartition("(")[2].rstrip(")")


def test_a_changed_clock_may_not_make_its_facts_impossible(program: Program) -> None:
    gaining(program, days=3)
    told = program("clock", "change", "T1", "kind=mantel", code=4)
    assert "has no weights" in told.err
    assert "tag is never changed" in program("clock", "change", "T1", "tag=T9", code=4).err


def test_set_lists_and_sets(program: Program) -> None:
    told = program("set").out
    assert "Europe/London" in told
    assert "Mon-Fri" in told
    program("set", "open_days=Mon,Wed,Fri", "holidays=GB-SCT", "site=51.5, 20", "calls=14;2")
    told = program("set").out
    for value in ("Mon,Wed,Fri", "GB-SCT", "51.5,20", "2;14"):
        assert value in told


@pytest.mark.parametrize(
    "pair",
    [
        "zone=Mars/Base",
        "open_days=Fooday",
        "next_round=25:00",
        "site=91,0",
        "calls=never",
        "holidays=XX",
        "colour=red",
        "learning=perhaps",
    ],
)
def test_a_setting_that_can_t_be_is_refused_and_nothing_set(program: Program, pair: str) -> None:
    program("clock", "add", "T1", "--kind", "mantel")
    before = program("set").out
    assert program("set", "open_days=Mon-Sat", pair, code=4).err.startswith("standwatch: ")
    assert program("set").out == before


def test_learning_is_turned_off_and_goes_with_the_ledger(program: Program) -> None:
    gaining(program, days=3)
    assert _set_line(program, "learning").split()[1:3] == ["yes", "default"]
    program("set", "learning=No")
    folder = export(program)
    assert "learning,no" in (folder / "book.csv").read_text().splitlines()
    other = Program(program.book.parent / "other.sqlite")
    other("import", folder)
    assert _set_line(other, "learning").split()[1] == "no"


def _set_line(program: Program, name: str) -> str:
    return next(line for line in program("set").out.splitlines() if line.startswith(name))


@pytest.fixture
def move_computer() -> Iterator[Callable[[str], None]]:
    """Takes the computer to another time zone, as if the program were started there."""
    with pytest.MonkeyPatch.context() as patch:

        def move(zone: str) -> None:
            patch.setenv("TZ", zone)
            tzlocal.reload_localzone()  # which remembers what it was told first

        yield move
    tzlocal.reload_localzone()


def test_the_zone_is_fixed_with_the_first_fact(program: Program, move_computer: Callable[[str], None]) -> None:
    program("clock", "add", "T1", "--kind", "mantel")
    move_computer("America/New_York")
    assert "Europe/London" in program("set").out
    elsewhere = Program(program.book.parent / "other.sqlite")
    elsewhere("clock", "add", "T1", "--kind", "mantel")
    assert "America/New_York" in elsewhere("set").out


def test_clock_kinds_lists_every_kind(program: Program) -> None:
    told = program("clock", "kinds").out
    assert len(told.splitlines()) == 1 + 14 + 1


def test_moon_site_and_pendulum(program: Program) -> None:
    # Published values: see tests/published; here the commands' shapes and words.
    told = program("moon", "--at", "2025-06-15T12:00:00+00:00", "--json").json
    assert list(told) == ["at", "age_days"]
    assert told["age_days"] == pytest.approx(19.3734, abs=0.001)  # ephem 4.2 (MIT)
    told = program("site", "--from", "51.5074,0", "--to", "1.3521,0", "--json").json
    assert list(told) == ["rate_change_s_per_day", "doubt_s_per_day"]
    assert told["rate_change_s_per_day"] == pytest.approx(-139.62, abs=0.005)  # boule 0.6.0
    assert program("site", "--from", "-33.9,50", "--to", "0,0", "--json").json["doubt_s_per_day"] == pytest.approx(
        4.4, abs=0.05
    )
    told = program("pendulum", "--beats-per-hour", "3600", "--half-swing", "2", "--json").json
    assert list(told) == ["beats_per_hour", "length_mm", "circular_error_s_per_day", "s_per_day_per_mm"]
    assert told["length_mm"] == pytest.approx(993.621386)
    assert told["circular_error_s_per_day"] == pytest.approx(6.579695, abs=1e-5)  # A&S 17.3
    assert program("pendulum", "--length", "248.405", "--json").json["circular_error_s_per_day"] is None
    program("pendulum", code=2)
    program("pendulum", "--beats-per-hour", "0", code=4)
    program("pendulum", "--beats-per-hour", "3600", "--half-swing", "200", code=4)
    program("site", "--from", "91,0", "--to", "0,0", code=4)


def test_physics_as_a_restorer_reads_it(program: Program) -> None:
    told = program("pendulum", "--length", "993.6", "--half-swing", "90").out
    assert "3600.04 beats an hour" in told
    assert "swinging 90° each side it loses 13200.79 s/day" in told
    assert "loses 0.00 s/day against" in program("pendulum", "--length", "993.6", "--half-swing", "0").out
    assert "goes round in 54.5 s" in program("pendulum", "--beats-per-hour", "3960").out
    # a turn of a thread of 0.5 to 0.8 mm is about 20 to 31 s/day at seconds length (common practice)
    assert "a turn of the usual nut (0.5 to 0.8 mm) 20 to 31" in program("pendulum", "--beats-per-hour", "3600").out
    told = program("site", "--from", "-33.9,50", "--to", "51.5,20").out
    assert "will gain 69.28 s/day more" in told
    assert "leave it losing 69.3 s/day here" in told
    assert "keeps its rate" in program("site", "--from", "45,0", "--to", "-45,0").out
    upstairs = program("site", "--from", "51.5,20", "--to", "51.5,22").out  # 0.03 s/day: nothing to leave it with
    assert "keeps its rate" in upstairs
    assert "leave it" not in upstairs
    told = program("moon", "--at", "2026-11-20T08:00+00:00").out
    assert "the moon is 11.0 days old, new Mon 09 Nov 2026 07:02" in told  # ephem 4.2: 2026-11-09 07:02 UT
    assert "half lit Tue 17 Nov 2026 11:4" in told
    for year in ("0001", "9999"):
        assert "1600 to 2399" in program("moon", "--at", f"{year}-06-01T08:00+00:00", code=4).err
    for length in ("-5", "0", "1e9", "nan"):
        program("pendulum", "--length", length, code=4)
    program("pendulum", "--length", "990", "--half-swing", "-3", code=4)


def test_backup_restore_and_selfcheck(program: Program) -> None:
    gaining(program, days=8)
    right = program("status", "--json").out
    copy = Path(program("backup").out.strip())
    assert copy.parent == program.book.parent / "backups"
    program("checkin", "T1", "--error", "99", "--at", NOW.isoformat())
    assert program("status", "--json").out != right
    program("restore", copy)
    assert program("status", "--json").out == right
    told = program("selfcheck").out
    assert "the book is whole" in told
    assert "computer's clock: " in told
    assert "fine" not in told


def test_restore_of_what_is_no_book_changes_nothing(program: Program) -> None:
    gaining(program, days=8)
    right = program("status", "--json").out
    junk = program.book.parent / "junk"
    junk.write_text("no book")
    assert program("restore", junk, code=5).err
    assert program("restore", program.book.parent / "nowhere", code=4).err
    assert program("status", "--json").out == right


def test_facts_in_the_future_are_refused(program: Program) -> None:
    program("clock", "add", "T1", "--kind", "mantel")
    later = NOW + timedelta(seconds=61)
    assert "future" in program("checkin", "T1", "--error", "1", "--at", later.isoformat(), code=4).err
    program("checkin", "T1", "--error", "1", "--at", (NOW + timedelta(seconds=59)).isoformat())


def test_default_at_is_now(program: Program) -> None:
    program("clock", "add", "T1", "--kind", "mantel")
    before = datetime.now(UTC)
    program("checkin", "T1", "--error", "1", now=None)
    text = (export(program) / "checkins.csv").read_text(encoding="utf-8").splitlines()
    cells = dict(zip(text[0].split(","), text[1].split(","), strict=True))
    assert before <= datetime.fromisoformat(cells["at"]) <= datetime.now(UTC)
