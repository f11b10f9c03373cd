"""Tricky books: corrections and undo, facts to come, releases and returns, run-outs found late, orders of standing."""

from __future__ import annotations

import csv
from typing import Any

import pytest

from tests.cli.conftest import Program
from tests.cli.ledger import MET, MISSED, OPEN, Seen, add, after, folder, keep, moment, seen, story
from tests.judge import complete
from tests.shop import write_ledger
from tests.stories import daily

READ = daily("11-02 08:05", "11-11 08:05", "error_s={3*d:.1f}")
NOW = "11-11 08:20"


def rows(program: Program, now: str = NOW) -> list[dict[str, str]]:
    """The book's current check-ins, as exported."""
    out = folder(program)
    program("export", out, now=moment(now))
    with (out / "checkins.csv").open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def whole(program: Program, now: str = NOW) -> Any:
    return program("status", "--json", now=moment(now)).json


# corrections


def test_a_reading_corrected_counts_in_its_place(program: Program) -> None:
    """`correct`: the status is then as if it had been right from the start."""
    keep(program, "longcase", READ, now=NOW)
    right = whole(program)
    other = Program(program.book.with_name("other.sqlite"))
    wrong = [line.replace("error_s=12.0", "error_s=72") for line in READ]
    keep(other, "longcase", wrong, now=NOW)
    assert whole(other) != right
    [typed] = [row["id"] for row in rows(other) if row["error_s"] == "72"]
    other("correct", typed, "error_s=12.0", now=moment(NOW))
    assert whole(other) == right


def test_a_reading_corrected_to_another_time_moves_there(program: Program) -> None:
    lines = [*READ[:5], READ[5].replace("11-07 08:05", "11-07 20:05"), *READ[6:]]
    keep(program, "longcase", lines, now=NOW)
    [moved] = [row["id"] for row in rows(program) if row["at"].startswith("2026-11-07")]
    program("correct", moved, "at=2026-11-07T08:05:00+00:00", now=moment(NOW))
    other = Program(program.book.with_name("other.sqlite"))
    keep(other, "longcase", READ, now=NOW)
    assert whole(program) == whole(other)


def test_a_reading_corrected_to_another_clock(program: Program) -> None:
    keep(program, "longcase", READ, now=NOW)
    keep(program, "longcase", READ[:-1], now=NOW, tag="T2")
    before = seen(program, NOW).observed("continuous-running")
    last = next(row["id"] for row in rows(program) if row["tag"] == "T1" and row["error_s"] in {"27", "27.0"})
    program("correct", last, "tag=T2", now=moment(NOW))
    assert seen(program, NOW).observed("continuous-running") == pytest.approx(before - 1)
    assert seen(program, NOW, "T2").observed("continuous-running") == pytest.approx(9)


def test_a_correction_keeps_its_place_among_ties(program: Program) -> None:
    """Works of one visit keep file order, also when the first was corrected later."""
    lines = [*READ, "11-11 08:10 work=safety-checked note=KM", "11-11 08:10 work=cased"]
    keep(program, "longcase", lines, now=NOW)
    assert seen(program, NOW).outcome("safety") == OPEN
    [signed] = [row["id"] for row in rows(program) if row["work"] == "safety-checked"]
    program("correct", signed, "note=RQ", now=moment(NOW))
    assert seen(program, NOW).outcome("safety") == OPEN  # still before the casing


def test_undo_twice_goes_back_two_facts_and_a_correction_is_undone_to_what_it_replaced(program: Program) -> None:
    keep(program, "longcase", READ, now=NOW)
    start = whole(program)
    program("work", "T1", "opened", "--at", moment("11-11 08:10").isoformat(), now=moment(NOW))
    opened = whole(program)
    last = next(row["id"] for row in rows(program) if row["work"] == "opened")
    program("correct", last, "work=held", "amount=60", now=moment(NOW))
    assert whole(program) != opened
    program("undo", now=moment(NOW))
    assert whole(program) == opened
    program("undo", "T1", now=moment(NOW))
    assert whole(program) == start


