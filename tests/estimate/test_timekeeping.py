"""What the readings of a clock say of its error and rate, as short stories."""

from __future__ import annotations

import math
from datetime import timedelta

import pytest

from standwatch.estimate.history import History
from standwatch.estimate.timekeeping import timekeeping_of
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.words import ReadBy, Work
from tests.stories import at, daily, story

GAINS_2 = daily("11-02 08:00", "11-12 08:00", "error_s={2*d:.1f}")


def known(answer: Answer) -> Quantity:
    assert isinstance(answer, Quantity), answer
    assert answer.low < answer.estimate < answer.high
    return answer


def because(answer: object) -> str:
    assert isinstance(answer, NotYetKnown), answer
    return answer.because


def longcase(*lines: str, now: str) -> History:
    return story("longcase", list(lines), now=now)


def test_a_steady_clock_gains_what_it_gains() -> None:
    keeping = timekeeping_of(longcase(*GAINS_2, now="11-12 09:00"))
    rate = known(keeping.rate)
    assert rate.estimate == pytest.approx(2.0, abs=0.05)
    assert 0.4 < rate.doubt < 1.5  # far more than a straight line's 0.1: the rate itself wanders
    assert known(keeping.error_at(at("11-12 08:00"))).estimate == pytest.approx(20.0, abs=0.2)
    assert known(keeping.reading_at(at("11-19 08:00"))).estimate == pytest.approx(34.0, abs=1.0)
    assert known(keeping.drift).estimate == pytest.approx(0.0, abs=0.01)
    assert (keeping.suspects, keeping.suspected_work) == ((), ())
    assert keeping.readings_since_rate_opened == 11


def test_signs_losing_and_slow_are_minus() -> None:
    lines = daily("11-02 08:00", "11-12 08:00", "error_s={-5*d:.1f}")
    keeping = timekeeping_of(longcase(*lines, now="11-12 09:00"))
    assert known(keeping.rate).high < 0
    assert known(keeping.error_at(at("11-12 09:00"))).high < 0


def test_a_dial_a_minute_before_twelve_at_a_minute_past_is_two_minutes_slow() -> None:
    keeping = timekeeping_of(longcase("11-02 12:01 dial=11:59", now="11-02 12:01"))
    assert known(keeping.error_at(at("11-02 12:01"))).estimate == pytest.approx(-120.0, abs=0.1)


def test_nothing_read_nothing_known() -> None:
    keeping = timekeeping_of(longcase("11-02 08:00 work=wound", now="11-03 08:00"))
    assert because(keeping.error_at(at("11-03 08:00"))) == "not read yet"
    assert because(keeping.rate) == "no reading so far; a rate wants two"
    assert because(keeping.rate_within(10)) == because(keeping.rate)
    assert because(keeping.drift).startswith("wants 4 readings over 4 days")
    assert because(keeping.day_range()).startswith("wants 5 readings")
    assert keeping.day_range_spans == ()
    assert keeping.rate_since is None
    assert keeping.daily_rates() == ()
    assert keeping.trace(at("11-02 08:00"), at("11-03 08:00"), 5) == ()


def test_one_reading_tells_the_error_but_no_rate() -> None:
    keeping = timekeeping_of(longcase("11-02 08:00 error_s=3", now="11-03 08:00"))
    assert known(keeping.error_at(at("11-02 08:00"))).doubt == pytest.approx(1.27, abs=0.05)  # 0.5 s, or misread
    assert known(keeping.error_at(at("11-03 08:00"))).doubt > 50  # any longcase's rate
    assert because(keeping.rate) == "one reading so far; a rate wants two"


def test_two_readings_tell_a_rate_unless_they_are_of_one_moment() -> None:
    keeping = timekeeping_of(longcase("11-02 08:00 error_s=3", "11-03 08:00 error_s=5", now="11-03 08:00"))
    assert known(keeping.rate).estimate == pytest.approx(2.0, abs=0.1)
    same = timekeeping_of(longcase("11-02 08:00 error_s=3", "11-02 08:00 error_s=4", now="11-03 08:00"))
    assert "some time apart" in because(same.rate)


