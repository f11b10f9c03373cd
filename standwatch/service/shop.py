"""The book's own settings: their defaults, what they may be, and the shop that follows from them."""

from __future__ import annotations

import re
from collections.abc import Callable, Container, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from standwatch.horology.gravity import Site, parse_site
from standwatch.horology.rounds import PublicHolidays, Rounds, holidays_of, open_days_text, parse_open_days
from standwatch.model.errors import BadValue
from standwatch.model.text import clean
from standwatch.model.words import KindName
from standwatch.service.shop_limits import checked_limit, is_limit, limits_of, unknown

DEFAULTS = {
    "zone": "",
    "open_days": "Mon-Fri",
    "next_round": "08:00",
    "holidays": "none",
    "site": "none",
    "calls": "14",
    "learning": "yes",
    "shop": "none",
    "paper": "A4",
    "warranty_months": "12",
    "house_call_h": "4",
    "held_week_h": "0.4",
}
"""By name; an empty zone is the computer's. The limits of a kind, KIND.COLUMN, are its own defaults."""

WORDS = {
    "zone": "IANA time zone of the shop; the computer's, fixed with the book's first fact",
    "open_days": "days on which a round is made",
    "next_round": "when the round begins, civil time",
    "holidays": "closed on the public holidays of a country or a part of it, such as GB or GB-SCT",
    "site": "latitude in degrees (north +) and metres above the sea, such as 51.5,20",
    "calls": "days after delivery on which to call, separated by ;",
    "learning": "yes: what the shop's own clocks have shown replaces a kind's defaults; no: it doesn't",
    "shop": "the shop's name, as its papers have it",
    "paper": "what papers are printed on, A4 or Letter",
    "warranty_months": "months of warranty from delivery; 0 where none is given",
    "house_call_h": "hours of work that a house call costs",
    "held_week_h": "hours of work that another week on the stand costs, slot and all",
}
PAPERS = ("A4", "Letter")
_NAME_MOST = 80
_WITH_HOUR = re.compile(r"\d{4}-?\d\d-?\d\d[T ]\d\d")


@dataclass(frozen=True)
class Shop:
    """The shop as its book's settings tell it. `name` is empty where none is given; `limits` are its own, by kind."""

    zone: ZoneInfo
    open_days: frozenset[int]
    next_round: time
    holidays_code: str
    site: Site | None
    calls: tuple[int, ...]
    learning: bool
    name: str
    paper: str
    warranty_months: int
    house_call_h: float
    held_week_h: float
    limits: Mapping[KindName, Mapping[str, float]] = field(hash=False)
    holidays: Container[date] = field(default=frozenset(), compare=False)

    @cached_property
    def rounds(self) -> Rounds:
        """The calendar of rounds."""
        return Rounds(self.zone, self.next_round, self.open_days, self.holidays)

    def read_time(self, text: str) -> tuple[datetime, str]:
        """A time typed by a person, in UTC, and what to say of it; without offset it is civil time of the shop.

        Raises BadValue where it is no time, or where the civil clocks jump over it. Of two times with one name the
        first is meant, and said.
        """
        return read_civil(text, self.zone)


def shop_of(settings: Mapping[str, str], computer_zone: str) -> Shop:
    """The shop of a book's `settings`; what is not set has its default. BadValue where one can't be."""
    merged = {**DEFAULTS, **{name: value for name, value in settings.items() if name in DEFAULTS}}
    code = merged["holidays"].strip()
    return Shop(
        zone=_zone(merged["zone"] or computer_zone),
        open_days=parse_open_days(merged["open_days"]),
        next_round=_round_time(merged["next_round"]),
        holidays_code=code,
        site=_site(merged["site"]),
        calls=_calls(merged["calls"]),
        learning=_learning(merged["learning"]),
        name=_name(merged["shop"]),
        paper=_paper(merged["paper"]),
        warranty_months=_months(merged["warranty_months"]),
        house_call_h=_hours("house_call_h")(merged["house_call_h"]),
        held_week_h=_hours("held_week_h")(merged["held_week_h"]),
        limits=limits_of(settings),
        holidays=PublicHolidays(code),
    )


def checked(name: str, value: str) -> str:
    """`value` as the book keeps it for the setting `name`; BadValue with the mend where it can't be."""
    if is_limit(name):
        return checked_limit(name, value)
    checks: dict[str, Callable[[str], object]] = {
        "zone": _zone,
        "open_days": parse_open_days,
        "next_round": _round_time,
        "holidays": holidays_of,
        "site": _site,
        "calls": _calls,
        "learning": _learning,
        "shop": _name,
        "paper": _paper,
        "warranty_months": _months,
        "house_call_h": _hours("house_call_h"),
        "held_week_h": _hours("held_week_h"),
    }
    if name not in checks:
        raise unknown(name, DEFAULTS, "setting")
    text = value.strip() or DEFAULTS[name]
    return _kept(name, text, checks[name](text))