def test_undo_of_one_clock_leaves_a_later_fact_of_another(program: Program) -> None:
    keep(program, "longcase", READ, now=NOW)
    keep(program, "longcase", READ, now=NOW, tag="T2")
    program("work", "T1", "opened", "--at", moment("11-11 08:10").isoformat(), now=moment(NOW))
    program("work", "T2", "opened", "--at", moment("11-11 08:10").isoformat(), now=moment(NOW))
    program("undo", "T1", now=moment(NOW))
    assert seen(program, NOW).outcome("mean-rate") == MET
    assert seen(program, NOW, "T2").outcome("mean-rate") == OPEN


def test_a_row_of_id_and_replaces_alone_takes_a_fact_back(program: Program) -> None:
    keep(program, "longcase", READ[:-1], now=NOW)
    before = whole(program)
    add(program, [READ[-1] + " work=opened"], now=NOW)
    assert whole(program) != before
    [last] = [row["id"] for row in rows(program) if row["work"] == "opened"]
    back = write_ledger(folder(program), [], [{"id": "taken-back-1", "replaces": last}]) / "checkins.csv"
    program("import", back, now=moment(NOW))
    assert whole(program) == before


# facts to come


def test_facts_later_than_now_wait(program: Program) -> None:
    """Facts later than --now stay in the book and don't count in what is worked out."""
    keep(program, "longcase", READ, now=NOW)
    later = whole(program, "11-06 08:20")
    other = Program(program.book.with_name("other.sqlite"))
    keep(other, "longcase", READ[:5], now="11-06 08:20")
    assert later == whole(other, "11-06 08:20")


def test_facts_later_than_now_are_not_entered(program: Program) -> None:
    """Only entering one (by import too) is refused, 4."""
    keep(program, "longcase", READ, now=NOW)
    ledger = write_ledger(folder(program), [], [{"at": moment("11-11 08:30"), "tag": "T1", "error_s": 1}])
    told = program("import", ledger / "checkins.csv", now=moment(NOW), code=4)
    assert "checkins.csv:2" in told.err
    program("checkin", "T1", "--error", 1, "--at", moment("11-12 08:00").isoformat(), now=moment(NOW), code=4)


@pytest.mark.parametrize(
    "cells",
    [
        {"going_mm": -21},
        {"work": "safety-checked"},
        {"work": "oil-checked", "amount": 0},
        {"work": "spun"},
        {"error_s": 5, "dial": "8:00"},
        {"hour": 13, "blows": 13},
        {"quarter": 5, "chime": "in-step"},
        {"chime": "loud"},
        {"error_s": "1,5"},
        {"at": "2026-11-11T08:00:00"},
        {"tag": "T9"},
        {"colour": "red"},
    ],
)
def test_what_cannot_be_is_refused_whole_with_its_place(program: Program, cells: dict[str, object]) -> None:
    """All or nothing; file:line:column and the mend."""
    keep(program, "longcase", READ, now=NOW)
    before = whole(program)
    good = {"at": moment("11-11 08:06"), "tag": "T1", "error_s": 30}
    bad = {"at": moment("11-11 08:07"), "tag": "T1", **cells}
    ledger = write_ledger(folder(program), [], [good, bad]) / "checkins.csv"
    told = program("import", ledger, now=moment(NOW), code=4)
    assert "checkins.csv:" in told.err
    assert told.out == ""
    assert whole(program) == before


def test_a_fall_just_over_the_top_is_nought(program: Program) -> None:
    """-20..0 counts as 0."""
    keep(program, "longcase", ["11-02 08:00 work=wound", "11-02 08:05 going_mm=-20"], now="11-02 09:00")
    other = Program(program.book.with_name("other.sqlite"))
    keep(other, "longcase", ["11-02 08:00 work=wound", "11-02 08:05 going_mm=0"], now="11-02 09:00")
    assert whole(program, "11-02 09:00") == whole(other, "11-02 09:00")


# run-outs found late

FRIDAY = ["10-30 08:00 work=wound", *daily("10-30 08:05", "11-06 08:05", "error_s={3*d:.1f} going_mm={165*d:.0f}")]


