"""The error at home, by stories of clocks that went there: what was told, what that teaches, what nobody knows."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import timedelta
from typing import Any

import numpy as np
import pytest

from standwatch.estimate.at_home import S_MOVE, AtHome, FollowUp, moves_of
from standwatch.estimate.history import History, history_of
from standwatch.estimate.owners_place import room_of_owner, site_of
from standwatch.estimate.timekeeping import timekeepings_of
from standwatch.estimate.together import Common, Heating, ReferenceJump
from standwatch.horology.gravity import Site
from standwatch.horology.kinds import traits_of
from standwatch.horology.moving import Manner, manner_of
from standwatch.horology.warmth import BALANCES, STEEL
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.facts import Clock, Handover
from standwatch.model.records import Record, build
from standwatch.model.words import KindName
from tests.stories import ZONE, at, daily, rows, story

STAND = daily("10-05 08:00", "11-02 08:00", "error_s={2*d:.1f}")  # a longcase that gains two a day for four weeks
HOME = "11-03 10:00"
SHOP = Site(45, 0)


def gone(ledger: Iterable[str] = (), *calls: tuple[str, float], now: str, delivered: float | None = 0.0) -> History:
    """The longcase at home since 3 November, with rows read there and calls (when, error in s)."""
    clock = build(Clock, {"tag": "T1", "kind": "longcase", "maintaining": "yes"})
    steps = [("11-03 08:00", "released", None), (HOME, "delivered", delivered), *((w, "called", e) for w, e in calls)]
    handed = []
    for n, (when, what, error) in enumerate(steps):
        body = build(Handover, {"at": at(when), "tag": "T1", "what": what, "error_s": error})
        handed.append(Record(f"h{n}", body, n, n, None, body.at))
    return history_of(clock, rows([*STAND, *ledger]), now=at(now), zone=ZONE, handovers=handed)


def said(history: History, when: str, *, owner: Site | None = None, follow_ups: int = 0) -> Answer:
    taught = [FollowUp("pendulum", 3.0 * (-1) ** n * 14, 14.0, 225.0) for n in range(follow_ups)]
    time = timekeepings_of([history])[0]
    return AtHome(history, time, moves_of("pendulum", taught), shop=SHOP, owner=owner).reading_at(at(when))


def known(answer: Answer) -> Quantity:
    assert isinstance(answer, Quantity), answer
    return answer


def test_the_move_dominates() -> None:
    # from right at delivery it goes on gaining two a day; twelve s/day of the move, a fortnight long, is the doubt
    told = known(said(gone(now="11-04 08:00"), "11-17 10:00"))
    assert told.estimate == pytest.approx(28, abs=5)
    assert 14 * 12 * 1.96 < told.doubt < 14 * 12 * 1.96 * 2


def test_the_day_it_was_delivered_it_is_as_told() -> None:
    told = known(said(gone(now="11-03 12:00", delivered=7.0), HOME))
    assert told.estimate == pytest.approx(7.0, abs=0.5)
    assert told.doubt < 3


def test_a_call_tells_how_it_goes_there() -> None:
    before = known(said(gone(now="11-18 08:00"), "12-01 10:00"))
    history = gone((), ("11-17 10:00", 14 * 9.0), now="11-18 08:00")  # nine a day there
    after = known(said(history, "12-01 10:00"))
    assert after.estimate == pytest.approx(14 * 9 + 14 * 9, abs=15)
    assert after.doubt < before.doubt / 8


def test_readings_at_home_count_more_than_a_call() -> None:
    called = known(said(gone((), ("11-17 10:00", 126.0), now="11-18 08:00"), "12-01 10:00"))
    read = known(said(gone(["11-17 10:00 error_s=126"], now="11-18 08:00"), "12-01 10:00"))
    assert read.doubt < called.doubt


def test_hands_set_at_home_step_the_error_and_keep_the_rate() -> None:
    history = gone(["11-17 10:00 error_s=126 work=hands-set amount=-126"], now="11-18 08:00")
    told = known(said(history, "12-01 10:00"))
    assert told.estimate == pytest.approx(14 * 9, abs=10)


@pytest.mark.parametrize(
    ("ledger", "because"),
    [
        (["11-17 10:00 error_s=126 work=hands-set"], "it was set at home, Tue 17 Nov, and not read since"),
        (["11-17 10:00 work=stopped"], "it was found stopped at home, Tue 17 Nov, and not read since"),
        (["11-17 10:00 work=nut amount=0.5"], "it was regulated at home, Tue 17 Nov: its rate is new"),
    ],
)
def test_what_nobody_measured_is_not_guessed(ledger: list[str], because: str) -> None:
    assert said(gone(ledger, now="11-18 08:00"), "12-01 10:00") == NotYetKnown(because)


def test_a_delivery_without_its_error_tells_nothing_until_it_is_read() -> None:
    untold = said(gone(now="11-04 08:00", delivered=None), "11-17 10:00")
    assert untold == NotYetKnown("its error was not told when it was delivered, nor since")
    read = said(gone(["11-10 10:00 error_s=5"], now="11-11 08:00", delivered=None), "11-17 10:00")
    assert known(read).estimate == pytest.approx(5 + 14, abs=3)


def test_the_owner_s_place_is_added_where_it_is_known() -> None:
    # CHECKS 4: a pendulum from sea level to 1600 m at 45 degrees loses 21.744 s/day, to 100 mGal (4.4 s/day)
    plain = known(said(gone(now="11-04 08:00"), "11-17 10:00"))
    high = known(said(gone(now="11-04 08:00"), "11-17 10:00", owner=Site(45, 1600)))
    assert high.estimate - plain.estimate == pytest.approx(-14 * 21.744, abs=0.2)
    assert high.doubt > plain.doubt


def test_a_follow_up_teaches_of_the_move_what_the_place_did_not_do() -> None:
    history = gone((), ("11-17 10:00", 126.0), now="11-18 08:00")
    time, moves = timekeepings_of([history])[0], moves_of("pendulum")
    plain = AtHome(history, time, moves).follow_up
    high = AtHome(history, time, moves, shop=SHOP, owner=Site(45, 1600)).follow_up
    assert plain is not None
    assert high is not None
    assert high.miss_s - plain.miss_s == pytest.approx(14 * 21.744, abs=0.1)
    assert high.variance == pytest.approx(plain.variance + (14 * 4.4 / 1.96) ** 2, rel=0.01)


@pytest.mark.parametrize(
    ("kind", "shop", "owner", "because"),
    [
        ("longcase", Site(45, 0), None, "its owner's latitude and height are not told: what that place does"),
        ("longcase", None, Site(45, 0), "the shop's own place is not told: what its owner's does to it"),
        ("longcase", None, None, "its owner's latitude and height are not told: what that place does"),
    ],
)
def test_a_place_that_nobody_told_is_named(kind: str, shop: Site | None, owner: Site | None, because: str) -> None:
    found = site_of(traits_of(build(Clock, {"tag": "T1", "kind": kind})), shop, owner)
    assert isinstance(found, NotYetKnown)
    assert found.because.startswith(because)


@pytest.mark.parametrize("kind", ["carriage", "torsion", "reference"])
def test_where_no_bob_swings_the_place_does_nothing(kind: str) -> None:
    assert site_of(traits_of(build(Clock, {"tag": "T1", "kind": kind})), SHOP, Site(45, 1600)) is None


def test_follow_ups_narrow_it() -> None:
    plain = known(said(gone(now="11-04 08:00"), "11-17 10:00"))
    taught = known(said(gone(now="11-04 08:00"), "11-17 10:00", follow_ups=30))
    assert taught.doubt == pytest.approx(14 * 3 * 1.96, rel=0.3)
    assert taught.doubt < plain.doubt / 3


def test_what_a_first_telling_teaches() -> None:
    history = gone((), ("11-17 10:00", 126.0), now="11-18 08:00")
    found = AtHome(history, timekeepings_of([history])[0], moves_of("pendulum")).follow_up
    assert found is not None
    assert found.manner == "pendulum"
    assert found.days == pytest.approx(14)
    assert found.miss_s == pytest.approx(126 - 28, abs=5)
    assert found.variance > 15**2
    assert AtHome(gone(now="11-18 08:00"), timekeepings_of([history])[0], moves_of("pendulum")).follow_up is None


@pytest.mark.parametrize(
    ("kind", "manner"),
    [("regulator", "regulator"), ("longcase", "pendulum"), ("torsion", "pendulum"), ("carriage", "balance")],
)
def test_who_moves_alike(kind: str, manner: Manner) -> None:
    assert manner_of(KindName(kind)) == manner


@pytest.mark.parametrize("manner", list(S_MOVE))
def test_others_follow_ups_teach_nothing(manner: Manner) -> None:
    other: Manner = "balance" if manner != "balance" else "pendulum"
    assert np.array_equal(moves_of(manner, [FollowUp(other, 900.0, 14.0, 1.0)]).weight, moves_of(manner).weight)


def test_the_usual_spread_is_the_prior_s_middle() -> None:
    moves = moves_of("regulator")
    assert float((moves.weight * np.log(moves.s)).sum()) == pytest.approx(math.log(2.0))
    assert float((moves.weight * (np.log(moves.s) - math.log(2.0)) ** 2).sum()) == pytest.approx(0.36, abs=0.01)


def test_on_the_stand_there_is_no_home() -> None:
    clock = build(Clock, {"tag": "T1", "kind": "longcase"})
    history = history_of(clock, rows(STAND), now=at("11-03 08:00"), zone=ZONE)
    home = AtHome(history, timekeepings_of([history])[0], moves_of("pendulum"))
    assert isinstance(home.reading_at(at("11-03 08:00") + timedelta(days=1)), NotYetKnown)


@pytest.mark.parametrize(
    "later",
    [
        ["11-17 10:00 error_s=126 work=hands-set"],
        ["11-17 10:00 error_s=126 work=nut amount=0.5"],
        ["11-17 10:00 error_s=126", "11-20 10:00 work=stopped"],
        ["11-17 10:00 error_s=126", "11-20 10:00 error_s=150 work=nut", "12-01 10:00 error_s=0"],
    ],
)
def test_what_was_done_after_the_first_telling_takes_nothing_from_it(later: list[str]) -> None:
    plain, after = (gone(ledger, now="12-02 08:00") for ledger in (["11-17 10:00 error_s=126"], later))
    told, taught = (AtHome(each, timekeepings_of([each])[0], moves_of("pendulum")).follow_up for each in (plain, after))
    assert told is not None
    assert taught == told


@pytest.mark.parametrize(
    ("ledger", "delivered"),
    [
        (["11-10 10:00 work=nut amount=0.5", "11-17 10:00 error_s=126"], 0.0),  # its rate was another by then
        (["11-10 10:00 work=stopped", "11-17 10:00 error_s=126"], 0.0),
        (["11-17 10:00 error_s=126"], None),
    ],
)
def test_what_nobody_measured_teaches_nothing(ledger: list[str], delivered: float | None) -> None:
    history = gone(ledger, now="11-18 08:00", delivered=delivered)
    assert AtHome(history, timekeepings_of([history])[0], moves_of("pendulum")).follow_up is None


def test_two_tellings_after_an_unmeasured_step_teach_again() -> None:
    history = gone(["11-10 10:00 work=stopped", "11-10 11:00 error_s=0", "11-17 11:00 error_s=63"], now="11-18 08:00")
    found = AtHome(history, timekeepings_of([history])[0], moves_of("pendulum")).follow_up
    assert found is not None
    assert found.days == pytest.approx(7)
    assert found.miss_s == pytest.approx(63 - 14, abs=3)


WARM = [f"{line} temperature_c=18" for line in STAND]


def roomy(kind: str, ledger: list[str], **columns: Any) -> tuple[History, Answer | None]:
    """A clock on the stand, and what its owner's room does."""
    told = story(kind, ledger, now="11-03 08:00", **columns)
    return told, room_of_owner(told, timekeepings_of([told])[0])


