"""The Earth as a clock: UT1-UTC of the IERS, as a ledger that `standwatch import` takes.

    python -m tests.published.earth --days 1000 --out FOLDER [--start MJD]

Data: IERS rapid service, finals2000A, as packaged in astropy-iers-data (BSD-3-Clause). UT1-UTC is the Earth's time
error, + fast, at each midnight UTC; minus the excess length of day is its published rate. A leap second is a hand set
one second forward, between the last midnight's reading and the next.
"""

from __future__ import annotations

import argparse
import csv
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import astropy_iers_data

TAG = "EARTH"
_MJD_ZERO = datetime(1858, 11, 17, tzinfo=UTC)
_LEAST_DOUBT_S = 1e-7  # the file's own last digit
_SECOND = timedelta(seconds=1)


@dataclass(frozen=True)
class Night:
    """One midnight: UT1-UTC and its doubt in s; excess length of day and its doubt in ms, None where not given."""

    mjd: int
    ut1_utc_s: float
    doubt_s: float
    lod_ms: float | None
    lod_doubt_ms: float | None

    @property
    def at(self) -> datetime:
        """The midnight, UTC."""
        return midnight(self.mjd)


def midnight(mjd: int) -> datetime:
    """Midnight UTC of a modified Julian date."""
    return _MJD_ZERO + timedelta(days=mjd)


def nights() -> list[Night]:
    """Every observed night, in order."""
    rows: list[Night] = []
    for line in Path(astropy_iers_data.IERS_A_FILE).read_text(encoding="ascii").splitlines():
        if line[57:58] == "I":
            lod, lod_doubt = line[79:86].strip(), line[86:93].strip()
            rows.append(
                Night(
                    int(float(line[7:15])),
                    float(line[58:68]),
                    max(float(line[68:78]), _LEAST_DOUBT_S),
                    float(lod) if lod and rows else None,  # the first row's is a placeholder
                    float(lod_doubt) if lod_doubt and rows else None,
                )
            )
    return rows


def leap_seconds() -> list[int]:
    """The modified Julian dates at whose midnight a leap second had just been put in, since 1973."""
    text = Path(astropy_iers_data.IERS_LEAP_SECOND_FILE).read_text(encoding="ascii")
    dates = [int(float(line.split()[0])) for line in text.splitlines() if line.strip() and not line.startswith("#")]
    return [mjd for mjd in dates if mjd > 41684]


def write_ledger(folder: Path, chosen: list[Night]) -> None:
    """Write clocks.csv and checkins.csv for `chosen` into `folder`.

    The night of a leap second reads the clock after it, so the hand is set in a row of its own, a second before.
    """
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / "clocks.csv").open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file)
        out.writerow(("tag", "description", "kind"))
        out.writerow((TAG, "the Earth, read at midnight UTC", "reference"))
    leaps = set(leap_seconds())
    with (folder / "checkins.csv").open("w", encoding="utf-8", newline="") as file:
        out = csv.writer(file)
        out.writerow(("at", "tag", "error_s", "error_u_s", "work", "amount"))
        for night in chosen:
            if night.mjd in leaps and night is not chosen[0]:
                out.writerow(((night.at - _SECOND).isoformat(), TAG, "", "", "hands-set", "1"))
            out.writerow((night.at.isoformat(), TAG, f"{night.ut1_utc_s:.7f}", f"{night.doubt_s:.7f}", "", ""))


def main() -> None:
    """The command line."""
    parser = argparse.ArgumentParser(description="Write the Earth's ledger.")
    parser.add_argument("--days", type=int, default=1000, help="how many nights (default 1000)")
    parser.add_argument("--start", type=int, help="the first night's MJD (default: so that the last observed is last)")
    parser.add_argument("--out", type=Path, required=True, help="the folder to write to")
    given = parser.parse_args()
    observed = nights()
    if given.start is None:
        chosen = observed[-given.days :]
    else:
        chosen = [night for night in observed if night.mjd >= given.start][: given.days]
    if given.days < 1 or not chosen:
        parser.error("no observed night in that span")
    write_ledger(given.out, chosen)
    print(f"{len(chosen)} nights from {chosen[0].at:%Y-%m-%d} to {chosen[-1].at:%Y-%m-%d} in {given.out}")


if __name__ == "__main__":
    main()
