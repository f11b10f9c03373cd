"""The error at home, by stories of clocks that went there: what was told, what that teaches, what nobody knows."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import timedelta

import numpy as np
import pytest

from standwatch.estimate.at_home import S_MOVE, AtHome, FollowUp, Manner, manner_of, moves_of
from standwatch.estimate.history import History, history_of
from standwatch.estimate.owners_place import site_of
from standwatch.estimate.timekeeping import timekeepings_of
from standwatch.horology.gravity import Site
from standwatch.horology.kinds import traits_of
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.facts import Clock, Handover
from standwatch.model.records import Record, build
from standwatch.model.words import KindName
from tests.stories import ZONE, at, daily, rows

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
    assert manner_of(traits_of(build(Clock, {"tag": "T1", "kind": KindName(kind)}))) == manner


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
