"""Rail A: a longcase that may go, one to adjust, a chimer that falls off, a mantel clock that stopped, a regulator."""

from __future__ import annotations

from tests.demo.diary import Job, Kit, Shop, days
from tests.demo.stand import Nature


def _a1(shop: Shop) -> Job:
    """Longcase, every requirement shown: five weeks on the stand, the last two in its own case."""
    job = shop.begin(
        "2398",
        "10-12 08:30",
        {
            "description": "painted dial, swan-neck hood, rocking ship",
            "kind": "longcase",
            "position": "A1",
            "going_usable_mm": 1500,
            "strike_usable_mm": 1500,
            "case_fall_mm": 1480,
            "going_kg": 5.4,
            "strike_kg": 5.4,
            "bob_below_top_mm": 760,
            "unlock_deg": 1.6,
            "swing_scale_mm": 980,
            "escapement": "anchor, recoil",
            "rod": "steel",
            "weight_order": "strike;going",
            "repaired": "pivots and bushes; strike rack",
            "owner": "Tessaly",
            "home_site": "52.1,34",
            "promised_on": "2026-11-27",
        },
        Kit("seconds-hand", 0),
        Nature(
            rate=-14.5, q1=0.9, q2=0.05, loses_per_c=0.35, winding_loss=9,
            speed={"going": 158, "strike": 0.96}, floor={"going": 1500, "strike": 1500}, swing=2.55, beat=1.2,
        ),
        error=4,
    )  # fmt: skip
    job.wound("10-12 08:40")
    job.unsettle("10-12 08:45", "beat-set", rate_sd=0.3, error_sd=4)
    job.rounds("10-13", "11-20", falls="Mon Wed Fri", swing=days("10-14 10-19 10-26 11-09 11-12 11-16 11-19"),
               beat=days("10-14 10-16 11-07 11-13"), saturdays=True, warm=True)  # fmt: skip
    job.nut("10-16 08:20", 0.5, 12.6)
    job.hear("10-20 09:00", "10-20 10:00", "10-21 11:00", "10-21 12:00", "10-22 13:00", "10-22 14:00")
    job.hear("10-22 15:00", "10-23 16:00", "10-23 17:00")
    job.wound("10-19 08:05")
    job.summer_time("10-26 08:25")
    job.hear("10-26 18:00")
    job.wound("10-26 18:05")
    job.done("10-27 09:10", "oil-checked", amount=0, note="mk")
    job.shift("10-28 16:30", 2)
    job.hear("10-28 17:00")
    job.shift("10-28 17:20", 10)
    job.hear("11-04 08:01")
    job.wound("11-04 08:05")
    job.unsettle("11-05 08:30", "cased", rate_sd=0.4, error_sd=3)
    job.wound("11-05 08:35")
    job.set_hands("11-05 08:40", 2.0)
    job.done("11-05 08:50", "safety-checked", note="mk")
    job.hear("11-06 12:00", "11-10 09:00")
    job.wound("11-12 08:05")
    job.wound("11-19 08:05")
    return job


def _a2(shop: Shop) -> Job:
    """Weight-driven wall clock that gains nine seconds a day: the bob wants lowering."""
    job = shop.begin(
        "2405",
        "11-12 09:30",
        {
            "description": "walnut, two weights, enamel dial",
            "kind": "weight-wall",
            "position": "A2",
            "seconds_hand": "yes",
            "seconds_turn_s": 46.5,
            "going_kg": 1.9,
            "strike_kg": 2.1,
            "unlock_deg": 1.05,
            "rod": "wood",
            "escapement": "deadbeat",
            "repaired": "suspension; going barrel click",
            "owner": "Thimblow",
            "promised_on": "2026-12-11",
        },
        Kit("minute-hand", 1),
        Nature(
            rate=9.2, q1=0.4, q2=0.03, loses_per_c=0.15,
            speed={"going": 112, "strike": 0.72}, floor={"going": 977, "strike": 977}, swing=1.7, beat=1.1,
        ),
        error=6,
    )  # fmt: skip
    job.wound("11-12 09:40")
    job.unsettle("11-12 09:45", "beat-set", rate_sd=0.2, error_sd=3)
    job.rounds("11-13", "11-20", falls="Mon Fri", swing=days("11-14 11-18 11-19"), beat=days("11-14 11-17"),
               saturdays=True)  # fmt: skip
    job.hear("11-13 10:00", "11-16 09:00", "11-16 11:00", "11-17 12:00", "11-18 14:00", "11-19 16:00")
    job.wound("11-17 08:25")
    return job