def test_the_error_before_the_first_reading_is_not_known() -> None:
    keeping = timekeeping_of(longcase(*GAINS_2, now="11-12 09:00"))
    assert because(keeping.error_at(at("11-01 08:00"))) == "its first reading is of Mon 2 Nov"


def test_a_nut_turn_opens_the_rate_and_settles_half_a_day() -> None:
    before = [*GAINS_2, "11-12 08:05 work=nut amount=-1"]
    soon = timekeeping_of(longcase(*before, now="11-12 09:00"))
    assert because(soon.rate) == "the rate was opened by the nut on Thu 12 Nov and settles for 12 hours"
    assert soon.rate_since == at("11-12 20:05")
    error = known(soon.error_at(at("11-12 09:00")))
    assert error.doubt == pytest.approx(1.96 * 15, rel=0.1)  # the bob was held
    one = timekeeping_of(longcase(*before, "11-13 08:00 error_s=-10", now="11-13 09:00"))
    assert because(one.rate).endswith("by the nut on Thu 12 Nov; one reading since it settled, two are wanted")
    two = timekeeping_of(longcase(*before, "11-13 08:00 error_s=-10", "11-14 08:00 error_s=-40", now="11-14 09:00"))
    assert known(two.rate).estimate == pytest.approx(-30.0, abs=1.5)
    assert two.readings_since_rate_opened == 2


def test_a_reading_while_it_settles_does_not_count_for_the_rate() -> None:
    lines = [*GAINS_2, "11-12 08:05 work=nut amount=-1", "11-12 18:00 error_s=30", "11-13 08:00 error_s=25"]
    keeping = timekeeping_of(longcase(*lines, now="11-13 09:00"))
    assert keeping.readings_since_rate_opened == 1


def test_the_round_after_the_beat_was_set_counts_though_an_hour_is_short_of_the_day() -> None:
    lines = [*GAINS_2, "11-12 08:05 work=beat-set", "11-13 08:00 error_s=22", "11-14 08:00 error_s=24"]
    assert timekeeping_of(longcase(*lines, now="11-14 09:00")).readings_since_rate_opened == 2
    early = [*GAINS_2, "11-12 09:05 work=beat-set", "11-13 08:00 error_s=22", "11-14 08:00 error_s=24"]
    assert timekeeping_of(longcase(*early, now="11-14 09:00")).readings_since_rate_opened == 1


def test_hands_set_by_a_known_amount_keeps_the_rate_and_steps_the_error() -> None:
    lines = [*GAINS_2, "11-12 08:05 work=hands-set amount=-20"]
    keeping = timekeeping_of(longcase(*lines, now="11-12 09:00"))
    assert known(keeping.rate).estimate == pytest.approx(2.0, abs=0.05)
    assert known(keeping.error_at(at("11-12 09:00"))).estimate == pytest.approx(0.1, abs=0.2)
    assert known(keeping.error_at(at("11-12 08:00"))).estimate == pytest.approx(20.0, abs=0.2)


def test_hands_set_by_an_unknown_amount_loses_the_error_alone() -> None:
    lines = [*GAINS_2, "11-12 08:05 work=hands-set"]
    keeping = timekeeping_of(longcase(*lines, now="11-12 09:00"))
    said = because(keeping.error_at(at("11-12 09:00")))
    assert said == "the hands were set by an amount nobody told on Thu 12 Nov and not read since"
    assert known(keeping.rate).estimate == pytest.approx(2.0, abs=0.05)
    read = timekeeping_of(longcase(*lines, "11-13 08:00 error_s=1", now="11-13 08:00"))
    assert known(read.error_at(at("11-13 08:00"))).estimate == pytest.approx(1.0, abs=0.1)
    assert read.suspects == ()


