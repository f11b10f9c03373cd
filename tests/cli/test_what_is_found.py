"""What is found on the morning round and what the program makes of it: the trade's table, a test a row or more.

All facts of the trade here are common practice. 2 November 2026 is a Monday.
"""

from __future__ import annotations

import csv
from datetime import timedelta
from typing import Any

import pytest

from tests.cli.conftest import Program
from tests.cli.ledger import MET, MISSED, OPEN, Seen, add, after, keep, moment, seen, story
from tests.shop import write_ledger
from tests.stories import daily

WEEK = ["11-02 08:00 work=wound", *daily("11-02 08:05", "11-06 08:05", "error_s={3*d:.1f} going_mm={165*d:.0f}")]
"""A longcase wound on Monday, read until Friday, +3 s/day."""


def kept(program: Program, lines: list[str], *, now: str, kind: str = "longcase", **columns: Any) -> Seen:
    keep(program, kind, lines, now=now, **columns)
    return seen(program, now)


# | Stopped at 3:47 |


def test_stopped_keeps_how_it_hung_and_offers_times(program: Program) -> None:
    """| Stopped at 3:47 | keeps dial, weights and tick state; offers candidate times; closes the run; ... |

    165 mm a day from Monday eight: 783 mm are 4.75 days, Saturday 1:53 or so; the dial's 3:47 is that morning's.
    """
    hung = 'work=stopped dial=3:47 going_mm=783 note="caught on the fly"'
    clock = kept(program, [*WEEK, f"11-09 08:00 {hung}"], now="11-09 08:10")
    assert (clock.standing, clock.next) == ("attention", "explain")
    assert clock.requirement("continuous-running")["because"] == "found hanging Mon 9 Nov 08:00"
    assert "not_yet_known" in clock["error_s"]
    shown = program("clock", "show", "T1", now=moment("11-09 08:10")).out
    assert all(word in shown for word in ("dial 3:47", "783", "caught on the fly"))
    told = program("stop-times", "T1", "--dial", "3:47", "--going-fall", 783, "--json", now=moment("11-09 08:10")).json
    assert after("11-07 03:47", told[0]["at"]) == pytest.approx(0, abs=0.05)
    assert told[0]["odds"] > 0.95
    assert sum(each["odds"] for each in told) == pytest.approx(1)


def test_the_run_is_shown_until_the_dials_time(program: Program) -> None:
    """| Stopped at 3:47 | ... closes the run; restart opens a new one; ... |: it went until Saturday 3:47."""
    lines = [*WEEK, "11-09 08:00 work=stopped dial=3:47 going_mm=783", "11-09 08:01 work=restarted"]
    clock = kept(program, [*lines, "11-10 08:05 error_s=3"], now="11-10 08:10")
    assert clock.observed("continuous-running") == pytest.approx(1, abs=0.01)
    hanging = seen(program, "11-09 08:00")
    assert hanging.observed("continuous-running") == 0
    assert holds_rate(clock, 3)


def holds_rate(clock: Seen, rate: float) -> bool:
    told = clock["rate_s_per_day"]
    return bool(told["low"] <= rate <= told["high"] and abs(told["estimate"] - rate) < 1)


@pytest.mark.parametrize("explained", ["yes", "no"])
def test_what_a_stop_costs(program: Program, explained: str) -> None:
    """| Stopped at 3:47 | ... explained it costs continuity only, unexplained full duration and weight passage too |"""
    lines = [
        "11-02 08:00 work=wound",
        *daily("11-02 08:05", "11-11 08:05", "error_s={3*d:.1f} hour=8 blows=8"),
        "11-11 08:10 work=wound",
        f"11-12 08:00 work=stopped dial=3:47 explained={explained}",
        "11-12 08:01 work=restarted",
        "11-12 08:05 error_s=0",
    ]
    clock = kept(program, lines, now="11-12 08:10")
    assert clock.observed("continuous-running") < 0.01
    assert (clock.outcome("full-duration") == MET) is (explained == "yes")
    assert (clock.observed("weight-passage") == 1) is (explained == "yes")
    if explained == "yes":
        return
    # explained later by `correct`, it is as if it had been told so at once
    program("export", program.book.parent / "out", now=moment("11-12 08:10"))
    with (program.book.parent / "out" / "checkins.csv").open(encoding="utf-8") as file:
        [stop] = [row["id"] for row in csv.DictReader(file) if row["work"] == "stopped"]
    program("correct", stop, "explained=yes", now=moment("11-12 08:10"))
    mended = seen(program, "11-12 08:10")
    assert mended.outcome("full-duration") == MET
    assert mended.observed("weight-passage") == 1


