"""What the shop writes down of one clock: its story, told by civil times, turned into ledger rows as it happens."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from tests.demo.stand import ZONE, Nature, Room, SimClock, civil

NOW = civil("11-20 08:20")
SATURDAYS = ("11-07", "11-14")
"""Saturdays on which somebody came in and looked at a few clocks."""
_DAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")

Row = dict[str, object]


@dataclass
class Hidden:
    """Something true that no row tells: an unlogged turn, a misread minute."""

    what: str
    at: datetime
    amount: float
    told: str


@dataclass
class Kit:
    """How one clock is read: its usual way, the minute past eight at which the round reaches it, its swing's doubt."""

    how: str
    minute: int
    swing_doubt: float = 0.03
    swing_step: float = 0.05
    balance: bool = False
    torsion: bool = False


@dataclass
class Job:
    """One clock's time on the stand: its columns, its true nature, and the story so far."""

    tag: str
    columns: Row
    kit: Kit
    clock: SimClock
    rows: list[Row] = field(default_factory=list)
    hidden: list[Hidden] = field(default_factory=list)
    _plan: list[tuple[datetime, int, Callable[[], None]]] = field(default_factory=list)

    # --- telling the story ------------------------------------------------------------------------------------

    def then(self, when: str | datetime, event: Callable[[], None]) -> None:
        """Let `event` happen at `when`; events of one time keep their order of telling."""
        at = civil(when) if isinstance(when, str) else when
        self._plan.append((at, len(self._plan), event))

    def run(self) -> None:
        """Live through the story up to NOW."""
        for at, _, event in sorted(self._plan, key=lambda step: step[:2]):
            if at > NOW:
                raise ValueError(f"{self.tag} has a story after now: {at}")
            self.clock.advance(at)
            event()
        self.clock.advance(NOW)

    def write(self, **cells: object) -> None:
        """One row of the ledger, now."""
        self.rows.append({"at": self.clock.at.astimezone(ZONE).isoformat(), "tag": self.tag, **cells})

    # --- the morning round ------------------------------------------------------------------------------------

    def rounds(
        self,
        first: str,
        last: str,
        *,
        falls: str = "",
        swing: Collection[str] = (),
        beat: Collection[str] = (),
        skip: Collection[str] = (),
        saturdays: bool = False,
        warm: bool = False,
    ) -> None:
        """Read at every round from `first` to `last` ("MM-DD"): error; falls on weekdays named; the rest by date."""
        day = civil(f"{first} 08:00")
        while day <= civil(f"{last} 08:00"):
            name, date = _DAYS[day.weekday()], f"{day:%m-%d}"
            minute = self.kit.minute
            if name in _DAYS[:5] or (saturdays and date in SATURDAYS):
                at = day.replace(hour=9 if name == "Sat" else 8, minute=minute)
                wanted = (name in falls, date in swing, date in beat, warm)
                if date not in skip:
                    self.then(at, lambda wanted=wanted: self._read(*wanted))  # type: ignore[misc]
            day = (day.replace(tzinfo=None) + timedelta(days=1)).replace(tzinfo=ZONE)

    def _read(self, falls: bool, swing: bool, beat: bool, warm: bool) -> None:  # noqa: FBT001
        cells: Row = {"error_s": self.clock.read_error(self.kit.how)}
        if falls:
            cells |= self._falls()
        if swing:
            cells |= self._swing()
        if beat:
            cells |= self._beat()
        if warm:
            cells["temperature_c"] = round(self.clock.room.temperature(self.clock.at), 1)
        self.write(**cells)

    def _falls(self) -> Row:
        return {f"{train}_mm": self.clock.read_fall(train) for train in self.clock.fall}

    def _swing(self) -> Row:
        cells: Row = {"amplitude_deg": self.clock.read_swing(self.kit.swing_doubt, self.kit.swing_step)}
        if self.kit.torsion:
            cells["overswing_left_deg"], cells["overswing_right_deg"] = self.clock.read_overswing()
        return cells

    def _beat(self) -> Row:
        if self.kit.torsion:
            left, right = self.clock.read_overswing()
            return {"overswing_left_deg": left, "overswing_right_deg": right}
        return {"beat_error_ms" if self.kit.balance else "beat_error_pct": self.clock.read_beat()}

    def look(self, when: str, *, falls: bool = False, swing: bool = False, beat: bool = False) -> None:
        """Read the error at another time than the round's."""
        self.then(when, lambda: self._read(falls, swing, beat, warm=False))

    def misread(self, when: str, seconds: float, told: str) -> None:
        """A reading that is wrong by `seconds`."""

        def event() -> None:
            self.write(error_s=self.clock.read_error(self.kit.how) + seconds)
            self.hidden.append(Hidden("blunder", self.clock.at, seconds, told))

        self.then(when, event)

    # --- listening --------------------------------------------------------------------------------------------

    def hear(self, *whens: str) -> None:
        """Count the hour that strikes then, and hear the chime with it where there is one."""
        for when in whens:
            self.then(when, self._hear)

    def _hear(self) -> None:
        hour, _ = self.clock.dial_quarter()
        cells: Row = {"hour": hour, "blows": hour}
        if "chiming" in str(self.columns["kind"]):
            cells |= {"chime": "in-step", "quarter": 4}
        self.write(**cells)

    def chime(self, *whens: str, state: str = "in-step") -> None:
        """Listen to the quarters that sound then."""
        for when in whens:
            self.then(when, lambda: self.write(chime=state, quarter=self.clock.dial_quarter()[1]))

    # --- work -------------------------------------------------------------------------------------------------

    def wound(self, when: str, *, turns: dict[str, float] | None = None, trains: tuple[str, ...] = ()) -> None:
        """Wind all trains to the top, or the springs with the turns told for each train."""

        def event() -> None:
            every = trains or ("going", "strike", "chime")
            for train, count in (turns or {}).items():
                self.write(work="wound", train=train, amount=count)
            if not turns:
                for train in trains or ("",):
                    self.write(work="wound", **({"train": train} if train else {}))
            self.clock.wind(every, short=4.0)

        self.then(when, event)

    def done(self, when: str, work: str, **cells: object) -> None:
        """Log work that leaves error and rate alone."""
        self.then(when, lambda: self.write(work=work, **cells))

    def set_hands(self, when: str, to: float) -> None:
        """Set the hands to within `to` seconds, and log by how much they were moved, to the second."""

        def event() -> None:
            moved = to - self.clock.error
            self.clock.error = to
            self.write(work="hands-set", amount=round(moved))

        self.then(when, event)

    def nut(self, when: str, turns: float, rate_change: float) -> None:
        """Turn the rating nut, and log it."""

        def event() -> None:
            self.clock.turn_nut(rate_change, held=1.0 if self.kit.balance else 8.0)
            self.write(work="nut", amount=turns)

        self.then(when, event)

    def unlogged_nut(self, when: str, turns: float, rate_change: float, told: str) -> None:
        """Turn the rating nut and tell nobody."""

        def event() -> None:
            self.clock.turn_nut(rate_change)
            self.hidden.append(Hidden("unlogged nut", self.clock.at, turns, told))

        self.then(when, event)

    def shift(self, when: str, hours: int) -> None:
        """Shift the hands by whole hours, so that others sound by day."""

        def event() -> None:
            self.clock.shift(hours)
            self.write(work="hours-shifted", amount=hours)

        self.then(when, event)

    def summer_time(self, when: str) -> None:
        """Held back an hour: from now on it shows winter time."""

        def event() -> None:
            self.clock.shows_offset -= timedelta(hours=1)
            self.write(work="summer-time", amount=-3600)

        self.then(when, event)

    def moon(self, *whens: str) -> None:
        """Read the moon's age on the dial, which moves by half days."""
        for when in whens:
            self.then(when, lambda: self.write(moon_age_d=round(2 * (self.clock.moon_age() + 0.6)) / 2))

    def unsettle(self, when: str, work: str, *, rate_sd: float, error_sd: float, **cells: object) -> None:
        """Beat, level or case: error and rate are new."""

        def event() -> None:
            self.clock.disturb(rate_sd, error_sd)
            self.write(work=work, **cells)

        self.then(when, event)

    # --- stops ------------------------------------------------------------------------------------------------

    def stops(self, when: str) -> None:
        """It stops at that time, unseen."""
        self.then(when, self.clock.stop)

    def found_hanging(self, when: str, work: str, **cells: object) -> None:
        """Find it hanging: dial and falls as it hung."""

        def event() -> None:
            self.write(dial=self.clock.hung_dial, **self._falls(), work=work, **cells)

        self.then(when, event)

    def restarted(self, when: str, error: float) -> None:
        """Set it going and to time."""

        def event() -> None:
            self.clock.restart(error)
            self.write(work="restarted")

        self.then(when, event)


@dataclass(frozen=True)
class Shop:
    """Where the stories play: one room, and one seed for all that chance does in it."""

    seed: int
    room: Room

    def begin(self, tag: str, start: str, columns: Row, kit: Kit, nature: Nature, *, error: float) -> Job:
        """A clock put on the stand at `start`, set to `error` seconds."""
        clock = SimClock(tag, nature, self.room, seed=self.seed, start=civil(start), error=error)
        on_stand = {"on_stand_at": civil(start).isoformat()}
        return Job(tag, {"tag": tag, **columns, **on_stand}, kit, clock)


def days(text: str) -> frozenset[str]:
    """The days that `text` names, "MM-DD" each."""
    return frozenset(text.split())