def test_held_on_purpose_steps_back() -> None:
    lines = [*GAINS_2, "11-12 08:05 work=held amount=3600"]
    keeping = timekeeping_of(longcase(*lines, now="11-12 08:05"))
    assert known(keeping.error_at(at("11-12 08:05"))).estimate == pytest.approx(-3580, abs=0.5)


def test_two_readings_with_hands_set_between_tell_no_rate() -> None:
    lines = ["11-02 08:00 error_s=3", "11-02 08:05 work=hands-set", "11-03 08:00 error_s=0"]
    assert "no two readings lie in one unbroken run" in because(
        timekeeping_of(longcase(*lines, now="11-03 09:00")).rate
    )


def test_a_stop_loses_the_error_and_keeps_the_rate() -> None:
    lines = [*GAINS_2, "11-14 08:00 work=stopped dial=3:47", "11-16 08:10 work=restarted"]
    standing = timekeeping_of(longcase(*lines[:-1], now="11-15 08:00"))
    assert because(standing.error_at(at("11-15 08:00"))) == "it stands still"
    going = timekeeping_of(longcase(*lines, now="11-16 09:00"))
    assert because(going.error_at(at("11-16 09:00"))) == "it was restarted on Mon 16 Nov and not read since"
    assert because(going.error_at(at("11-15 09:00"))) == "it stood still then"
    before = known(timekeeping_of(longcase(*GAINS_2, now="11-14 08:00")).rate)
    assert known(going.rate).doubt == pytest.approx(before.doubt, rel=0.02)  # hanging adds no wandering


def test_opened_starts_all_anew() -> None:
    keeping = timekeeping_of(longcase(*GAINS_2, "11-12 08:05 work=opened", now="11-14 09:00"))
    assert "when the movement was opened" in because(keeping.rate)
    assert "the movement was opened" in because(keeping.error_at(at("11-14 09:00")))


def test_a_bump_puts_the_error_in_doubt_and_keeps_the_rate() -> None:
    lines = [*GAINS_2, "11-12 08:05 work=bumped"]
    bumped = timekeeping_of(story("longcase", lines, now="11-12 09:00", position="A3"))
    assert known(bumped.error_at(at("11-12 09:00"))).doubt == pytest.approx(1.96 * 20, rel=0.05)
    after = [*lines, "11-13 08:00 error_s=52", "11-14 08:00 error_s=54"]
    read = timekeeping_of(story("longcase", after, now="11-14 09:00", position="A3"))
    assert read.suspects == ()
    assert read.suspected_work == ()
    assert known(read.rate).estimate == pytest.approx(2.0, abs=0.3)


def test_a_wrong_last_reading_is_a_suspect_until_the_rest_decide() -> None:
    wrong = timekeeping_of(longcase(*GAINS_2, "11-13 08:00 error_s=82", now="11-13 09:00"))
    (suspect,) = wrong.suspects
    assert suspect.error_s == 82.0
    assert suspect.expected_s == pytest.approx(22.0, abs=0.5)
    assert suspect.odds > 0.9
    assert wrong.suspected_work == ()
    assert known(wrong.error_at(at("11-13 08:00"))).estimate == pytest.approx(22.0, abs=0.5)


def test_the_first_reading_may_be_the_wrong_one() -> None:
    keeping = timekeeping_of(longcase("11-02 08:00 error_s=-60", *GAINS_2[1:], now="11-12 09:00"))
    (suspect,) = keeping.suspects
    assert suspect.at == at("11-02 08:00")
    assert suspect.expected_s == pytest.approx(0.0, abs=0.5)
    assert known(keeping.rate).estimate == pytest.approx(2.0, abs=0.1)


def test_an_hour_off_at_first_does_not_make_the_others_wrong() -> None:
    keeping = timekeeping_of(longcase("11-02 08:00 error_s=3600", *GAINS_2[1:4], now="11-05 09:00"))
    (suspect,) = keeping.suspects
    assert suspect.at == at("11-02 08:00")


