"""What each work does to error, rate and evidence: the trade's table, a test a row (common practice).

Each row is played on the complete clock of tests/judge/complete.py, a floor chiming clock that has shown everything
and is 15.9 s fast, +0.5 s/day; and on plain clocks that are 30 s fast on Wednesday 11 November, +3 s/day.
"""

from __future__ import annotations

from datetime import timedelta

import pytest

from tests.cli.conftest import Program
from tests.cli.ledger import MET, MISSED, OPEN, Seen, add, after, keep, moment, seen
from tests.judge import complete
from tests.stories import daily

ALL = {
    *("continuous-running", "full-duration", "weight-passage", "mean-rate", "day-range", "amplitude", "beat"),
    *("twelve-counts", "chime-step", "mis-set", "tunes", "moon", "oil", "own-case", "safety"),
}
RATE = {"mean-rate", "day-range", "own-case"}  # the rate in its own case is wanted there too
SWING = {"amplitude", "beat"}


@pytest.fixture
def whole(program: Program) -> Program:
    """The complete clock in its book, ready."""
    keep(program, "floor-chiming", complete.LEDGER, now="12-04 08:09", **complete.COLUMNS)
    before = seen(program, "12-04 08:09")
    assert (before.standing, lost(before)) == ("ready", set())
    return program


def lost(clock: Seen) -> set[str]:
    """The requirements that are not met."""
    return {name for name, outcome in clock.outcomes.items() if outcome != MET}


def worked(program: Program, *works: str, now: str = "12-04 08:20") -> Seen:
    """What works on the last morning, each a row of 08:10, leave of the complete clock."""
    add(program, [f"12-04 08:10 {work}" for work in works], now=now)
    return seen(program, now)


def plain(program: Program, kind: str = "longcase", tag: str = "P1", **columns: object) -> Seen:
    """A plain clock read for ten mornings, wound on the first, +3 s/day."""
    lines = ["11-01 08:00 work=wound", *daily("11-01 08:05", "11-11 08:05", "error_s={3*d:.1f}")]
    keep(program, kind, lines, now="11-11 08:20", tag=tag, **columns)
    return seen(program, "11-11 08:20", tag)


def stepped(program: Program, work: str, *, tag: str = "P1", now: str = "11-11 08:30") -> Seen:
    """The same after `work` at 08:25, nothing read since."""
    add(program, [f"11-11 08:25 {work}"], now=now, tag=tag)
    return seen(program, now, tag)


def rate_then(program: Program, rate: float, first: str, *, tag: str = "P1") -> dict[str, float]:
    """The rate after eight further mornings on which it gains `rate` a day, beginning at `first` of 0 s."""
    lines = daily(first, f"11-{int(first[3:5]) + 8:02} 08:05", f"error_s={{{rate}*d:.1f}}")
    add(program, lines, now="11-20 08:20", tag=tag)
    told: dict[str, float] = seen(program, "11-20 08:20", tag)["rate_s_per_day"]
    return told


def holds(told: dict[str, float], value: float, within: float) -> bool:
    """Whether the estimate is that near to `value` and its interval holds it."""
    return abs(told["estimate"] - value) < within and told["low"] <= value <= told["high"]


def width(told: dict[str, float]) -> float:
    return told["high"] - told["low"]


def settles(program: Program, hours: float, *, tag: str = "T1", start: str = "12-04 08:10") -> None:
    """It is settling for just so many hours."""
    end = moment(start) + timedelta(hours=hours)
    for minutes, settling in ((-2, True), (2, False)):
        [clock] = program("status", tag, "--json", now=end + timedelta(minutes=minutes)).json["clocks"]
        assert (clock["standing"] == "settling") is settling


# | hands set | steps | kept | none |


def test_hands_set_by_so_much(whole: Program) -> None:
    """| hands set | steps | kept | none |"""
    before, clock = seen(whole, "12-04 08:20"), worked(whole, "work=hands-set amount=60")
    assert lost(clock) == set()
    assert clock["error_s"]["estimate"] == pytest.approx(before["error_s"]["estimate"] + 60, abs=0.1)
    assert width(clock["error_s"]) < width(before["error_s"]) + 1
    assert clock["rate_s_per_day"] == pytest.approx(before["rate_s_per_day"])


