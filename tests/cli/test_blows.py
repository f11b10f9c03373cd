"""Strike and chime by commands: what is counted and heard, what is said of it, and where it leads next."""

from __future__ import annotations

import re
import shlex
from typing import Any

from tests.cli.conftest import Program

ZONE = "+00:00"


def at(day: int, time: str) -> str:
    return f"2026-11-{day:02}T{time}:00{ZONE}"


def on_stand(program: Program, kind: str, *more: str) -> None:
    """A clock wound on Monday 9 November 2026 and read right on time each morning of two weeks but the last."""
    program("clock", "add", "T1", "--kind", kind, *more, now=at(9, "08:00"))
    program("work", "T1", "wound", "--at", at(9, "08:00"), now=at(9, "08:00"))
    for day in (9, 10, 11, 12, 13, 16):
        program("checkin", "T1", "--error", 0, "--at", at(day, "08:10"), now=at(day, "08:10"))
    program("work", "T1", "wound", "--at", at(16, "08:12"), now=at(16, "08:12"))


def count(program: Program, day: int, hour: int, blows: int, time: str | None = None) -> None:
    when = at(day, time or f"{hour:02}:00")
    program("checkin", "T1", "--hour", hour, "--blows", blows, "--at", when, now=when)


def asked(program: Program, now: str) -> tuple[Any, dict[str, Any]]:
    """The next step, and the requirements by name."""
    [clock] = program("status", "T1", "--json", now=now).json["clocks"]
    return clock, {each["name"]: each for each in clock["requirements"]}


def test_a_count_wheel_left_behind_is_told_put_right_and_heard_twice(program: Program) -> None:
    on_stand(program, "longcase")
    count(program, 9, 10, 10)
    program("work", "T1", "ran-out", "--train", "strike", "--at", at(10, "09:00"), now=at(10, "09:00"))
    program("work", "T1", "wound", "--train", "strike", "--at", at(10, "12:30"), now=at(10, "12:30"))
    count(program, 12, 9, 6)
    clock, found = asked(program, at(12, "09:30"))
    assert found["twelve-counts"]["outcome"] == "missed"
    assert "hear the next hour too" in found["twelve-counts"]["because"]
    assert clock["leads"] == []
    count(program, 12, 10, 7)
    clock, found = asked(program, at(12, "10:30"))
    told = "a count wheel, left behind while the strike was run out: trip it until it is right"
    assert told in found["twelve-counts"]["because"]
    assert [(lead["code"], lead["text"]) for lead in clock["leads"]] == [
        ("strike-off-by-constant", f"the strike counts 3 too few at 9, 10: {told}")
    ]
    assert told in program("status", "T1", now=at(12, "10:30")).out
    program("work", "T1", "strike-set", "--at", at(12, "10:40"), now=at(12, "10:40"))
    clock, found = asked(program, at(12, "10:45"))
    assert clock["leads"] == []
    assert (found["twelve-counts"]["outcome"], found["twelve-counts"]["observed"]) == ("not-yet-known", 0)
    for hour in range(1, 13):
        count(program, 13, hour, hour, time=f"{8 + hour // 3:02}:{15 + 10 * (hour % 3)}")
    _, found = asked(program, at(13, "13:00"))
    assert found["twelve-counts"]["because"] == "nine once more and ten once more unheard"
    count(program, 16, 9, 9)
    count(program, 16, 10, 10)
    _, found = asked(program, at(16, "10:10"))
    assert found["twelve-counts"]["because"] == (
        "each hour heard: 14 strikes and none wrong, which still allows 1 wrong in 4 (95 %)"
    )
    program("undo", "T1", now=at(16, "10:10"))
    _, found = asked(program, at(16, "10:10"))
    assert found["twelve-counts"]["because"] == "ten once more unheard", "a fact undone gives the outcome back"


