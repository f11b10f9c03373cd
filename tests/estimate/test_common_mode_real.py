"""What clocks share, by the estimators that the program uses: the same stands as by the plain filter, fewer of them."""

from datetime import datetime

import numpy as np
import pytest

from standwatch.estimate.common_mode import common_mode
from tests.estimate.stand_together import FIRST, FIVE, jump_of, shared, stand, warmer

WEDNESDAY = 16
SEEDS = range(3)


def day(at: datetime) -> int:
    return (at - FIRST).days


@pytest.mark.parametrize("seed", range(200, 215))
def test_nothing_shared_is_nothing_called(seed: int) -> None:
    found = shared(stand(seed, blunders=0.03))
    assert found.jumps == ()
    assert found.heating is None


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("after", [0, 1, 2, 12])
def test_a_minutes_jump_on_the_morning_and_after(seed: int, after: int) -> None:
    [jump] = shared(stand(seed, days=WEDNESDAY + 1 + after, happens=jump_of(60, WEDNESDAY))).jumps
    assert day(jump.at) == WEDNESDAY
    assert jump.seconds == pytest.approx(60, abs=3)
    assert jump.clocks >= 12


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.parametrize("lasts", [1, 2])
def test_there_and_back(seed: int, lasts: int) -> None:
    there, back = shared(stand(seed, happens=jump_of(-60, WEDNESDAY, WEDNESDAY + lasts))).jumps
    assert (day(there.at), day(back.at)) == (WEDNESDAY, WEDNESDAY + lasts)
    assert there.seconds == pytest.approx(-60, abs=4)
    assert back.seconds == pytest.approx(60, abs=4)


@pytest.mark.parametrize("seed", SEEDS)
def test_five_clocks_and_four(seed: int) -> None:
    assert len(shared(stand(seed, FIVE, happens=jump_of(60, WEDNESDAY))).jumps) == 1
    assert shared(stand(seed, FIVE[:4], happens=jump_of(60, WEDNESDAY))).jumps == ()


@pytest.mark.parametrize("seed", SEEDS)
def test_the_rooms_warmth(seed: int) -> None:
    found = shared(stand(seed, warmer=warmer(8, 21))).heating
    assert found is not None
    assert 18 <= day(found.since) <= 23
    assert found.warmer_c == pytest.approx(8, abs=3 * found.doubt_c)
    assert found.clocks >= 5


@pytest.mark.parametrize("seed", [0, 4, 6, 13])
def test_a_reference_that_gains_warms_no_room(seed: int) -> None:
    def behind(_n: int, days: np.ndarray) -> np.ndarray:
        lost: np.ndarray = -3 * np.maximum(days - 21, 0)
        return lost

    assert shared(stand(seed, happens=behind)).heating is None


def test_no_clocks_share_nothing() -> None:
    assert common_mode([]).jumps == ()
