"""A floor chiming clock that has shown everything, and which of its rows are the evidence of which requirement."""

from __future__ import annotations

from standwatch.model.words import Requirement
from tests.stories import daily

NOW = "12-04 08:20"  # a Friday
COLUMNS = {
    "unlock_deg": "2.0",
    "moon": "yes",
    "tunes": "Larkspur;Mill",
    "going_usable_mm": "1400",
    "strike_usable_mm": "1400",
    "chime_usable_mm": "1400",
}

# on the stand on 2 November, one wind of nine days, then in its case from the 12th
READINGS = daily("11-02 08:05", "12-04 08:05", "error_s={0.5*d:.1f}")
WINDS = ["11-02 08:10 work=wound", "11-11 08:10 work=wound", "11-18 08:10 work=wound", "11-25 08:10 work=wound",
         "12-02 08:10 work=wound"]  # fmt: skip
STRIKE_RUN = ["11-11 08:01 hour=8 blows=8"]
CHIME_RUN = ["11-11 08:00 chime=in-step"]
HOURS = [f"11-03 {8 + n // 4:02}:{10 + 5 * (n % 4)} hour={n + 1} blows={n + 1} staged=yes" for n in range(12)]
MIS_SETS = [
    line
    for day, n in (("04", 1), ("05", 2), ("06", 3))
    for line in (f"11-{day} 10:00 work=mis-set amount={n}", f"11-{day} 11:00 chime=in-step")
]
TUNES = [
    line
    for day, n in (("09", 1), ("10", 2))
    for line in (
        f"11-{day} 10:00 work=tune amount={n}",
        *(f"11-{day} 11:{15 * (q - 1):02} chime=in-step quarter={q}" for q in (1, 2, 3, 4)),
    )
]
SILENT = ["11-11 12:00 work=tune amount=0", "11-11 12:30 chime=silent", "11-11 13:00 work=tune amount=1",
          "11-11 14:00 chime=in-step quarter=4"]  # fmt: skip
MOON = ["11-03 08:30 moon_age_d=23.5", "11-10 08:30 moon_age_d=1"]
OIL = ["11-10 08:40 work=oil-checked amount=0 note=KM"]
CASED = ["11-12 08:10 work=cased"]
# which tune it stood at was not told, so that these quarters prove none
TURNED = ["11-13 12:30 work=tune"]
CASE_TWELVE = ["11-13 12:00 hour=12 blows=12"]
CASE_QUARTERS = [f"11-13 13:{15 * (q - 1):02} chime=in-step quarter={q}" for q in (1, 2, 3, 4)]
SWINGS = [f"11-{day} 08:06 amplitude_deg=3.2" for day in ("16", "17", "24")]
BEATS = [f"11-{day} 08:07 beat_error_pct=1.5" for day in ("16", "17")]
SAFETY = ["11-13 15:00 work=safety-checked note=KM"]

LEDGER = [
    *(*READINGS, *WINDS, *STRIKE_RUN, *CHIME_RUN, *HOURS, *MIS_SETS, *TUNES, *SILENT, *MOON, *OIL),
    *(*CASED, *TURNED, *CASE_TWELVE, *CASE_QUARTERS, *SWINGS, *BEATS, *SAFETY),
]

NEEDED: dict[Requirement, list[list[str]]] = {
    Requirement.CONTINUOUS_RUNNING: [READINGS],
    Requirement.FULL_DURATION: [STRIKE_RUN, CHIME_RUN, WINDS[:1]],
    Requirement.WEIGHT_PASSAGE: [WINDS],
    Requirement.MEAN_RATE: [READINGS],
    Requirement.DAY_RANGE: [READINGS],
    Requirement.AMPLITUDE: [SWINGS, *([line] for line in SWINGS)],
    Requirement.BEAT: [BEATS, *([line] for line in BEATS)],
    Requirement.TWELVE_COUNTS: [HOURS, *([line] for n, line in enumerate(HOURS, start=1) if n not in {8, 12})],
    Requirement.CHIME_STEP: [
        [line for line in (*CHIME_RUN, *MIS_SETS, *TUNES, *SILENT, *CASE_QUARTERS) if "chime=in-step" in line]
    ],
    Requirement.MIS_SET: [MIS_SETS, *([line] for line in MIS_SETS)],
    Requirement.TUNES: [TUNES, SILENT, *([line] for line in (*TUNES, *SILENT))],
    Requirement.MOON: [MOON, *([line] for line in MOON)],
    Requirement.OIL: [OIL],
    Requirement.OWN_CASE: [CASED, CASE_TWELVE, CASE_QUARTERS, *([line] for line in CASE_QUARTERS)],
    Requirement.SAFETY: [SAFETY],
}
"""For each requirement, sets of rows without which it must not be met."""
