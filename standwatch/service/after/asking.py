"""What is asked of clocks once they may go home: where they are, what came back, whether to hold one."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING

from standwatch.service.after.warranty import warranty_ends
from standwatch.service.assessing import Assessor

if TYPE_CHECKING:
    from standwatch.service.after.gone_home import Gone, TimeThere
    from standwatch.service.after.returns import Returns


class After:
    """The questions of `Stand.after`; errors and `now` are as the stand's own."""

    def __init__(self, office: Assessor) -> None:
        self._office = office

    def gone_home(self, now: datetime) -> tuple[Gone, ...]:
        """The clocks at their owners', calls due first."""
        from standwatch.service.after.gone_home import gone_home  # noqa: PLC0415  # tags are shown without it

        return gone_home(self._office, now)

    def times_there(self, tag: str, now: datetime) -> tuple[TimeThere, ...]:
        """The errors told of a clock since it went home, oldest first, each against what was expected of it."""
        from standwatch.service.after.gone_home import times_there  # noqa: PLC0415  # the same

        return times_there(self._office, self._office.exact(tag), now)

    def warranty_ends(self, tag: str, now: datetime) -> date | None:
        """The last day of warranty of a clock that went home by `now`; None where it didn't, or there is none."""
        steps = self._office.facts(self._office.exact(tag)).handovers
        return warranty_ends([record.body for record in steps if record.body.at <= now], self._office.shop())

    def callback_rates(self, now: datetime) -> Returns:
        """What went home and what came back: by code, by what was repaired, by waiver, by days tested."""
        from standwatch.service.after.returns import returns  # noqa: PLC0415  # the same

        return returns(self._office, now)

    def holding(self, tag: str, now: datetime) -> str:
        """What speaks for holding a clock on the stand, and what for letting it go, in sentences; else empty."""
        from standwatch.service.after.holding import holding  # noqa: PLC0415  # the same

        return holding(self._office, self._office.exact(tag), now)
