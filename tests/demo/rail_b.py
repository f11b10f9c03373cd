"""Rail B: a cuckoo run out, a suspect reading, a chimer that may go, a carriage clock, a slip, a bracket clock."""

from __future__ import annotations

from tests.demo.diary import Job, Kit, Shop, days
from tests.demo.stand import Nature


def _b1(shop: Shop) -> Job:
    """Thirty-hour cuckoo, wound late on Wednesday and forgotten on Thursday: run out in the night."""
    job = shop.begin(
        "2409",
        "11-16 09:00",
        {
            "description": "carved leaves, cuckoo only",
            "kind": "cuckoo",
            "position": "B1",
            "going_kg": 0.275,
            "strike_kg": 0.275,
            "rod": "wood",
            "weight_order": "going;strike",
            "repaired": "bellows; chain guides",
            "owner": "Brindlecote",
        },
        Kit("minute-hand", 6, swing_doubt=0.06, swing_step=0.1),
        Nature(
            rate=18.0, q1=7.0, q2=0.6, loses_per_c=0.2,
            speed={"going": 1365, "strike": 8.7}, floor={"going": 1725, "strike": 1725},
            swing=6.8, swing_wind=0.0, beat=1.9, run_days=1.25,
        ),
        error=15,
    )  # fmt: skip
    job.wound("11-16 09:05")
    job.unsettle("11-16 09:10", "beat-set", rate_sd=3, error_sd=5)
    job.rounds("11-17", "11-19", falls="Tue Wed Thu", swing=days("11-18"), beat=days("11-18"))
    job.wound("11-17 08:15")
    job.wound("11-18 08:15")
    job.hear("11-17 10:00", "11-18 12:00", "11-19 09:00")
    job.wound("11-18 17:30")
    job.found_hanging("11-20 08:06", "ran-out")
    return job


def _b2(shop: Shop) -> Job:
    """Spring-driven wall clock, read five minutes fast this morning: look again."""
    job = shop.begin(
        "2414",
        "11-13 09:00",
        {
            "description": "octagonal drop-dial",
            "kind": "spring-wall",
            "position": "B2",
            "going_turns": 14,
            "strike_turns": 14,
            "unlock_deg": 3.9,
            "rod": "steel",
            "repaired": "mainspring; pallet faces",
            "owner": "Sorrensby",
        },
        Kit("minute-hand", 7, swing_doubt=0.06, swing_step=0.1),
        Nature(
            rate=12.0, q1=4.0, q2=0.35, loses_per_c=0.4, curve=24, run_days=9.5, swing=5.1, swing_wind=0.12, beat=1.6,
        ),
        error=-8,
    )  # fmt: skip
    job.wound("11-13 09:10")
    job.unsettle("11-13 09:15", "beat-set", rate_sd=1, error_sd=5)
    job.rounds("11-14", "11-19", swing=days("11-16 11-18 11-19"), beat=days("11-16 11-17"), saturdays=True)
    job.wound("11-16 08:20", turns={"going": 4.5, "strike": 4.5})
    job.hear("11-16 10:00", "11-17 11:00", "11-18 13:00")
    job.misread("11-20 08:07", 300.0, "five minutes too fast by the figure typed")
    return job