def test_a_weekends_run_out_is_proved_by_mondays_dial(program: Program) -> None:
    """The earliest candidate of odds .05 or more counts as shown: Saturday at eight in the evening, 204 hours."""
    found = [*FRIDAY, "11-09 08:00 work=ran-out dial=8:00 going_mm=1402 strike_mm=1400"]
    clock = story(program, "longcase", found, now="11-09 08:10")
    told = program("stop-times", "T1", "--dial", "8:00", "--going-fall", 1402, "--json", now=moment("11-09 08:10")).json
    assert after("11-07 20:00", told[0]["at"]) == pytest.approx(0, abs=0.05)
    assert clock.observed("continuous-running") == pytest.approx(8.5, abs=0.02)
    assert "going" not in clock.requirement("full-duration")["because"]
    assert clock.standing == "attention"  # until it is wound


def test_a_run_out_without_its_dial_proves_what_was_shown(program: Program) -> None:
    clock = story(program, "longcase", [*FRIDAY, "11-09 08:00 work=ran-out"], now="11-09 08:10")
    assert clock.observed("continuous-running") == pytest.approx(7, abs=0.02)
    assert clock.outcome("full-duration") == OPEN


def test_a_run_outs_falls_show_no_fall_grown(program: Program) -> None:
    """A row's falls with `ran-out` are as it hung: they prove the strike by its dial's time alone."""
    lines = [*FRIDAY[:1], *daily("10-30 08:05", "11-06 08:05", "error_s={3*d:.1f} strike_mm={165*d:.0f}")]
    clock = story(program, "longcase", [*lines, "11-09 08:00 work=ran-out strike_mm=1400"], now="11-09 08:10")
    assert clock.observed("full-duration") == pytest.approx(168, abs=0.2)


def test_days_on_both_sides_of_a_run_out_are_added(program: Program) -> None:
    lines = [*FRIDAY, "11-09 08:00 work=ran-out dial=8:00 going_mm=1402", "11-09 08:10 work=wound"]
    lines += ["11-09 08:11 work=restarted", *daily("11-09 08:15", "11-17 08:15", "error_s={3*d:.1f}")]
    clock = story(program, "longcase", lines, now="11-17 08:20")
    assert clock.observed("continuous-running") == pytest.approx(8.5 + 8, abs=0.03)
    assert clock.outcome("continuous-running") == MET
    assert seen(program, "11-09 08:20").standing == "on-test"  # without settling
    assert clock["rate_s_per_day"]["estimate"] == pytest.approx(3, abs=0.5)


def test_a_run_out_restarted_the_day_after(program: Program) -> None:
    """The days it hung are not counted, however long it hung."""
    lines = [*FRIDAY, "11-09 08:00 work=ran-out dial=8:00 going_mm=1402", "11-12 08:10 work=wound"]
    lines += ["11-12 08:11 work=restarted", "11-13 08:15 error_s=3"]
    clock = story(program, "longcase", lines, now="11-13 08:20")
    assert clock.observed("continuous-running") == pytest.approx(8.5 + 1, abs=0.03)


def test_stop_times_are_odds_before_it_was_found(program: Program) -> None:
    """Likeliest first, summing to one, none before it was last shown going, none after it was found."""
    keep(program, "mantel", ["11-02 08:00 work=wound", "11-04 08:00 error_s=0"], now="11-09 08:10")
    told = program("stop-times", "T1", "--dial", "3:47", "--json", now=moment("11-09 08:10")).json
    assert len(told) == 10
    assert sum(each["odds"] for each in told) == pytest.approx(1)
    assert all(0 <= after("11-04 08:00", each["at"]) <= 5 * 24 + 0.2 for each in told)
    add(program, ["11-07 12:00 hour=12 blows=12"], now="11-09 08:10")
    told = program("stop-times", "T1", "--dial", "3:47", "--json", now=moment("11-09 08:10")).json
    assert [round(after("11-07 12:00", each["at"]), 1) for each in told] == [3.8, 15.8, 27.8, 39.8]


def test_a_shifted_dial_is_taken_back_before_it_says_when_it_stopped(program: Program) -> None:
    """Five hours forward: a dial of 8:47 hung at 3:47."""
    keep(
        program,
        "mantel",
        ["11-02 08:00 work=wound", "11-04 08:00 error_s=0", "11-04 08:00 work=hours-shifted amount=5"],
        now="11-05 08:10",
    )
    told = program("stop-times", "T1", "--dial", "8:47", "--json", now=moment("11-05 08:10")).json
    assert sorted(round(after("11-04 08:00", each["at"]), 1) for each in told) == [7.8, 19.8]


