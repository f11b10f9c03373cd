"""A shop whose regulators went home over the last year: released, delivered, called about, come back."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from standwatch.bootstrap import house
from tests.shop import Row, regulator_ready, write_ledger
from tests.tui.shop import NOW, open_shop

GONE = (
    # tag, days since it went home, whose, what was repaired, whether its oil was waived, the code of a call-back
    ("2301", 300, "Harrow", "pivots and bushes", False, ""),
    ("2304", 260, "Ostler", "pivots; new gut line", True, "mechanical"),
    ("2310", 220, "Wyke", "suspension spring", False, ""),
    ("2315", 170, "Pellworth", "bushes", False, "user"),
    ("2322", 120, "Dunmore", "pallets refaced", True, ""),
    ("2330", 60, "Tarn", "cleaned and oiled", False, "set-up"),
    ("2341", 16, "Quillane", "bushes, escape wheel", False, ""),
    ("2344", 3, "Orrin", "", True, ""),
)


def make_home_book(path: Path, *, gone: int = len(GONE)) -> Path:
    """The book of that shop at `path`, with the last `gone` of them."""
    clocks: list[Row] = []
    rows: list[Row] = []
    for tag, days, owner, repaired, oil, _code in GONE[len(GONE) - gone :]:
        clock, told = regulator_ready(tag, now=NOW - timedelta(days=days), missing="oil" if oil else "")
        clocks.append({**clock, "movement_only": "yes", "owner": owner, "repaired": repaired, "rod": "steel"})
        rows += told
    stand = house().open_stand(path)
    stand.set_settings({"zone": "Europe/London"}, NOW)
    stand.import_ledger([write_ledger(path.parent / f"{path.stem}-ledger", clocks, rows)], NOW)
    stand.close()
    stand = open_shop(path)
    for tag, days, _owner, _repaired, oil, code in GONE[len(GONE) - gone :]:
        then = NOW - timedelta(days=days)
        stand.release(tag, by="JQ", waive={"oil": "looked at in the spring"} if oil else {}, now=then)
        left = {"error_s": 2, "amplitude_deg": 1.6, "beat_error_pct": 1.5, "going_mm": 20, "fixed_to_wall": "yes"}
        stand.deliver(tag, {"at": then + timedelta(hours=4), **left, "wound_by": "the owner", "reason": "level"}, NOW)
        for day in (2, 14):
            if days > day + 2:
                said = {"reason": "goes well, wound on Sundays", "error_s": 2 + 1.5 * day}
                stand.call(tag, {"at": then + timedelta(days=day, hours=5), **said}, NOW)
        if code:
            stand.callback(tag, {"at": then + timedelta(days=20), "code": code, "reason": "it stood"}, NOW)
    stand.close()
    return path