# | Weight at the bottom |

RUN_OUT_WEEK = [
    "11-02 08:00 work=wound",
    *daily("11-02 08:05", "11-06 08:05", "error_s={3*d:.1f} going_mm={165*d:.0f} strike_mm={165*d:.0f}"),
]


def test_overdue_it_ran_out_and_is_no_fault(program: Program) -> None:
    """| Weight at the bottom | overdue: "ran out", not a fault, and full-run evidence as far as it was shown ... |"""
    lines = [*RUN_OUT_WEEK, "11-12 08:00 work=ran-out", "11-12 08:01 work=wound", "11-12 08:02 work=restarted"]
    clock = kept(program, [*lines, "11-12 08:05 error_s=0"], now="11-12 08:10")
    assert clock.standing == "on-test"
    assert clock.next != "explain"
    assert clock.observed("full-duration") == pytest.approx(96, abs=0.2)  # shown until Friday, no further
    assert clock.outcome("full-duration") == OPEN
    assert clock.observed("continuous-running") == pytest.approx(4, abs=0.02)


def test_found_on_monday_it_may_have_died_on_friday_night(program: Program) -> None:
    """| Weight at the bottom | ... found on Monday, it may have died on Friday night, so read dial and weights ... |

    Wound on Friday week: by 165 mm a day its 1402 mm are gone on Saturday at eight in the evening, 204 hours.
    """
    week = ["10-30 08:00 work=wound", *daily("10-30 08:05", "11-06 08:05", "error_s={3*d:.1f} going_mm={165*d:.0f}")]
    blind = kept(program, [*week, "11-09 08:00 work=ran-out"], now="11-09 08:10")
    assert blind.observed("continuous-running") == pytest.approx(7, abs=0.02)
    assert blind.requirement("full-duration")["because"].startswith("going shown to 168 and strike to 0")
    keep(program, "longcase", [*week, "11-09 08:00 work=ran-out dial=8:00 going_mm=1402"], now="11-09 08:10", tag="T2")
    read = seen(program, "11-09 08:10", "T2")
    # the weight's fall leaves Saturday alone: shown past its 192 hours and then run out
    assert "going" not in read.requirement("full-duration")["because"]
    assert read.observed("continuous-running") == pytest.approx(8.5, abs=0.02)


def test_early_it_is_a_stop_like_any_other(program: Program) -> None:
    """| Weight at the bottom | ... early: a stop like any other (click, short wind, obstruction) |"""
    lines = [*RUN_OUT_WEEK, "11-07 08:00 work=ran-out", "11-07 08:01 work=wound", "11-07 08:02 work=restarted"]
    clock = kept(program, [*lines, "11-07 08:05 error_s=0"], now="11-07 08:10")
    assert (clock.standing, clock.next) == ("attention", "explain")
    assert clock.observed("continuous-running") < 0.01
    assert clock.observed("full-duration") == 0


# | Spring "ran out" |


def spring(turns_after: str) -> list[str]:
    return [
        "11-02 08:00 work=wound",
        *daily("11-02 08:05", "11-10 08:05", "error_s={3*d:.1f} hour=8 blows=8"),
        "11-12 08:00 work=ran-out",
        f"11-12 08:01 work=wound {turns_after}",
        "11-12 08:01 work=wound train=strike",
        "11-12 08:02 work=restarted",
        "11-12 08:05 error_s=0",
    ]


@pytest.mark.parametrize("turns", ["train=going amount=13.5", "train=going amount=14", ""])
def test_winding_takes_nearly_all_its_turns(program: Program, turns: str) -> None:
    """| Spring "ran out" | the key tells: winding takes nearly all its turns; ... |"""
    clock = kept(program, spring(turns), now="11-12 08:10", kind="mantel", going_turns=14, strike_turns=14)
    assert clock.next != "explain"
    assert clock.standing == "on-test"
    assert clock.observed("continuous-running") == pytest.approx(8, abs=0.02)


@pytest.mark.parametrize("turns", ["train=going amount=5", "amount=5", "train=going amount=12"])
def test_a_few_turns_only_it_stopped_with_power_left(program: Program, turns: str) -> None:
    """| Spring "ran out" | ... a few turns only: it stopped with power left, a fault |"""
    clock = kept(program, spring(turns), now="11-12 08:10", kind="mantel", going_turns=14, strike_turns=14)
    assert (clock.standing, clock.next) == ("attention", "explain")
    assert clock.observed("continuous-running") < 0.01