def test_a_stop_over_the_night_the_clocks_go_back(program: Program) -> None:
    """Until its `summer-time` row the dial shows the old civil time: 3:47 by it is 2:47 GMT."""
    keep(program, "mantel", ["10-24 08:00 work=wound", "10-24 20:00 error_s=0"], now="10-25 08:00")
    told = program("stop-times", "T1", "--dial", "3:47", "--json", now=moment("10-25 08:00")).json
    assert [each["at"][:16] for each in told] == ["2026-10-25T02:47"]


# wound by amount


def test_wound_by_amount_is_no_full_wind(program: Program) -> None:
    for tag, wind in (("A", "amount=300"), ("B", "amount=1000"), ("C", "")):
        lines = ["11-02 08:00 work=wound", *daily("11-02 08:05", "11-08 08:05", "error_s=0 going_mm={165*d:.0f}")]
        keep(program, "regulator", [*lines, f"11-08 08:06 work=wound {wind}"], now="11-08 08:10", tag=tag)
    ends = [after("11-08 08:06", seen(program, "11-08 08:10", tag)["wind_down"]["at"]) for tag in "ABC"]
    assert ends[0] == pytest.approx(24 * (1275 - 690) / 165, abs=6)
    assert ends[0] < ends[1] <= ends[2] + 1


# release, home and back


def released(program: Program) -> Seen:
    keep(program, "floor-chiming", complete.LEDGER, now=complete.NOW, **complete.COLUMNS)
    program("release", "T1", "--by", "KM", now=moment(complete.NOW))
    return seen(program, complete.NOW)


def test_a_released_clock_that_is_reopened_keeps_its_evidence(program: Program) -> None:
    """Reopening keeps all evidence."""
    before = released(program)
    assert (before.standing, before.next) == ("released", "deliver")
    program("reopen", "T1", "--reason", "owner asked", now=moment("12-04 09:00"))
    back = seen(program, "12-04 09:00")
    assert back.standing == "ready"
    assert back.outcomes == before.outcomes


def test_readings_at_home_are_no_evidence_of_the_stand(program: Program) -> None:
    """After `deliver` a check-in is a reading at home."""
    released(program)
    program("deliver", "T1", "--at", moment("12-04 09:00").isoformat(), "--error", 5, now=moment("12-04 09:10"))
    stand = seen(program, "12-04 09:10")
    program("checkin", "T1", "--error", 90, "--chime", "out-of-step", "--at", moment("12-07 09:00").isoformat(),
            now=moment("12-07 09:10"))  # fmt: skip
    home = seen(program, "12-07 09:10")
    assert home.outcomes == stand.outcomes
    assert home["suspect_readings"] == []


def test_what_is_not_released_is_not_delivered_called_or_reopened(program: Program) -> None:
    """Refused (3)."""
    keep(program, "longcase", READ, now=NOW)
    program("deliver", "T1", "--at", moment(NOW).isoformat(), now=moment(NOW), code=3)
    program("call", "T1", "--result", "good", now=moment(NOW), code=3)
    program("reopen", "T1", "--reason", "x", now=moment(NOW), code=3)
    program("release", "T1", "--by", "KM", now=moment(NOW), code=3)


def test_a_starred_requirement_is_never_waived(program: Program) -> None:
    keep(program, "longcase", READ, now=NOW)
    waive = [f"--waive={name}=why" for name in ("amplitude", "oil", "beat")]
    program("release", "T1", "--by", "KM", *waive, now=moment(NOW), code=3)
    assert "waived" not in seen(program, NOW).outcomes.values()


def test_a_complete_clock_that_stands_still_is_not_released(program: Program) -> None:
    keep(program, "floor-chiming", complete.LEDGER, now=complete.NOW, **complete.COLUMNS)
    add(program, ["12-04 08:15 work=stopped explained=yes"], now="12-04 08:20")
    program("release", "T1", "--by", "KM", now=moment("12-04 08:20"), code=3)


# standing and order


