"""Ledgers that a reader can follow: a clock's story as lines of text, and the History it makes.

    story("longcase", '''
        11-02 08:00  work=wound
        11-03 08:00  error_s=2.5 going_mm=165
        11-09 08:00  dial=8:03 work=stopped note="line off its pulley"
    ''', now="11-10 09:00")

A line is month-day, civil time in the shop's zone, then the ledger's own columns. The year is 2026.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterable
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from standwatch.estimate.history import History, history_of, rail_of
from standwatch.model.facts import CheckIn, Clock
from standwatch.model.records import Record, build
from standwatch.model.words import Work

ZONE = ZoneInfo("Europe/London")


def at(text: str, *, year: int = 2026, zone: ZoneInfo = ZONE) -> datetime:
    """ "11-02 08:00" or "11-02 08:00:30" in the shop's civil time, as UTC."""
    return datetime.fromisoformat(f"{year}-{text}").replace(tzinfo=zone).astimezone(UTC)


def rows(ledger: str | Iterable[str], *, tag: str = "T1", year: int = 2026) -> list[Record[CheckIn]]:
    """The records that the lines tell, in the lines' order."""
    lines = ledger.splitlines() if isinstance(ledger, str) else list(ledger)
    records = []
    for number, line in enumerate(text for text in lines if text.strip() and not text.strip().startswith("#")):
        day, time, *cells = shlex.split(line)
        values: dict[str, object] = {name: text for name, _, text in (cell.partition("=") for cell in cells)}
        body = build(CheckIn, {"at": at(f"{day} {time}", year=year), "tag": tag, **values})
        records.append(Record(f"{tag}-{number}", body, number + 2, number + 2, None, body.at))
    return records


def daily(first: str, last: str, cells: str = "", *, step_days: float = 1.0, year: int = 2026) -> list[str]:
    """One line a day (or every `step_days`) from `first` to `last`, both "MM-DD HH:MM" of civil time.

    In `cells`, {d} is the days since the first line, so that "error_s={d:.1f}" gains a second a day in a story: use
    an expression in braces, such as "error_s={2*d:.1f} going_mm={165*d:.0f}".
    """
    start = datetime.fromisoformat(f"{year}-{first}")
    end = datetime.fromisoformat(f"{year}-{last}")
    lines = []
    moment = start
    while moment <= end:
        d = (moment - start) / timedelta(days=1)
        told = eval(f"f{cells!r}", {"d": d})  # noqa: S307  # the tests' own text
        lines.append(f"{moment:%m-%d %H:%M}  {told}")
        moment += timedelta(days=step_days)
    return lines


def story(kind: str, ledger: str | Iterable[str], *, now: str, year: int = 2026, **columns: object) -> History:
    """The History of a clock of `kind` (further columns by name) as of `now`."""
    clock = build(Clock, {"tag": "T1", "kind": kind, **columns})
    records = rows(ledger, year=year)
    bumps = [(rail_of(clock.position or ""), r.body.at) for r in records if r.body.work is Work.BUMPED]
    warmth = [(r.body.at, r.body.temperature_c) for r in records if r.body.temperature_c is not None]
    return history_of(clock, records, now=at(now, year=year), zone=ZONE, rail_bumps=bumps, temperatures=sorted(warmth))