def test_expected_of_a_suspect_is_by_later_readings_too() -> None:
    lines = [*GAINS_2[:5], "11-07 08:00 error_s=-110", *GAINS_2[6:]]
    (suspect,) = timekeeping_of(longcase(*lines, now="11-12 09:00")).suspects
    without = timekeeping_of(longcase(*GAINS_2[:5], *GAINS_2[6:], now="11-12 09:00"))
    assert suspect.expected_s == pytest.approx(known(without.error_at(at("11-07 08:00"))).estimate, abs=1e-9)


def test_two_readings_that_contradict_each_other_are_told() -> None:
    keeping = timekeeping_of(longcase("11-02 08:00 error_s=3", "11-03 08:00 error_s=3603", now="11-03 09:00"))
    assert len(keeping.suspects) == 1
    assert 0.5 < keeping.suspects[0].odds < 0.75  # nobody can say for sure which


def test_three_readings_at_a_new_level_are_hands_set_not_blunders() -> None:
    lines = [*GAINS_2, *daily("11-13 08:00", "11-15 08:00", "error_s={2*d+82:.1f}")]
    early = timekeeping_of(longcase(*lines[:-1], now="11-14 09:00"))
    assert (early.suspects, early.suspected_work) == ((), ())  # two wrong alike, or set: the next reading tells
    keeping = timekeeping_of(longcase(*lines, now="11-15 09:00"))
    (work,) = keeping.suspected_work
    assert work.what is Work.HANDS_SET
    assert work.at == at("11-13 08:00")
    assert work.amount == pytest.approx(60.0, abs=1.0)
    assert work.odds > 0.9
    assert keeping.suspects == ()
    assert known(keeping.rate).estimate == pytest.approx(2.0, abs=0.1)


def test_an_hour_set_and_not_logged_is_one_step_too() -> None:
    lines = [*GAINS_2, *daily("11-13 08:00", "11-16 08:00", "error_s={2*d+22-3600:.1f}")]
    keeping = timekeeping_of(longcase(*lines, now="11-16 09:00"))
    (work,) = keeping.suspected_work
    assert work.amount == pytest.approx(-3600.0, abs=2.0)


def test_two_blunders_and_then_clean_readings_are_blunders_again() -> None:
    lines = [*GAINS_2[:5], "11-07 08:00 error_s=70", "11-08 08:00 error_s=72", *GAINS_2[7:]]
    keeping = timekeeping_of(longcase(*lines, now="11-12 09:00"))
    assert [s.error_s for s in keeping.suspects] == [70.0, 72.0]
    assert keeping.suspected_work == ()


def test_a_reading_taken_another_way_is_no_hands_set() -> None:
    lines = [*GAINS_2, *daily("11-13 08:00", "11-14 08:00", "error_s={2*d+62:.1f} read_by=minute-hand")]
    keeping = timekeeping_of(longcase(*lines, now="11-14 09:00"))
    assert keeping.suspected_work == ()
    assert keeping.suspects == ()
    assert known(keeping.error_at(at("11-14 08:00"))).estimate == pytest.approx(24.0, abs=3.0)


def test_what_a_reading_shows_is_more_in_doubt_by_a_coarser_hand() -> None:
    keeping = timekeeping_of(longcase(*GAINS_2, now="11-12 09:00"))
    usual = known(keeping.reading_at(at("11-12 09:00")))
    other = known(keeping.reading_at(at("11-12 09:00"), ReadBy.MINUTE_HAND))
    assert usual == known(keeping.reading_at(at("11-12 09:00"), ReadBy.SECONDS_HAND))
    assert other.doubt == pytest.approx(1.96 * 30.4, rel=0.02)  # 5 s, and 30 s since its hands disagree


SPRING = [
    f"11-{2 + d:02} {8 + d // 30:02}:00 error_s={4 * d + 30 * (u / 2 - u * u / 14):.1f}"
    for d in range(15)
    for u in [(d - 1) % 7 + 1 if d else 0]
]
WINDS = ["11-02 08:05 work=wound", "11-09 08:05 work=wound"]


