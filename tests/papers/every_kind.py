"""A release of a clock of each kind, with what its kind brings: invented clocks of an invented shop."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from standwatch.horology.kinds import KINDS, traits_of
from standwatch.model.answers import NotYetKnown, Quantity
from standwatch.model.facts import Clock
from standwatch.model.records import build
from standwatch.model.release import Hanging, Home, Judged, ReleaseRecord, Strikes
from standwatch.model.words import KindName, Outcome, Requirement, Train

AT = datetime(2026, 11, 20, 8, 20, tzinfo=UTC)
RELEASED_KINDS = tuple(kind for kind in KindName if kind is not KindName.REFERENCE)
_DAY = timedelta(days=1)

CELLS: dict[KindName, dict[str, object]] = {
    KindName.REGULATOR: {"going_kg": 3.2, "unlock_deg": 0.92, "swing_scale_mm": 995, "case_fall_mm": 1500},
    KindName.WEIGHT_WALL: {"going_kg": 1.9, "strike_kg": 2.1, "unlock_deg": 1.05},
    KindName.LONGCASE: {
        "description": "painted dial, swan-neck hood, rocking ship",
        "going_kg": 5.4,
        "strike_kg": 5.2,
        "case_fall_mm": 1480,
        "unlock_deg": 1.6,
        "swing_scale_mm": 980,
        "moon": "yes",
        "home_site": "52.5,40",
        "home_temperature_c": 20,
    },
    KindName.LONGCASE_30H: {"going_kg": 4.6, "unlock_deg": 1.75},
    KindName.FLOOR_CHIMING: {
        "description": "tubular bells, three weights, arched dial",
        "going_kg": 9.5,
        "strike_kg": 9.5,
        "chime_kg": 12.0,
        "unlock_deg": 2.3,
        "tunes": "Westminster;Vesper;Meadow",
        "night_silence": "22:00-07:00",
        "hazards": "weights over 9 kg; mercury pendulum",
    },
    KindName.CUCKOO: {"going_kg": 0.275, "strike_kg": 0.275, "half_hour": "yes"},
    KindName.SPRING_WALL: {"going_turns": 14, "strike_turns": 14, "unlock_deg": 3.9},
    KindName.SPRING_WALL_31D: {"going_turns": 16, "strike_turns": 15},
    KindName.MANTEL: {"going_turns": 11, "strike_turns": 12, "unlock_deg": 3.3, "half_hour": "yes"},
    KindName.BRACKET: {"going_turns": 16, "strike_turns": 16},
    KindName.MANTEL_CHIMING: {"going_turns": 14, "strike_turns": 15, "chime_turns": 15, "balance": "alloy"},
    KindName.CARRIAGE: {"going_turns": 7, "strike_turns": 8, "balance": "cut", "hazards": "radium on the hands"},
    KindName.TORSION: {"going_turns": 12},
    KindName.REFERENCE: {},
}


def clock_of(kind: KindName, **cells: object) -> Clock:
    """A clock of `kind`, with what such a clock usually tells, and `cells` beside or instead."""
    told = {"tag": "2417", "kind": kind, "owner": "Quillane", "promised_on": "2026-12-04", **CELLS[kind], **cells}
    return build(Clock, {name: value for name, value in told.items() if value is not None})


def released(kind: KindName, **cells: object) -> ReleaseRecord:
    """The release of `clock_of(kind)`, everything met."""
    clock = clock_of(kind, **cells)
    traits = traits_of(clock)
    row = KINDS[kind]
    units = {"pendulum": "%", "balance": "ms", "torsion": "°"}
    limits = {Requirement.AMPLITUDE: traits.swing_limit, Requirement.BEAT: traits.beat_limit}
    pendulum = row.oscillator == "pendulum"
    return ReleaseRecord(
        tag=clock.tag,
        at=AT,
        by="K. Moss",
        program="0.4.0",
        rules="2",
        clock=clock,
        outcomes=tuple(Judged(name=name, outcome=Outcome.MET, limit=limits.get(name)) for name in Requirement),
        error_s=Quantity(-39.1, -40.5, -37.7),
        rate_s_per_day=Quantity(-3.4, -4.5, -2.3),
        drift_s_per_day2=Quantity(0.02, -0.18, 0.22),
        amplitude_deg=Quantity(row.half_swing_deg, row.half_swing_deg * 0.95, row.half_swing_deg * 1.05),
        days=24.0,
        facts=("a", "b"),
        digest="51" * 32,
        zone="Europe/London",
        shop="Thornbury & Vale, clock restorers",
        position="A3",
        days_needed=16.0,
        beat=0.9,
        beat_unit=units[row.oscillator],
        rate_named="at 20 °C",
        home=Home(
            days=14.0,
            error_s=Quantity(-95.0, -425.0, 235.0),
            move_s_per_day=12.0 if pendulum else 5.0,
            follow_ups=4,
            site_s_per_day=Quantity.normal(4.1, 2.2) if pendulum and clock.home_site else None,
            room_s_per_day=Quantity.normal(-0.8, 0.4) if clock.home_temperature_c else NotYetKnown("no warmth is told"),
            from_site="51.5,20",
            to_site=clock.home_site or "",
        ),
        strikes=Strikes(heard=14, wrong=0, allow=3 / 14) if Train.STRIKE in traits.trains else None,
        trains=tuple(
            Hanging(
                train=train,
                wound_at=AT - 2 * _DAY,
                fall_mm=Quantity.normal(traits.fall_mm_per_day * 2, 3.0)
                if traits.weights
                else NotYetKnown("a spring drives it"),
                runs_out=AT + 6 * _DAY,
                kg=getattr(clock, f"{train}_kg"),
                turns=getattr(clock, f"{train}_turns"),
            )
            for train in traits.trains
        ),
        first_call_days=(2, 14) if clock.movement_only else (14,),
        warranty_months=12,
    )
