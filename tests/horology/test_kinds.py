"""What follows from a clock's kind, and what its own columns change. Common practice throughout."""

import pytest

from standwatch.horology.kinds import KINDS, traits_of
from standwatch.model.facts import Clock
from standwatch.model.records import build
from standwatch.model.words import Drive, KindName, ReadBy, Train


def _traits(kind: str, **columns: object):  # type: ignore[no-untyped-def]  # what it returns is what is tested
    return traits_of(build(Clock, {"tag": "T1", "kind": kind, **columns}))


@pytest.mark.parametrize("kind", KindName)
def test_every_kind_can_pass_on_its_defaults(kind: KindName) -> None:
    traits = _traits(kind)
    assert traits.kind is KINDS[kind]
    assert traits.trains[0] is Train.GOING
    for train, fall in traits.usable_mm.items():
        assert train in traits.trains
        assert fall >= traits.fall_mm_per_day * traits.full_run_h / 24 - 1e-9
    assert bool(traits.usable_mm) == traits.weights


@pytest.mark.parametrize(
    ("kind", "row"),
    [  # beats an hour, half-swing, mm a day, limits of mean rate and day range, least days
        ("regulator", (3600, 1.5, 150, 1, 1.5, 21)),
        ("weight-wall", (4650, 1.6, 115, 4, 5, 16)),
        ("longcase", (3600, 2.5, 165, 10, 8, 16)),
        ("longcase-30h", (3600, 2.5, 1380, 20, 20, 10)),
        ("floor-chiming", (3960, 3.2, 135, 8, 8, 16)),
        ("cuckoo", (6600, 7, 1380, 45, 40, 7)),
        ("spring-wall", (7200, 5, 0, 45, 60, 12)),
        ("spring-wall-31d", (6600, 5, 0, 60, 60, 31)),
        ("mantel", (8400, 5, 0, 25, 30, 16)),
        ("bracket", (6600, 4.5, 0, 15, 12, 16)),
        ("mantel-chiming", (18000, 240, 0, 25, 30, 16)),
        ("carriage", (18000, 240, 0, 20, 30, 16)),
        ("torsion", (480, 310, 0, 30, 40, 28)),
    ],
)
def test_the_table_of_kinds(kind: str, row: tuple[float, ...]) -> None:
    t = _traits(kind)
    limits = (t.mean_rate_limit, t.day_range_limit)
    assert (t.beats_per_hour, t.kind.half_swing_deg, t.fall_mm_per_day, *limits, t.least_days) == row


def test_an_eight_day_cuckoo_falls_slowly_and_stays_sixteen_days() -> None:
    traits = _traits("cuckoo", duration_h=192)
    assert traits.fall_mm_per_day == 200
    assert traits.least_days == 16
    assert traits.full_run_h == 204
    assert not traits.daily
    assert _traits("cuckoo", duration_h=192, least_days=9).least_days == 9


def test_a_longer_wind_on_the_same_drop_falls_slower() -> None:
    month = _traits("regulator", duration_h=744)
    assert month.fall_mm_per_day == pytest.approx(150 * 192 / 744)
    assert month.inferred_run
    assert not _traits("regulator").inferred_run


@pytest.mark.parametrize(
    ("kind", "escapement", "mean", "spread", "swing"),
    [
        ("bracket", "verge, original", 120, 120, 25),
        ("bracket", "anchor", 15, 12, 25),
        ("carriage", "Cylinder", 60, 60, 120),
        ("carriage", "lever", 20, 30, 180),
        ("mantel", "verge", 25, 30, 25),  # the wide limits are the bracket clock's and the carriage clock's
    ],
)
def test_verge_and_cylinder_have_their_own_limits(
    kind: str, escapement: str, mean: float, spread: float, swing: float
) -> None:
    traits = _traits(kind, escapement=escapement)
    assert (traits.mean_rate_limit, traits.day_range_limit) == (mean, spread)
    assert traits.swing_limit == swing


def test_a_clock_s_own_limits_come_first() -> None:
    traits = _traits("bracket", escapement="verge", mean_rate_limit=60)
    assert (traits.mean_rate_limit, traits.day_range_limit) == (60, 120)


