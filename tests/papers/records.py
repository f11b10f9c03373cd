"""Records of releases made by hand, each with what a paper must bear: invented clocks of an invented shop."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from math import sin

from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.facts import Clock
from standwatch.model.release import (
    DailyRates,
    Done,
    Hanging,
    Home,
    Judged,
    Point,
    RateOfDay,
    Reading,
    ReleaseRecord,
    Strikes,
    Warmth,
)
from standwatch.model.words import KindName, Outcome, Requirement, Train

AT = datetime(2026, 11, 20, 8, 20, tzinfo=UTC)
DIGEST = "51ce25adc757629adad9375518877375b47dcd22db4521d5120e169f528c118f"
R = Requirement
_DAY = timedelta(days=1)


def full_longcase() -> ReleaseRecord:
    """Everything known, all met; the shop asks more of its rate and less of its days than is usual."""
    return ReleaseRecord(
        **_common("2398", KindName.LONGCASE, owner="Pellworth", description="painted dial, swan-neck hood"),
        outcomes=_longcase_outcomes(),
        error_s=Quantity(-39.1, -40.5, -37.7),
        rate_s_per_day=Quantity(-3.4, -4.5, -2.3),
        drift_s_per_day2=Quantity(0.02, -0.18, 0.22),
        amplitude_deg=Quantity(2.5, 2.35, 2.65),
        spare_pct=Quantity(56.2, 47.1, 65.4),
        beat=0.9,
        beat_unit="%",
        daily=DailyRates(days=8, mean=-1.62, mean_variation=0.675, greatest_variation=1.4, greatest_difference=0.82),
        rates=_rates(24, -3.0),
        readings=_readings(38),
        trace=_trace(38),
        works=_works(14),
        warmth=Warmth(mean_c=18.4, low_c=17.8, high_c=19.1, readings=13),
        home=Home(
            days=14.0,
            error_s=Quantity(-95.0, -425.0, 235.0),
            move_s_per_day=12.0,
            follow_ups=0,
            site_s_per_day=Quantity(4.1, 3.9, 4.3),
            room_s_per_day=Quantity(-0.8, -1.6, 0.0),
            from_site="51.5,20",
            to_site="52.5,40",
        ),
        strikes=Strikes(heard=14, wrong=0, allow=3 / 14),
        trains=(
            _hanging(Train.GOING, Quantity(168.0, 161.7, 174.2), kg=5.4),
            _hanging(Train.STRIKE, NotYetKnown("nothing read since it was wound"), kg=5.4),
        ),
    )


def floor_chiming_waived() -> ReleaseRecord:
    """Two requirements waived, hazards, leads, and more works than a chart can name."""
    waived = {R.OIL: ("owner's wedding on Saturday; looked at on the first call", Outcome.NOT_YET_KNOWN)}
    waived[R.DAY_RANGE] = ("the stand's floor was being sanded", Outcome.MISSED)
    return ReleaseRecord(
        **_common(
            "2417",
            KindName.FLOOR_CHIMING,
            owner="Ottilie Brandreth",
            hazards="mercury pendulum; radium on the hands",
            repaired="three mainsprings; chime locking",
        ),
        outcomes=tuple(_judged(name, *waived.get(name, (None, None))) for name in Requirement),
        error_s=Quantity(14.0, 8.0, 20.0),
        rate_s_per_day=Quantity(6.2, 5.1, 7.3),
        drift_s_per_day2=NotYetKnown("one wind only since the nut was turned"),
        amplitude_deg=Quantity(3.1, 3.0, 3.2),
        spare_pct=NotYetKnown("no unlocking point given"),
        readings=_readings(30),
        trace=_trace(30),
        rates=_rates(12, 6.0),
        works=_works(44),
        home=Home(
            days=14.0, error_s=NotYetKnown("the rate was opened three days ago"), move_s_per_day=9.3, follow_ups=7
        ),
        strikes=Strikes(heard=31, wrong=1),
        leads=("the swing falls by 1.1 % a week (74 % likely): look at endshake and escape pivots",),
    )


def torsion() -> ReleaseRecord:
    """A clock whose swing and beat are its overswing; nothing strikes, nothing hangs."""
    outcomes = [_judged(name) for name in Requirement]
    return ReleaseRecord(
        **_common("2402", KindName.TORSION, owner="Ainsley Thorncombe", promised_on=AT.date()),
        outcomes=tuple(outcomes),
        error_s=Quantity(120.0, 90.0, 150.0),
        rate_s_per_day=Quantity(8.0, 2.0, 14.0),
        drift_s_per_day2=Quantity(0.4, 0.1, 0.7),
        amplitude_deg=Quantity(310.0, 300.0, 320.0),
        beat=6.0,
        beat_unit="°",
        readings=_readings(34),
        trace=_trace(34),
        rates=_rates(11, 8.0),
        home=Home(days=14.0, error_s=Quantity(112.0, -60.0, 290.0), move_s_per_day=5.0),
    )


def carriage() -> ReleaseRecord:
    """A movement sent home alone, no chart at all."""
    return ReleaseRecord(
        **_common("2405", KindName.CARRIAGE, movement_only=True, owner="J. Falconer"),
        outcomes=tuple(_judged(name) for name in Requirement if name is not R.OWN_CASE),
        error_s=NotYetKnown("not read since it was cased"),
        rate_s_per_day=Quantity(2.0, -1.0, 5.0),
        drift_s_per_day2=NotYetKnown("too few winds"),
        amplitude_deg=Quantity(245.0, 226.0, 264.0),
        beat=0.7,
        beat_unit="ms",
        works=_works(6),
        strikes=Strikes(heard=0, wrong=0),
        trains=(_hanging(Train.GOING, NotYetKnown("a spring drives it"), turns=14.0),),
    )


def edition_one() -> ReleaseRecord:
    """What the first edition kept and no more."""
    return ReleaseRecord(
        tag="1907",
        at=datetime(2025, 3, 4, 9, 30, tzinfo=UTC),
        by="K. Moss",
        program="0.1.0",
        rules="1",
        clock=Clock(tag="1907", kind=KindName.MANTEL, owner="Wexcombe"),
        outcomes=(
            Judged(name=R.CONTINUOUS_RUNNING, outcome=Outcome.MET, observed=17.2, limit=16.0, because="17.2 days"),
            Judged(name=R.MEAN_RATE, outcome=Outcome.MET, observed=Quantity(3.0, 1.0, 5.0), limit=25.0),
            Judged(name=R.OIL, outcome=Outcome.WAIVED, waived="case is glued", found=Outcome.NOT_YET_KNOWN),
            Judged(name=R.MOON, outcome=Outcome.NOT_APPLICABLE, because="no moon on this dial"),
        ),
        error_s=Quantity(61.0, 55.0, 67.0),
        rate_s_per_day=Quantity(3.0, 1.0, 5.0),
        drift_s_per_day2=NotYetKnown("too few winds"),
        amplitude_deg=NotYetKnown("never read"),
        days=17.2,
        facts=("a1", "a2", "a3"),
        digest=DIGEST[::-1],
    )


def every_record() -> dict[str, ReleaseRecord]:
    """All of them, by what they are for."""
    return {
        "longcase": full_longcase(),
        "waived": floor_chiming_waived(),
        "torsion": torsion(),
        "carriage": carriage(),
        "edition one": edition_one(),
    }


def _common(tag: str, kind: KindName, **cells: object) -> dict[str, object]:
    clock: dict[str, object] = {"tag": tag, "kind": kind, "repaired": "pivots and bushes; strike rack", **cells}
    return {
        "tag": tag,
        "at": AT,
        "by": "K. Moss",
        "program": "0.4.0",
        "rules": "2",
        "clock": Clock.model_validate(clock),
        "days": 38.04,
        "facts": tuple(f"01k{number:04d}" for number in range(62)),
        "digest": DIGEST,
        "zone": "Europe/London",
        "shop": "Thornbury & Vale, clock restorers",
        "position": "A1",
        "days_needed": 16.0,
        "opened_at": AT - 39 * _DAY,
        "rate_named": "at 20 °C",
        "first_call_days": (14,),
        "warranty_months": 12,
    } | ({"first_call_days": (2, 14)} if cells.get("movement_only") else {})


def _longcase_outcomes() -> tuple[Judged, ...]:
    def met(name: Requirement, because: str, limit: float | None, unit: str, usual: float | None = None) -> Judged:
        return Judged(name=name, outcome=Outcome.MET, because=because, limit=limit, unit=unit, usual=usual or limit)

    return (
        met(R.CONTINUOUS_RUNNING, "38.0 days without a stop since Tue 13 Oct 08:00", 14.0, "days", 16.0),
        met(R.FULL_DURATION, "one run of each train: going 206 h and strike 206 h", 204.0, "hours", 204.0),
        met(R.WEIGHT_PASSAGE, "through 5 winds, the last from Thu 12 Nov", 2.0, "winds"),
        met(R.MEAN_RATE, "−3.4 ±1.1 s/day, over 14 days", 7.0, "s/day", 10.0),
        met(R.DAY_RANGE, "2.4 ±2.5 s/day over five days", 8.0, "s/day", 8.0),
        met(R.AMPLITUDE, "53 % to spare, 25 wanted, at its lowest of 3 readings", 25.0, "%", 25.0),
        met(R.BEAT, "0.9 %, and right Sat 7 Nov", 4.0, "%"),
        met(R.TWELVE_COUNTS, "each hour heard: 14 strikes and none wrong", 12.0, "hours"),
        Judged(name=R.CHIME_STEP, outcome=Outcome.NOT_APPLICABLE, because="does not chime"),
        Judged(name=R.MOON, outcome=Outcome.NOT_APPLICABLE, because="no moon on this dial"),
        met(R.OIL, "clear after 14 days, mk", 7.0, "days"),
        met(R.OWN_CASE, "in its case since Thu 5 Nov: 7.0 days gone", 1.0, "days"),
        met(R.SAFETY, "mk on Thu 5 Nov", None, ""),
    )


def _judged(name: Requirement, waived: str | None = None, found: Outcome | None = None) -> Judged:
    because = f"shown as {name.value} is shown" if name is not R.MEAN_RATE else ""
    return Judged(
        name=name,
        outcome=Outcome.WAIVED if waived else Outcome.MET,
        observed=Quantity(6.2, 5.1, 7.3) if name is R.MEAN_RATE else None,
        limit=8.0 if name is R.MEAN_RATE else None,
        unit="s/day" if name is R.MEAN_RATE else "",
        because=because,
        waived=waived,
        found=found,
    )


def _hanging(train: Train, fall: Quantity | NotYetKnown, **given: float) -> Hanging:
    return Hanging(
        train=train,
        wound_at=AT - _DAY,
        fall_mm=fall,
        runs_out=AT + 8 * _DAY,
        kg=given.get("kg"),
        turns=given.get("turns"),
    )


def _error(day: float) -> float:
    """A clock that gains, with the nut turned after a while and the hands set once."""
    return (4.0 * day + 6 * sin(day)) if day < 20 else 20.0 - 1.5 * (day - 20)


def _readings(days: int) -> tuple[Reading, ...]:
    start = AT - days * _DAY
    return tuple(
        Reading(at=start + n * _DAY, error_s=_error(n) + (60.0 if n == 9 else 0.0), sound=n != 9)
        for n in range(days + 1)
        if n % 7 not in {4, 5}
    )


def _trace(days: int) -> tuple[Point, ...]:
    start = AT - days * _DAY
    return tuple(
        Point(
            at=start + n * _DAY / 4,
            error_s=_error(n / 4),
            low=_error(n / 4) - 3,
            high=_error(n / 4) + 3,
            starts=n in {0, 80},
        )
        for n in range(days * 4 + 1)
    )


def _rates(days: int, rate: float) -> tuple[RateOfDay, ...]:
    return tuple(
        RateOfDay(
            at=AT - (days - n) * _DAY,
            rate_s_per_day=NotYetKnown("not read that day")
            if n == 5
            else Quantity(rate + sin(n), rate + sin(n) - 1.5, rate + sin(n) + 1.5),
        )
        for n in range(days)
    )


def _works(count: int) -> tuple[Done, ...]:
    words = ("wound to the top", "bob raised 0.5 turns", "hands set 2:25 forward", "oil looked at (mk)", "beat set")
    return tuple(Done(at=AT - (count - n) * _DAY * 0.8, words=words[n % len(words)]) for n in range(count))
