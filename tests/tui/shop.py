"""A small invented shop for the screens' tests: a ledger written from a simple simulation, the same every time."""

from __future__ import annotations

import csv
import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from standwatch.service.stand import Stand
from standwatch.store import open_book

ZONE = ZoneInfo("Europe/London")
NOW = datetime(2026, 11, 20, 8, 20, 14, tzinfo=ZONE).astimezone(UTC)
"""A Friday, in the middle of the morning round."""

Cells = dict[str, object]


@dataclass
class Told:
    """One clock of the shop: its columns, how it goes, and rows that are told besides its daily readings."""

    tag: str
    kind: str
    position: str
    rate: float
    noise: float = 0.8
    days: int = 12
    read_today: bool = True
    swing: float | None = None
    fall: float | None = None
    columns: Cells = field(default_factory=dict)
    extra: list[tuple[str, Cells]] = field(default_factory=list)


SHOP = (
    Told("2398", "longcase", "A1", -2.1, days=17, swing=3.1, fall=165, columns={"unlock_deg": 1.9, "owner": "Orrin"}),
    Told("2405", "weight-wall", "A2", 9.3, days=8, swing=1.9, fall=115, columns={"unlock_deg": 1.2}),
    Told(
        "2417", "floor-chiming", "A3", 6.2, days=9, swing=3.3, fall=135,
        columns={
            "unlock_deg": 2.4, "bob_below_top_mm": 700, "owner": "Quillane", "promised_on": "2026-12-04",
            "tunes": "first;second;third",
        },
        extra=[("2026-11-16 08:00", {"chime": "in-step", "quarter": 1}), ("2026-11-17 08:00", {"hour": 8, "blows": 8})],
    ),
    Told("2411", "mantel", "A4", 9.4, 5, 9, extra=[("2026-11-20 08:05", {"dial": "3:47", "work": "stopped"})]),
    Told("2420", "longcase-30h", "A5", -11, days=10, noise=4, fall=1380),
    Told("2402", "regulator", "A6", -0.31, days=18, noise=0.1, swing=1.6, fall=150, columns={"unlock_deg": 1.0}),
    Told("2409", "cuckoo", "B1", 3, 8, 3, extra=[("2026-11-20 08:06", {"dial": "5:10", "work": "ran-out"})]),
    Told("2414", "spring-wall", "B2", 12, 6, 11, False, extra=[("2026-11-20 08:07", {"dial": "8:12"})]),
    Told("2391", "mantel-chiming", "B3", 2, days=16, noise=4, swing=251),
    Told("2419", "carriage", "B4", 5.6, days=8, noise=5, swing=238),
    Told(
        "2422", "floor-chiming", "B5", -1.7, days=6, fall=135,
        extra=[("2026-11-20 08:15", {"chime": "out-of-step", "quarter": 1})],
    ),
    Told("2396", "bracket", "B6", 4.8, days=12, noise=3),
    Told("2424", "spring-wall-31d", "C1", 21, days=11, noise=7, read_today=False),
    Told("2418", "longcase", "C2", 1.3, days=10, read_today=False, fall=165),
    Told("2407", "torsion", "C3", -7, days=22, noise=8, swing=310, read_today=False),
    Told("2425", "weight-wall", "C4", 1, days=0, read_today=False, extra=[("2026-11-19 16:00", {"work": "wound"})]),
)  # fmt: skip


def write_ledger(folder: Path, shop: tuple[Told, ...] = SHOP) -> Path:
    """The ledger of `shop` as two CSV files in `folder`."""
    folder.mkdir(parents=True, exist_ok=True)
    _write(folder / "clocks.csv", [_clock(told) for told in shop])
    rows = [{"id": f"{told.tag}.{n:02}", **row} for told in shop for n, row in enumerate(_rows(told))]
    _write(folder / "checkins.csv", rows)
    return folder


def _write(path: Path, rows: list[Cells]) -> None:
    columns = list(dict.fromkeys(column for row in rows for column in row))
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, columns, restval="")
        writer.writeheader()
        writer.writerows(rows)


def _clock(told: Told) -> Cells:
    return {"tag": told.tag, "kind": told.kind, "position": told.position, **told.columns}


def _rows(told: Told) -> Iterator[Cells]:
    chance = random.Random(f"shop {told.tag}")  # noqa: S311  # the same shop every time
    today = datetime(2026, 11, 20, 8, 5, tzinfo=ZONE)
    error = chance.uniform(-20, 20)
    for n in range(told.days, -1, -1):
        at = today - timedelta(days=n)
        if (
            at.weekday() >= 5
            or (n == 0 and not told.read_today)
            or (n == 0 and told.extra and "work" in told.extra[0][1])
        ):
            error += told.rate
            continue
        row: Cells = {"at": at.isoformat(), "tag": told.tag, "error_s": f"{error + chance.gauss(0, told.noise):.1f}"}
        wound_days = (told.days - n) % 7
        if told.swing is not None and n % 3 == 0:
            row["amplitude_deg"] = f"{told.swing * (1 - 0.01 * wound_days):.2f}"
        if told.fall is not None and told.kind != "longcase-30h":
            row["going_mm"] = f"{told.fall * wound_days + chance.gauss(0, 3):.0f}" if wound_days else "0"
        if wound_days == 0 or told.kind in {"longcase-30h", "cuckoo"}:
            row["work"] = "wound"
        yield row
        error += told.rate
    for text, cells in told.extra:
        when = datetime.fromisoformat(text).replace(tzinfo=ZONE)
        yield {"at": when.isoformat(), "tag": told.tag, **cells}


def open_shop(path: Path) -> Stand:
    """A stand of the book at `path`, in the shop's zone."""
    return Stand(open_book(path), computer_zone=lambda: "Europe/London")


def make_book(path: Path, shop: tuple[Told, ...] = SHOP) -> Path:
    """A book with the facts of `shop`."""
    stand = open_shop(path)
    ledger = write_ledger(path.parent / f"{path.stem}-ledger", shop)
    stand.set_settings({"zone": "Europe/London"}, NOW)
    if shop:
        stand.import_ledger([ledger], NOW)
    stand.close()
    return path
