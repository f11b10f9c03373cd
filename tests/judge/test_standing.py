"""Standing and the one next step, each in its order of precedence."""

from __future__ import annotations

from typing import Any

import pytest

from standwatch.judge.assessment import Assessment, Need
from standwatch.model.answers import NotYetKnown
from standwatch.model.words import NextStep, Outcome, Requirement, Standing
from tests.judge.judged import assessed, rounds, when
from tests.stories import daily

READ = daily("11-02 08:05", "11-20 08:05", "error_s={0.1*d:.1f}")
WOUND = ["11-02 08:10 work=wound", "11-09 08:10 work=wound", "11-16 08:10 work=wound"]
FALLS = daily("11-03 08:06", "11-20 08:06", "going_mm={150*(d%7+1):.0f}")
ALL_FALLS = daily(
    "11-03 08:06", "11-20 08:06", "going_mm={140*(d%7+1):.0f} strike_mm={140*(d%7+1):.0f} chime_mm={140*(d%7+1):.0f}"
)
NOW = "11-20 08:20"  # a Friday


def regulator(*more: str, now: str = NOW, **columns: Any) -> Assessment:
    return assessed("regulator", [*READ, *WOUND, *FALLS, *more], now=now, **columns)


def test_a_clock_that_goes_is_on_test() -> None:
    found = regulator()
    assert found.standing is Standing.ON_TEST
    assert found.need is Need.REST
    assert (found.days_held, found.days_needed) == (18, 21)


@pytest.mark.parametrize(
    ("lines", "standing", "code", "short"),
    [
        (["11-20 08:10 work=stopped"], Standing.ATTENTION, NextStep.EXPLAIN, "explain stop"),
        (["11-20 08:10 work=stopped explained=yes"], Standing.ATTENTION, NextStep.RESTART, "restart"),
        (
            ["11-20 08:10 work=stopped explained=yes", "11-20 08:12 work=restarted"],
            Standing.SETTLING,
            NextStep.LOOK,
            "unlock point",
        ),
        (
            ["11-20 08:10 work=stopped", "11-20 08:12 work=restarted"],
            Standing.ATTENTION,
            NextStep.EXPLAIN,
            "explain stop",
        ),
    ],
)
def test_a_stop_is_attention_until_restarted_and_explained(
    lines: list[str], standing: Standing, code: NextStep, short: str
) -> None:
    found = regulator(*lines)
    assert (found.standing, found.next.code, found.next.short) == (standing, code, short)


def test_what_hangs_shows_no_error_now() -> None:
    hanging = regulator("11-20 08:10 work=stopped")
    assert hanging.error_s == NotYetKnown("stopped, found Fri 20 Nov")
    assert hanging.need is Need.STANDS_STILL
    assert not hanging.unread_today


def test_run_out_in_time_wants_winding_and_no_explaining() -> None:
    ledger = [*READ[:10], WOUND[0], "11-12 08:10 work=ran-out"]
    found = assessed("regulator", ledger, now="11-12 08:20")
    assert (found.standing, found.next.code, found.next.short) == (Standing.ATTENTION, NextStep.WIND, "wind, restart")
    again = [*ledger, "11-12 08:12 work=wound", "11-12 08:13 work=restarted"]
    assert assessed("regulator", again, now="11-12 08:20").standing is Standing.ON_TEST, "no settling either"
    early = assessed("regulator", [*READ[:5], WOUND[0], "11-06 08:10 work=ran-out"], now="11-06 08:20")
    assert early.next.code is NextStep.EXPLAIN


def test_a_chime_run_out_alone_is_attention_until_it_is_wound() -> None:
    ledger = [*READ, *WOUND, "11-20 08:10 work=ran-out train=chime explained=yes"]
    found = assessed("floor-chiming", ledger, now=NOW)
    assert (found.standing, found.need, found.next.code) == (Standing.ATTENTION, Need.RUNS_OUT, NextStep.WIND)
    wound = assessed("floor-chiming", [*ledger, "11-20 08:12 work=wound train=chime"], now=NOW)
    assert wound.standing is Standing.ON_TEST