def test_seven_is_proposed_by_a_shift_and_then_heard_by_day(program: Program) -> None:
    on_stand(program, "longcase", "--unlock-deg", "1.5")
    for n, hour in enumerate((1, 2, 3, 4, 5, 6, 8, 9, 10, 11, 12)):
        count(program, 10 + n // 6, hour, hour, time=f"{9 + n % 6:02}:30")
    clock, found = asked(program, at(16, "08:20"))
    told = (
        "it sounds only when the shop is closed: shift the hours once, the hands 1 hour on, or stage it by hand "
        "(about 4 minutes and half a day's fall)"
    )
    assert clock["next"] == {"code": "listen", "text": f"hear seven; {told}"}
    assert found["twelve-counts"]["because"] == f"seven unheard; {told}"
    assert [d for d in program("due", "--json", now=at(16, "08:20")).json if d["what"] == "listen"] == []
    program("set", "next_round=10:00", now=at(16, "08:20"))
    _, found = asked(program, at(16, "08:20"))
    assert found["twelve-counts"]["because"] == "seven unheard", "a shop open until eight hears it"
    program("set", "next_round=08:00", now=at(16, "08:20"))
    program("work", "T1", "hours-shifted", "--amount", 1, "--at", at(16, "08:30"), now=at(16, "08:30"))
    clock, _ = asked(program, at(16, "08:40"))
    assert clock["next"]["text"] == "hear seven at 18:00"
    [listen] = [d for d in program("due", "--json", now=at(16, "08:40")).json if d["what"] == "listen"]
    assert listen["at"] == at(16, "18:00")


def test_a_chime_is_led_through_tunes_and_mis_sets(program: Program) -> None:
    on_stand(program, "floor-chiming", "--tunes", "Larkspur;Mill", "--unlock-deg", "2")

    def heard(day: int, time: str, quarter: int, chime: str = "in-step") -> None:
        when = at(day, time)
        program("checkin", "T1", "--chime", chime, "--quarter", quarter, "--at", when, now=when)

    for hour in range(1, 13):
        count(program, 10, hour, hour, time=f"{8 + hour // 3:02}:{16 + 10 * (hour % 3)}")
    for quarter in (1, 2, 3):
        heard(9, f"09:{15 * quarter}", quarter)
    for day in (10, 11, 12, 13):
        heard(day, "09:15", 1)
    clock, found = asked(program, at(16, "08:20"))
    assert found["chime-step"]["because"] == "5 of 5 mornings in step; quarter 4 unheard"
    assert clock["next"]["text"] == "listen at 09:00: quarter 4 in step"
    heard(16, "09:00", 4)
    clock, found = asked(program, at(16, "09:05"))
    assert found["chime-step"]["outcome"] == "met"
    assert clock["next"]["text"] == "set the selector to Larkspur and hear quarters 1, 2, 3 and 4"
    program("work", "T1", "tune", "--amount", 1, "--at", at(16, "09:05"), now=at(16, "09:05"))
    heard(16, "09:15", 1, "out-of-step")
    clock, found = asked(program, at(16, "09:20"))
    assert found["chime-step"]["outcome"] == "met", "the selector was turned"
    assert clock["next"]["text"] == "correcting: listen after 10:00"
    heard(16, "10:15", 1)
    clock, _ = asked(program, at(16, "10:20"))
    assert clock["next"]["text"] == "hear Larkspur, quarters 2, 3 and 4"


def test_what_was_counted_and_done_is_told_back(program: Program) -> None:
    program("clock", "add", "T1", "--kind", "floor-chiming", now=at(9, "08:00"))
    for arguments, said in (
        (("checkin", "T1", "--hour", 1, "--blows", 1), "1 blow at 1"),
        (("checkin", "T1", "--blows", 1), "1 blow"),
        (("checkin", "T1", "--hour", 9, "--blows", 0), "no blows at 9"),
        (("checkin", "T1", "--hour", 12, "--blows", 12, "--seconds", 24.5), "12 blows at 12; striking 24.5 s"),
        (("work", "T1", "mis-set", "--amount", 1), "mis-set 1 quarter"),
        (("work", "T1", "mis-set", "--amount", 2), "mis-set 2 quarters"),
        (("work", "T1", "hours-shifted", "--amount", 3), "hours-shifted +3 h"),
    ):
        program(*arguments, now=at(9, "09:00"))
        assert f"T1: taken back: {said}  (" in program("undo", "T1", now=at(9, "09:00")).out


def test_a_chime_that_kept_silent_is_explained_by_the_command_that_status_gives(program: Program) -> None:
    on_stand(program, "floor-chiming", "--unlock-deg", "2")
    program("checkin", "T1", "--chime", "not-running", "--quarter", 1, "--at", at(16, "08:15"), now=at(16, "08:15"))
    told = program("status", "T1", now=at(16, "08:20")).out
    assert "  silent      the chime should have sounded Mon 16 Nov 08:15 and didn't\n" in told
    _, found = asked(program, at(16, "08:20"))
    assert found["chime-step"]["because"] == "did not sound on Mon 16 Nov: explain it, or put the chime right"
    command = re.search(r"standwatch (correct \S+ explained=yes note='[^']*')", told)
    assert command is not None
    program(*shlex.split(command[1]), now=at(16, "08:20"))
    assert "  silent  " not in program("status", "T1", now=at(16, "08:20")).out
    _, found = asked(program, at(16, "08:20"))
    assert found["chime-step"]["because"] == "0 of 5 mornings in step; quarters 1, 2, 3 and 4 unheard"