# | Hands set |


def test_hands_set_the_error_steps_and_the_rate_survives(program: Program) -> None:
    """| Hands set | asks before and after; the error steps, the rate survives; ... |"""
    lines = [*WEEK, "11-06 08:06 work=hands-set amount=-12", "11-09 08:05 error_s=9"]
    clock = kept(program, lines, now="11-09 08:10")
    assert holds_rate(clock, 3)
    assert clock["suspect_readings"] == [] == clock["suspected_work"]


def test_hands_set_by_an_unknown_amount_loses_the_mornings_error_only(program: Program) -> None:
    """| Hands set | ... before unknown: only that morning's error is lost |"""
    lines = [*WEEK, "11-06 08:06 work=hands-set", "11-06 08:07 error_s=-1", "11-09 08:05 error_s=8"]
    clock = kept(program, lines, now="11-09 08:10")
    assert holds_rate(clock, 3)
    assert clock.outcome("mean-rate") == MET
    assert clock.observed("continuous-running") == pytest.approx(7, abs=0.01)


# | Impossible jump |


def test_an_impossible_jump_look_again_first(program: Program) -> None:
    """| Impossible jump | "look again" first; then: hands set, stopped and restarted, ... |"""
    clock = kept(program, [*WEEK[:-1], "11-06 08:05 error_s=612 strike_mm=600"], now="11-06 08:10")
    assert clock.next == "read-again"
    [suspect] = clock["suspect_readings"]
    assert suspect["error_s"] == 612
    assert suspect["expected_s"] == pytest.approx(12, abs=5)
    assert clock["suspected_work"] == []
    told = program("checkin", "T1", "--error", 900, "--at", "2026-11-06T08:06+00:00", now=moment("11-06 08:10"))
    assert "a surprise" in told.out
    assert "read again" in told.out


def test_then_it_is_the_hands(program: Program) -> None:
    """| Impossible jump | ... then: hands set, ... |"""
    lines = [*WEEK, *daily("11-07 08:05", "11-10 08:05", "error_s={615+3*d:.1f}")]
    clock = kept(program, lines, now="11-10 08:10")
    [work] = clock["suspected_work"]
    assert (work["what"], work["at"]) == ("hands-set", "2026-11-07T08:05:00+00:00")
    assert work["amount"] == pytest.approx(600, abs=5)
    assert clock["suspect_readings"] == []
    assert holds_rate(clock, 3)


def test_a_minute_misread_is_only_that(program: Program) -> None:
    """| Impossible jump | ... misread minute (only after the second look) ... |"""
    lines = [*WEEK, "11-07 08:05 error_s=75", *daily("11-08 08:05", "11-10 08:05", "error_s={18+3*d:.1f}")]
    clock = kept(program, lines, now="11-10 08:10")
    [suspect] = clock["suspect_readings"]
    assert suspect["expected_s"] == pytest.approx(15, abs=2)
    assert clock["suspected_work"] == []
    assert holds_rate(clock, 3)


def test_two_whole_minutes_one_way_are_a_lead_never_two_blunders(program: Program) -> None:
    """| Impossible jump | ... Two whole-minute jumps one way in one job are a lead, never two blunders |"""
    lines = [
        *WEEK,
        *daily("11-07 08:05", "11-10 08:05", "error_s={15-60+3*d:.1f}"),
        *daily("11-11 08:05", "11-14 08:05", "error_s={27-120+3*d:.1f}"),
    ]
    clock = kept(program, lines, now="11-14 08:10")
    assert clock["suspect_readings"] == []
    assert [lead["code"] for lead in clock["leads"]] == ["steps"]
    assert "minute" in clock["leads"][0]["text"]
    assert holds_rate(clock, 3)


# | Seen going, not read |


def test_seen_going_counts_as_going_and_for_nothing_else(program: Program) -> None:
    """| Seen going, not read | counts as going, for nothing else |"""
    lines = ["11-02 08:00 work=wound", "11-02 08:05 error_s=0"]
    without = kept(program, lines, now="11-20 08:10")
    add(program, [f"11-{day:02} 08:05 work=seen-going" for day in range(3, 21)], now="11-20 08:10")
    clock = seen(program, "11-20 08:10")
    assert clock.outcome("continuous-running") == MET
    assert clock.observed("continuous-running") == pytest.approx(18, abs=0.01)
    assert clock.observed("full-duration") == without.observed("full-duration") < 1
    changed = {name for name, outcome in clock.outcomes.items() if outcome != without.outcomes[name]}
    # going through the whole of a wind is what weight-passage asks
    assert changed <= {"continuous-running", "weight-passage"}
    assert clock.requirement("mean-rate")["because"] == without.requirement("mean-rate")["because"]


