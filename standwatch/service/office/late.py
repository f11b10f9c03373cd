"""What the service asks of the estimators' modules that bring numpy along: each is loaded when it is first asked."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from standwatch.estimate.answers import Timekeeping
from standwatch.estimate.history import History
from standwatch.estimate.learned import Learned
from standwatch.estimate.together import Common

if TYPE_CHECKING:
    from standwatch.estimate.common_mode import Voice


def voice_of(history: History, time: Timekeeping) -> Voice:
    """What one clock by itself has to say of what all share."""
    from standwatch.estimate.common_mode import voice_of as of  # noqa: PLC0415  # tags are shown before the estimators are loaded

    return of(history, time)


def learn(histories: Sequence[History]) -> Learned:
    """What these clocks teach."""
    from standwatch.estimate.learning import learn as from_all  # noqa: PLC0415  # the same

    return from_all(histories)


def listening() -> Callable[[Sequence[Voice]], Common]:
    """Something that hears what all voices share, and keeps what it heard."""
    from standwatch.estimate.common_mode import Together  # noqa: PLC0415  # the same

    return Together().shared_by
