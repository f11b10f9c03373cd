"""After a clock went home: its warranty and what holding costs, in words; `callback-rates`."""

from __future__ import annotations

from datetime import datetime

from standwatch.service.after.warranty import full_day
from standwatch.service.stand import Stand


def about(stand: Stand, tag: str, now: datetime) -> list[str]:
    """What `clock show` says of one clock's warranty."""
    ends = stand.warranty_ends(tag, now)
    told = []
    if ends is not None:
        over = now.astimezone(stand.shop.zone).date() > ends
        told.append(f"Warranty: end{'ed' if over else 's'} on {full_day(ends)}")
    return told