def _b3(shop: Shop) -> Job:
    """Mantel chiming, every requirement shown: tunes, mis-sets, full run, and a fortnight in its own case."""
    job = shop.begin(
        "2391",
        "10-12 09:00",
        {
            "description": "oak, three tunes, floating balance",
            "kind": "mantel-chiming",
            "position": "B3",
            "going_turns": 14,
            "strike_turns": 15,
            "chime_turns": 15,
            "balance": "alloy",
            "escapement": "lever",
            "tunes": "Westminster;Vesper;Meadow",
            "repaired": "three mainsprings; chime locking",
            "owner": "Wexcombe",
            "promised_on": "2026-11-25",
        },
        Kit("minute-hand", 8, swing_doubt=0.02, swing_step=1.0, balance=True),
        Nature(
            rate=2.0, q1=2.6, q2=0.2, loses_per_c=0.3, curve=16, run_days=10.2, swing=258, swing_wind=0.08, beat=0.6,
        ),
        error=5,
    )  # fmt: skip
    job.wound("10-12 09:05")
    job.rounds("10-13", "11-20", swing=days("10-14 10-19 10-26 11-09 11-12 11-16 11-19"),
               beat=days("10-13 10-15 11-07 11-16"), saturdays=True)  # fmt: skip
    for day, tune in (("10-13", 1), ("10-14", 2), ("10-15", 3)):
        job.done(f"{day} 10:05", "tune", amount=tune)
        job.chime(f"{day} 10:15", f"{day} 10:30", f"{day} 10:45")
        job.hear(f"{day} 11:00")
    job.done("10-16 10:05", "tune", amount=0)
    job.chime("10-16 10:15", state="silent")
    job.done("10-16 10:20", "tune", amount=1)
    job.chime("10-16 10:30")
    job.wound("10-19 08:12", turns={"going": 9.5, "strike": 10, "chime": 10})
    job.done("10-20 10:05", "mis-set", amount=1)
    job.hear("10-20 11:00")
    job.done("10-21 11:05", "mis-set", amount=2)
    job.chime("10-21 11:15", state="out-of-step")
    job.hear("10-21 13:00")
    job.done("10-22 13:05", "mis-set", amount=3)
    job.hear("10-22 14:00", "10-22 15:00", "10-23 10:00", "10-23 12:00", "10-23 16:00", "10-23 17:00")
    job.summer_time("10-26 08:30")
    job.hear("10-26 18:00")
    job.wound("10-26 18:05", turns={"going": 10, "strike": 10.5, "chime": 10.5})
    job.done("10-27 09:15", "oil-checked", amount=0, note="mk")
    job.shift("10-28 16:35", 2)
    job.hear("10-28 17:00")
    job.shift("10-28 17:30", 10)
    job.hear("10-30 09:00", "11-04 08:00")
    job.wound("11-04 08:12", turns={"going": 12, "strike": 12.5, "chime": 12.5})
    job.unsettle("11-05 08:30", "cased", rate_sd=0.8, error_sd=2)
    job.wound("11-05 08:33", turns={"going": 1.5, "strike": 1.5, "chime": 1.5})
    job.set_hands("11-05 08:40", 3.0)
    job.done("11-05 08:55", "safety-checked", note="mk")
    job.hear("11-06 12:00")
    job.chime("11-06 12:15", "11-06 12:30", "11-06 12:45")
    job.hear("11-10 10:00")
    job.wound("11-12 08:12", turns={"going": 9.5, "strike": 10, "chime": 10})
    job.hear("11-17 09:00")
    job.wound("11-19 08:12", turns={"going": 9.5, "strike": 10, "chime": 10})
    job.chime("11-20 08:15")
    return job


def _b4(shop: Shop) -> Job:
    """Carriage clock, all well so far; seven is the hour that no shop hears."""
    job = shop.begin(
        "2419",
        "11-12 08:30",
        {
            "description": "gilt, strike on a gong, travelling case",
            "kind": "carriage",
            "position": "B4",
            "going_turns": 7,
            "strike_turns": 8,
            "balance": "cut",
            "escapement": "lever",
            "repaired": "platform cleaned; balance staff",
            "owner": "Yarlow",
            "promised_on": "2026-12-09",
        },
        Kit("minute-hand", 9, swing_doubt=0.02, swing_step=1.0, balance=True),
        Nature(rate=5.6, q1=2.6, q2=0.2, loses_per_c=0.5, curve=14, run_days=9.8, swing=252, swing_wind=0.1, beat=0.7),
        error=-12,
    )  # fmt: skip
    job.wound("11-12 08:35")
    job.rounds("11-13", "11-20", swing=days("11-14 11-16 11-18 11-19"), beat=days("11-14 11-17"), saturdays=True)
    job.hear("11-12 12:00", "11-12 14:00", "11-13 09:00", "11-13 10:00", "11-16 11:00", "11-16 13:00")
    job.hear("11-17 15:00", "11-17 16:00", "11-18 17:00", "11-18 18:00", "11-19 08:00")
    job.wound("11-19 08:20", turns={"going": 5, "strike": 5.5})
    return job


