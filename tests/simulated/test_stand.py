"""The simulated stand: its readings, blunders and works do what they say, and become sound facts. Fixed seeds."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from standwatch.model.facts import CheckIn
from standwatch.model.records import build
from standwatch.model.words import KindName, Work
from tests.simulated.facts import ClockFacts, facts_of, when
from tests.simulated.nature import Natures, draw
from tests.simulated.reading import spoiled
from tests.simulated.stand import Event, Watch, Watched, watched

QUIET = Watch(days=14)


def quiet(kind: KindName, clocks: int = 3, **parts: float) -> Natures:
    """Clocks without any noise, rate 2 s/day, error 10 s, with `parts` set."""
    natures = draw(kind, clocks, np.random.default_rng(0))
    nothing = np.zeros(clocks)
    values = {"warmth": 0.0, "curve": 0.0, "loss_s": 0.0, "rate": 2.0, "error_s": 10.0, **parts}
    filled: dict[str, Any] = {name: np.full(clocks, value) for name, value in values.items()}
    return replace(natures, q1_s=nothing, q2_s=nothing, reading_s=nothing, loss_scatter_s=0.0, **filled)


def seen(natures: Natures, watch: Watch) -> Watched:
    return watched(natures, watch, np.random.default_rng(5))


@pytest.mark.parametrize(("kind", "doubt"), [(KindName.LONGCASE, 0.5), (KindName.MANTEL, 5.0)])
def test_readings_scatter_by_their_way(kind: KindName, doubt: float) -> None:
    # common practice: seconds hand 0.5 s, minute hand 5 s; each clock's own multiplier taken off
    stand = seen(draw(kind, 2000, np.random.default_rng(1)), QUIET)
    ratio = (stand.readings - stand.errors) / stand.natures.reading_s[:, None]
    assert np.std(ratio) == pytest.approx(1, rel=0.02)
    assert np.median(stand.natures.reading_s) == pytest.approx(doubt, rel=0.03)
    step = 0.1 if doubt < 1 else 1
    assert np.allclose(stand.readings / step, np.round(stand.readings / step), atol=1e-6)


def test_multipliers_have_their_spread() -> None:
    natures = draw(KindName.MANTEL, 20_000, np.random.default_rng(2), scale=1.5)
    assert np.std(np.log(natures.q1_s)) == pytest.approx(0.40, rel=0.03)
    assert np.std(np.log(natures.q2_s)) == pytest.approx(0.45, rel=0.03)
    assert np.std(np.log(natures.reading_s)) == pytest.approx(0.22, rel=0.03)
    assert np.median(natures.q1_s) == pytest.approx(1.5 * 3.5, rel=0.02)


def test_a_quiet_clock_runs_straight() -> None:
    stand = seen(quiet(KindName.REGULATOR), QUIET)
    assert stand.errors == pytest.approx(10 + 2 * (stand.at_d - stand.at_d[:, :1]))
    assert np.abs((stand.at_d % 1) * 24 - (8 + 1 / 3)).max() < 0.3


def test_warmth_costs_what_the_rod_says() -> None:
    # Beckett 1903, p. 50: a seconds pendulum on steel loses about 0.5 s/day a deg C
    warm = replace(Watch(days=28).room, mean_c=24, weather_c=0)
    stand = seen(quiet(KindName.LONGCASE, warmth=0.5), replace(QUIET, days=28, room=warm))
    gone = stand.at_d[:, -1] - stand.at_d[:, 0]
    assert stand.errors[:, -1] - 10 == pytest.approx((2 - 0.5 * 4) * gone, abs=0.1)
    assert stand.rate_here(28) == pytest.approx([0.0] * 3)
    assert stand.warmth_c.mean() == pytest.approx(24, abs=0.5)


def test_a_spring_comes_back_after_a_whole_wind() -> None:
    stand = seen(quiet(KindName.MANTEL, curve=30.0), QUIET)
    straight = stand.errors - 10 - 2 * (stand.at_d - stand.at_d[:, :1])
    assert straight[:, [7, 14]] == pytest.approx(np.zeros((3, 2)), abs=0.3)  # winds differ by minutes
    assert straight[:, 3] == pytest.approx(30 * (1.5 - 9 / 14), abs=0.2)


def test_winding_costs_seconds_and_counts_in_the_mean_after_two() -> None:
    stand = seen(quiet(KindName.LONGCASE, loss_s=-14.0), QUIET)
    gone = stand.at_d[:, -1] - stand.at_d[:, 0]
    assert stand.errors[:, -1] - 10 == pytest.approx(2 * gone - 28)  # wound at the readings of day 0 and 7
    assert stand.mean_rate(14, here=False) == pytest.approx([0.0] * 3)
    assert stand.mean_rate(7, here=False) == pytest.approx([2.0] * 3)


def test_blunders_are_as_many_and_as_large_as_told() -> None:
    readings = np.full((1000, 50), 7.0)
    spoilt, wrong = spoiled(readings, 0.03, np.random.default_rng(3))
    assert wrong.mean() == pytest.approx(0.03, abs=4 * np.sqrt(0.03 * 0.97 / 50_000))
    assert np.array_equal(spoilt != readings, wrong)
    sizes = set(np.unique(np.abs((spoilt - readings)[wrong])))
    assert sizes == {14.0, 60.0, 120.0, 3600.0, 7.0 * 59}


def event(what: Work, amount: float, *, logged: bool) -> Watch:
    return replace(QUIET, events=[Event(what, 5, np.full(3, amount), logged)])


def test_works_step_what_they_should() -> None:
    natures = quiet(KindName.REGULATOR)
    plain = seen(natures, QUIET).errors
    assert seen(natures, event(Work.HANDS_SET, 90, logged=False)).errors - plain == pytest.approx(
        np.where(np.arange(15) > 5, 90.0, 0.0) * np.ones((3, 1))
    )
    held = seen(natures, event(Work.HELD, 60, logged=True)).errors - plain
    assert held[:, 6:] == pytest.approx(np.full((3, 9), -60.0))
    turned = seen(natures, event(Work.NUT, 0.5, logged=True))
    assert np.diff(turned.rates, axis=1)[:, 5] == pytest.approx(natures.turn / 2)
    slope = np.diff(turned.errors, axis=1) / np.diff(turned.at_d, axis=1)
    assert slope[:, 7] == pytest.approx(2 + natures.turn / 2)
    # common practice: a turn of the nut is about 20 to 50 s/day at seconds length
    assert np.all((natures.turn > 15) & (natures.turn < 50))


def test_a_stop_leaves_a_morning_out_and_sets_the_hands_anew() -> None:
    stand = seen(quiet(KindName.LONGCASE), event(Work.STOPPED, 0, logged=True))
    assert not stand.seen[:, 6].any()
    assert np.abs(stand.errors[:, 6]).max() < 100
    works = [r.body.work for _, r in ClockFacts(stand, 0).records if r.body.work not in {None, Work.WOUND}]
    assert works == [Work.STOPPED, Work.RESTARTED]


def test_facts_are_what_the_builder_makes_and_tell_what_was_read() -> None:
    watch = replace(event(Work.HANDS_SET, 75.5, logged=True), missed=0.2, blunders=0.1)
    stand = seen(draw(KindName.MANTEL, 3, np.random.default_rng(6)), watch)
    for facts in facts_of(stand):
        for _, record in facts.records:
            given = record.body.model_dump(exclude_none=True)
            assert build(CheckIn, {name: str(value) if name == "at" else value for name, value in given.items()}) == (
                record.body
            )
        history = facts.history(14)
        days = np.flatnonzero(stand.seen[facts.number])
        assert [v.error_s for v in history.readings] == stand.readings[facts.number, days].tolist()
        assert [v.at for v in history.readings] == [when(stand.at_d[facts.number, day]) for day in days]
        assert len(history.temperatures) == len({v.at for v in history.visits if v.row.temperature_c is not None})
        assert [(b.work, b.amount) for b in history.breaks] == [(Work.HANDS_SET, 75.5)]


def test_a_history_ends_where_it_is_asked_to() -> None:
    facts = facts_of(seen(draw(KindName.LONGCASE, 1, np.random.default_rng(7)), QUIET))[0]
    assert len(facts.history(7).readings) == 8
    assert facts.history(7).now == when(facts.stand.at_d[0, 7])
    assert facts.history(7).readings == facts.history(14).readings[:8]


def test_a_seed_gives_the_same_stand() -> None:
    one, two = (
        watched(draw(KindName.CUCKOO, 4, r), Watch(blunders=0.03), r) for r in map(np.random.default_rng, (9, 9))
    )
    assert np.array_equal(one.readings, two.readings)
    assert not np.array_equal(one.readings[0], one.readings[1])