def test_who_first(program: Program) -> None:
    """Standing still; runs out before the next round; slipped or a stop unexplained; suspect; unread; ...; the rest."""
    full = "going_mm={135*d:.0f} strike_mm={135*d:.0f} chime_mm={135*d:.0f}"
    fine = ["11-09 08:00 work=wound", *daily("11-09 08:05", "11-11 08:05", f"error_s={{1*d:.1f}} {full}")]
    clocks: dict[str, list[str]] = {
        "G-rest": fine,
        "F-unread": fine[:-1],
        "E-suspect": [*fine, "11-11 08:06 error_s=900"],
        "D-slip": [*fine, "11-11 08:07 chime=out-of-step"],
        "C-out": ["11-03 08:00 work=wound", *daily("11-03 08:05", "11-11 08:05", f"error_s={{1*d:.1f}} {full}")],
        "B-still": [*fine, "11-11 08:07 work=stopped"],
    }
    for tag, lines in clocks.items():
        keep(program, "floor-chiming", lines, now=NOW, tag=tag)
    told = whole(program)["clocks"]
    assert [clock["tag"] for clock in told] == ["B-still", "C-out", "D-slip", "E-suspect", "F-unread", "G-rest"]
    assert [clock["next"]["code"] for clock in told[:5]] == ["explain", "let-run-out", "listen", "read-again", "read"]


def test_a_suspect_reading_stands_until_a_clean_one_follows(program: Program) -> None:
    keep(program, "longcase", [*READ, "11-11 08:06 error_s=900"], now=NOW)
    [suspect] = seen(program, NOW)["suspect_readings"]
    assert suspect["error_s"] == 900
    assert suspect["expected_s"] == pytest.approx(27, abs=3)
    assert seen(program, NOW).next == "read-again"
    add(program, ["11-11 08:07 error_s=27"], now=NOW)
    clean = seen(program, NOW)
    assert clean.next != "read-again"
    assert len(clean["suspect_readings"]) == 1


def test_missed_goes_before_settling_and_stopped_before_all(program: Program) -> None:
    """Standing, in order of precedence: attention, settling, ready, on-test."""
    lines = [*READ, "11-11 08:10 hour=8 blows=7", "11-11 08:11 work=levelled"]
    clock = story(program, "longcase", lines, now=NOW)
    assert clock.outcome("twelve-counts") == MISSED
    assert clock.standing == "attention"
    add(program, ["11-11 08:12 work=strike-set"], now=NOW)
    assert seen(program, NOW).standing == "settling"


def test_settling_of_a_bumped_rail_is_none(program: Program) -> None:
    """A bump is no standing: the rail is in doubt for a day, its clocks stay on test."""
    clock = story(program, "longcase", [*READ, "11-11 08:10 work=bumped"], now=NOW, position="A1")
    assert clock.standing == "on-test"


def test_the_slot_of_a_move_holds_from_then(program: Program) -> None:
    keep(program, "longcase", [*READ, "11-05 09:00 work=moved note=C3"], now=NOW, position="A1")
    assert seen(program, "11-05 08:00")["position"] == "A1"
    assert seen(program, NOW)["position"] == "C3"


def test_export_then_import_into_an_empty_book_gives_the_same_status(program: Program) -> None:
    keep(program, "floor-chiming", complete.LEDGER, now=complete.NOW, **complete.COLUMNS)
    program("undo", now=moment(complete.NOW))
    out = folder(program)
    program("export", out, now=moment(complete.NOW))
    other = Program(program.book.with_name("other.sqlite"))
    other("import", out, now=moment(complete.NOW))
    assert whole(other, complete.NOW) == whole(program, complete.NOW)


def test_forecast_of_a_stopped_clock_and_of_one_that_hangs(program: Program) -> None:
    """status' error_s is the forecast for now, until a `stopped` or `ran-out` says otherwise."""
    keep(program, "longcase", READ, now=NOW)
    [ahead] = program("forecast", "--at", moment(NOW).isoformat(), "--json", now=moment(NOW)).json
    assert ahead["error_s"] == seen(program, NOW)["error_s"]
    add(program, ["11-11 08:10 work=stopped"], now=NOW)
    assert "not_yet_known" in seen(program, NOW)["error_s"]


def test_circular_error_and_swing_wait_for_a_swing(program: Program) -> None:
    clock = story(program, "longcase", READ, now=NOW)
    assert "not_yet_known" in clock["amplitude_deg"]
    add(program, ["11-11 08:10 amplitude_deg=2.5"], now=NOW)
    assert seen(program, NOW)["amplitude_deg"]["estimate"] == pytest.approx(2.5, abs=0.1)