def _b5(shop: Shop) -> Job:
    """Floor chiming: this morning it chimed a quarter out of step, and nobody had touched it."""
    job = shop.begin(
        "2422",
        "11-13 11:00",
        {
            "description": "mahogany, rods, three weights",
            "kind": "floor-chiming",
            "position": "B5",
            "going_kg": 4.0,
            "strike_kg": 4.0,
            "chime_kg": 5.5,
            "bob_below_top_mm": 800,
            "unlock_deg": 2.1,
            "rod": "wood",
            "tunes": "Westminster",
            "weight_order": "strike;going;chime",
            "repaired": "chime warning pin; lines",
            "owner": "Tolverne",
        },
        Kit("minute-hand", 10),
        Nature(
            rate=-1.7, q1=0.9, q2=0.06, loses_per_c=0.2, winding_loss=9,
            speed={"going": 133, "strike": 0.84, "chime": 0.135},
            floor={"going": 1147, "strike": 1147, "chime": 1147}, swing=3.25, beat=1.0,
        ),
        error=6,
    )  # fmt: skip
    job.wound("11-13 11:10")
    job.unsettle("11-13 11:15", "beat-set", rate_sd=0.3, error_sd=4)
    job.rounds("11-14", "11-20", falls="Mon Wed Fri", swing=days("11-16 11-18 11-19"), beat=days("11-16 11-17"),
               saturdays=True)  # fmt: skip
    job.wound("11-16 08:25")
    job.hear("11-16 10:00", "11-17 09:00", "11-18 11:00", "11-19 12:00")
    job.chime("11-17 09:15", "11-18 10:30", "11-19 08:45")
    job.chime("11-20 08:15", state="out-of-step")
    return job


def _b6(shop: Shop) -> Job:
    """Bracket clock with a fusee, wound a week ago: wind it before the weekend."""
    job = shop.begin(
        "2396",
        "11-06 10:00",
        {
            "description": "ebonised, pull repeat, engraved backplate",
            "kind": "bracket",
            "position": "B6",
            "going_turns": 16,
            "strike_turns": 16,
            "unlock_deg": 3.1,
            "rod": "brass",
            "escapement": "anchor conversion",
            "repaired": "fusee chain; repeat springs",
            "owner": "Ibbetsby",
            "promised_on": "2026-12-16",
        },
        Kit("minute-hand", 11, swing_doubt=0.06, swing_step=0.1),
        Nature(rate=4.8, q1=1.8, q2=0.15, loses_per_c=0.6, run_days=8.7, swing=4.4, swing_wind=0.03, beat=1.4),
        error=20,
    )  # fmt: skip
    job.wound("11-06 10:10")
    job.unsettle("11-06 10:20", "beat-set", rate_sd=0.6, error_sd=5)
    job.rounds("11-09", "11-20", swing=days("11-09 11-12 11-13 11-18 11-19"), beat=days("11-09 11-11"))
    job.wound("11-13 08:25", turns={"going": 12.5, "strike": 12.5})
    job.hear("11-09 09:00", "11-09 10:00", "11-10 11:00", "11-10 12:00", "11-11 13:00", "11-12 14:00")
    job.hear("11-13 15:00", "11-16 16:00", "11-17 17:00", "11-18 08:00")
    job.done("11-16 09:00", "oil-checked", amount=0, note="mk")
    return job


RAIL_B = (_b1, _b2, _b3, _b4, _b5, _b6)
"""Its clocks, each with its story to come."""