@pytest.mark.parametrize(
    ("kind", "work", "hours"),
    [
        ("regulator", "nut amount=0.01", 12),
        ("regulator", "beat-set", 24),
        ("regulator", "levelled", 24),
        ("regulator", "moved", 24),
        ("regulator", "cased", 24),
        ("regulator", "opened", 24),
        ("torsion", "levelled", 48),
        ("torsion", "cased", 48),
    ],
)
def test_settling_takes_its_hours(kind: str, work: str, hours: int) -> None:
    ledger = [*READ[:5], f"11-06 08:10 work={work}"]
    day, hour = divmod(8 + hours, 24)
    before, after = f"11-{6 + day:02} {hour:02}:09", f"11-{6 + day:02} {hour:02}:10"
    assert assessed(kind, ledger, now=before).standing is Standing.SETTLING
    assert assessed(kind, ledger, now=after).standing is Standing.ON_TEST


def test_released_comes_before_everything() -> None:
    released: dict[str, Any] = {"handed": ["11-19 09:00 released"]}
    assert regulator(**released).standing is Standing.RELEASED
    stopped = regulator("11-20 08:10 work=stopped", **released)
    assert (stopped.standing, stopped.need) == (Standing.RELEASED, Need.STANDS_STILL), "still in the shop"
    assert stopped.next.code is NextStep.EXPLAIN
    assert regulator(**released).next.code is NextStep.DELIVER
    reopened = regulator(handed=["11-19 09:00 released", "11-19 10:00 reopened"])
    assert reopened.standing is Standing.ON_TEST


def test_a_delivered_clock_wants_its_calls() -> None:
    steps = ["11-02 09:00 released", "11-03 09:00 delivered"]

    def at_home(now: str, *more: str, **columns: Any) -> tuple[Standing, Need, NextStep]:
        found = assessed("longcase", READ[:1], now=now, handed=[*steps, *more], **columns)
        return found.standing, found.need, found.next.code

    assert at_home("11-17 08:59") == (Standing.RELEASED, Need.REST, NextStep.NOTHING)
    assert at_home("11-17 09:00") == (Standing.RELEASED, Need.REST, NextStep.CALL)
    assert at_home("11-17 10:00", "11-17 09:30 called")[2] is NextStep.NOTHING
    assert at_home("11-05 09:00", movement_only="yes")[2] is NextStep.CALL
    assert at_home("11-05 09:00")[2] is NextStep.NOTHING


def test_a_missed_requirement_is_attention_and_says_what_to_mend() -> None:
    found = regulator("11-19 08:10 beat_error_pct=6", mean_rate_limit="30")
    assert found.verdict(Requirement.BEAT).outcome is Outcome.MISSED
    assert (found.standing, found.need) == (Standing.ATTENTION, Need.ADJUST)
    assert (found.next.code, found.next.short) == (NextStep.LOOK, "set beat")


def test_a_rate_worth_adjusting_says_which_way() -> None:
    fast = assessed("longcase", daily("11-02 08:05", "11-06 08:05", "error_s={9*d:.1f}"), now="11-06 08:20")
    assert (fast.need, fast.next.code, fast.next.short) == (Need.ADJUST, NextStep.REGULATE, "lower bob")
    slow = assessed("carriage", daily("11-02 08:05", "11-16 08:05", "error_s={-60*d:.1f}"), now="11-16 08:20")
    assert (slow.next.code, slow.next.short) == (NextStep.REGULATE, "to faster")
    assert "not learned yet" in slow.next.text


def test_unread_today_is_after_the_round_began_and_by_the_civil_date() -> None:
    ledger = [*READ[:-1], *WOUND, *FALLS]  # not read on Friday

    def unread(now: str, *more: str) -> bool:
        return assessed("regulator", [*ledger, *more], now=now).unread_today

    assert unread(NOW)
    assert not unread("11-20 07:59"), "the round has not begun"
    assert not unread(NOW, "11-20 00:30 error_s=1.8")
    assert unread(NOW, "11-19 23:30 error_s=1.8")
    assert unread(NOW, "11-20 08:15 work=seen-going"), "seen, not read"
    assert not unread("11-21 09:00"), "no round on Saturday"
    found = assessed("regulator", ledger, now=NOW)
    assert (found.need, found.next.code) == (Need.UNREAD, NextStep.READ)


def test_a_suspect_reading_is_read_again_until_a_clean_one_follows() -> None:
    odd = [*READ[:-1], *WOUND, *FALLS, "11-20 08:05 error_s=312"]
    found = assessed("regulator", odd, now=NOW)
    assert (found.need, found.next.code, found.next.short) == (Need.SUSPECT, NextStep.READ_AGAIN, "read again")
    clean = assessed("regulator", [*odd, "11-20 08:15 error_s=1.8"], now=NOW)
    assert clean.need is not Need.SUSPECT