def test_hands_set_by_an_unknown_amount(program: Program) -> None:
    """| hands set | steps | kept | none | "before unknown: only that morning's error is lost"."""
    before, clock = plain(program), stepped(program, "work=hands-set")
    assert "hands were set" in clock["error_s"]["not_yet_known"]
    assert clock["rate_s_per_day"] == pytest.approx(before["rate_s_per_day"], abs=0.01)
    told = rate_then(program, 3, "11-12 08:05")
    assert holds(told, 3, 0.5)
    assert width(told) < width(before["rate_s_per_day"])  # the readings before count on
    assert seen(program, "11-20 08:20", "P1").outcome("mean-rate") == MET


# | summer time | kept | kept | none |


@pytest.mark.parametrize("work", ["work=summer-time amount=3600", "work=summer-time amount=-3600", "work=summer-time"])
def test_summer_time(whole: Program, work: str) -> None:
    """| summer time | kept: clock and reference move together, however it was done | kept | none |"""
    before, clock = seen(whole, "12-04 08:20"), worked(whole, work)
    assert lost(clock) == set()
    assert clock["error_s"] == pytest.approx(before["error_s"])
    assert clock["rate_s_per_day"] == pytest.approx(before["rate_s_per_day"])


def test_an_hours_holding_in_autumn_is_told_by_summer_time_alone(program: Program) -> None:
    """| summer time | ... (an hour's holding in autumn is told by this alone) | kept | none |"""
    lines = [
        *daily("10-20 08:05", "10-24 08:05", "dial=8:05:{3*d:02.0f}"),
        "10-24 17:00 work=summer-time amount=-3600",
        # on Sunday the dial agrees with the new civil time at once
        *daily("10-25 08:05", "10-30 08:05", "dial=8:05:{15+3*d:02.0f}"),
    ]
    keep(program, "longcase", lines, now="10-30 08:20")
    clock = seen(program, "10-30 08:20")
    assert clock["suspect_readings"] == [] == clock["suspected_work"]
    assert holds(clock["rate_s_per_day"], 3, 0.2)
    assert holds(clock["error_s"], 30, 1)
    assert clock.observed("continuous-running") == pytest.approx(10 + 1 / 24, abs=0.01)


# | hours shifted | kept on the dial less the shift | kept | none |


def test_hours_shifted(whole: Program) -> None:
    """| hours shifted (whole hours, so that seven sounds in shop hours) | kept on the dial less the shift | ... |"""
    before, clock = seen(whole, "12-04 08:20"), worked(whole, "work=hours-shifted amount=5")
    assert lost(clock) == set()
    assert clock["error_s"] == pytest.approx(before["error_s"])
    assert clock["rate_s_per_day"] == pytest.approx(before["rate_s_per_day"])
    # from a dial the program takes the shift off; error_s is written without it
    for at, cell in (("12-05 08:05", "dial=1:05:16"), ("12-06 08:05", "error_s=17")):
        add(whole, [f"{at} {cell}"], now=at)
    later = seen(whole, "12-06 08:10")
    assert later["suspect_readings"] == []
    assert holds(later["error_s"], 17, 1)


def test_hours_are_heard_as_the_dial_shows_them(program: Program) -> None:
    """| hours shifted | ... | `hour` stays what the dial shows."""
    lines = ["11-03 08:00 error_s=0", "11-03 08:01 work=hours-shifted amount=11", "11-03 08:02 hour=7 blows=7"]
    keep(program, "longcase", lines, now="11-03 09:00")
    assert seen(program, "11-03 09:00").observed("twelve-counts") == 1


# | held on purpose | steps back by the time held | kept | none |


