"""The shop's own limits: what a book asks of each kind in place of the kind's default."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from difflib import get_close_matches

from standwatch.horology.kinds import KINDS, Oscillator
from standwatch.horology.limits import check_clock
from standwatch.model.errors import BadValue
from standwatch.model.facts import Clock
from standwatch.model.records import build
from standwatch.model.words import KindName

LIMIT_COLUMNS = {
    "mean_rate_limit": "the most its mean rate may be, s/day",
    "day_range_limit": "the most its daily rates may differ, s/day",
    "least_days": "the least days it must have gone",
    "swing_limit": "the least swing: per cent over its unlocking point, of a balance degrees, of a torsion pendulum "
    "degrees of overswing each side",
    "beat_limit": "the most its beat may be out: per cent, of a balance ms, of a torsion pendulum degrees of "
    "overswing between left and right",
}
"""The columns of a clock for which a shop can give a kind another default."""
_BY_OSCILLATOR: dict[tuple[str, Oscillator], str] = {
    ("swing_limit", "pendulum"): "the least swing, per cent over its unlocking point",
    ("swing_limit", "balance"): "the least swing of its balance, degrees",
    ("swing_limit", "torsion"): "the least overswing each side, degrees",
    ("beat_limit", "pendulum"): "the most its beat may be out, per cent",
    ("beat_limit", "balance"): "the most its beat may be out, ms",
    ("beat_limit", "torsion"): "the most its overswings may differ, degrees",
}


def unknown(name: str, known: Iterable[str], what: str) -> BadValue:
    """That no `what` is called `name`, with the near name or what there is."""
    names = list(known)
    near = get_close_matches(name, names, 1)
    said = f"did you mean {near[0]}?" if near else f"there are {', '.join(names)}"
    return BadValue(f"no {what} is called {name!r}; {said}", column="name")


def is_limit(name: str) -> bool:
    """Whether a setting's name is meant to be KIND.COLUMN."""
    return "." in name


def limit_named(name: str) -> tuple[KindName, str]:
    """The kind and the column that the setting KIND.COLUMN is for; BadValue with the near name where there is none."""
    kind, _, column = name.partition(".")
    if kind not in set(KindName):
        raise unknown(kind, KindName, "kind")
    if column not in LIMIT_COLUMNS:
        raise unknown(column, LIMIT_COLUMNS, "limit of a kind")
    if kind == KindName.REFERENCE and column != "mean_rate_limit":
        raise BadValue(
            f"{name}: a reference is compared for its rate alone; give reference.mean_rate_limit", column="name"
        )
    return KindName(kind), column


def limit_words(name: str) -> str:
    """What the setting KIND.COLUMN is."""
    kind, column = limit_named(name)
    words = _BY_OSCILLATOR.get((column, KINDS[kind].oscillator), LIMIT_COLUMNS[column])
    return f"{words}; of a {KINDS[kind].title} clock without one of its own"


def checked_limit(name: str, value: str) -> str:
    """`value` as the book keeps it for KIND.COLUMN; empty takes the kind's own default back."""
    kind, column = limit_named(name)
    text = value.strip()
    if not text:
        return ""
    if text.lower() in {"none", "no", "off"}:
        raise BadValue(f"{name} {text!r}: a limit can't be switched off; give a number, or nothing for the kind's own")
    try:
        clock = build(Clock, {"tag": "T", "kind": kind, column: text})
        check_clock(clock)
    except BadValue as error:
        raise BadValue(f"{kind}.{error}") from None
    return f"{getattr(clock, column):.12g}"


def limits_of(settings: Mapping[str, str]) -> dict[KindName, dict[str, float]]:
    """The limits among a book's `settings`, by kind and column."""
    limits: dict[KindName, dict[str, float]] = {}
    for name, value in sorted(settings.items()):
        if is_limit(name) and value.strip():
            kind, column = limit_named(name)
            limits.setdefault(kind, {})[column] = float(checked_limit(name, value))
    return limits
