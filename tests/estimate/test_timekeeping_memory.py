"""A memory of what was worked out before changes no answer, to the last bit, whatever was written down since."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.engine import Memory
from standwatch.estimate.estimates import estimates_of
from standwatch.estimate.history import History
from tests.estimate.ledgers import Ledger, Row, any_ledger, kept_ledger
from tests.estimate.questions import everything

few = settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.too_slow])
DAY = timedelta(days=1)


def briefly(history: History, keeping: Timekeeping) -> tuple[object, ...]:
    """What depends on all that is believed: numbers that one bit astray would change."""
    evidence = (keeping.suspects, keeping.suspected_work, keeping.readings_since_rate_opened)
    return keeping.rate, keeping.error_at(history.now + 7 * DAY), keeping.residuals, keeping.drift, evidence


def same_as_from_nothing(histories: list[History], memory: Memory) -> None:
    """What `memory` helps to say of `histories` against what is said without."""
    for helped, alone in zip(estimates_of(histories, memory=memory), estimates_of(histories), strict=True):
        assert helped.history is alone.history
        assert briefly(helped.history, helped.time) == briefly(alone.history, alone.time)


@few
@given(any_ledger(least=1))
def test_a_ledger_that_grows_row_by_row(ledger: Ledger) -> None:
    memory = Memory()
    for count in range(1, len(ledger.rows) + 1):
        same_as_from_nothing([ledger.upto(count).history()], memory)
    history = ledger.history()
    (helped,) = estimates_of([history], memory=memory)
    assert everything(history, helped.time) == everything(history)


@few
@given(st.lists(any_ledger(least=1, most=8), min_size=2, max_size=3))
def test_clocks_that_grow_side_by_side(ledgers: list[Ledger]) -> None:
    """Each under its own tag; one further row of one clock at a time."""
    named = [replace(ledger, tag=f"T{place}") for place, ledger in enumerate(ledgers)]
    memory = Memory()
    grown = [1] * len(named)
    for step in range(sum(len(ledger.rows) for ledger in named)):
        place = step % len(named)
        grown[place] = min(grown[place] + 1, len(named[place].rows))
        same_as_from_nothing([ledger.upto(n).history() for ledger, n in zip(named, grown, strict=True)], memory)


@few
@given(any_ledger(least=3), st.data())
def test_a_row_corrected_taken_back_or_put_in_between(ledger: Ledger, data: st.DataObject) -> None:
    """The past itself changes: what was remembered of it no longer holds."""
    memory = Memory()
    same_as_from_nothing([ledger.history()], memory)
    place = data.draw(st.integers(0, len(ledger.rows) - 1))
    row = ledger.rows[place]
    shown = row.cells.get("error_s", 0.0)
    other = Row(row.second, {**row.cells, "error_s": round(float(str(shown)) / 2 + 7, 2)})
    between = Row(row.second, {"error_s": 3.0, "work": data.draw(st.sampled_from(["nut", "hands-set", "opened"]))})
    rows = ledger.rows
    for changed in (
        (*rows[:place], other, *rows[place + 1 :]),
        (*rows[:place], *rows[place + 1 :]),
        (*rows[:place], between, *rows[place:]),
        rows,
    ):
        same_as_from_nothing([replace(ledger, rows=changed).history()], memory)


@few
@given(any_ledger(least=2), any_ledger(least=2))
def test_another_clock_of_the_same_tag(one: Ledger, other: Ledger) -> None:
    """Another book, or a clock's own columns changed: its rows may be the same, what they mean is not."""
    memory = Memory()
    same_as_from_nothing([one.history()], memory)
    same_as_from_nothing([replace(one, kind=other.kind).history()], memory)
    same_as_from_nothing([replace(one, columns=other.columns).history()], memory)
    same_as_from_nothing([other.history()], memory)
    same_as_from_nothing([one.history()], memory)


@few
@given(any_ledger(least=3), st.integers(1, 400))
def test_another_now_and_back(ledger: Ledger, days: int) -> None:
    """Asked as of later, then of an earlier row: what came after it doesn't count."""
    memory = Memory()
    for asked in (ledger, replace(ledger, idle_s=days * 86400), ledger.upto(len(ledger.rows) // 2 + 1), ledger):
        same_as_from_nothing([asked.history()], memory)


@settings(few, max_examples=3)
@given(kept_ledger(least=40, most=60))
def test_a_long_clean_ledger(ledger: Ledger) -> None:
    memory = Memory()
    for count in range(1, len(ledger.rows) + 1, 4):
        same_as_from_nothing([ledger.upto(count).history()], memory)