def _kept(name: str, text: str, parsed: object) -> str:
    """What the book keeps of `text`, which means `parsed`."""
    match parsed:
        case frozenset() if name == "open_days":
            return open_days_text(parsed)
        case time():
            return f"{parsed:%H:%M}"
        case Site() if name == "site":
            return text.replace(" ", "")
        case tuple() if name == "calls":
            return ";".join(str(day) for day in parsed)
        case bool():
            return "yes" if parsed else "no"
        case int() | float():
            return f"{parsed:.12g}"
        case str():
            return parsed or "none"
        case _:
            return text.lower() if text.lower() == "none" else text


def _zone(text: str) -> ZoneInfo:
    try:
        return ZoneInfo(text.strip())
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise BadValue(f"zone {text!r} is no IANA time zone; give one such as Europe/London", column="zone") from None


def _round_time(text: str) -> time:
    found = re.fullmatch(r"([01]?\d|2[0-3]):([0-5]\d)", text.strip())
    if not found:
        raise BadValue(f"next_round {text!r} is no time of day; give HH:MM, such as 08:00", column="next_round")
    return time(int(found[1]), int(found[2]))


def _site(text: str) -> Site | None:
    return None if text.strip().lower() in {"", "none"} else parse_site(text)


def _calls(text: str) -> tuple[int, ...]:
    parts = [part.strip() for part in text.split(";")]
    if not all(re.fullmatch(r"\d{1,3}", part) and 1 <= int(part) <= 400 for part in parts):
        raise BadValue(f"calls {text!r} are no days; give days after delivery, 1 to 400, such as 2;14", column="calls")
    return tuple(sorted({int(part) for part in parts}))


def _learning(text: str) -> bool:
    said = text.strip().lower()
    if said not in {"yes", "no"}:
        raise BadValue(f"learning {text!r} is neither yes nor no; give yes or no", column="learning")
    return said == "yes"


def _name(text: str) -> str:
    name = clean(text)
    if len(name) > _NAME_MOST:
        raise BadValue(
            f"shop {name!r} is too long for a page's head; give {_NAME_MOST} characters at most", column="shop"
        )
    return "" if name.lower() == "none" else name


def _paper(text: str) -> str:
    for paper in PAPERS:
        if text.strip().lower() == paper.lower():
            return paper
    raise BadValue(f"paper {text!r} is no size that papers are printed on; give A4 or Letter", column="paper")


def _months(text: str) -> int:
    if not re.fullmatch(r"\d{1,3}", text.strip()) or int(text) > 120:
        raise BadValue(
            f"warranty_months {text!r} are no months; give a whole number, 0 to 120", column="warranty_months"
        )
    return int(text)


def _hours(name: str) -> Callable[[str], float]:
    def hours(text: str) -> float:
        found = re.fullmatch(r"\d{1,3}(\.\d{1,6})?|\.\d{1,6}", text.strip())
        if not found or not 0 < float(text) <= 100:
            raise BadValue(f"{name} {text!r} are no hours of work; give a number, over 0 to 100", column=name)
        return float(text)

    return hours


def read_civil(text: str, zone: ZoneInfo) -> tuple[datetime, str]:
    """See `Shop.read_time`."""
    mend = "give ISO 8601, such as 2026-11-20T08:05 or 2026-11-20T08:05:00+00:00"
    if not _WITH_HOUR.match(text.strip()):
        raise BadValue(f"{text!r} is not a time; {mend}", column="at")
    try:
        moment = datetime.fromisoformat(text.strip())
        if moment.utcoffset() is not None:
            return moment.astimezone(UTC), ""
        first, second = (moment.replace(tzinfo=zone, fold=fold).astimezone(UTC) for fold in (0, 1))
    except (ValueError, OverflowError):
        raise BadValue(f"{text!r} is not a time; {mend}", column="at") from None
    back = first.astimezone(zone).replace(tzinfo=None)
    if back != moment.replace(fold=0):
        gap = f"{moment:%Y-%m-%d %H:%M}"
        raise BadValue(
            f"{gap} does not exist in {zone.key}: the clocks go forward over it; give the time that they showed",
            column="at",
        )
    if first != second:
        other = (second - first) // timedelta(minutes=1)
        return first, (
            f"{moment:%Y-%m-%d %H:%M} comes twice in {zone.key}; the first is meant (the other is {other} minutes "
            f"later: {second.isoformat()})"
        )
    return first, ""
