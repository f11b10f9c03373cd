"""Make the demo stand's ledger: `python -m tests.demo.make --seed 20 --out fixtures/demo`.

Sixteen clocks of an invented shop, up to Friday 20 November 2026, 08:20, and those that went home since January. The
ledger holds facts only; what was true and nobody wrote down goes to a file beside the folder, `demo-truth.csv`. The
same seed gives the same bytes; the releases are the program's own, with what its version makes of the same facts.
"""

from __future__ import annotations

import argparse
import csv
import tempfile
from collections.abc import Iterable, Sequence
from datetime import datetime
from pathlib import Path

from tests.demo.archive import ARCHIVE
from tests.demo.diary import NOW, Job, Row, Shop
from tests.demo.going_home import Past, let_go
from tests.demo.rail_a import RAIL_A
from tests.demo.rail_b import RAIL_B
from tests.demo.rail_c import RAIL_C
from tests.demo.stand import ZONE, Room

SEED = 20
CLOCKS = """id tag description kind position seconds_hand maintaining going_usable_mm strike_usable_mm
    case_fall_mm going_kg strike_kg chime_kg going_turns strike_turns chime_turns bob_below_top_mm unlock_deg
    swing_scale_mm seconds_turn_s escapement balance rod night_silence tunes moon weight_order movement_only
    repaired hazards owner promised_on earlier_tag home_site home_temperature_c on_stand_at"""
CHECKINS = """id at tag error_s dial amplitude_deg beat_error_pct beat_error_ms overswing_left_deg overswing_right_deg
    going_mm strike_mm chime_mm chime quarter hour blows moon_age_d temperature_c work amount train explained note"""
SETTINGS = (
    ("zone", "Europe/London"),
    ("open_days", "Mon-Fri"),
    ("next_round", "08:00"),
    ("holidays", "GB-ENG"),
    ("site", "52.1,130"),
    ("shop", "Larkspur Yard Clocks"),
)


def jobs(seed: int) -> list[Job]:
    """The sixteen clocks with their stories lived through."""
    shop = Shop(seed, Room(seed))
    told = [story(shop) for story in (*RAIL_A, *RAIL_B, *RAIL_C)]
    for job in told:
        job.run()
    return told


def archive(seed: int) -> list[Past]:
    """The clocks of earlier months with their stories lived through."""
    shop = Shop(seed, Room(seed))
    told = [story(shop) for story in ARCHIVE]
    for job in told:
        job.run()
    return told


def write(folder: Path, seed: int) -> None:
    """Write the ledger into `folder`, and what it hides beside it."""
    folder.mkdir(parents=True, exist_ok=True)
    stand, past = jobs(seed), archive(seed)
    with tempfile.TemporaryDirectory() as there:
        _facts(Path(there), past)
        steps = let_go(Path(there), past, seed)
    _facts(folder, [*past, *stand])
    for name, told in steps.items():
        (folder / name).write_bytes(told)
    truth = [line for job in stand for line in _truth(job)]
    _write(folder.with_name(f"{folder.name}-truth.csv"), ["tag", "what", "at", "value", "note"], truth)


def _facts(folder: Path, jobs: Sequence[Job]) -> None:
    """The clocks and their rows, in the order of time, with the book's settings."""
    rows = [row for job in jobs for row in job.rows]
    rows.sort(key=lambda row: datetime.fromisoformat(str(row["at"])))  # stable: ties keep their clock's order
    _write(folder / "clocks.csv", _header(CLOCKS, (job.columns for job in jobs)), [job.columns for job in jobs])
    _write(folder / "checkins.csv", _header(CHECKINS, rows), rows)
    _write(folder / "book.csv", ["name", "value"], [{"name": name, "value": value} for name, value in SETTINGS])


def _truth(job: Job) -> Iterable[Row]:
    """What is true at NOW, and what happened that no row tells."""
    clock = job.clock
    now = NOW.isoformat()
    if clock.going:
        yield {"tag": job.tag, "what": "error_s", "at": now, "value": round(clock.error, 3)}
    yield {
        "tag": job.tag, "what": "rate_s_per_day", "at": now, "value": round(clock.mean_rate(), 3),
        "note": "mean over a wind as it is kept, at the room's temperature",
    }  # fmt: skip
    for train, fall in clock.fall.items():
        yield {"tag": job.tag, "what": f"{train}_mm", "at": now, "value": round(fall, 1)}
    for hidden in job.hidden:
        at = hidden.at.astimezone(ZONE).isoformat()
        yield {"tag": job.tag, "what": hidden.what, "at": at, "value": hidden.amount, "note": hidden.told}


def _header(order: str, rows: Iterable[Row]) -> list[str]:
    """The columns that are used, in the ledger's own order."""
    used = {column for row in rows for column in row}
    return [column for column in order.split() if column in used]


def _write(path: Path, header: Sequence[str], rows: Iterable[Row]) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        table = csv.DictWriter(file, header, restval="", lineterminator="\n")
        table.writeheader()
        table.writerows(rows)


def main() -> None:
    """Read the command line and write the files."""
    parser = argparse.ArgumentParser(description="Make the demo stand's ledger from a simulated stand.")
    parser.add_argument("--seed", type=int, default=SEED)
    parser.add_argument("--out", type=Path, default=Path("fixtures/demo"))
    told = parser.parse_args()
    write(told.out, told.seed)


if __name__ == "__main__":
    main()