def _a3(shop: Shop) -> Job:
    """Floor chiming: stopped once and explained, nut turned, swing falling; its first full run ends on Sunday."""
    job = shop.begin(
        "2417",
        "10-30 10:00",
        {
            "description": "tubular bells, three weights, arched dial",
            "kind": "floor-chiming",
            "position": "A3",
            "going_kg": 9.5,
            "strike_kg": 9.5,
            "chime_kg": 12.0,
            "bob_below_top_mm": 820,
            "unlock_deg": 2.3,
            "rod": "wood",
            "night_silence": "22:00-07:00",
            "tunes": "Westminster;Vesper;Meadow",
            "weight_order": "strike;going;chime",
            "repaired": "chime barrel; going great wheel bush",
            "hazards": "weights over 9 kg; feet clear",
            "owner": "Quillane",
            "promised_on": "2026-12-04",
        },
        Kit("minute-hand", 2),
        Nature(
            rate=-14.0, q1=0.9, q2=0.06, loses_per_c=0.2, winding_loss=10,
            speed={"going": 136, "strike": 0.85, "chime": 0.2},
            floor={"going": 1147, "strike": 1147, "chime": 1147},
            swing=3.62, swing_week=0.055, beat=1.3, silence=(22, 7),
        ),
        error=-20,
    )  # fmt: skip
    job.wound("10-30 10:10")
    job.unsettle("10-30 10:20", "beat-set", rate_sd=0.3, error_sd=4)
    swing = "11-02 11-03 11-04 11-05 11-06 11-09 11-10 11-12 11-13 11-16 11-17 11-18 11-19 11-20"
    job.rounds("11-02", "11-20", falls="Mon Wed Fri", swing=days(swing), beat=days("11-02 11-04"),
               skip=days("11-11"))  # fmt: skip
    job.wound("11-06 08:20")
    job.nut("11-06 08:30", 0.66, 20.4)
    job.look("11-06 17:00")
    job.stops("11-10 21:12")
    job.found_hanging(
        "11-11 08:02", "stopped", explained="yes", note="chime weight had turned and caught the door frame"
    )
    job.restarted("11-11 08:12", -14.0)
    job.look("11-11 17:00", falls=True)
    job.hear("11-12 09:00", "11-12 10:00", "11-12 11:00", "11-12 12:00")
    job.hear("11-13 13:00", "11-13 14:00", "11-13 15:00", "11-13 16:00", "11-13 17:00", "11-13 18:00")
    job.wound("11-13 18:05")
    job.done("11-17 10:05", "mis-set", amount=1)
    job.chime("11-17 10:15", state="out-of-step")
    job.hear("11-17 11:00")
    job.chime("11-20 08:15")
    job.hear("11-18 08:00")
    return job


