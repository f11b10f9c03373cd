"""A small invented shop for the tests of the service and the faces: real books, ledgers as rows."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path

Row = dict[str, object]

NOW = datetime(2026, 11, 20, 9, 0, tzinfo=UTC)
"""A Friday morning after the round."""


def write_ledger(
    folder: Path, clocks: Iterable[Mapping[str, object]], check_ins: Iterable[Mapping[str, object]]
) -> Path:
    """A ledger's folder with these rows; columns are those that any row has."""
    folder.mkdir(parents=True, exist_ok=True)
    write_csv(folder / "clocks.csv", clocks, ("tag", "kind"))
    write_csv(folder / "checkins.csv", check_ins, ("at", "tag"))
    return folder


def write_csv(path: Path, rows: Iterable[Mapping[str, object]], least: Sequence[str]) -> Path:
    """One file; a datetime becomes ISO 8601."""
    rows = list(rows)
    names = list(dict.fromkeys([*least, *(name for row in rows for name in row)]))
    with path.open("w", newline="", encoding="utf-8") as file:
        out = csv.DictWriter(file, names)
        out.writeheader()
        for row in rows:
            out.writerow({k: v.isoformat() if isinstance(v, datetime) else v for k, v in row.items()})
    return path


def morning(days_ago: float, *, now: datetime = NOW) -> datetime:
    """08:00 UTC so many days before `now`'s day."""
    return now.replace(hour=8, minute=0) - timedelta(days=days_ago)


def regulator_ready(tag: str = "R1", *, now: datetime = NOW, missing: str = "") -> tuple[Row, list[Row]]:
    """A regulator sent home as a movement only, with every piece of evidence but `missing`.

    Four weeks: a first wind let run 8.5 days, then weekly winds; a reading every morning, +0.2 s/day.
    """
    clock: Row = {"tag": tag, "kind": "regulator", "position": "A1", "movement_only": "yes", "unlock_deg": 1.1}
    rows: list[Row] = [{"at": morning(28, now=now) - timedelta(hours=1), "tag": tag, "work": "restarted"}]
    rows.append({"at": morning(28, now=now) - timedelta(minutes=50), "tag": tag, "work": "wound"})
    wound = rows[-1]["at"]
    assert isinstance(wound, datetime)
    for day in range(28, -1, -1):
        at = morning(day, now=now)
        fall = 150 * (at - wound) / timedelta(days=1)
        row: Row = {"at": at, "tag": tag, "error_s": round(0.2 * (28 - day), 1), "going_mm": round(fall)}
        if missing != "amplitude":
            row["amplitude_deg"] = 1.6
        if missing != "beat" and day in {20, 15, 3}:
            row["beat_error_pct"] = 1.5
        rows.append(row)
        if day == 19 or day in {12, 5}:  # 9 days after the first wind: shown going over 8.5 days
            rows.append({"at": at, "tag": tag, "work": "wound"})
            wound = at
    if missing != "oil":
        rows.append({"at": morning(2, now=now), "tag": tag, "work": "oil-checked", "amount": 0, "note": "K. M."})
    if missing != "safety":
        rows.append({"at": morning(1, now=now), "tag": tag, "work": "safety-checked", "note": "K. M."})
    return clock, rows