# | Held on purpose |


def test_held_for_minutes_the_error_steps_and_nothing_else_is_lost(program: Program) -> None:
    """| Held on purpose | the pendulum held for minutes: the error steps, nothing else is lost. ... |"""
    lines = [*WEEK, "11-06 08:06 work=held amount=300", *daily("11-07 08:05", "11-12 08:05", "error_s={3*d-285:.1f}")]
    clock = kept(program, lines, now="11-12 08:10")
    assert holds_rate(clock, 3)
    assert clock["suspect_readings"] == [] == clock["suspected_work"]
    assert clock.observed("continuous-running") == pytest.approx(10, abs=0.01)
    assert clock.standing == "on-test"


def test_the_stand_left_on_summer_time(program: Program) -> None:
    """| Held on purpose | ... Before the clocks go back: hold all an hour (`summer-time`), or leave the stand ... |

    Until its own `summer-time` row a dial is read against the old civil time.
    """
    lines = daily("10-20 08:05", "10-24 08:05", "dial=8:05:{3*d:02.0f}")
    lines += daily("10-25 08:05", "11-03 08:05", "dial=9:05:{15+3*d:02.0f}")
    clock = story(program, "longcase", lines, now="11-03 08:10")
    assert holds_rate(clock, 3)
    assert clock["suspect_readings"] == [] == clock["suspected_work"]


# | Chime a quarter off |

HEARD = [f"11-02 {8 + n}:{15 * (n % 4):02} chime=in-step quarter={n % 4 + 1}" for n in range(8)]
HEARD = [line.replace(" 8:", " 08:").replace(" 9:", " 09:") for line in HEARD]


@pytest.mark.parametrize(
    "before",
    [
        *("work=hands-set amount=60", "work=hours-shifted amount=3", "work=held amount=60", "work=restarted"),
        *("work=moved note=B3", "work=cased", "work=tune amount=1", "work=summer-time", "work=mis-set amount=1"),
    ],
)
def test_after_something_that_provokes_it_it_may_be_correcting(program: Program, before: str) -> None:
    """| Chime a quarter off | after something that provokes it ...: "correcting, listen after the next hour"; ... |"""
    lines = [*HEARD, f"11-03 08:00 {before}", "11-03 10:00 chime=out-of-step"]
    clock = kept(program, lines, now="11-03 10:05", kind="floor-chiming")
    assert clock.outcome("chime-step") == OPEN
    assert clock.standing != "attention"
    # a minute later than two hours it is a slip, but after a mis-set
    lines = [*HEARD, f"11-03 08:00 {before}", "11-03 10:01 chime=out-of-step"]
    keep(program, "floor-chiming", lines, now="11-03 10:05", tag="T2")
    assert seen(program, "11-03 10:05", "T2").outcome("chime-step") == (OPEN if "mis-set" in before else MISSED)


def test_the_end_of_the_night_and_a_rewound_chime_provoke_it_too(program: Program) -> None:
    """| Chime a quarter off | after ... rewinding a run-out chime, ... the night's silence ... |"""
    night = [*HEARD, "11-03 08:45 chime=out-of-step"]
    keep(program, "floor-chiming", night, now="11-03 09:00", tag="N1", night_silence="22:00-07:00")
    keep(program, "floor-chiming", night, now="11-03 09:00", tag="N2")
    rewound = [*HEARD, "11-03 08:00 work=ran-out train=chime", "11-03 08:01 work=wound train=chime"]
    keep(program, "floor-chiming", [*rewound, "11-03 09:00 chime=out-of-step"], now="11-03 09:00", tag="N3")
    wound = [*HEARD, "11-03 08:01 work=wound train=chime", "11-03 09:00 chime=out-of-step"]
    keep(program, "floor-chiming", wound, now="11-03 09:00", tag="N4")
    told = {tag: seen(program, "11-03 09:00", tag).outcome("chime-step") for tag in ("N1", "N2", "N3", "N4")}
    assert told == {"N1": OPEN, "N2": MISSED, "N3": OPEN, "N4": MISSED}


