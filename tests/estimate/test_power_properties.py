"""What must hold of winding whatever was read before: of weights, springs and endless chains."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standwatch.estimate.answers import TrainRun
from standwatch.estimate.power import power_of
from standwatch.horology.kinds import KINDS
from standwatch.model.answers import Moment
from standwatch.model.words import Drive, KindName, Train
from tests.stories import story

SECOND = timedelta(seconds=1)
FAR = datetime(2028, 1, 1, tzinfo=UTC)
"""A weight that seems not to fall at all is said to run for ever; no day is claimed so far off."""
WEIGHTS = [KindName.REGULATOR, KindName.LONGCASE, KindName.LONGCASE_30H, KindName.CUCKOO, KindName.FLOOR_CHIMING]
SPRINGS = [KindName.MANTEL, KindName.SPRING_WALL_31D, KindName.MANTEL_CHIMING]
TURNS = {"going_turns": 14, "strike_turns": 13, "chime_turns": 12}


@st.composite
def ledgers(draw: st.DrawFn, *, falls_anyhow: bool = True) -> tuple[KindName, list[str], datetime]:
    """A kind, what was read and wound of it, and when it is asked: some hours after the last row.

    All within one wind's time. `falls_anyhow`: also falls that no weight can have had.
    """
    kind = draw(st.sampled_from([*WEIGHTS, *SPRINGS]))
    row = KINDS[kind]
    trains = row.trains.split("+")
    at = datetime(2026, 11, 2, 8)  # noqa: DTZ001  # the shop's civil time
    lines = [f"{at:%m-%d %H:%M} work=wound"]
    share = row.duration_h / 24 / 16  # five steps of two and one of three are thirteen of sixteen parts
    usual = (row.fall_mm_per_day or 0) / 24
    for _ in range(draw(st.integers(0, 5))):
        at += timedelta(days=draw(st.floats(0.05, 2.0)) * share)
        what = draw(st.sampled_from(["falls", "seen", "wound", "part"]))
        train = draw(st.sampled_from(trains))
        if what == "falls" and row.drive is Drive.WEIGHT:
            hours = (at - datetime(2026, 11, 2, 8)) / timedelta(hours=1)  # noqa: DTZ001
            sound = int(usual * hours * draw(st.floats(0.7, 1.3)))
            fall = draw(st.integers(0, 1300)) if falls_anyhow else sound
            lines.append(f"{at:%m-%d %H:%M} error_s=1 {train}_mm={fall}")
        elif what == "wound":
            lines.append(f"{at:%m-%d %H:%M} work=wound" + draw(st.sampled_from(["", f" train={train}"])))
        elif what == "part":
            amount = draw(st.integers(1, 900) if row.drive is Drive.WEIGHT else st.integers(1, 14))
            lines.append(f"{at:%m-%d %H:%M} work=wound train={train} amount={amount}")
        else:
            lines.append(f"{at:%m-%d %H:%M} error_s=1")
    return kind, lines, at + timedelta(days=draw(st.floats(0.01, 3.0)) * share)


def runs(kind: KindName, lines: list[str], now: datetime) -> dict[Train, TrainRun]:
    columns = TURNS if kind in SPRINGS else {}
    return {run.train: run for run in power_of(story(kind, lines, now=f"{now:%m-%d %H:%M}", **columns)).trains}


def no_sooner(later: TrainRun, before: TrainRun) -> None:
    """The run-down of `later`, with its interval, is not before that of `before`."""
    if not isinstance(before.runs_out, Moment):
        return
    assert isinstance(later.runs_out, Moment), later.runs_out
    for edge in ("low", "at", "high"):
        was = getattr(before.runs_out, edge)
        if was < FAR:
            assert getattr(later.runs_out, edge) >= was - SECOND, edge


@settings(max_examples=70, deadline=None)
@given(ledgers(), st.data())
def test_a_wind_never_shortens_a_run_and_leaves_the_other_trains(
    told: tuple[KindName, list[str], datetime], data: st.DataObject
) -> None:
    kind, lines, now = told
    trains = [Train(name) for name in KINDS[kind].trains.split("+")]
    train = data.draw(st.sampled_from([None, *trains]))
    # turns told teach how fast a spring goes, which may well be faster: a spring is wound without telling them
    amount = data.draw(st.one_of(st.none(), st.integers(1, 1200))) if kind in WEIGHTS else None
    before = runs(kind, lines, now)
    wind = f"{now:%m-%d %H:%M} work=wound{f' train={train}' if train else ''}{f' amount={amount}' if amount else ''}"
    after = runs(kind, [*lines, wind], now)
    for each in trains:
        if train in {None, each} or kind is KindName.LONGCASE_30H:
            no_sooner(after[each], before[each])
        else:
            assert after[each].runs_out == before[each].runs_out
            assert after[each].fall_mm == before[each].fall_mm
            assert after[each].speed_mm_per_day == before[each].speed_mm_per_day


@settings(max_examples=60, deadline=None)
@given(ledgers(falls_anyhow=False), st.floats(0.02, 0.9))
def test_the_later_a_weight_is_wound_to_the_top_the_later_it_runs_out(
    told: tuple[KindName, list[str], datetime], earlier: float
) -> None:
    kind, lines, now = told
    last = datetime.strptime(f"2026-{lines[-1][:11]}", "%Y-%m-%d %H:%M")  # noqa: DTZ007
    sooner = last + (now - last) * earlier
    one, two = (runs(kind, [*lines, f"{at:%m-%d %H:%M} work=wound"], now) for at in (sooner, now))
    for train in one:
        no_sooner(two[train], one[train])


@pytest.mark.parametrize("kind", [*WEIGHTS, *SPRINGS])
def test_winding_twice_at_once_is_winding_once(kind: KindName) -> None:
    lines = ["11-02 08:00 work=wound", "11-03 08:00 error_s=1", "11-03 08:01 work=wound"]
    now = datetime(2026, 11, 3, 8, 2)  # noqa: DTZ001
    once, twice = runs(kind, lines, now), runs(kind, [*lines, "11-03 08:01 work=wound"], now)
    for train in once:
        no_sooner(twice[train], once[train])
