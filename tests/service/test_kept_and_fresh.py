"""A stand that is kept open answers as one that was just opened, whatever was recorded, corrected and taken back."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from standwatch.cli import as_json
from standwatch.model.errors import Refused
from standwatch.service.stand import Stand
from standwatch.store import open_book
from tests.cli.ledger import checkins
from tests.shop import write_ledger
from tests.stories import at, daily

NOW = at("11-20 08:20")
KEEP = timedelta(hours=2)
CLOCKS = {"R": ("weight-wall", "A1"), "L": ("longcase", "A2"), "C": ("carriage", "B1"), "F": ("floor-chiming", "B2")}
CELLS: list[dict[str, Any]] = [
    *({"error_s": 12}, {"error_s": 700}, {"dial": "8:00"}, {"temperature_c": 12}, {"temperature_c": 24.5}),
    *({"work": work} for work in ("wound", "bumped", "restarted", "opened", "held", "seen-going", "levelled")),
    *({"work": "hands-set", "amount": 60}, {"work": "nut", "amount": 0.3}, {"work": "stopped", "dial": "3:47"}),
    *({"work": "ran-out"}, {"work": "moved", "note": "A7"}, {"work": "moved", "note": "B9"}, {"work": "moved"}),
    *({"hour": 7, "blows": 7}, {"hour": 7, "blows": 6}),
]
FACTS = st.tuples(
    st.sampled_from(sorted(CLOCKS)), st.integers(6, 17), st.sampled_from([0, 5, 11]), st.sampled_from(CELLS)
)
DEEDS = st.lists(st.one_of(FACTS, st.sampled_from(["undo", "correct", *CLOCKS])), min_size=2, max_size=4)


@contextmanager
def a_shop() -> Iterator[tuple[Path, Stand]]:
    """Four clocks on two rails, read for eleven days, in a real book."""
    with tempfile.TemporaryDirectory() as place:
        rows = [
            row
            for number, tag in enumerate(CLOCKS)
            for row in checkins(daily("11-09 08:00", "11-19 08:00", f"error_s={{{number}*d:.1f}}"), tag)
        ]
        clocks = [{"tag": tag, "kind": kind, "position": slot} for tag, (kind, slot) in CLOCKS.items()]
        book = Path(place) / "book.sqlite"
        stand = opened(book)
        stand.import_ledger([write_ledger(Path(place) / "ledger", clocks, rows)], NOW)
        yield book, stand
        stand.close()


def opened(book: Path) -> Stand:
    return Stand(open_book(book), computer_zone=lambda: "Europe/London")


def told(stand: Stand, keep: timedelta = timedelta()) -> Any:
    """All that `status --json` says, who first."""
    view = stand.view(NOW, keep=keep)
    return as_json.status(NOW, view.assessments, stand.learned(NOW), view.common)


def do(stand: Stand, deed: Any) -> None:
    """Record a fact, take back the last (of a clock), or correct the last of all."""
    if isinstance(deed, tuple):
        tag, day, hour, cells = deed
        when = at("11-02 08:30") + timedelta(days=day, hours=hour)
        stand.check_in({"tag": tag, "at": when, **cells}, NOW)
    elif deed == "correct":
        last = max((record for tag in CLOCKS for record in stand.facts(tag)), key=lambda record: record.place)
        stand.correct(last.id, {"note": "looked at again", "temperature_c": "19"}, NOW)
    else:
        stand.undo(None if deed == "undo" else deed, NOW)


@given(DEEDS)
@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_what_is_kept_is_as_what_is_worked_out_anew(deeds: list[Any]) -> None:
    with a_shop() as (book, kept):
        told(kept, KEEP)
        for deed in deeds:
            try:
                do(kept, deed)
            except Refused:  # nothing left to take back
                continue
            fresh = opened(book)
            assert told(kept, KEEP) == told(fresh)
            fresh.close()
