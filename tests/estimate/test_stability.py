"""How steadily a clock goes, as short stories: what counts, what breaks a run, what is taken off."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standwatch.estimate.answers import Suspect, SuspectedWork
from standwatch.estimate.history import History
from standwatch.estimate.stability import TAUS_DAYS, DailyRates, Stability, StabilityPoint, stability_of
from standwatch.estimate.together import Common, ReferenceJump
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.words import Work
from tests.stories import at, daily, story


@dataclass(frozen=True)
class Nothing:
    """No suspicion, or those given."""

    suspects: tuple[Suspect, ...] = ()
    suspected_work: tuple[SuspectedWork, ...] = ()


# a clock that gains 2 s/day and wanders a little, in seconds, day by day
WOBBLE = (0.0, 1.4, -0.6, 0.9, 2.2, -1.1, 0.3, 1.7, -0.4, 0.8, -1.6, 0.2, 1.1, -0.7, 0.5, 1.9)
LINES = [f"11-{n + 2:02} 08:00  error_s={2 * n + wobble:.1f}" for n, wobble in enumerate(WOBBLE)]
NOW = "11-17 09:00"


def longcase(*lines: str, now: str = NOW, **columns: Any) -> History:
    return story("longcase", list(lines), now=now, **columns)


def stability(history: History, suspicions: Nothing | None = None) -> Stability:
    return stability_of(history, suspicions or Nothing())


def point(found: Stability, tau: int) -> StabilityPoint:
    return found.points[TAUS_DAYS.index(tau)]


def deviation(found: Stability, tau: int = 1) -> Quantity:
    told = point(found, tau).deviation
    assert isinstance(told, Quantity), told
    return told


def summed(found: Stability) -> DailyRates:
    assert isinstance(found.daily, DailyRates), found.daily
    return found.daily


def by_definition(errors: list[float]) -> float:
    """The Allan deviation at one day, written out: half the mean square of the rates' differences."""
    rates = [b - a for a, b in pairwise(errors)]
    steps = [b - a for a, b in pairwise(rates)]
    return math.sqrt(sum(s * s for s in steps) / (2 * len(steps)))


ERRORS = [round(2 * n + wobble, 1) for n, wobble in enumerate(WOBBLE)]


def test_daily_readings_by_definition() -> None:
    found = stability(longcase(*LINES))
    told = deviation(found)
    assert told.estimate == pytest.approx(by_definition(ERRORS), rel=1e-9)
    assert told.low < told.estimate < told.high
    assert [p.count for p in found.points] == [14, 12, 8, 2, 0, 0]
    assert point(found, 1).reading == pytest.approx(math.sqrt(3) * 0.5)  # a seconds hand is read to 0.5 s
    assert point(found, 4).reading == pytest.approx(math.sqrt(3) * 0.5 / 4)


def test_the_daily_rates_after_iso_3159_by_definition() -> None:
    """Definitions of ISO 3159 as an accrediting observatory tells them (the standard itself was not read)."""
    errors = [0.0, 2.0, 5.0, 6.0, 10.0, 11.0]  # rates 2 3 1 4 1, variations 1 2 3 3
    lines = [f"11-{n + 2:02} 08:00  error_s={x}" for n, x in enumerate(errors)]
    told = summed(stability(longcase(*lines)))
    assert told.count == 5
    assert told.mean == pytest.approx(2.2)
    assert told.mean_variation == pytest.approx(9 / 4)
    assert told.greatest_variation == pytest.approx(3.0)
    assert told.greatest_difference == pytest.approx(4 - 2.2)


def test_a_day_missed_is_not_bridged() -> None:
    found = stability(longcase(*LINES[:8], *LINES[9:]))
    assert point(found, 1).count == 11  # three of the fourteen want that day
    daily_rates = summed(found)
    assert daily_rates.count == 13  # and two of the fifteen rates


def test_too_few_readings_say_what_is_wanted() -> None:
    found = stability(longcase(*LINES[:4]))
    told = point(found, 1).deviation
    assert isinstance(told, NotYetKnown)
    assert told.because == "three readings a day apart only 2 times so far"
    assert isinstance(found.daily, NotYetKnown)
    assert "3 so far" in found.daily.because
    once = point(stability(longcase(*LINES[:3])), 1).deviation
    assert once == NotYetKnown("three readings a day apart only once so far")
    nothing = stability(longcase(now=NOW))
    assert all(isinstance(p.deviation, NotYetKnown) and p.count == 0 for p in nothing.points)