def test_slipped_is_attention_and_wants_listening_at_the_next_quarter() -> None:
    ledger = [*READ, *WOUND, *ALL_FALLS, "11-19 10:15 chime=out-of-step quarter=1"]
    found = assessed("floor-chiming", ledger, now=NOW)
    assert (found.standing, found.need) == (Standing.ATTENTION, Need.SLIPPED)
    assert (found.next.code, found.next.short) == (NextStep.LISTEN, "listen 08:30")


def test_friday_looks_through_the_weekend_and_a_holiday() -> None:
    # wound on Monday 16th at eight: at 150 mm a day the weight is down about Tuesday 24th
    def need(now: str, **shop: Any) -> Need:
        return regulator(now=now, shop=rounds(**shop)).need

    assert need(NOW) is Need.REST
    off = [when(f"11-{day} 08:00").date() for day in (23, 24)]
    assert need(NOW, holidays=off) is Need.RUNS_OUT
    assert need(NOW, holidays=off, days=frozenset(range(7))) is Need.REST, "somebody comes on Saturday"


def test_letting_run_out_is_advised_where_it_would_prove_the_full_run() -> None:
    closed = rounds(holidays=[when(f"11-{day} 08:00").date() for day in (23, 24, 25)])
    found = regulator(shop=closed)
    assert (found.next.code, found.next.short) == (NextStep.LET_RUN_OUT, "let run out")
    assert "seen going after Tue 24 Nov 08:10" in found.next.text
    # the same wind, once a full run is shown, is wound
    shown = [*READ[:10], WOUND[0], "11-11 08:05 error_s=0.9", "11-12 08:05 error_s=1.0 work=wound"]
    shown += ["11-13 08:05 error_s=1.1 going_mm=150", *READ[12:], "11-20 08:06 going_mm=1190"]
    done = assessed("regulator", shown, now=NOW, going_usable_mm="1400")
    assert done.verdict(Requirement.FULL_DURATION).outcome is Outcome.MET
    assert (done.need, done.next.code) == (Need.RUNS_OUT, NextStep.WIND)


def test_a_spring_is_wound_since_nobody_could_tell_when_it_ran_out() -> None:
    ledger = [*READ, "11-13 08:10 work=wound"]
    found = assessed("mantel", ledger, now=NOW, shop=rounds(holidays=[when("11-23 08:00").date()]))
    assert (found.need, found.next.code) == (Need.RUNS_OUT, NextStep.WIND)


def test_seven_is_named_when_it_alone_is_unheard() -> None:
    heard = [f"11-03 {8 + n:02}:00 hour={n} blows={n}" for n in (1, 2, 3, 4, 5, 6, 8, 9, 10, 11, 12)]
    falls = [line.rsplit(" ", 1)[0] for line in ALL_FALLS]
    found = assessed("longcase", [*READ, *WOUND, *falls, *heard], now=NOW)
    assert (found.next.code, found.next.short) == (NextStep.LISTEN, "hear seven")
    assert "it sounds only when the shop is closed: shift the hours once, the hands 1 hour on" in found.next.text
    shifted = [*READ, *WOUND, *falls, *heard, "11-20 08:10 work=hours-shifted amount=2"]
    later = assessed("longcase", shifted, now=NOW)
    assert "closed" not in later.next.text


def test_short_words_fit_their_column() -> None:
    stories: list[tuple[list[str], dict[str, Any]]] = [
        (READ, {}),
        ([*READ, "11-20 08:10 work=ran-out"], {}),
        ([*READ, "11-20 08:10 work=oil-checked amount=1 note=K"], {}),
        ([*READ, "11-20 08:10 work=mis-set amount=3"], {}),
        ([*READ, "11-20 08:10 chime=out-of-step work=wound"], {"handed": ["11-20 08:15 released"]}),
    ]
    for kind in ("floor-chiming", "torsion", "cuckoo", "mantel-chiming"):
        for ledger, more in stories:
            found = assessed(kind, ledger, now=NOW, tunes="A;B", moon="yes", **more)
            assert 0 < len(found.next.short) <= 13
            assert len(found.chime_word) <= 6


def test_a_wrong_count_is_told_by_what_was_heard() -> None:
    found = assessed("longcase", [*READ, *ALL_FALLS, *WOUND, "11-19 09:00 hour=9 blows=8"], now=NOW)
    assert (found.next.code, found.next.short) == (NextStep.LOOK, "set strike")
    assert found.next.text.startswith("struck 8 at nine on Thu 19 Nov: ")
