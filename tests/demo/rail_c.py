"""Rail C, not read yet this morning: a 31-day wall clock, a longcase, a torsion clock, one still settling."""

from __future__ import annotations

from tests.demo.diary import Job, Kit, Shop, days
from tests.demo.stand import Nature


def _c1(shop: Shop) -> Job:
    """31-day wall clock, eleven days into its wind."""
    job = shop.begin(
        "2424",
        "11-09 09:30",
        {
            "description": "long-run wall clock, pressed dial",
            "kind": "spring-wall-31d",
            "position": "C1",
            "going_turns": 16,
            "strike_turns": 15,
            "unlock_deg": 3.6,
            "rod": "steel",
            "repaired": "mainsprings; suspension",
            "owner": "Culmarsh",
        },
        Kit("minute-hand", 12, swing_doubt=0.06, swing_step=0.1),
        Nature(rate=21.0, q1=5.0, q2=0.4, loses_per_c=0.4, curve=30, run_days=34, swing=5.0, swing_wind=0.2, beat=1.7),
        error=-190,
    )  # fmt: skip
    job.wound("11-09 09:40")
    job.unsettle("11-09 09:45", "beat-set", rate_sd=2, error_sd=5)
    job.rounds("11-10", "11-19", swing=days("11-11 11-16 11-19"), beat=days("11-11 11-13"))
    job.hear("11-11 11:00", "11-13 10:00", "11-17 15:00")
    return job


def _c2(shop: Shop) -> Job:
    """Longcase with a moon. On the ninth somebody turned its nut and told nobody."""
    job = shop.begin(
        "2418",
        "11-04 08:40",
        {
            "description": "moon in the arch, walnut",
            "kind": "longcase",
            "position": "C2",
            "going_kg": 5.2,
            "strike_kg": 5.6,
            "bob_below_top_mm": 740,
            "unlock_deg": 1.65,
            "swing_scale_mm": 985,
            "escapement": "anchor, recoil",
            "rod": "steel",
            "moon": "yes",
            "weight_order": "strike;going",
            "repaired": "moon work; strike hammer spring",
            "owner": "Fenwright",
            "promised_on": "2026-12-11",
        },
        Kit("seconds-hand", 13),
        Nature(
            rate=-9.5, q1=0.8, q2=0.05, loses_per_c=0.35, winding_loss=9,
            speed={"going": 163, "strike": 1.02}, floor={"going": 1402, "strike": 1402}, swing=2.45, beat=1.4,
        ),
        error=30,
    )  # fmt: skip
    job.wound("11-04 08:50")
    job.unsettle("11-04 08:55", "beat-set", rate_sd=0.3, error_sd=4)
    job.rounds("11-05", "11-19", falls="Mon Wed Fri", swing=days("11-06 11-11 11-16 11-18"),
               beat=days("11-06 11-09"), saturdays=True)  # fmt: skip
    job.wound("11-11 08:25")
    job.unlogged_nut("11-09 17:10", 0.5, 12.2, "nobody logged it")
    job.wound("11-17 08:25")
    job.moon("11-05 08:16", "11-18 08:16")
    job.hear("11-09 09:00", "11-10 10:00", "11-11 12:00", "11-16 11:00", "11-18 14:00")
    return job


def _c3(shop: Shop) -> Job:
    """Torsion clock, three weeks under its dome."""
    job = shop.begin(
        "2407",
        "10-29 10:00",
        {
            "description": "four balls, glass dome",
            "kind": "torsion",
            "position": "C3",
            "going_turns": 12,
            "repaired": "torsion strip; fork",
            "owner": "Lodgrave",
        },
        Kit("minute-hand", 14, swing_step=1.0, torsion=True),
        Nature(rate=-7.0, q1=5.0, q2=0.4, loses_per_c=1.0, run_days=420, curve=2, swing=318, overswing=(24, 27)),
        error=40,
    )  # fmt: skip
    job.wound("10-29 10:10")
    job.unsettle("10-29 10:30", "beat-set", rate_sd=2, error_sd=5)
    job.rounds("10-30", "11-19", swing=days("11-02 11-06 11-12 11-19"))
    return job


def _c4(shop: Shop) -> Job:
    """Weight-driven wall clock, put on the stand and set in beat yesterday: settling."""
    job = shop.begin(
        "2425",
        "11-19 10:00",
        {
            "description": "three weights, carved crest",
            "kind": "weight-wall",
            "position": "C4",
            "going_kg": 2.0,
            "strike_kg": 2.0,
            "rod": "wood",
            "escapement": "deadbeat",
            "repaired": "pallets; hour hand bush",
            "owner": "Ostwick",
        },
        Kit("minute-hand", 15),
        Nature(
            rate=-2.0, q1=0.4, q2=0.03, loses_per_c=0.15,
            speed={"going": 116, "strike": 0.74}, floor={"going": 977, "strike": 977}, swing=1.6, beat=1.0,
        ),
        error=-2,
    )  # fmt: skip
    job.wound("11-19 10:10")
    job.unsettle("11-19 10:20", "beat-set", rate_sd=0.2, error_sd=3)
    job.look("11-19 11:30", falls=True)
    job.look("11-19 16:30", falls=True)
    return job


RAIL_C = (_c1, _c2, _c3, _c4)
"""Its clocks, each with its story to come."""
