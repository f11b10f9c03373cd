"""A turn after which the clock went the other way: seen, just not, and none where it was turned as told."""

from __future__ import annotations

import random

import pytest

from standwatch.estimate.estimates import estimates_of
from standwatch.judge.assessment import Assessment
from standwatch.judge.regulation import Advice, advise
from standwatch.judge.unlogged import newly_betrayed, unlogged_of
from standwatch.judge.wrong_way import wrong_way
from standwatch.model.answers import NotYetKnown
from standwatch.model.words import Work
from tests.judge.judged import assessed, history
from tests.stories import daily


def lines(turns: float, after: float, last: str, before: float = 10.0) -> list[str]:
    """Gains `before` a day until a turn on 14 October, then `after`."""
    return [
        *daily("10-05 08:00", "10-14 08:00", f"error_s={{{before}*d:.1f}}"),
        f"10-14 08:10 work=nut amount={turns}",
        *daily("10-15 08:00", f"{last} 08:00", f"error_s={{{9 * before}+{after}*(d+1):.1f}}"),
    ]


def turned(turns: float, after: float, last: str = "10-22", *more: str, kind: str = "longcase") -> Assessment:
    return assessed(kind, [*lines(turns, after, last), *more], now=f"{last} 09:00")


def test_the_opposite_of_what_was_told_is_said_with_its_mend() -> None:
    told = turned(-0.5, 22)
    [work] = unlogged_of(told.estimates)
    assert work.text == (
        "nut turned, wrong way? told as lowering the bob 0.5 turns, and it goes 12 s/day faster, since Wed 14 Oct"
    )
    assert work.mend == "if it was the other way: standwatch correct T1-10 amount=0.5"
    assert (work.short, work.work) == ("nut's way?", Work.NUT)
    assert told.estimates.time.suspected_work  # the engine takes it for a turn more; nobody is asked to log that


def test_advice_still_says_which_way_and_asks_for_the_sign() -> None:
    advice = advise(turned(-0.5, 22).estimates)
    assert isinstance(advice, Advice)
    assert advice.direction == "lower"
    assert advice.note.startswith("after the turn of Wed 14 Oct it went 12 s/day faster, the opposite of what was told")
    assert "standwatch correct T1-10 amount=0.5" in advice.note


def test_where_nothing_is_advised_it_is_said_too() -> None:
    found = advise(turned(0.5, 2).estimates)
    assert isinstance(found, NotYetKnown)
    assert found.because.startswith("leave it: it gains 2.0 a day")
    assert "8 s/day slower, the opposite of what was told" in found.because


@pytest.mark.parametrize(("turns", "after"), [(-0.5, -2), (0.5, 22), (-0.5, 10), (-0.5, 12)])
def test_turned_as_told_or_to_no_effect_it_is_not(turns: float, after: float) -> None:
    told = turned(turns, after)
    assert wrong_way(told.estimates) is None
    advice = advise(told.estimates)
    assert "opposite" not in (advice.note if isinstance(advice, Advice) else advice.because)


def test_two_readings_after_it_are_too_few() -> None:
    assert wrong_way(turned(-0.5, 22, "10-16").estimates) is None
    assert wrong_way(turned(-0.5, 22, "10-18").estimates) is not None


def test_put_right_it_is_said_no_more() -> None:
    told = turned(0.5, 22)
    assert not unlogged_of(told.estimates)


def test_opened_since_it_does_not_matter() -> None:
    assert wrong_way(turned(-0.5, 22, "10-22", "10-22 08:30 work=opened").estimates) is None


def test_an_index_has_no_bob() -> None:
    told = turned(-0.3, 35, kind="carriage")
    [work] = unlogged_of(told.estimates)
    assert work.brief == "index moved, wrong way? told as 0.3 turns towards slower, and it goes 25 s/day faster"
    assert work.short == "index's way?"


def test_a_turn_that_nobody_logged_later_is_another_matter() -> None:
    more = daily("10-23 08:00", "10-30 08:00", f"error_s={{{90 - 2 * 8}+30*(d+1):.1f}}")
    told = assessed("longcase", [*lines(-0.5, -2, "10-22"), *more], now="10-30 09:00")
    [work] = unlogged_of(told.estimates)
    assert work.text.startswith("nut turned, not logged? about 3")
    assert wrong_way(told.estimates) is None


def test_when_it_shows_first_it_is_said_of_that_reading() -> None:
    before, after = turned(-0.5, 22, "10-16"), turned(-0.5, 22, "10-18")
    assert [w.asks for w in newly_betrayed(before.estimates.time.suspected_work, after.estimates)] == ["wrong way?"]


def test_sound_clocks_turned_as_told_are_not_asked() -> None:
    # 120 clocks: half turned by what thread and reading leave open, half by next to nothing
    rng = random.Random(4)  # noqa: S311  # a simulation, no secret
    told = []
    for n in range(120):
        kind, noise = ("longcase", 1.0) if n % 2 else ("mantel", 3.5)
        turns = rng.choice([-1, 1]) * rng.uniform(0.02, 0.8)
        effect = turns * (24 if kind == "longcase" else 130) * rng.uniform(0.6, 1.4)
        rate, error, rows = rng.gauss(0, 10), 0.0, []
        for day in range(5, 24):
            rows.append(f"10-{day:02} 08:00 error_s={error + rng.gauss(0, 1 if kind == 'longcase' else 5):.1f}")
            if day == 14:
                rows.append(f"10-14 08:10 work=nut amount={turns:.2f}")
                rate, error = rate + effect, error - abs(rng.gauss(0, 8))
            rate += rng.gauss(0, noise / 10)
            error += rate + rng.gauss(0, noise)
        told.append(history(kind, rows, now="10-23 09:00"))
    assert sum(wrong_way(each) is not None for each in estimates_of(told)) == 0
