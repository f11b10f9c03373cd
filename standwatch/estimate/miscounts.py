"""What a wrong count tells of the fault. No column says whether a count wheel or a rack counts: what was heard does.

A count wheel never corrects itself: once out it stays out by as much. A rack follows the hour hand and counts each hour
anew. Tripped by hand, a count wheel counts on, a rack counts the same hour again (common practice).
"""

from __future__ import annotations

from collections.abc import Sequence

from standwatch.estimate.history import Visit
from standwatch.model.words import Train, Work

_HANDS_MOVED = frozenset({Work.HANDS_SET, Work.HOURS_SHIFTED, Work.SUMMER_TIME, Work.RESTARTED})
"""A count wheel may come right by these: the hands were led past an hour, or the clock stood through one."""

_TRIP_ONCE = (
    "hour hand or count wheel out; trip it once: if it counts on, trip it until right; if it repeats, set the hour hand"
)
_CHANGED_PLACES = "hour and half-hour have changed places; trip it once"
_COUNT_WHEEL = "a count wheel, left behind while the strike was run out: trip it until it is right"
_SILENT = "look whether it is run down, held off or hung in warning"
_NEXT_HOUR = "hear the next hour too, a count wheel that is out stays out by as much"
_RACK = "right again since: misheard, or a rack and no count wheel; look at rack tail, snail and gathering pallet"
_HELD_ONCE = "right again since: a rack that was held off or hung in warning for once; look at the warning"
_RIGHT_BY_HANDS = "right again since the hands were moved; if that put it right, log it (strike-set)"
_UNLIKE = "not always by as much: look at rack and gathering pallet, or at the count wheel's locking"


def what_to_try(visits: Sequence[Visit], *, half_hour: bool) -> str:
    """What to try with a strike that was heard wrong in `visits`, all of them since it was last put right."""
    counted = [(n, v.row.hour, v.row.blows) for n, v in enumerate(visits) if v.row.hour and v.row.blows is not None]
    last_wrong = max(n for n, hour, blows in counted if hour != blows)
    after = [n for n, _, _ in counted if n > last_wrong]
    if after:
        if any(visit.work in _HANDS_MOVED for visit in visits[last_wrong : after[0]]):
            return _RIGHT_BY_HANDS
        return _RACK if visits[last_wrong].row.blows else _HELD_ONCE
    last_right = max((n for n, hour, blows in counted if hour == blows), default=-1)
    wrong = [(n, hour, blows) for n, hour, blows in counted if n > last_right]
    between = visits[max(last_right, 0) : wrong[0][0]]
    stood = any(visit.work is Work.RAN_OUT and visit.row.train is Train.STRIKE for visit in between)
    return _by_numbers([(hour, blows) for _, hour, blows in reversed(wrong)], stood=stood, half_hour=half_hour)


def off_by(hour: int, blows: int) -> int:
    """How many blows too many, of twelve: 11 are one too few."""
    return (blows - hour) % 12


def changed_places(wrong: Sequence[tuple[int, int]], *, half_hour: bool) -> bool:
    """Whether a clock with half-hours struck one at several hours, of (hour shown, blows): it is half an hour out."""
    return half_hour and len({hour for hour, _ in wrong}) > 1 and all(blows == 1 for _, blows in wrong)


def _by_numbers(wrong: Sequence[tuple[int, int]], *, stood: bool, half_hour: bool) -> str:
    """What the (hour shown, blows) of the last wrong counts, latest first, say together."""
    if wrong[0][1] == 0:
        return _SILENT
    if len({hour for hour, _ in wrong}) == 1:
        return _NEXT_HOUR
    if changed_places(wrong, half_hour=half_hour):
        return _CHANGED_PLACES
    if len({off_by(hour, blows) for hour, blows in wrong}) > 1:
        return _UNLIKE
    return _COUNT_WHEEL if stood else _TRIP_ONCE