def test_a_steady_rate_adds_nothing_whatever_the_hour() -> None:
    """Rounds at 8 in the week and at 9 on Saturdays, and the clocks of the town changed meanwhile."""
    hours = ("08:00", "08:20", "09:00", "08:00", "08:40", "08:00", "07:30", "08:00")
    lines = [f"10-{n + 21:02} {hour}" for n, hour in enumerate(hours)]
    start = at("10-21 08:00")
    told = [f"{line}  error_s={30 * (at(line) - start).total_seconds() / 86400:.4f}" for line in lines]
    change = "10-25 10:00  work=summer-time amount=-3600"
    found = stability(longcase(*told[:5], change, *told[5:], now="10-29 09:00"))
    assert deviation(found).estimate == pytest.approx(0.0, abs=1e-3)
    assert summed(found).mean == pytest.approx(30.0, abs=1e-3)


def test_two_readings_of_one_day_are_one_day() -> None:
    twice = [LINES[0], LINES[1], "11-03 09:30  error_s=99", "11-03 17:00  error_s=50", *LINES[2:]]
    assert stability(longcase(*twice)) == stability(longcase(*LINES))


def test_readings_that_never_differ_are_too_coarse() -> None:
    for cells in ("error_s=5", "error_s={0.1*d:.1f}"):
        found = stability(longcase(*daily("11-02 08:00", "11-16 08:00", cells)))
        told = point(found, 1).deviation
        assert isinstance(told, NotYetKnown)
        assert "too coarse" in told.because


# what is taken off, and what breaks a run


def with_step(work: str, step: float) -> History:
    """The clock of LINES, with `work` on the eighth day after reading, and `step` s more from then on."""
    later = [f"11-{n + 2:02} 08:00  error_s={ERRORS[n] + step:.1f}" for n in range(8, len(WOBBLE))]
    return longcase(*LINES[:8], f"11-09 08:05  {work}", *later)


@pytest.mark.parametrize(
    ("work", "step"), [("work=hands-set amount=120", 120.0), ("work=held amount=600", -600.0)], ids=["set", "held"]
)
def test_a_known_step_is_taken_off(work: str, step: float) -> None:
    stepped, plain = stability(with_step(work, step)), stability(longcase(*LINES))
    assert deviation(stepped).estimate == pytest.approx(deviation(plain).estimate, rel=1e-9)
    assert point(stepped, 1).count == 14
    assert summed(stepped).mean == pytest.approx(summed(plain).mean)


@pytest.mark.parametrize("work", ["work=hands-set", "work=stopped explained=yes", "work=restarted"])
def test_an_unknown_step_breaks_the_run(work: str) -> None:
    found = stability(with_step(work, 500.0))
    assert point(found, 1).count == 6 + 6
    assert point(found, 7).count == 0
    assert deviation(found).high < 10
    assert summed(found).count == 7 + 7  # the rate goes on


def test_a_nut_turn_opens_the_rate_and_its_settling_does_not_count() -> None:
    found = stability(with_step("work=nut amount=1", 20.0))
    assert point(found, 1).count == 6 + 6
    assert summed(found).count == 7  # since the turn
    levelled = stability(with_step("work=levelled", 20.0))
    assert point(levelled, 1).count == 6 + 6  # the next morning, an hour short of a day or less, it has settled
    early = longcase(*LINES[:8], "11-09 12:00  work=levelled", *LINES[8:])
    assert point(stability(early), 1).count == 6 + 5


def test_only_what_came_after_the_last_opening_counts() -> None:
    found = stability(with_step("work=opened", 0.0))
    assert point(found, 1).count == 6


def test_a_bump_of_its_rail_breaks_the_run_and_the_day_after_is_left_out() -> None:
    history = longcase(*LINES[:8], "11-09 12:00  work=bumped", *LINES[8:], position="A1")
    assert point(stability(history), 1).count == 6 + 5