def test_undo_goes_by_the_files_order_not_by_time(program: Program) -> None:
    """Each imported row is one fact, clocks.csv first, then checkins.csv, in file order."""
    lines = [*READ[1:-1], "11-11 08:06 error_s=27", READ[0]]
    keep(program, "longcase", lines, now=NOW)
    program("undo", now=moment(NOW))  # the reading of the 2nd, the file's last
    assert seen(program, NOW).observed("continuous-running") == pytest.approx(8, abs=0.01)
    for _ in range(len(lines) - 1):
        program("undo", now=moment(NOW))
    assert seen(program, NOW).outcome("continuous-running") == OPEN
    program("undo", now=moment(NOW))  # nothing else of it is left
    assert whole(program)["clocks"] == []
    keep(program, "longcase", READ[:-1], now=NOW)  # known rows, and taken back: an import adds nothing
    assert whole(program)["clocks"] == []
    program("clock", "add", "T1", "--kind", "mantel", now=moment(NOW))  # a mistyped tag may be used again
    assert seen(program, NOW)["kind"] == "mantel"


def test_a_clock_with_facts_left_is_not_taken_back(program: Program) -> None:
    program("clock", "add", "T1", "--kind", "longcase", now=moment("11-02 08:00"))
    keep(program, "longcase", READ, now=NOW, tag="T2")
    program("checkin", "T1", "--error", 3, "--at", moment("11-11 08:10").isoformat(), now=moment(NOW))
    program("undo", "T1", now=moment(NOW))
    program("undo", "T1", now=moment(NOW))
    assert [clock["tag"] for clock in whole(program)["clocks"]] == ["T2"]
    program("undo", "T1", now=moment(NOW), code=4)


def test_ties_of_one_visit_keep_file_order(program: Program) -> None:
    """Wound, then read at the same minute: the fall is after the wind; read, then wound: before it."""
    lines = ["11-02 08:00 work=wound", *daily("11-02 08:05", "11-08 08:05", "error_s=0 going_mm={150*d:.0f}")]
    ends = {}
    for tag, visit in (
        ("after", ["11-09 08:00 work=wound", "11-09 08:00 going_mm=8"]),
        ("before", ["11-09 08:00 going_mm=1050", "11-09 08:00 work=wound"]),
        ("same", ["11-09 08:00 going_mm=1050 work=wound"]),
    ):
        keep(program, "regulator", [*lines, *visit], now="11-09 08:10", tag=tag)
        clock = seen(program, "11-09 08:10", tag)
        assert clock["suspected_work"] == []
        ends[tag] = after("11-09 08:00", clock["wind_down"]["at"])
    assert ends["before"] == ends["same"]
    assert ends["after"] == pytest.approx(ends["same"], abs=2)


def test_a_stop_of_a_clock_with_a_summer_time_row_missing(program: Program) -> None:
    """Found on Monday after the change, its dial still on summer time: 9:00 hung at 8:00 GMT, an hour before."""
    lines = ["10-19 08:00 work=wound", *daily("10-19 08:05", "10-23 08:05", "dial=8:05")]
    keep(program, "mantel", lines, now="10-26 09:00")
    told = program("stop-times", "T1", "--dial", "9:00", "--json", now=moment("10-26 09:00")).json
    assert all(each["at"][11:16] in {"08:00", "20:00"} for each in told)


def test_a_delivered_clock_that_comes_back_begins_its_running_anew_nowhere(program: Program) -> None:
    """Reopened after delivery: days at its owner's don't count, those on the stand do, before and after."""
    released(program)
    before = seen(program, complete.NOW).observed("continuous-running")
    program("deliver", "T1", "--at", moment("12-04 09:00").isoformat(), now=moment("12-04 09:10"))
    program("reopen", "T1", "--reason", "strikes wrong", now=moment("12-14 09:00"))
    add(program, ["12-14 09:05 error_s=0", "12-16 09:05 error_s=1"], now="12-16 09:10")
    assert seen(program, "12-16 09:10").observed("continuous-running") == pytest.approx(before + 2, abs=0.02)