def test_held_on_purpose(whole: Program) -> None:
    """| held on purpose | steps back by the time held | kept | none |"""
    before, clock = seen(whole, "12-04 08:20"), worked(whole, "work=held amount=120")
    assert lost(clock) == set()
    assert clock["error_s"]["estimate"] == pytest.approx(before["error_s"]["estimate"] - 120, abs=0.1)
    assert clock["rate_s_per_day"] == pytest.approx(before["rate_s_per_day"])


def test_held_nobody_knows_how_long(program: Program) -> None:
    """| held on purpose | steps back by the time held | kept | none |"""
    before, clock = plain(program), stepped(program, "work=held")
    assert "not_yet_known" in clock["error_s"]
    assert clock["rate_s_per_day"] == pytest.approx(before["rate_s_per_day"], abs=0.01)


# | wound | kept with maintaining power; else steps about -1 s a turn ... | kept, wind phase 0 | none |


@pytest.mark.parametrize("kind", ["regulator", "weight-wall", "longcase-30h", "cuckoo", "mantel", "carriage"])
def test_wound_with_maintaining_power(program: Program, kind: str) -> None:
    """| wound | kept with maintaining power (springs with going barrel, endless chains, regulators) | kept | none |"""
    plain(program, kind)
    before, clock = seen(program, "11-11 08:30", "P1"), stepped(program, "work=wound")
    assert clock["error_s"]["estimate"] == pytest.approx(before["error_s"]["estimate"], abs=0.05)
    assert clock["rate_s_per_day"]["estimate"] == pytest.approx(before["rate_s_per_day"]["estimate"], abs=0.05)


@pytest.mark.parametrize("kind", ["longcase", "floor-chiming"])
def test_wound_without_it(program: Program, kind: str) -> None:
    """| wound | else steps about -1 s a turn of the key (a weekly wind -10 +- 8 s), learned | kept, phase 0 | none |"""
    plain(program, kind)
    before, clock = seen(program, "11-11 08:30", "P1"), stepped(program, "work=wound")
    assert clock["error_s"]["estimate"] == pytest.approx(before["error_s"]["estimate"] - 10, abs=1.5)
    assert width(clock["error_s"]) > 2 * 1.96 * 6
    assert clock["rate_s_per_day"]["estimate"] == pytest.approx(before["rate_s_per_day"]["estimate"], abs=0.3)


def test_a_wind_of_the_strike_alone_stops_nothing(program: Program) -> None:
    """| wound | ... else steps | The key of another train than the going one does not hold the clock."""
    plain(program)
    before, clock = seen(program, "11-11 08:30", "P1"), stepped(program, "work=wound train=strike")
    assert clock["error_s"]["estimate"] == pytest.approx(before["error_s"]["estimate"], abs=0.05)


def test_its_loss_counts_in_the_mean_over_a_wind(program: Program) -> None:
    """| wound | ... learned, and counts in the mean over a wind |

    +3 s/day between winds, ten seconds lost at each of three: 3 - 10/7 = 1.6 a day.
    """
    lines = [f"11-{day:02} 08:10 work=wound" for day in (1, 8, 15)]
    for day in range(1, 22):
        winds = (day + 5) // 7  # before the reading of that day
        lines.append(f"11-{day:02} 08:05 error_s={3 * (day - 1) - 10 * winds}")
    keep(program, "longcase", lines, now="11-21 08:20")
    clock = seen(program, "11-21 08:20")
    assert clock["suspect_readings"] == []
    assert holds(clock["rate_s_per_day"], 3 - 10 / 7, 0.5)


def test_wind_phase_begins_anew(whole: Program) -> None:
    """| wound | ... | kept, wind phase 0 | none |: a swing read the day after is no late one."""
    before, clock = seen(whole, "12-04 08:20"), worked(whole, "work=wound")
    assert lost(clock) == set()
    ran = after("12-04 08:10", clock["wind_down"]["at"]) - after("12-04 08:10", before["wind_down"]["at"])
    assert ran == pytest.approx(48, abs=6)  # wound two days ago


