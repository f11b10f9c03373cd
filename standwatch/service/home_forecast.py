"""A clock that is still here, at its owner's: its error there some days after it is set right, and how to leave it."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

from standwatch.horology.moving import manner_of
from standwatch.judge.assessment import Assessment
from standwatch.model.answers import Answer, NotYetKnown, Quantity
from standwatch.model.errors import BadValue, Refused
from standwatch.model.release import Home
from standwatch.service.assessing import Assessor

DAYS = 14.0
"""When a shop calls, unless it says otherwise (common practice)."""
MOST_DAYS = 400.0


@dataclass(frozen=True, slots=True)
class ForHome:
    """The rate to leave a clock at here, s/day, so that it goes as wanted at its owner's.

    `target` is what is wanted there less what the owner's place and room add, as far as `home` knows them; its doubt is
    theirs, without the move's. NotYetKnown where neither is known. `over_limit` is the limit that a clock left so would
    miss here; None where it lies within it.
    """

    tag: str
    target: Answer
    home: Home
    over_limit: float | None


def home_of(office: Assessor, tag: str, now: datetime, days: float = DAYS) -> Home:
    """The error of a clock on the stand, or released, `days` after it is set right at its owner's.

    The stand's forecast, with what the owner's place and room do as far as they are known, and the doubt of the move,
    by the shop's own follow-ups. Refused for a clock that is there already, BadValue for days that can't be.
    """
    from standwatch.estimate.at_home import forecast_after, grown_between, moves_of  # noqa: PLC0415  # tags are shown before the estimators are loaded
    from standwatch.estimate.owners_place import together  # noqa: PLC0415  # the same

    if not 0 < days <= MOST_DAYS:
        raise BadValue(f"{days:g} days at home can't be told; give days, over 0 to {MOST_DAYS:g}", column="days")
    found = _here(office, tag, now)
    history, time = found.estimates.history, found.estimates.time
    manner = manner_of(history.clock.kind)
    follow_ups = [each for each in office.follow_ups(history, now) if each.manner == manner]
    moves = moves_of(manner, follow_ups)
    site, room = _place(office, found)
    error: Answer
    ahead = grown_between(history, time, now, now + timedelta(days=days))
    if found.going.hangs is not None:
        error = NotYetKnown("it stands still")
    elif isinstance(ahead, NotYetKnown):
        error = ahead
    else:
        grown, span, variance = ahead
        set_and_read = 2 * history.usual_doubt_s**2  # it is set as well as it is read
        error = forecast_after(moves, (grown, span, variance + set_and_read), together((site, room))).quantity
    shop = office.shop().site
    return Home(
        days=days,
        error_s=error,
        move_s_per_day=moves.middle,
        follow_ups=len(follow_ups),
        site_s_per_day=site,
        room_s_per_day=room,
        from_site="" if shop is None else f"{shop.latitude_deg:g},{shop.height_m:g}",
        to_site=history.clock.home_site or "",
    )


def for_home(office: Assessor, tag: str, now: datetime, wanted_s_per_day: float = 0.0) -> ForHome:
    """The rate to leave a clock at here so that it goes `wanted_s_per_day` at its owner's.

    Refused for a clock that is there already.
    """
    from standwatch.estimate.owners_place import together  # noqa: PLC0415  # tags are shown before the estimators are loaded

    home = home_of(office, tag, now)
    parts = (home.site_s_per_day, home.room_s_per_day)
    unknown = [part.because for part in parts if isinstance(part, NotYetKnown)]
    exact = office.exact(tag)
    if unknown and not any(isinstance(part, Quantity) for part in parts):
        return ForHome(exact, NotYetKnown("; ".join(unknown)), home, None)
    added, doubt = together(parts)
    target = wanted_s_per_day - added
    limit = office.assess(exact, now).estimates.history.traits.mean_rate_limit
    over = limit if limit is not None and abs(target) > limit else None
    return ForHome(exact, Quantity.normal(target, doubt), home, over)


def _here(office: Assessor, tag: str, now: datetime) -> Assessment:
    """The assessment of a clock that is not at its owner's."""
    found = office.assess(office.exact(tag), now)
    if found.estimates.history.home_since is not None:
        raise Refused(
            f"{found.tag} is at its owner's; `standwatch forecast --at ISO {found.tag}` tells its error there"
        )
    return found


def _place(office: Assessor, found: Assessment) -> tuple[Answer | None, Answer | None]:
    """What the owner's place and room do to its rate."""
    from standwatch.estimate.owners_place import owner_site, room_of_owner, site_of  # noqa: PLC0415  # tags are shown before the estimators are loaded

    history = found.estimates.history
    site = site_of(history.traits, office.shop().site, owner_site(history.clock))
    return site, room_of_owner(history, found.estimates.time)