def _a4(shop: Shop) -> Job:
    """Mantel clock that went eleven days and stands still this morning, nobody knows why."""
    job = shop.begin(
        "2411",
        "11-09 09:00",
        {
            "description": "black slate, round movement, bell",
            "kind": "mantel",
            "position": "A4",
            "going_turns": 11,
            "strike_turns": 12,
            "unlock_deg": 3.3,
            "escapement": "visible, jewelled pallets",
            "rod": "steel",
            "repaired": "mainsprings; escape pivot",
            "owner": "Marrack",
            "promised_on": "2026-12-18",
            "earlier_tag": "2346",
        },
        Kit("minute-hand", 3, swing_doubt=0.06, swing_step=0.1),
        Nature(rate=9.4, q1=3.0, q2=0.25, loses_per_c=0.4, curve=18, run_days=10, swing=5.2, swing_wind=0.15, beat=1.5),
        error=10,
    )  # fmt: skip
    job.wound("11-09 09:10")
    job.unsettle("11-09 09:15", "beat-set", rate_sd=1, error_sd=5)
    job.rounds("11-10", "11-19", swing=days("11-11 11-13 11-16 11-18"), beat=days("11-11 11-13"))
    job.wound("11-16 08:20", turns={"going": 7.5, "strike": 8})
    job.hear("11-10 10:00", "11-11 11:00", "11-12 12:00", "11-13 15:00", "11-17 09:00", "11-18 16:00")
    job.stops("11-20 03:47")
    job.found_hanging("11-20 08:03", "stopped")
    return job


def _a5(shop: Shop) -> Job:
    """Thirty-hour longcase on one endless chain: wound every morning, and let run out over the weekend."""
    job = shop.begin(
        "2420",
        "11-16 08:40",
        {
            "description": "brass dial, hooded oak case",
            "kind": "longcase-30h",
            "position": "A5",
            "going_kg": 4.6,
            "unlock_deg": 1.75,
            "escapement": "anchor, recoil",
            "rod": "iron",
            "weight_order": "going",
            "repaired": "chain; count wheel detent",
            "owner": "Dunsevic",
        },
        Kit("minute-hand", 4),
        Nature(
            rate=-11.0, q1=2.2, q2=0.2, loses_per_c=0.5, one_chain=True,
            speed={"going": 1372}, floor={"going": 1725}, swing=2.5, swing_wind=0.0, beat=1.8, run_days=1.25,
        ),
        error=2,
    )  # fmt: skip
    job.wound("11-16 08:45")
    job.unsettle("11-16 08:50", "beat-set", rate_sd=1, error_sd=5)
    job.rounds("11-17", "11-20", falls="Tue Wed Thu Fri", swing=days("11-18 11-19"), beat=days("11-18 11-19"))
    for day in ("11-17", "11-18", "11-19", "11-20"):
        job.wound(f"{day} 08:05")
    job.hear("11-16 12:00", "11-17 09:00", "11-18 10:00", "11-19 11:00", "11-19 17:00")
    return job


def _a6(shop: Shop) -> Job:
    """Regulator, read by its seconds hand beside the room's thermometer; one morning a minute was misread."""
    job = shop.begin(
        "2402",
        "11-02 09:00",
        {
            "description": "mahogany wall regulator, silvered dial",
            "kind": "regulator",
            "position": "A6",
            "going_kg": 3.2,
            "bob_below_top_mm": 700,
            "unlock_deg": 0.92,
            "swing_scale_mm": 995,
            "escapement": "deadbeat",
            "rod": "wood",
            "repaired": "pallets recut",
            "owner": "Averill",
            "home_site": "53.4,75",
            "promised_on": "2026-12-02",
        },
        Kit("seconds-hand", 5),
        Nature(
            rate=-0.3, q1=0.1, q2=0.015, loses_per_c=0.06,
            speed={"going": 148}, floor={"going": 1275}, swing=1.57, swing_wind=0.01, beat=0.7,
        ),
        error=3,
    )  # fmt: skip
    job.wound("11-02 09:10")
    job.unsettle("11-02 09:15", "beat-set", rate_sd=0.05, error_sd=0.5)
    job.rounds("11-03", "11-20", falls="Mon Thu", swing=days("11-05 11-12 11-18 11-19"), beat=days("11-04 11-06"),
               skip=days("11-12"))  # fmt: skip
    job.misread("11-12 08:05", 60.0, "the minute was misread by one")
    for day in ("11-05", "11-12", "11-19"):
        job.wound(f"{day} 08:08")
    job.done("11-12 08:30", "oil-checked", amount=0, note="mk")
    return job


RAIL_A = (_a1, _a2, _a3, _a4, _a5, _a6)
"""Its clocks, each with its story to come."""