def test_a_wind_without_maintaining_power_is_compared_with_another_wind_only() -> None:
    """It loses ten seconds while it is wound, each week: no wandering, and from week to week it falls out."""
    lost = [f"11-{n + 2:02} 08:00  error_s={ERRORS[n] - 10 * (n // 7):.1f}" for n in range(16)]
    winds = [f"11-{day:02} 08:30  work=wound" for day in (8, 15)]
    lines = sorted([*lost, *winds])
    wound, plain = stability(longcase(*lines)), stability(longcase(*LINES))
    assert deviation(wound).estimate < 1.5 * deviation(plain).estimate
    assert point(wound, 1).count == 14 - 4
    assert point(wound, 7).count == 2  # one wind in each week
    assert summed(wound).count == 13
    kept = stability(longcase(*lines, maintaining="yes"))  # with maintaining power the loss is the clock's own
    assert deviation(kept).estimate > 1.5 * deviation(plain).estimate


def test_readings_taken_another_way_are_left_out() -> None:
    other = "11-10 08:00  error_s=40 read_by=first-blow"
    found = stability(longcase(*LINES[:8], other, *LINES[9:]))
    assert found == stability(longcase(*LINES[:8], *LINES[9:]))


def test_suspects_are_left_out_and_suspected_work_breaks_the_run() -> None:
    blunder = longcase(*LINES[:8], "11-10 08:00  error_s=76.0", *LINES[9:])
    eighth = blunder.readings[8]
    suspect = Suspect(eighth.id, eighth.at, 76.0, 16.0, 0.99)
    assert stability(blunder, Nothing((suspect,))) == stability(longcase(*LINES[:8], *LINES[9:]))
    silent = with_step("note=passed", 500.0)
    set_ = SuspectedWork(Work.HANDS_SET, at("11-10 08:00"), 500.0, 0.99)
    assert point(stability(silent, Nothing((), (set_,))), 1).count == 6 + 6


def test_the_reference_s_own_jump_is_not_the_clock_s() -> None:
    stepped = with_step("note=passed", 3.0)
    jump = ReferenceJump(at("11-10 08:00"), 3.0, 0.2, 9)
    found = stability(replace(stepped, common=Common((jump,))))
    assert deviation(found).estimate == pytest.approx(by_definition(ERRORS), rel=1e-9)


def test_what_may_be_the_reading_s_own_doubt_is_said_to_be() -> None:
    lines = [line + " read_by=minute-hand" for line in LINES]
    assert point(stability(longcase(*lines)), 1).hidden
    wild = [f"11-{n + 2:02} 08:00  error_s={20 * wobble:.1f}" for n, wobble in enumerate(WOBBLE)]
    assert not point(stability(longcase(*wild)), 1).hidden


def test_twenty_years_of_daily_readings_are_told_in_a_moment() -> None:
    base = longcase(*LINES)
    first = base.visits[0]
    step = base.visits[1].at - first.at
    many = tuple(
        replace(first, id=str(n), at=first.at + n * step, order=n, error_s=WOBBLE[n % 16] + n / 9) for n in range(7300)
    )
    found = stability(replace(base, visits=many, now=many[-1].at))
    told = deviation(found, 28)
    assert point(found, 28).count == 7300 - 56
    assert told.high / told.low < 1.5


@given(
    st.lists(st.floats(-25_000, 25_000, allow_subnormal=False), min_size=16, max_size=16),
    st.floats(-600, 600, allow_subnormal=False),
)
def test_any_readings_give_numbers_and_their_mirror_the_same(errors: list[float], slope: float) -> None:
    base = longcase(*LINES)

    def of(values: list[float]) -> Stability:
        visits = zip(base.visits, values, strict=True)
        return stability(replace(base, visits=tuple(replace(v, error_s=x) for v, x in visits)))

    plain, mirrored = of(errors), of([-x for x in errors])
    tilted = of([x + slope * n for n, x in enumerate(errors)])
    assert [p.deviation for p in plain.points] == [p.deviation for p in mirrored.points]
    assert summed(plain).mean == pytest.approx(-summed(mirrored).mean)
    for p, t in zip(plain.points, tilted.points, strict=True):
        if isinstance(p.deviation, Quantity) and isinstance(t.deviation, Quantity):
            assert 0 < p.deviation.low < p.deviation.estimate < p.deviation.high < math.inf
            assert t.deviation.estimate == pytest.approx(p.deviation.estimate, rel=1e-6, abs=1e-6)