@pytest.mark.parametrize(
    ("kind", "columns", "how"),
    [
        ("regulator", {}, ReadBy.SECONDS_HAND),
        ("longcase", {}, ReadBy.SECONDS_HAND),
        ("floor-chiming", {}, ReadBy.MINUTE_HAND),
        ("mantel", {"seconds_hand": "yes"}, ReadBy.SECONDS_HAND),
        ("longcase", {"seconds_hand": "no"}, ReadBy.MINUTE_HAND),
        ("weight-wall", {"seconds_hand": "yes", "seconds_turn_s": 60}, ReadBy.SECONDS_HAND),
        ("weight-wall", {"seconds_hand": "yes", "seconds_turn_s": 46.5}, ReadBy.MINUTE_HAND),
        ("longcase", {"seconds_turn_s": 54.5}, ReadBy.MINUTE_HAND),
    ],
)
def test_a_hand_that_shows_no_seconds_is_read_by_the_minute_hand(
    kind: str, columns: dict[str, object], how: ReadBy
) -> None:
    assert _traits(kind, **columns).usual_read_by is how


def test_the_customer_s_case_limits_every_train() -> None:
    traits = _traits("longcase", case_fall_mm=1300, going_usable_mm=1500, strike_usable_mm=1250)
    assert traits.usable_mm == {Train.GOING: 1300, Train.STRIKE: 1250}
    assert traits.possible_mm == {Train.GOING: 1500, Train.STRIKE: 1250}


def test_springs_have_no_fall_but_turns() -> None:
    traits = _traits("mantel", going_turns=16)
    assert traits.usable_mm == {}
    assert traits.turns == {Train.GOING: 16}


@pytest.mark.parametrize(
    ("kind", "columns", "keeps"),
    [
        ("regulator", {}, True),
        ("weight-wall", {}, True),
        ("longcase", {}, False),
        ("floor-chiming", {}, False),
        ("longcase-30h", {}, True),
        ("cuckoo", {}, True),
        ("mantel", {}, True),
        ("bracket", {}, True),
        ("longcase", {"drive": "spring"}, True),
        ("longcase", {"maintaining": "yes"}, True),
        ("regulator", {"maintaining": "no"}, False),
    ],
)
def test_maintaining_power(kind: str, columns: dict[str, object], *, keeps: bool) -> None:
    assert _traits(kind, **columns).maintaining is keeps


@pytest.mark.parametrize(
    ("kind", "columns", "winds"),
    [
        ("longcase", {}, 2),
        ("longcase-30h", {}, 1),
        ("longcase", {"duration_h": 30}, 1),
        ("regulator", {}, 1),
        ("floor-chiming", {}, 1),
        ("mantel", {}, 0),
        ("torsion", {}, 0),
        ("reference", {}, 0),
    ],
)
def test_winds_past_the_bob(kind: str, columns: dict[str, object], winds: int) -> None:
    assert _traits(kind, **columns).passage_winds == winds


def test_chiming_kinds_put_themselves_right_until_said_otherwise() -> None:
    assert _traits("mantel-chiming").self_correcting
    assert not _traits("mantel-chiming", self_correcting="no").self_correcting
    assert not _traits("longcase").self_correcting
    assert _traits("longcase", trains="going+strike+chime").self_correcting


@pytest.mark.parametrize(
    ("kind", "how", "doubt"),
    [
        ("longcase", ReadBy.SECONDS_HAND, 0.5),
        ("longcase", ReadBy.MINUTE_HAND, 5),
        ("longcase", ReadBy.ESTIMATE, 15),
        ("longcase", ReadBy.FIRST_BLOW, 2.5),
        ("cuckoo", ReadBy.FIRST_BLOW, 7),
        ("carriage", ReadBy.FIRST_BLOW, 2.5),  # 18000 beats, but no pendulum
    ],
)
def test_how_well_a_reading_is_taken(kind: str, how: ReadBy, doubt: float) -> None:
    assert _traits(kind).reading_doubt_s(how) == doubt


def test_short_pendulums_begin_at_6000_beats() -> None:
    assert _traits("longcase", beats_per_hour=6000).short_pendulum
    assert not _traits("longcase", beats_per_hour=5999).short_pendulum


def test_a_reference_is_neither_weight_nor_limit() -> None:
    traits = _traits("reference")
    assert traits.reference
    assert not traits.weights
    assert traits.drive is Drive.WEIGHT
    assert traits.mean_rate_limit is None
    assert _traits("reference", mean_rate_limit=0.002).mean_rate_limit == 0.002
