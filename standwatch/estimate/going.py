"""When the clock was shown going, its stops and its winds: what the evidence of running stands on."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from standwatch.estimate.history import History
from standwatch.estimate.runs import SAME_VISIT, Wind, runs_of
from standwatch.estimate.spells import ErrorAt, Spell, Stop, spells_of
from standwatch.model.words import Train, Work

__all__ = ["RESTART_SETTLES", "Going", "Spell", "Stop", "Wind", "going_of", "settling_until"]

RESTART_SETTLES = {"pendulum": timedelta(hours=24), "balance": timedelta(hours=24), "torsion": timedelta(hours=48)}
"""How long a clock settles after it was restarted, by what swings in it."""


@dataclass(frozen=True, slots=True)
class Going:
    """The running of one clock since it was last opened.

    `running_since` is where unbroken going begins, `days` how long it lasts in days up to the last fact that shows it
    (the days it hung after a run-out in time left out). `hangs` names what keeps it standing now, if anything.
    `spells` are all spans of going, `side_stops` the early run-outs of strike or chime alone, `run_down` the trains
    that have run out and were not wound since.
    """

    stops: tuple[Stop, ...]
    winds: tuple[Wind, ...]
    running_since: datetime | None
    last_shown: datetime | None
    days: float
    hangs: Stop | None
    spells: tuple[Spell, ...] = ()
    side_stops: tuple[Stop, ...] = ()
    run_down: tuple[Train, ...] = ()

    @property
    def unexplained(self) -> tuple[Stop, ...]:
        """The stops of any train that nobody has explained, oldest first."""
        stops = sorted((*self.stops, *self.side_stops), key=lambda stop: stop.found_at)
        return tuple(stop for stop in stops if not (stop.in_time or stop.explained))

    def winds_of(self, train: Train) -> tuple[Wind, ...]:
        """The winds of `train` whose evidence no unexplained stop took away, oldest first."""
        return tuple(wind for wind in self.winds if wind.train is train and not wind.void)

    def gone_in(self, wind: Wind, since: datetime | None = None) -> timedelta:
        """The longest that the clock is shown going without a break within `wind`, after `since` where given."""
        longest = timedelta()
        for spell in self.spells:
            stood = spell.stood_before and spell.start - wind.base > SAME_VISIT
            begun = max(wind.base, spell.start) if stood else wind.base
            begun = begun if since is None else max(begun, since)
            ended = spell.end if wind.ended_at is None else min(spell.end, wind.ended_at)
            longest = max(longest, ended - begun)
        return longest


def going_of(history: History, error_at: ErrorAt | None = None) -> Going:
    """The running of `history`'s clock since it was last opened or oiled, from its facts up to now.

    `error_at` is its timekeeping's, for what the dials of its stops say; without it, what the readings before tell.
    """
    found = spells_of(history, error_at)
    runs = runs_of(history, found.stops)
    counted = found.spells[found.unbroken :]
    shown = [visit.at for visit in history.since_opened if visit.shows_going]
    return Going(
        stops=tuple(found.stops),
        winds=runs.winds,
        running_since=counted[0].start if counted else None,
        last_shown=shown[-1] if shown else None,
        days=sum((spell.end - spell.start) / timedelta(days=1) for spell in counted),
        hangs=found.hangs,
        spells=tuple(found.spells),
        side_stops=runs.side_stops,
        run_down=runs.run_down,
    )


def settling_until(history: History, going: Going) -> datetime | None:
    """Until when the clock settles after what was last done to it; None where it has settled.

    After a nut turn, beat, level, move, case or opening as its break says; after a restart as RESTART_SETTLES says,
    but for the one after a run-out in time, which disturbs nothing.
    """
    in_time = {stop.restarted_at for stop in going.stops if stop.in_time}
    settles = RESTART_SETTLES[history.traits.oscillator]
    ends = [step.settled_at for step in history.breaks if step.opens_rate]
    ends += [visit.at + settles for visit in history.works(Work.RESTARTED) if visit.at not in in_time]
    last = max(ends, default=history.now)
    return last if last > history.now else None