def test_a_springs_rate_is_the_mean_over_a_whole_wind() -> None:
    """It gains 19 s/day fully wound and loses 11 run down, four in the mean; read in the middle of a wind."""
    keeping = timekeeping_of(story("mantel", [*SPRING[:13], *WINDS], now="11-14 09:00"))
    assert known(keeping.rate).estimate == pytest.approx(4.0, abs=1.5)
    ahead = known(keeping.error_at(at("11-16 08:00")))
    assert ahead.estimate == pytest.approx(56.0, abs=4.0)


def test_a_spring_is_taken_to_be_wound_when_due() -> None:
    keeping = timekeeping_of(story("mantel", [*SPRING, *WINDS], now="11-16 08:10"))
    week = known(keeping.error_at(at("11-23 08:05"))).estimate - known(keeping.error_at(at("11-16 08:10"))).estimate
    early = known(keeping.error_at(at("11-17 08:05"))).estimate - known(keeping.error_at(at("11-16 08:10"))).estimate
    assert week == pytest.approx(28.0, abs=5.0)
    assert early > 12.0  # fast again just after the wind, which is now overdue


LOSES_10_A_WIND = [f"11-{2 + d:02} 08:00 error_s={2 * d - 10 * ((d + 6) // 7):.1f}" for d in range(16)]


def test_a_wind_without_maintaining_power_is_learned_and_counts_in_the_mean_once_two_were_read() -> None:
    one = timekeeping_of(longcase(*LOSES_10_A_WIND[:7], *WINDS[:1], now="11-08 09:00"))
    assert known(one.rate).estimate == pytest.approx(2.0, abs=0.3)
    two = timekeeping_of(longcase(*LOSES_10_A_WIND[:14], *WINDS, now="11-15 09:00"))
    assert known(two.rate).estimate == pytest.approx(2 - 10 / 7, abs=0.3)


def test_a_forecast_takes_the_winds_to_come_off_a_clock_without_maintaining_power() -> None:
    keeping = timekeeping_of(longcase(*LOSES_10_A_WIND[:14], *WINDS, now="11-15 09:00"))
    # a round reads before it winds: the wind due at 8 counts from an hour later
    before, after = (known(keeping.error_at(at(f"11-16 {time}"))) for time in ("08:00", "09:15"))
    assert after.estimate - before.estimate == pytest.approx(-10.0, abs=1.5)
    assert after.doubt > before.doubt
    three_weeks = known(keeping.error_at(at("12-07 08:00"))).estimate
    assert three_weeks == pytest.approx(before.estimate + 21 * 2 - 30, abs=4.0)


def test_the_probability_that_the_rate_is_within_its_limit() -> None:
    keeping = timekeeping_of(longcase(*GAINS_2, now="11-12 09:00"))
    chances = [keeping.rate_within(limit) for limit in (0.5, 2.0, 10.0)]
    assert all(isinstance(chance, float) for chance in chances)
    low, middle, high = (float(c) for c in chances if not isinstance(c, NotYetKnown))
    assert low < 0.01
    assert middle == pytest.approx(0.5, abs=0.05)
    assert high > 0.999


def test_drift_is_the_change_of_rate() -> None:
    lines = daily("11-02 08:00", "11-22 08:00", "error_s={0.25*d*d:.1f}")
    drift = known(timekeeping_of(longcase(*lines, now="11-22 09:00")).drift)
    assert drift.low < 0.5 < drift.high
    assert drift.low > 0.1  # nobody logged the room's temperature, with which a rate strays too


def test_a_forecast_says_more_doubt_where_its_own_past_ones_missed() -> None:
    """A clock that swings about its mean rate by 4 s/day every fortnight: from day to day it looks nearly calm."""
    days = daily("10-01 08:00", "11-12 08:00")
    swings = [f"{day}error_s={2 * d + 9 * math.sin(2 * math.pi * d / 14):.1f}" for d, day in enumerate(days)]
    steady = daily("10-01 08:00", "11-12 08:00", "error_s={2*d:.1f}")
    week = at("11-19 08:00")
    calm = known(timekeeping_of(longcase(*steady, now="11-12 09:00")).reading_at(week))
    wild = known(timekeeping_of(longcase(*swings, now="11-12 09:00")).reading_at(week))
    assert wild.doubt > 1.5 * calm.doubt


