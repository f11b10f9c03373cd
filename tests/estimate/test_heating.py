"""The room's warmth by the steel pendulums. Their loss a degree is CHECKS 5's, as `horology/warmth.py` takes it."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from standwatch.estimate.together import Heating
from standwatch.model.words import KindName
from tests.estimate.plain_filter import plain
from tests.estimate.stand_together import FIRST, FOURTEEN, shared, stand, warmer

ONSET = 21
SEEDS = range(8)
K = KindName


def heating(seed: int, degree_days: Callable[[np.ndarray], np.ndarray], **told: object) -> Heating | None:
    return shared(stand(seed, warmer=degree_days, **told), plain).heating  # type: ignore[arg-type]


@pytest.mark.parametrize("seed", SEEDS)
def test_five_degrees_are_told_with_their_day(seed: int) -> None:
    found = heating(seed, warmer(5, ONSET))
    assert found is not None
    assert abs((found.since - FIRST) / timedelta(days=1) - ONSET) <= 3.5  # a weekend lies before
    assert found.warmer_c == pytest.approx(5, abs=4 * found.doubt_c)
    assert found.loss_s_per_day > 0
    assert found.clocks >= 5


def test_cold_is_told_as_well() -> None:
    found = heating(0, warmer(-5, ONSET))
    assert found is not None
    assert found.warmer_c < -3
    assert found.loss_s_per_day < 0


def test_the_warmth_is_as_sure_as_it_claims() -> None:
    found = [each for seed in range(30) if (each := heating(seed, warmer(6, ONSET))) is not None]
    assert len(found) >= 27
    ratios = [(each.warmer_c - 6) / each.doubt_c for each in found]
    assert abs(float(np.mean(ratios))) < 1.0
    assert float(np.sqrt(np.mean(np.square(ratios)))) < 1.6  # the day is chosen too, which its doubt leaves out


@pytest.mark.parametrize("seed", SEEDS)
def test_half_a_degree_is_nothing(seed: int) -> None:
    assert heating(seed, warmer(0.5, ONSET)) is None


@pytest.mark.parametrize("seed", SEEDS)
def test_what_has_passed_is_not_there(seed: int) -> None:
    assert heating(seed, warmer(6, ONSET - 7, ONSET)) is None


@pytest.mark.parametrize("seed", SEEDS)
def test_a_loss_that_clocks_without_steel_share_is_not_the_rooms(seed: int) -> None:
    def loses(_n: int, day: np.ndarray) -> np.ndarray:  # the reference's own rate: every clock loses alike
        lost: np.ndarray = -3 * np.maximum(day - ONSET, 0)
        return lost

    assert shared(stand(seed, happens=loses), plain).heating is None


def test_a_stand_of_steel_alone_cannot_tell_the_room_from_the_reference() -> None:
    steel = [(kind, slot) for kind, slot in FOURTEEN if kind in {K.LONGCASE, K.WEIGHT_WALL, K.FLOOR_CHIMING}]
    assert len(steel) >= 5
    assert heating(1, warmer(6, ONSET), kinds=steel) is None
    assert heating(1, warmer(6, ONSET), kinds=[*steel, (K.REGULATOR, "C9")]) is not None


def test_rods_that_warmth_leaves_alone_do_not_lose() -> None:
    assert heating(1, warmer(6, ONSET), columns={"rod": "fused silica"}) is None


def test_four_pendulums_are_too_few() -> None:
    few = [(K.REGULATOR, "A1"), (K.REGULATOR, "A2"), *[(K.LONGCASE, f"B{n}") for n in range(4)]]
    assert heating(1, warmer(8, ONSET), kinds=few) is None
    assert heating(1, warmer(8, ONSET), kinds=[*few, (K.LONGCASE, "B9")]) is not None


def test_a_logged_temperature_says_it_itself() -> None:
    log = [(0, ONSET + 3.2, {"temperature_c": 25})]
    histories = stand(1, warmer=warmer(6, ONSET), extra=log)
    told = ((FIRST + timedelta(days=ONSET + 3.2), 25.0),)
    assert shared(histories, plain).heating is not None
    assert shared([replace(h, temperatures=told) for h in histories], plain).heating is None
