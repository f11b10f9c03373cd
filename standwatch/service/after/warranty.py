"""The warranty of a clock that went home: when it ends, and whether what happened lies within it."""

from __future__ import annotations

import calendar
from collections.abc import Sequence
from datetime import date, datetime
from typing import Annotated
from zoneinfo import ZoneInfo

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from standwatch.model.facts import Handover
from standwatch.service.shop import Shop


class _Promised(BaseModel):
    """What a release's record says of the warranty."""

    model_config = ConfigDict(extra="ignore", defer_build=True)

    warranty_months: Annotated[int, Field(ge=0)] | None = None


def warranty_ends(steps: Sequence[Handover], shop: Shop) -> date | None:
    """The last day of warranty of the clock that `steps` (in order) delivered last; None without either.

    It runs from the day of delivery for as many months as its release promised, or as the shop gives
    where that said nothing.
    """
    delivered = next((step for step in reversed(steps) if step.what == "delivered"), None)
    if delivered is None:
        return None
    released = next((step for step in reversed(steps) if step.what == "released" and step.at <= delivered.at), None)
    promised = _promised(released)
    months = shop.warranty_months if promised is None else promised
    return months_after(delivered.at.astimezone(shop.zone).date(), months) if months else None


def _promised(released: Handover | None) -> int | None:
    if released is None or not released.record:
        return None
    try:
        return _Promised.model_validate_json(released.record).warranty_months
    except ValidationError:  # not a record that can be read; `selfcheck` says so
        return None


def months_after(day: date, months: int) -> date:
    """The same day so many months on, or that month's last where it has none."""
    year, month = divmod(day.year * 12 + day.month - 1 + months, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def warranty_words(ends: date | None, at: datetime, zone: ZoneInfo) -> str:
    """ "within its warranty, which ends on 24 Nov 2027", "after its warranty, which ended on ...", "" without one."""
    if ends is None:
        return ""
    within = at.astimezone(zone).date() <= ends
    return f"{'within' if within else 'after'} its warranty, which end{'s' if within else 'ed'} on {full_day(ends)}"


def full_day(day: date) -> str:
    """ "24 Nov 2027"."""
    return f"{day.day} {day:%b %Y}"