# | nut or index | pendulum: steps 0 +- 15 s; balance: 0 +- 2 s | new after 6-12 h settling | rate |


@pytest.mark.parametrize(("kind", "sd"), [("longcase", 15.0), ("mantel", 15.0), ("carriage", 2.0)])
def test_nut_or_index_steps_by_doubt_alone(program: Program, kind: str, sd: float) -> None:
    """| nut or index | pendulum: steps 0 +- 15 s, the bob is held meanwhile; balance: 0 +- 2 s | ... |"""
    plain(program, kind)
    before, clock = seen(program, "11-11 08:30", "P1"), stepped(program, "work=nut amount=0.1")
    assert clock["error_s"]["estimate"] == pytest.approx(before["error_s"]["estimate"], abs=1)
    added = (width(clock["error_s"]) ** 2 - width(before["error_s"]) ** 2) ** 0.5 / (2 * 1.96)
    assert added == pytest.approx(sd, rel=0.35, abs=1.5)


def test_nut_opens_the_rate_and_nothing_else(whole: Program) -> None:
    """| nut or index | ... | new after 6-12 h settling | rate |"""
    clock = worked(whole, "work=nut amount=0.3")
    assert lost(clock) == RATE
    assert "not_yet_known" in clock["rate_s_per_day"]
    assert clock.standing == "settling"
    settles(whole, 12)


def test_the_rate_after_the_nut_is_new(program: Program) -> None:
    """| nut or index | ... | new after 6-12 h settling | rate |"""
    plain(program)
    stepped(program, "work=nut amount=-0.3")
    assert holds(rate_then(program, -8, "11-12 08:05"), -8, 0.6)


# | beat, levelled | pendulum: steps 0 +- 20 s | new after 24 h (torsion 48 h) | rate, amplitude, beat |


@pytest.mark.parametrize("work", ["beat-set", "levelled"])
def test_beat_and_level(whole: Program, work: str) -> None:
    """| beat, levelled | pendulum: steps 0 +- 20 s | new after 24 h (torsion 48 h) | rate, amplitude, beat |"""
    before, clock = seen(whole, "12-04 08:20"), worked(whole, f"work={work}")
    assert lost(clock) == RATE | SWING
    assert clock["error_s"]["estimate"] == pytest.approx(before["error_s"]["estimate"], abs=1)
    added = (width(clock["error_s"]) ** 2 - width(before["error_s"]) ** 2) ** 0.5 / (2 * 1.96)
    assert added == pytest.approx(20, rel=0.1)
    settles(whole, 24)


@pytest.mark.parametrize("work", ["beat-set", "levelled", "moved", "cased"])
def test_a_torsion_pendulum_settles_for_two_days(program: Program, work: str) -> None:
    """| beat, levelled | ... | new after 24 h (torsion 48 h) | ... |"""
    plain(program, "torsion")
    stepped(program, f"work={work}")
    settles(program, 48, tag="P1", start="11-11 08:25")


# | moved, cased | new (the pendulum came off; balances keep it) | new after 24 h | rate, amplitude, beat; ... banked |


def test_moved(whole: Program) -> None:
    """| moved, cased | new | new after 24 h | rate, amplitude, beat; running days, counts and chime stay banked |"""
    clock = worked(whole, "work=moved note=B2")
    assert lost(clock) == RATE | SWING
    assert "moved" in clock["error_s"]["not_yet_known"]
    assert "not_yet_known" in clock["rate_s_per_day"]
    assert clock["position"] == "B2"
    settles(whole, 24)


def test_cased(whole: Program) -> None:
    """| moved, cased | ... |; casing asks for its own row and for the safety anew, besides."""
    clock = worked(whole, "work=cased")
    assert lost(clock) == RATE | SWING | {"safety"}
    assert "not_yet_known" in clock["error_s"]
    settles(whole, 24)


