"""What a clock's page is about."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from standwatch.judge.assessment import Assessment
from standwatch.service.after.leaving import Way
from standwatch.service.views import StandView
from standwatch.tui.draw.traces import Which

Page = Literal["chart", "table", "facts", "needed"]


@dataclass(frozen=True, slots=True)
class Shown:
    """What the page is about and which part of it is open. `first` is the first line of a long list.

    `way` is where it is between stand and owner, None until that is worked out.
    """

    assessment: Assessment
    view: StandView
    which: Which = "error"
    page: Page = "chart"
    first: int = 0
    way: Way | None = None

    @property
    def weights(self) -> bool:
        """Its power is drawn as ladders: not at its owner's, who winds it and doesn't say so."""
        return self.assessment.estimates.history.traits.weights and not self.at_home

    @property
    def at_home(self) -> bool:
        """At its owner's: its way is shown in place of power and of what it still has to show."""
        return self.assessment.estimates.history.home_since is not None