def test_a_warmer_room_by_what_a_degree_does_to_a_rod_or_a_balance() -> None:
    # horology.warmth, where the sources stand: steel 0.40 ± 0.25, a plain balance 10.5 ± 1.5 s/day lost a degree
    for kind, columns, (loses, sd) in (
        ("longcase", {"rod": "steel", "maintaining": "yes"}, STEEL),
        ("carriage", {"balance": "plain"}, BALANCES["plain"]),
        ("carriage", {"balance": "alloy"}, BALANCES["alloy"]),
    ):
        for warmer in (-3.0, 4.0):
            room = known(roomy(kind, WARM, home_temperature_c=18 + warmer, **columns)[1] or NotYetKnown("none"))
            assert room.estimate == pytest.approx(-loses * warmer, rel=0.1, abs=0.2), kind
            assert room.doubt == pytest.approx(1.96 * sd * abs(warmer), rel=0.1), kind


def test_what_the_log_told_of_a_degree_goes_before_the_usual() -> None:
    """A stand that swings by four degrees tells what one does to this balance: -6 s/day here, where 10.5 is usual."""
    ledger, error = [], 0.0
    for n, line in enumerate(daily("10-05 08:00", "11-02 08:00")):
        ledger.append(f"{line} error_s={error:.1f} temperature_c={20 + 2 * (-1) ** (n // 4)}")
        error -= 6.0 * 2 * (-1) ** (n // 4)
    room = known(roomy("carriage", ledger, balance="plain", home_temperature_c=25)[1] or NotYetKnown("none"))
    assert abs(room.estimate - -6.0 * 5) < 0.4 * abs(room.estimate - -10.5 * 5)
    assert room.doubt < 5 * 1.96 * 1.5


def test_a_room_as_warm_as_the_stand_changes_nothing() -> None:
    room = known(roomy("longcase", WARM, home_temperature_c=18, rod="steel")[1] or NotYetKnown("none"))
    assert (room.estimate, room.doubt) == (0, 0)


@pytest.mark.parametrize(
    ("ledger", "columns", "because"),
    [
        (WARM, {}, "the warmth of its owner's room is not told: what that does to it is left out"),
        (STAND, {"home_temperature_c": 20}, "no temperature was read on the stand while its rate was judged"),
    ],
)
def test_a_room_nobody_told_is_named(ledger: list[str], columns: dict[str, object], because: str) -> None:
    found = roomy("longcase", ledger, rod="steel", **columns)[1]
    assert isinstance(found, NotYetKnown)
    assert found.because.startswith(because)


def test_a_reference_has_no_room() -> None:
    assert roomy("reference", STAND, home_temperature_c=20)[1] is None


def test_the_room_is_in_the_forecast_at_home_and_off_what_a_follow_up_teaches() -> None:
    warm = [f"{line} temperature_c=18" for line in STAND]
    clock = build(Clock, {"tag": "T1", "kind": "longcase", "rod": "steel", "home_temperature_c": 26})
    told = []
    for body in (clock, clock.model_copy(update={"home_temperature_c": None})):
        steps = [
            Record(f"h{n}", step, n, n, None, step.at)
            for n, step in enumerate(
                build(Handover, {"at": at(when), "tag": "T1", "what": what, "error_s": error})
                for when, what, error in (
                    ("11-03 08:00", "released", None),
                    (HOME, "delivered", 0),
                    ("11-17 10:00", "called", 50),
                )
            )
        ]
        heat = [(record.body.at, 18.0) for record in rows(warm)]
        history = history_of(body, rows(warm), now=at("11-18 08:00"), zone=ZONE, temperatures=heat, handovers=steps)
        told.append(AtHome(history, timekeepings_of([history])[0], moves_of("pendulum")))
    there, plain = told
    gained = known(there.room or NotYetKnown("none")).estimate
    assert gained == pytest.approx(-8 * 0.4, rel=0.05)
    assert there.follow_up is not None
    assert plain.follow_up is not None
    assert there.follow_up.miss_s - plain.follow_up.miss_s == pytest.approx(-14 * gained, abs=0.5)


def test_the_stand_s_thermometer_tells_nothing_of_its_owner_s_room() -> None:
    """What is read on the stand after a clock has gone changes no forecast of it."""
    history = gone(now="11-30 08:00")
    body, records = history.clock, rows(STAND)
    heat = [(record.body.at, 18.0) for record in records]
    after = [(at(f"11-{day:02} 08:00"), 28.0) for day in range(4, 30)]
    handed = [Record(f"h{n}", step, n, n, None, step.at) for n, step in enumerate(history.handovers)]
    answers = [
        AtHome(each, timekeepings_of([each])[0], moves_of("pendulum")).reading_at(at("11-29 08:00"))
        for each in (
            history_of(body, records, now=history.now, zone=ZONE, temperatures=log, handovers=handed)
            for log in (heat, [*heat, *after])
        )
    ]
    assert answers[0] == answers[1]


def times(history: History) -> tuple[tuple[str, float, Answer], ...]:
    told = AtHome(history, timekeepings_of([history])[0], moves_of("pendulum"), shop=SHOP).told
    return tuple((when.astimezone(ZONE).strftime("%m-%d"), error, expected) for when, error, expected in told)


def test_each_time_told_is_set_beside_what_those_before_it_told() -> None:
    history = gone(["12-01 10:00 error_s=252"], ("11-17 10:00", 126.0), now="12-02 08:00")  # nine a day there
    (first, error, expected), (second, later, then) = times(history)
    assert (first, error, second, later) == ("11-17", 126.0, "12-01", 252.0)
    assert known(expected).estimate == pytest.approx(28, abs=5)  # two a day, as on the stand
    assert known(expected).doubt > 14 * 12 * 1.96  # and what the move may do in a fortnight
    assert known(then).estimate == pytest.approx(252, abs=20)  # by the call it goes nine a day
    assert known(then).doubt < known(expected).doubt / 5
    # what was expected of a time is what a forecast made before it said
    before = known(said(gone((), ("11-17 10:00", 126.0), now="11-18 08:00"), "12-01 10:00"))
    assert known(then).estimate == pytest.approx(before.estimate)


def test_a_time_that_nothing_before_it_tells_of_has_no_forecast() -> None:
    [(_, error, expected)] = times(gone((), ("11-17 10:00", 126.0), now="11-18 08:00", delivered=None))
    assert error == 126.0
    assert isinstance(expected, NotYetKnown)
    assert times(gone(now="11-18 08:00")) == ()
    assert times(story("longcase", STAND, now="11-02 09:00")) == ()


def test_what_the_stand_shares_after_it_has_gone_is_none_of_its_own() -> None:
    """A step of the shop's reference and its heating, both after delivery: the clock at its owner's knows nothing."""
    history = gone(now="11-30 08:00")
    records = rows(STAND)
    handed = [Record(f"h{n}", step, n, n, None, step.at) for n, step in enumerate(history.handovers)]
    later = at("11-10 08:00")
    shared = Common((ReferenceJump(later, 60.0, 1.0, 8),), Heating(later, 2.0, 4.0, 1.0, 6))
    answers = [
        AtHome(each, timekeepings_of([each])[0], moves_of("pendulum")).reading_at(at("11-29 08:00"))
        for each in (
            history_of(history.clock, records, now=history.now, zone=ZONE, common=common, handovers=handed)
            for common in (Common(), shared)
        )
    ]
    assert answers[0] == answers[1]
    here = history_of(history.clock, records, now=history.now, zone=ZONE, common=shared)
    assert here.common == shared, "on the stand it is"
