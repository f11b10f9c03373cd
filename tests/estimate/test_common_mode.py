"""A jump of the reference: called where nearly all clocks share it, and never else. Common practice has no figures."""

from dataclasses import replace

import numpy as np
import pytest

from standwatch.model.words import KindName
from tests.estimate.plain_filter import plain
from tests.estimate.stand_together import FIRST, FIVE, FOURTEEN, jump_of, shared, stand

WEDNESDAY = 16
SEEDS = range(6)


def test_two_thousand_mornings_without_an_event_alarm_nobody() -> None:
    for seed in range(1000, 1100):  # 100 stands, each read on 20 mornings and judged at the last
        found = shared(stand(seed, days=26, blunders=0.03), plain)
        assert found.jumps == (), seed
        assert found.heating is None, seed


@pytest.mark.parametrize("seed", SEEDS)
def test_a_minutes_jump_is_called_with_its_size_and_morning(seed: int) -> None:
    histories = stand(seed, happens=jump_of(60, WEDNESDAY), blunders=0.02)
    [jump] = shared(histories, plain).jumps
    assert (jump.at - FIRST).days == WEDNESDAY
    assert any(v.at == jump.at for h in histories for v in h.readings)  # to the microsecond: it counts from there
    assert abs(jump.seconds - 60) < 4 * jump.doubt_s < 8
    assert jump.clocks >= 12


def test_the_called_sizes_are_as_sure_as_they_claim() -> None:
    ratios = [
        (jump.seconds - 60) / jump.doubt_s
        for seed in range(40)
        for jump in shared(stand(seed, happens=jump_of(60, WEDNESDAY)), plain).jumps
    ]
    assert len(ratios) == 40
    # 40 normal values: the root mean square lies within 0.7 to 1.35 in 99.9 % (chi-squared with 40 degrees)
    assert 0.6 < float(np.sqrt(np.mean(np.square(ratios)))) < 1.35


@pytest.mark.parametrize("seed", SEEDS)
def test_on_the_very_morning(seed: int) -> None:
    days = WEDNESDAY + 1
    [jump] = shared(stand(seed, days=days, happens=jump_of(60, WEDNESDAY)), plain).jumps
    assert (jump.at - FIRST).days == WEDNESDAY


@pytest.mark.parametrize("seed", SEEDS)
def test_a_jump_and_its_going_back_are_two_jumps(seed: int) -> None:
    there, back = shared(stand(seed, happens=jump_of(60, WEDNESDAY, WEDNESDAY + 2)), plain).jumps
    assert (there.at - FIRST).days == WEDNESDAY
    assert (back.at - FIRST).days == WEDNESDAY + 2
    assert there.seconds == pytest.approx(60, abs=3)
    assert back.seconds == pytest.approx(-60, abs=3)


@pytest.mark.parametrize("seed", SEEDS)
def test_five_clocks_are_enough_and_four_are_not(seed: int) -> None:
    assert len(shared(stand(seed, FIVE, happens=jump_of(60, WEDNESDAY)), plain).jumps) == 1
    assert shared(stand(seed, FIVE[:4], happens=jump_of(60, WEDNESDAY)), plain).jumps == ()


@pytest.mark.parametrize("seed", SEEDS)
def test_half_the_clocks_bumped_say_nothing(seed: int) -> None:
    def happens(n: int, day: np.ndarray) -> np.ndarray:
        return jump_of(60, WEDNESDAY)(n, day) if n % 2 else np.zeros_like(day)

    assert shared(stand(seed, happens=happens), plain).jumps == ()


@pytest.mark.parametrize("seed", SEEDS)
def test_shifts_of_unequal_size_are_no_jump_of_the_reference(seed: int) -> None:
    def happens(n: int, day: np.ndarray) -> np.ndarray:
        return jump_of(20 + 15 * n, WEDNESDAY)(n, day)

    assert shared(stand(seed, happens=happens), plain).jumps == ()


def test_clocks_of_one_rail_and_one_kind_are_bumped_not_wrongly_compared() -> None:
    alike = [(KindName.LONGCASE, f"A{n}") for n in range(8)]
    apart = [(KindName.LONGCASE, f"{'AB'[n % 2]}{n}") for n in range(8)]
    assert shared(stand(1, alike, happens=jump_of(60, WEDNESDAY)), plain).jumps == ()
    assert len(shared(stand(1, apart, happens=jump_of(60, WEDNESDAY)), plain).jumps) == 1


def test_clocks_whose_hands_were_set_by_an_unknown_amount_have_no_vote() -> None:
    when = WEDNESDAY - 1 + 0.2  # in the afternoon before
    touched = [(n, when, {"work": "hands-set"}) for n in range(10)]
    assert shared(stand(2, happens=jump_of(60, WEDNESDAY), extra=touched), plain).jumps == ()
    [jump] = shared(stand(2, happens=jump_of(60, WEDNESDAY), extra=touched[:9]), plain).jumps
    assert jump.clocks == 5


@pytest.mark.parametrize("seed", SEEDS)
def test_clocks_read_a_day_later_are_not_a_second_jump(seed: int) -> None:
    clocks = FOURTEEN * 2
    histories = [
        replace(history, visits=tuple(v for v in history.visits if n % 2 or (v.at - FIRST).days != WEDNESDAY))
        for n, history in enumerate(stand(seed, clocks, happens=jump_of(60, WEDNESDAY)))
    ]
    [jump] = shared(histories, plain).jumps
    assert (jump.at - FIRST).days == WEDNESDAY
    assert jump.clocks <= 14


def test_a_small_jump_that_cold_could_have_made_is_called_by_clocks_that_cold_leaves_alone() -> None:
    steel = [(KindName.LONGCASE, f"{'AB'[n % 2]}{n}") for n in range(8)]
    assert shared(stand(3, steel, happens=jump_of(7, WEDNESDAY)), plain).jumps == ()
    regulators = [(KindName.REGULATOR, "C1"), (KindName.REGULATOR, "C2"), *steel]
    [jump] = shared(stand(3, regulators, happens=jump_of(7, WEDNESDAY)), plain).jumps
    assert jump.seconds == pytest.approx(7, abs=2)


def test_an_hour_forgotten_on_every_clock() -> None:
    [jump] = shared(stand(4, happens=jump_of(-3600, WEDNESDAY)), plain).jumps
    assert jump.seconds == pytest.approx(-3600, abs=3)
    assert jump.clocks >= 12


def test_the_order_of_the_clocks_is_no_matter() -> None:
    histories = stand(5, happens=jump_of(60, WEDNESDAY))
    [one], [other] = shared(histories, plain).jumps, shared(histories[::-1], plain).jumps
    assert (one.at, one.clocks) == (other.at, other.clocks)
    assert one.seconds == pytest.approx(other.seconds)
