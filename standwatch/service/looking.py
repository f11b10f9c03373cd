"""Looking without changing: the roster, forecasts, when it stopped."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from standwatch.horology.kinds import KINDS
from standwatch.horology.limits import check_possible
from standwatch.judge.assessment import Assessment
from standwatch.model.answers import Answer
from standwatch.model.facts import CheckIn
from standwatch.model.records import build
from standwatch.model.text import natural
from standwatch.model.words import Train, Work
from standwatch.service.assessing import Assessor
from standwatch.service.views import Forecast, RosterLine

if TYPE_CHECKING:
    from standwatch.judge.due import Due

ROUND_LASTS = timedelta(hours=1)
"""A morning round of thirty to forty clocks, with its winding (common practice: 25 to 40 minutes and the work)."""


def roster(office: Assessor, now: datetime) -> tuple[RosterLine, ...]:
    """The clocks on the stand by slot, without reading what was read of them."""
    lines = [RosterLine(tag, KINDS[clock.kind].short, slot) for tag, (clock, slot) in office.present(now).items()]
    return tuple(sorted(lines, key=lambda line: (not line.position, natural(line.position), natural(line.tag))))


def forecast(office: Assessor, ats: Sequence[datetime], tags: Sequence[str], now: datetime) -> tuple[Forecast, ...]:
    """The errors expected at `ats`, clock by clock."""
    from standwatch.judge.homing import place_words  # noqa: PLC0415  # tags are shown before the estimators are loaded

    return tuple(
        Forecast(found.tag, at, error_at(found, at), place_words(found.estimates))
        for found in chosen(office, tags, now)
        for at in ats
    )


def chosen(office: Assessor, tags: Iterable[str], now: datetime) -> tuple[Assessment, ...]:
    """The assessments of `tags` in who-first order; of the whole stand where none is named."""
    from standwatch.judge.assess import who_first  # noqa: PLC0415  # tags are shown before the estimators are loaded

    wanted = list(dict.fromkeys(office.exact(tag) for tag in tags))
    if not wanted:
        return office.view(now).assessments
    return who_first([office.assess(tag, now) for tag in wanted])


def error_at(found: Assessment, at: datetime) -> Answer:
    """The error that a reading at `at` is expected to show, at its owner's too, unless the clock stands."""
    if found.estimates.history.home_since is not None and found.estimates.home is not None:
        return found.estimates.home.reading_at(at)
    if found.going.hangs is not None or found.estimates.history.home_since is not None:
        return found.error_s
    return found.estimates.time.reading_at(at)


def due(office: Assessor, until: datetime | None, now: datetime) -> tuple[Due, ...]:
    """What is due up to `until`, or up to the end of the next round."""
    from standwatch.judge.due import due as due_of  # noqa: PLC0415  # tags are shown before the estimators are loaded

    view = office.view(now)
    end = until or view.next_round + ROUND_LASTS
    return due_of(view.assessments, view.shop.rounds, end, view.shop.calls)


def stop_times(
    office: Assessor,
    tag: str,
    dial: str,
    falls: Mapping[Train, float],
    now: datetime,
    *,
    moon_age_d: float | None = None,
) -> tuple[tuple[datetime, float], ...]:
    """Candidates for the time it stopped, likeliest first, by the error that was forecast before it did."""
    clock = office.clock(tag).body
    cells = {"at": now, "tag": clock.tag, "dial": dial, "work": Work.STOPPED, "moon_age_d": moon_age_d}
    row = build(CheckIn, {**cells, **{f"{train}_mm": mm for train, mm in falls.items()}})
    check_possible(row, clock, now=now)
    checked = {train: mm for train in falls if (mm := row.fall_mm(train)) is not None}
    from standwatch.estimate.stops import as_found, stop_candidates  # noqa: PLC0415  # tags are shown before the estimators are loaded

    before, found_at = as_found(office.history(clock.tag, now), now)
    return stop_candidates(
        before,
        row.dial or dial,
        found_at=found_at,
        falls=checked,
        moon_age_d=row.moon_age_d,
        error_at=office.time(before, now).error_at,
    )
