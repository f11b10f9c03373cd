"""The round's own small shop: every way to read, every thing to ask, on three rails; not read this morning."""

from __future__ import annotations

from datetime import datetime, timedelta
from pathlib import Path

from tests.tui.shop import NOW, ZONE, open_shop

DAY = timedelta(days=1)
TODAY = NOW.astimezone(ZONE).date()


def morning(day: int, minute: int = 5) -> datetime:
    """08:05 so many days ago."""
    return datetime(TODAY.year, TODAY.month, TODAY.day, 8, minute, tzinfo=ZONE) - DAY * day


def make_round(path: Path, *, clocks: int = 5) -> Path:
    """A book of `clocks` clocks that were read each morning but today's.

    A1 longcase with a scale at each weight (figures grow upwards) and at its pendulum, late in its wind; A2 regulator;
    A3 mantel, read by the minute hand; B1 floor chiming; B2 carriage, never read; more longcases after these.
    """
    stand = open_shop(path)
    stand.set_settings({"zone": "Europe/London"}, NOW)
    scales = {"going_scale_mm": 1500, "strike_scale_mm": 1480, "scale": "up", "swing_scale_mm": 980, "unlock_deg": 1.6}
    told: list[tuple[str, str, str, dict[str, object], float]] = [
        ("3001", "longcase", "A1", scales, 2.0),
        ("3002", "regulator", "A2", {}, -0.3),
        ("3003", "mantel", "A3", {}, 9.0),
        ("3004", "floor-chiming", "B1", {}, 4.0),
        ("3005", "carriage", "B2", {}, 0.0),
    ]
    told += [(str(3006 + n), "longcase", f"C{n + 1}", {}, 1.0) for n in range(max(clocks - 5, 0))]
    for tag, kind, slot, columns, rate in told[:clocks]:
        stand.add_clock({"tag": tag, "kind": kind, "position": slot, **columns}, NOW)
        if tag == "3005":
            continue
        stand.check_in({"tag": tag, "at": morning(7), "work": "wound"}, NOW)
        for day in range(7, 0, -1):
            cells: dict[str, object] = {"tag": tag, "at": morning(day), "error_s": round(rate * (7 - day), 1)}
            if day in {4, 1} and kind in {"longcase", "floor-chiming"}:
                cells |= {"going_mm": 165 * (7 - day), "strike_mm": 165 * (7 - day)}
            stand.check_in(cells, NOW)
    stand.close()
    return path
