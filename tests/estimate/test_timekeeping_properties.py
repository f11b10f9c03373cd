"""What must hold of error and rate whatever was written down: nothing here depends on how they are estimated."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from standwatch.estimate.estimates import estimates_of
from standwatch.estimate.learned import Learned, NoiseShift
from standwatch.estimate.timekeeping import timekeeping_of, timekeepings_of
from standwatch.horology.kinds import KINDS
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.units import days as days_of
from standwatch.model.words import KindName
from tests.estimate.ledgers import DAY_S, Ledger, Row, any_ledger, kept_ledger
from tests.estimate.questions import Alike, everything, sound

few = settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
WEEK = timedelta(days=7)
NO_LOSS = tuple(kind for kind in KindName if Ledger(kind, ()).traits.maintaining)
"""Kinds that keep going while they are wound: winding moves no error, so fast and slow are the same to them."""


def read(kind: KindName, *rows: tuple[int, float], idle_s: int = 0) -> Ledger:
    """A clock of which nothing is known but readings: seconds after the start, error."""
    return Ledger(kind, tuple(Row(second, {"error_s": error}) for second, error in rows), idle_s=idle_s)


TWICE_AT_ONE_TIME = read(
    KindName.SPRING_WALL_31D, *((day * DAY_S, 0.0) for day in range(1, 8)), (7 * DAY_S, 0.08), (8 * DAY_S, 0.0)
)
"""The second of two readings of one time says nothing of the rate: rounding, which differs each second, must not."""
TWO_ACCOUNTS = read(
    KindName.REGULATOR,
    *zip(
        (86400, 172800, 259200, 259259, 345659, 432059, 518459, 604859),
        (223.77, 232.0, 229.43, 240.23, 234.06, 232.0, 225.83, 241.26),
        strict=True,
    ),
    idle_s=9 * DAY_S,
)
"""Its error in nine days is lopsided: 189 s, from 160 to 278 s."""


def known(answer: Answer) -> Quantity:
    assert isinstance(answer, Quantity), answer
    return answer


# --- whatever is asked ------------------------------------------------------------------------------------------------


@settings(few, max_examples=45)
@given(any_ledger(), st.sampled_from(["UTC", "Europe/London", "Pacific/Auckland"]))
def test_every_question_has_a_sound_answer(ledger: Ledger, zone: str) -> None:
    sound(everything(ledger.history(zone=ZoneInfo(zone))))


@few
@given(any_ledger())
def test_asked_twice_the_answers_are_the_same_and_asking_changes_nothing(ledger: Ledger) -> None:
    history = ledger.history()
    keeping = timekeeping_of(history)
    forth = everything(history, keeping)
    assert everything(history, keeping) == forth
    assert everything(history) == forth


# --- moved, mirrored, shuffled ----------------------------------------------------------------------------------------


@few
@given(any_ledger(), st.integers(-80, 700))
def test_whole_weeks_earlier_or_later_make_no_difference(ledger: Ledger, weeks: int) -> None:
    """To the last bit: until 2044 a time in days since 2000 has the same rounding in every week."""
    moved = ledger.later(weeks * WEEK)
    Alike(weeks * WEEK, tolerance=0.0).check(everything(ledger.history()), everything(moved.history()))


@few
@given(any_ledger(), st.integers(-9_000_000, 90_000_000))
@example(TWICE_AT_ONE_TIME, 1)
def test_any_other_time_makes_no_difference_but_for_rounding(ledger: Ledger, seconds: int) -> None:
    by = timedelta(seconds=seconds)
    ledger = ledger.off_the_edges()
    Alike(by).check(everything(ledger.history()), everything(ledger.later(by).history()))


@few
@given(any_ledger(NO_LOSS, signed=True, shared=False))
def test_a_mirrored_clock_has_a_mirrored_answer(ledger: Ledger) -> None:
    Alike(sign=-1).check(everything(ledger.history()), everything(ledger.mirrored().history()))


@few
@given(any_ledger(least=2), st.data())
def test_the_order_of_import_makes_no_difference(ledger: Ledger, data: st.DataObject) -> None:
    order = data.draw(st.permutations(range(len(ledger.rows))))
    assert everything(ledger.history(order=order)) == everything(ledger.history())


# --- many clocks ------------------------------------------------------------------------------------------------------


@few
@given(st.lists(any_ledger(), min_size=2, max_size=5))
def test_clocks_weighed_together_answer_as_each_alone_to_the_last_bit(ledgers: list[Ledger]) -> None:
    histories = [ledger.history() for ledger in ledgers]
    together = estimates_of(histories)
    assert [one.history for one in together] == histories
    for history, one in zip(histories, together, strict=True):
        assert everything(history, one.time) == everything(history)


@few
@given(any_ledger(), st.lists(any_ledger(), max_size=3))
def test_two_clocks_of_the_same_facts_answer_the_same(ledger: Ledger, others: list[Ledger]) -> None:
    twin = Ledger(**{**{name: getattr(ledger, name) for name in ledger.__slots__}, "tag": "T2"})
    histories = [ledger.history(), *(other.history() for other in others), twin.history()]
    found = estimates_of(histories)
    assert everything(histories[0], found[0].time) == everything(histories[-1], found[-1].time)


# --- intervals --------------------------------------------------------------------------------------------------------


@few
@given(kept_ledger(least=3, calm=0.7), st.integers(1, 6))
def test_doubt_grows_with_the_distance_of_the_forecast(ledger: Ledger, first: int) -> None:
    """At one phase of the wind, for a clock that nobody doubts: each further period is known no better."""
    keeping = timekeeping_of(ledger.history())
    period = 28 if ledger.kind is KindName.SPRING_WALL_31D else 7
    ahead = [ledger.now + timedelta(days=period * step) for step in (0, first, first + 1, first + 8, first + 60)]
    for ask in (keeping.error_at, keeping.reading_at):
        doubts = [known(ask(at)).doubt for at in ahead]
        assert all(sooner <= later * (1 + 1e-6) for sooner, later in pairwise(doubts)), doubts


@few
@given(any_ledger(), st.floats(0, 500))
@example(TWO_ACCOUNTS, 0.0)
def test_a_reading_strays_as_the_error_it_is_of_and_by_its_own_doubt(ledger: Ledger, days: float) -> None:
    """Variances add. Widths of 95 % need not even grow: where 2.6 % lie far off the rest, the quantile of 97.5 % is on
    the near flank of that hump, and moves in as the hump widens.
    """
    [keeping] = timekeepings_of([ledger.history()])
    at = ledger.now + timedelta(days=days)
    error, reading = keeping.error_at(at), keeping.reading_at(at)
    assert isinstance(error, NotYetKnown) == isinstance(reading, NotYetKnown)
    if isinstance(error, Quantity):
        told, by_kind = keeping._reading_vars(None)
        of_error, of_reading = keeping._ahead(days_of(at), 0.0, 0.0), keeping._ahead(days_of(at), told, by_kind)
        assert (error, reading) == (of_error.quantity, of_reading.quantity)
        own = told + by_kind * keeping._noise.reading
        assert own > 0
        assert of_reading.moments[1] ** 2 == pytest.approx(of_error.moments[1] ** 2 + own, rel=1e-9)


@few
@given(any_ledger(least=3), st.lists(st.floats(1e-6, 1e4), min_size=3, max_size=8))
def test_a_wider_limit_is_no_less_likely_kept(ledger: Ledger, limits: list[float]) -> None:
    keeping = timekeeping_of(ledger.history())
    for ask in (keeping.rate_within, keeping.day_range_within):
        chances = [chance for limit in sorted(limits) if isinstance(chance := ask(limit), float)]
        assert all(0 <= chance <= 1 for chance in chances)
        if ask == keeping.rate_within:
            assert all(narrow <= wide + 1e-12 for narrow, wide in pairwise(chances))
            assert len(chances) in {0, len(limits)}
    assert isinstance(keeping.rate_within(1.0), float) == isinstance(keeping.rate, Quantity)


@few
@given(kept_ledger(least=5), st.sampled_from(list(KindName)))
def test_what_the_shop_taught_of_other_kinds_changes_nothing(ledger: Ledger, other: KindName) -> None:
    """Nor does a lesson that the kind is as the table says; that it is worse kept widens the doubt."""
    history = ledger.history()
    plain = everything(history)
    if other is not ledger.kind:
        taught = Learned(noise={other: NoiseShift(2.0, 2.0, 2.0, 9)})
        assert everything(history, timekeeping_of(history, taught)) == plain
    as_told = Learned(noise={ledger.kind: NoiseShift(1.0, 1.0, 1.0, 9)})
    assert everything(history, timekeeping_of(history, as_told)) == plain
    worse = timekeeping_of(history, Learned(noise={ledger.kind: NoiseShift(2.0, 2.0, 2.0, 9)}))
    assert known(worse.rate).doubt > known(timekeeping_of(history).rate).doubt


# --- hands set --------------------------------------------------------------------------------------------------------


def with_hands_set(ledger: Ledger, after: int, amount: float) -> Ledger:
    """The same clock, its hands set by `amount` at the visit `after`, after reading."""
    rows = [*ledger.rows]
    for place, row in enumerate(rows):
        cells = dict(row.cells)
        if place == after:
            cells |= {"work": "hands-set", "amount": amount}
        if place > after:
            cells["error_s"] = float(str(cells["error_s"])) + amount
        rows[place] = type(row)(row.second, cells)
    return Ledger(ledger.kind, tuple(rows), ledger.columns, ledger.idle_s)


@few
@given(
    kept_ledger(tuple(kind for kind in KindName if kind is not KindName.REFERENCE), least=6, calm=0.7, gaps=False),
    st.integers(-500, 500),
    st.integers(0, 3),
)
def test_hands_set_by_a_known_amount_are_as_if_it_were_added_to_the_readings(
    ledger: Ledger, amount: int, after: int
) -> None:
    """To within that work's own doubt, half a second: of the error, and of a day's rate."""
    stepped = with_hands_set(ledger, after, amount)
    plain, moved = timekeeping_of(ledger.history()), timekeeping_of(stepped.history())
    assert known(moved.rate).estimate == pytest.approx(known(plain.rate).estimate, abs=0.5)
    assert 0.9 * known(plain.rate).doubt < known(moved.rate).doubt < known(plain.rate).doubt + 1.96 * 0.5
    assert moved.readings_since_rate_opened == plain.readings_since_rate_opened
    assert moved.suspected_work == plain.suspected_work == ()
    for days in (0, 1):
        at = ledger.now + timedelta(days=days)
        assert known(moved.error_at(at)).estimate - amount == pytest.approx(known(plain.error_at(at)).estimate, abs=0.5)


@few
@given(kept_ledger((KindName.REFERENCE,), least=3), st.integers(-500, 500), st.integers(0, 2))
def test_a_reference_clocks_hands_set_has_no_doubt_at_all(ledger: Ledger, amount: int, after: int) -> None:
    stepped = with_hands_set(ledger, after, amount)
    plain, moved = timekeeping_of(ledger.history()), timekeeping_of(stepped.history())
    Alike(tolerance=1e-5).check({"rate": plain.rate}, {"rate": moved.rate})


@few
@given(kept_ledger(NO_LOSS, least=6, calm=0.7, gaps=False), st.integers(-500, 500))
def test_a_jump_of_the_reference_is_as_if_it_were_taken_off_the_readings(ledger: Ledger, jump: int) -> None:
    """To within its own doubt, 0.3 s: what all clocks share is not charged to this one."""
    middle = len(ledger.rows) // 2
    stepped = replace(with_hands_set(ledger, middle - 1, jump), jump_s=float(jump))
    rows = (*ledger.rows[:middle], *stepped.rows[middle:])  # nobody touched the hands
    plain, jumped = timekeeping_of(ledger.history()), timekeeping_of(replace(stepped, rows=rows).history())
    assert known(jumped.rate).estimate == pytest.approx(known(plain.rate).estimate, abs=0.3)
    assert jumped.readings_since_rate_opened == plain.readings_since_rate_opened
    assert jumped.suspected_work == plain.suspected_work == ()
    ahead = ledger.now + timedelta(days=1)
    assert known(jumped.error_at(ahead)).estimate - jump == pytest.approx(
        known(plain.error_at(ahead)).estimate, abs=0.4
    )


# --- evidence stays ---------------------------------------------------------------------------------------------------


WORK_CELLS = frozenset({"work", "amount", "train", "explained"})


def untouched_from(ledger: Ledger, count: int) -> Ledger:
    """The same rows, but nothing was done to the clock from the row `count` on; asked right after the last."""
    rows = [
        row if place < count else type(row)(row.second, {k: v for k, v in row.cells.items() if k not in WORK_CELLS})
        for place, row in enumerate(ledger.rows)
    ]
    return Ledger(ledger.kind, tuple(rows), ledger.columns)


@settings(few, max_examples=50)
@given(any_ledger(least=4, shared=False), st.integers(1, 3))
def test_a_reading_more_takes_away_no_evidence(ledger: Ledger, more: int) -> None:
    """Without new work, a reading that counted for the rate counts until it becomes suspect itself."""
    count = len(ledger.rows) - more
    ledger = untouched_from(ledger, count)
    before, after = (timekeeping_of(ledger.upto(n).history()) for n in (count, len(ledger.rows)))
    turned = {s.id for s in after.suspects} - {s.id for s in before.suspects}
    if before.rate_since == after.rate_since:
        assert after.readings_since_rate_opened >= before.readings_since_rate_opened - len(turned)
    if isinstance(before.rate, Quantity) and not turned and not after.suspected_work:
        assert isinstance(after.rate, Quantity)


@settings(few, max_examples=50)
@given(any_ledger(least=2))
def test_every_reading_since_the_rate_was_opened_counts_or_is_suspect(ledger: Ledger) -> None:
    history = ledger.history()
    keeping = timekeeping_of(history)
    since = keeping.rate_since
    wrong = {s.id for s in keeping.suspects}
    counts = [v for v in history.readings if since is not None and v.at >= since and v.id not in wrong]
    assert keeping.readings_since_rate_opened == len(counts)


@few
@given(
    kept_ledger((KindName.LONGCASE, KindName.REGULATOR, KindName.MANTEL), least=10, most=14, calm=0.5, gaps=False),
    st.integers(2, 4),
    st.sampled_from([-60, 60, 120, -600]),
)
def test_a_reading_once_found_wrong_stays_so_while_nothing_speaks_for_it(ledger: Ledger, wrong: int, off: int) -> None:
    rows = [*ledger.rows]
    cells = dict(rows[wrong].cells)
    blunder = off * 5 if KINDS[ledger.kind].q1_s > 3 else off
    rows[wrong] = type(rows[wrong])(rows[wrong].second, {**cells, "error_s": float(str(cells["error_s"])) + blunder})
    blundered = Ledger(ledger.kind, tuple(rows))
    for count in range(wrong + 5, len(rows) + 1):
        assert [s.id for s in timekeeping_of(blundered.upto(count).history()).suspects] == [f"r{wrong}"]
