"""The error at home, by stories of clocks that went there: what was told, what that teaches, what nobody knows."""

from __future__ import annotations

import math
from collections.abc import Iterable
from datetime import timedelta

import numpy as np
import pytest

from standwatch.estimate.at_home import S_MOVE, AtHome, FollowUp, Manner, manner_of, moves_of
from standwatch.estimate.history import History, history_of
from standwatch.estimate.timekeeping import timekeepings_of
from standwatch.horology.kinds import traits_of
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.facts import Clock, Handover
from standwatch.model.records import Record, build
from standwatch.model.words import KindName
from tests.stories import ZONE, at, daily, rows

STAND = daily("10-05 08:00", "11-02 08:00", "error_s={2*d:.1f}")  # a longcase that gains two a day for four weeks
HOME = "11-03 10:00"


def gone(ledger: Iterable[str] = (), *calls: tuple[str, float], now: str, delivered: float | None = 0.0) -> History:
    """The longcase at home since 3 November, with rows read there and calls (when, error in s)."""
    clock = build(Clock, {"tag": "T1", "kind": "longcase", "maintaining": "yes"})
    steps = [("11-03 08:00", "released", None), (HOME, "delivered", delivered), *((w, "called", e) for w, e in calls)]
    handed = []
    for n, (when, what, error) in enumerate(steps):
        body = build(Handover, {"at": at(when), "tag": "T1", "what": what, "error_s": error})
        handed.append(Record(f"h{n}", body, n, n, None, body.at))
    return history_of(clock, rows([*STAND, *ledger]), now=at(now), zone=ZONE, handovers=handed)


def said(history: History, when: str, *, site: tuple[float, float] = (0.0, 0.0), follow_ups: int = 0) -> Answer:
    taught = [FollowUp("pendulum", 3.0 * (-1) ** n * 14, 14.0, 225.0) for n in range(follow_ups)]
    home = AtHome(history, timekeepings_of([history])[0], moves_of("pendulum", taught), site=site)
    return home.reading_at(at(when))


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
    plain = known(said(gone(now="11-04 08:00"), "11-17 10:00"))
    north = known(said(gone(now="11-04 08:00"), "11-17 10:00", site=(20.0, 4.4)))
    assert north.estimate - plain.estimate == pytest.approx(14 * 20, abs=2)
    assert north.doubt > plain.doubt


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
