"""A clock at its owner's while it is still here, as text and as JSON."""

from __future__ import annotations

from collections.abc import Iterable

from standwatch.cli import words
from standwatch.cli.as_json import Json, answer
from standwatch.judge.homing import home_words, leave_at_words
from standwatch.model.answers import Answer, NotYetKnown
from standwatch.model.release import Home
from standwatch.service.home_forecast import ForHome


def forecasts(found: Iterable[tuple[str, Home]]) -> str:
    """What each clock is expected to show at its owner's, and what goes into it."""
    lines = []
    for tag, home in found:
        days = "1 day" if home.days == 1 else f"{home.days:g} days"
        lines.append(f"{tag}  {days} after it is set right at its owner's: {words.error_in_words(home.error_s)}")
        lines += [f"  {said}" for said in home_words(home)]
    return "\n".join(lines)


def forecasts_json(found: Iterable[tuple[str, Home]]) -> list[Json]:
    """`forecast --home --json`."""
    return [
        {
            "tag": tag,
            "days": home.days,
            "error_s": answer(home.error_s),
            "move_s_per_day": home.move_s_per_day,
            "follow_ups": home.follow_ups,
            "site_s_per_day": _told(home.site_s_per_day),
            "room_s_per_day": _told(home.room_s_per_day),
        }
        for tag, home in found
    ]


def leave_at(found: ForHome) -> str:
    """The rate to leave it at here, with what it rests on."""
    if isinstance(found.target, NotYetKnown):
        return f"{found.tag}: how to leave it for home is not yet known: {found.target.because}"
    lines = [f"{found.tag}: {leave_at_words(found.target)}"]
    lines += [f"  {said}" for said in home_words(found.home)]
    if found.over_limit is not None:
        lines.append(
            f"  left so, it misses its limit of {found.over_limit:g} s/day here: let it go as it is and turn it there, "
            "or give it a mean_rate_limit of its own, which its record calls looser"
        )
    return "\n".join(lines)


def leave_at_json(found: ForHome) -> Json:
    """What `regulate --for-home --json` adds."""
    return {
        "target_s_per_day": answer(found.target),
        "site_s_per_day": _told(found.home.site_s_per_day),
        "room_s_per_day": _told(found.home.room_s_per_day),
        "move_s_per_day": found.home.move_s_per_day,
    }


def _told(change: Answer | None) -> Json | None:
    return None if change is None else answer(change)