@pytest.mark.parametrize("mend", ["work=chime-set", "work=opened"])
def test_nobody_touched_it_a_slip_until_it_is_put_right(program: Program, mend: str) -> None:
    """| Chime a quarter off | ... nobody touched it: a slip, which fails even if it has since corrected, until ... |"""
    clock = kept(program, [*HEARD, "11-03 10:00 chime=out-of-step"], now="11-03 10:05", kind="floor-chiming")
    assert (clock.outcome("chime-step"), clock.standing, clock.next) == (MISSED, "attention", "listen")
    add(program, [f"11-{day:02} 10:00 chime=in-step quarter=4" for day in range(4, 10)], now="11-09 10:05")
    assert seen(program, "11-09 10:05").outcome("chime-step") == MISSED
    add(program, [f"11-09 10:06 {mend}"], now="11-09 10:10")
    assert seen(program, "11-09 10:10").outcome("chime-step") == OPEN


# | Stand bumped |


def test_a_bumped_rail_is_suspect_for_a_day(program: Program) -> None:
    """| Stand bumped | every clock on that rail suspect for 24 h; judges none by it |"""
    swings = ["amplitude_deg=1.0 beat_error_pct=9"]
    for tag, slot in (("P1", "B1"), ("P2", "B7"), ("P3", "C1")):
        lines = [*WEEK, *[f"11-06 20:00 {cells}" for cells in swings]]
        keep(program, "longcase", lines, now="11-07 08:10", tag=tag, position=slot, unlock_deg=1.5)
    add(program, ["11-06 12:00 work=bumped"], now="11-07 08:10", tag="P1")
    for tag, judged in (("P1", OPEN), ("P2", OPEN), ("P3", MISSED)):
        clock = seen(program, "11-07 08:10", tag)
        assert (clock.outcome("beat"), clock.outcome("amplitude")) == (judged, judged), tag


# | Someone else wound |


def test_someone_else_wound(program: Program) -> None:
    """| Someone else wound | weight higher than forecast: proposes a wind, time uncertain |"""
    lines = [*RUN_OUT_WEEK, "11-09 08:05 error_s=21 going_mm=170 strike_mm=172"]
    at_once = kept(program, lines, now="11-09 08:10")
    add(program, ["11-10 08:05 error_s=24 going_mm=335 strike_mm=337"], now="11-10 08:10")
    clock = seen(program, "11-10 08:10")
    assert [work["what"] for work in at_once["suspected_work"]] == ["wound"]
    works = [work for work in clock["suspected_work"] if work["what"] == "wound"]
    assert len(works) == 1
    assert works[0]["at"].startswith("2026-11-09")
    assert works[0]["odds"] > 0.9
    assert works[0]["amount"] == pytest.approx(7 * 165 - 170, abs=30)
    # 1402 mm in all
    assert after("11-10 08:10", clock["wind_down"]["at"]) == pytest.approx(24 * (1402 - 337) / 165, abs=8)
    told = program("status", "T1", now=moment("11-10 08:10")).out
    assert "wound, " in told
    assert "between Fri 6 and Mon 9 Nov" in told
    assert "standwatch work T1 wound --at 2026-11-06T08:05" in told


# | Power cut |


@pytest.mark.parametrize("rails", ["AB", ""])
def test_a_power_cut_touches_the_reference_and_no_clock(program: Program, rails: str) -> None:
    """| Power cut | mechanical clocks run on; check reference and heating |

    The mains reference came back 25 s slow: every clock seems to gain 25 s in one night.
    """
    for number in range(7):
        rate = 2 + number
        lines = daily("11-02 08:05", "11-11 08:05", f"error_s={{{rate}*d:.1f}}")
        lines += daily("11-12 08:05", "11-16 08:05", f"error_s={{{10 * rate}+25+{rate}*d:.1f}}")
        keep(
            program,
            "longcase",
            lines,
            now="11-16 08:10",
            tag=f"T{number}",
            position=f"{rails[number % 2]}{number + 1}" if rails else "",
        )
    told = program("status", "--json", now=moment("11-16 08:10")).json
    [jump] = told["common"]["reference_jumps"]
    assert "2026-11-11" <= jump["at"][:10] <= "2026-11-12"
    assert jump["seconds"] == pytest.approx(25, abs=3)
    for clock in map(Seen, told["clocks"]):
        assert clock["suspected_work"] == [] == clock["suspect_readings"]
        assert clock.outcome("day-range") != MISSED