@pytest.mark.parametrize("work", ["moved", "cased"])
def test_a_balance_that_is_moved_keeps_its_error(program: Program, work: str) -> None:
    """| moved, cased | new (the pendulum came off; balances keep it) | ... |"""
    plain(program, "carriage")
    before, clock = seen(program, "11-11 08:30", "P1"), stepped(program, f"work={work}")
    assert clock["error_s"]["estimate"] == pytest.approx(before["error_s"]["estimate"], abs=1)
    assert width(clock["error_s"]) < width(before["error_s"]) + 2 * 1.96 * 3
    assert "not_yet_known" in clock["rate_s_per_day"]


# | mis-set (chime tripped by hand) | kept | kept | none; no slip until it is heard right again |


def test_mis_set(whole: Program) -> None:
    """| mis-set (chime tripped by hand) | kept | kept | none; no slip until it is heard right again |"""
    before, clock = seen(whole, "12-04 08:20"), worked(whole, "work=mis-set amount=2")
    assert lost(clock) == set()
    assert clock["error_s"] == pytest.approx(before["error_s"])
    assert clock["rate_s_per_day"] == pytest.approx(before["rate_s_per_day"])


def test_no_slip_after_a_mis_set_until_it_is_heard_right(whole: Program) -> None:
    """| mis-set | ... | none; no slip until it is heard right again |"""
    worked(whole, "work=mis-set amount=2")
    add(whole, ["12-04 09:00 chime=out-of-step", "12-04 13:00 chime=out-of-step"], now="12-04 13:10")
    assert seen(whole, "12-04 13:10").outcome("chime-step") == MET
    add(whole, ["12-04 14:00 chime=in-step", "12-04 15:00 chime=out-of-step"], now="12-04 15:10")
    assert seen(whole, "12-04 15:10").outcome("chime-step") == MISSED


# | stopped and restarted | new | comparable | continuity; unexplained: full duration and weight passage too |


def test_stopped_and_explained(whole: Program) -> None:
    """| stopped and restarted | new | comparable | continuity; ... |"""
    before = seen(whole, "12-04 08:20")
    clock = worked(whole, "work=stopped explained=yes dial=4:10", "work=restarted")
    assert lost(clock) == {"continuous-running"}
    assert "not_yet_known" in clock["error_s"]
    assert clock["rate_s_per_day"] == pytest.approx(before["rate_s_per_day"], abs=0.01)
    assert clock.standing == "settling"
    settles(whole, 24)


def test_stopped_and_unexplained(whole: Program) -> None:
    """| stopped and restarted | ... | continuity; unexplained: full duration and weight passage too. |"""
    clock = worked(whole, "work=stopped dial=4:10", "work=restarted")
    assert lost(clock) == {"continuous-running", "full-duration", "weight-passage"}
    assert (clock.standing, clock.next) == ("attention", "explain")


def test_the_rate_is_comparable_over_a_stop(program: Program) -> None:
    """| stopped and restarted | new | comparable | ... |: readings on both sides tell one rate."""
    before = plain(program)
    stepped(program, "work=stopped explained=yes")
    add(program, ["11-11 08:26 work=restarted"], now="11-11 08:30", tag="P1")
    told = rate_then(program, 3, "11-12 08:05")
    assert holds(told, 3, 0.5)
    assert width(told) < width(before["rate_s_per_day"])


def test_run_out_in_time_costs_nothing(program: Program) -> None:
    """| stopped and restarted | ... | Ran out at or after its rated time: nothing |"""
    lines = [
        "11-02 08:00 work=wound",
        *daily("11-02 08:05", "11-10 08:05", "error_s={3*d:.1f} hour=8 blows=8"),
        "11-11 08:05 work=ran-out",
        "11-11 08:06 work=wound",
        "11-11 08:07 work=restarted",
        *daily("11-11 08:10", "11-13 08:10", "error_s={3*d:.1f}"),
    ]
    keep(program, "longcase", lines, now="11-13 08:20")
    clock = seen(program, "11-13 08:20")
    assert clock.observed("continuous-running") == pytest.approx(8 + 2, abs=0.01)  # the day it hung is not counted
    assert clock.outcome("full-duration") == MET
    assert clock.observed("weight-passage") == 1
    assert holds(clock["rate_s_per_day"], 3, 0.5)
    assert clock.standing == "on-test"
    assert seen(program, "11-11 08:20").standing != "settling"