def test_a_restless_clock_is_not_told_as_badly_read() -> None:
    """It goes 6 s/day faster or slower from one day to the next, six times what its kind does."""
    errors = (0, 8, 4, 14, 9, 19, 15, 27, 22, 30)
    lines = [f"11-{2 + d:02} 08:00 error_s={error}" for d, error in enumerate(errors)]
    keeping = timekeeping_of(longcase(*lines, now="11-11 09:00"))
    calm = timekeeping_of(longcase(*GAINS_2, now="11-12 09:00"))
    assert len(keeping.suspects) <= 1
    assert keeping.suspected_work == ()
    assert known(keeping.rate).doubt > 2 * known(calm.rate).doubt


def test_the_trace_is_broken_where_the_hands_were_set_and_goes_on_as_a_forecast() -> None:
    lines = [
        *GAINS_2[:6],
        "11-07 08:05 work=hands-set amount=-10",
        *daily("11-08 08:00", "11-12 08:00", "error_s={2*d+2:.1f}"),
    ]
    keeping = timekeeping_of(longcase(*lines, now="11-12 09:00"))
    line = keeping.trace(at("11-01 08:00"), at("11-19 08:00"), 40)
    assert [point.at for point in line] == sorted(point.at for point in line)
    assert [point.at for point in line if point.starts][1:] == [at("11-07 08:05")]
    place = next(k for k, point in enumerate(line) if point.at == at("11-07 08:05"))
    assert line[place].error_s - line[place - 1].error_s == pytest.approx(-10.0, abs=0.5)
    widths = [point.high - point.low for point in line if point.at > at("11-12 09:00")]
    assert widths == sorted(widths)
    assert line[0].at >= at("11-02 08:00")  # nothing before the first reading


def test_daily_rates_step_over_hands_set_and_not_over_a_nut() -> None:
    lines = [
        *GAINS_2[:6],
        "11-07 08:05 work=hands-set amount=-10",
        *daily("11-08 08:00", "11-12 08:00", "error_s={2*d+2:.1f}"),
    ]
    rates = timekeeping_of(longcase(*lines, now="11-12 09:00")).daily_rates()
    assert [when for when, _ in rates] == [at("11-03 08:00") + timedelta(days=d) for d in range(10)]
    assert all(known(rate).estimate == pytest.approx(2.0, abs=0.3) for _, rate in rates)
    nut = [*GAINS_2[:6], "11-07 08:05 work=nut amount=1", *daily("11-08 08:00", "11-12 08:00", "error_s={30*d+20:.1f}")]
    rates = timekeeping_of(longcase(*nut, now="11-12 09:00")).daily_rates()
    assert at("11-08 08:00") not in [when for when, _ in rates]
    assert len(rates) == 9


@pytest.mark.parametrize(
    ("kind", "rate"), [("regulator", 90), ("longcase", 300), ("longcase", -600), ("carriage", -600)]
)
@pytest.mark.parametrize("number", [3, 5, 10])
def test_a_clock_minutes_a_day_out_is_believed_by_its_third_reading(kind: str, rate: float, number: int) -> None:
    """As one is that was just hung, two turns of the nut from its length (common practice)."""
    lines = daily("11-02 08:00", f"11-{1 + number:02} 08:00", f"error_s={{{rate}*d+5.6:.1f}}")
    keeping = timekeeping_of(story(kind, lines, now=f"11-{1 + number:02} 08:00"))
    told = known(keeping.rate)
    assert told.low < rate < told.high
    assert told.doubt < 25
    assert (keeping.suspects, keeping.suspected_work) == ((), ())