# | Summer time |


@pytest.mark.parametrize("left", [0, 2])
def test_now_shows_summer_time_is_an_hour_step_never_drift(program: Program, left: int) -> None:
    """| Summer time | everything is kept in UTC; "now shows summer time" is an hour step, never drift |

    29 March 2026; the hands are moved `left` days after the change, its dial read on each.
    """
    lines = [*daily("03-20 08:05", "03-28 08:05", "dial=8:05:{2*d:02.0f}")]
    lines += [f"03-{29 + day} 08:05 dial=7:05:{18 + 2 * day}" for day in range(left)]
    lines.append(f"03-{29 + left} 08:05 dial=7:05:{18 + 2 * left} work=summer-time")
    lines += [f"04-{day:02} 08:05 dial=8:05:{22 + 2 * day}" for day in range(1, 6)]
    clock = kept(program, lines, now="04-05 08:10")
    assert holds_rate(clock, 2)
    assert clock["rate_s_per_day"]["high"] - clock["rate_s_per_day"]["low"] < 4
    assert clock["suspect_readings"] == [] == clock["suspected_work"]
    assert clock["error_s"]["estimate"] == pytest.approx(32, abs=1)


# | Moved |


def test_moved_rate_swing_and_beat_start_anew(program: Program) -> None:
    """| Moved | rate, amplitude and beat start anew; running days, counts and chime evidence stay |"""
    lines = [
        "11-02 08:00 work=wound",
        *daily("11-02 08:05", "11-09 08:05", "error_s={3*d:.1f} amplitude_deg=3.3 beat_error_pct=1"),
        *[f"11-03 {8 + n // 4:02}:{10 + 5 * (n % 4)} hour={n + 1} blows={n + 1} staged=yes" for n in range(12)],
        *[f"11-{3 + n:02} 11:00 chime=in-step quarter={n % 4 + 1}" for n in range(5)],
    ]
    before = kept(program, lines, now="11-09 08:10", kind="floor-chiming", unlock_deg=2, position="A1")
    for name in ("mean-rate", "amplitude", "beat", "twelve-counts", "chime-step"):
        assert before.outcome(name) == MET, name
    program("clock", "move", "T1", "C4", now=moment("11-09 08:15"))
    clock = seen(program, "11-09 08:20")
    for name in ("mean-rate", "amplitude", "beat"):
        assert clock.outcome(name) == OPEN, name
    for name in ("twelve-counts", "chime-step"):
        assert clock.outcome(name) == MET, name
    assert clock.observed("amplitude") is None
    assert clock.observed("continuous-running") == before.observed("continuous-running")
    assert (clock["position"], clock.standing) == ("C4", "settling")


# | Round missed |


def test_a_missed_round_is_neither_met_nor_missed(program: Program) -> None:
    """| Round missed | not yet known: neither met nor missed |"""
    lines = ["11-02 08:00 work=wound", *daily("11-02 08:05", "11-11 08:05", "error_s={3*d:.1f}")]
    clock = kept(program, lines, now="11-11 08:10")
    assert clock.outcome("day-range") == MET
    assert seen(program, "11-12 18:00").outcome("day-range") == MET  # one round missed: read since the last but one
    later = seen(program, "11-13 08:10")
    assert later.outcome("day-range") == OPEN
    assert later.outcome("mean-rate") == MET
    assert all(outcome != MISSED for outcome in later.outcomes.values())
    far = seen(program, "11-30 08:10")
    assert far.observed("continuous-running") == clock.observed("continuous-running")
    assert all(outcome != MISSED for outcome in far.outcomes.values())


def test_what_was_kept_is_kept_in_utc(program: Program) -> None:
    """| Summer time | everything is kept in UTC | whatever offset a row is written with."""
    rows = [
        {
            "at": (moment("11-02 08:00") + timedelta(days=d)).isoformat().replace("+00:00", "Z"),
            "tag": "T1",
            "error_s": d,
        }
        for d in range(3)
    ]
    rows.append({"at": "2026-11-05T13:30:00+05:30", "tag": "T1", "error_s": 3})
    ledger = write_ledger(program.book.parent / "z", [{"tag": "T1", "kind": "longcase"}], rows)
    program("import", ledger, now=moment("11-06 08:00"))
    program("export", program.book.parent / "utc", now=moment("11-06 08:00"))
    assert "2026-11-05T08:00:00+00:00" in (program.book.parent / "utc" / "checkins.csv").read_text(encoding="utf-8")