# | tune changed | kept | kept | none |


@pytest.mark.parametrize("position", [0, 1, 2])
def test_tune_changed(whole: Program, position: int) -> None:
    """| tune changed | kept | kept | none |"""
    before, clock = seen(whole, "12-04 08:20"), worked(whole, f"work=tune amount={position}")
    assert lost(clock) == set()
    assert clock["error_s"] == pytest.approx(before["error_s"])
    assert clock["rate_s_per_day"] == pytest.approx(before["rate_s_per_day"])


# | chime put right from outside (cam, hub screw, lever) | kept | kept | chime in step |


def test_chime_put_right_from_outside(whole: Program) -> None:
    """| chime put right from outside (cam, hub screw, lever) | kept | kept | chime in step |"""
    before, clock = seen(whole, "12-04 08:20"), worked(whole, "work=chime-set")
    assert lost(clock) == {"chime-step"}
    assert clock.observed("chime-step") == 0
    assert clock["error_s"] == pytest.approx(before["error_s"])
    assert clock["rate_s_per_day"] == pytest.approx(before["rate_s_per_day"])


# | bumped (a rail) | kept | every clock on that rail in doubt for 24 h | none |


def test_bumped_costs_no_evidence(whole: Program) -> None:
    """| bumped (a rail) | kept | every clock on that rail in doubt for 24 h | none |"""
    before, clock = seen(whole, "12-04 08:20"), worked(whole, "work=bumped")
    assert lost(clock) == set()
    assert clock.standing == "ready"
    assert clock["error_s"]["estimate"] == pytest.approx(before["error_s"]["estimate"], abs=1)


def test_a_bump_is_charged_to_no_clock_of_its_rail(program: Program) -> None:
    """| bumped (a rail) | kept | every clock on that rail in doubt for 24 h | none |

    Three clocks jump by 40 s, one of them on another rail: only there it is doubted.
    """
    before = daily("11-01 08:05", "11-10 08:05", "error_s={3*d:.1f}")
    then = daily("11-11 08:05", "11-16 08:05", "error_s={70+3*d:.1f}")
    for tag, slot in (("P1", "B1"), ("P2", "B2"), ("P3", "C1")):
        keep(program, "longcase", [*before, *then], now="11-16 08:20", tag=tag, position=slot)
    add(program, ["11-10 20:00 work=bumped"], now="11-16 08:20", tag="P1")
    here, beside, away = (seen(program, "11-16 08:20", tag) for tag in ("P1", "P2", "P3"))
    for clock in (here, beside):
        assert clock["suspected_work"] == [] == clock["suspect_readings"]
        assert clock.outcome("day-range") != MISSED
        assert holds(clock["rate_s_per_day"], 3, 0.6)
    assert away["suspected_work"]


# | opened or oiled | new | new | all, of every requirement |


@pytest.mark.parametrize("work", ["opened", "oiled"])
def test_opened_or_oiled(whole: Program, work: str) -> None:
    """| opened or oiled | new | new | all, of every requirement |"""
    clock = worked(whole, f"work={work}")
    assert lost(clock) == ALL
    assert set(clock.outcomes.values()) == {OPEN}
    assert "not_yet_known" in clock["error_s"]
    assert "not_yet_known" in clock["rate_s_per_day"]
    settles(whole, 24)


def test_a_clock_that_was_bumped_itself_is_in_doubt_without_a_slot(program: Program) -> None:
    """| bumped (a rail) | kept | every clock on that rail in doubt for 24 h | none |"""
    lines = ["11-02 08:00 error_s=0", "11-02 09:00 work=bumped", "11-02 12:00 beat_error_pct=9"]
    keep(program, "longcase", lines, now="11-02 13:00")
    assert seen(program, "11-02 13:00").outcome("beat") == OPEN
