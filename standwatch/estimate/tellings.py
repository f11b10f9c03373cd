"""What was told of a clock from its owner's: errors as found and as left, and what was done there to them."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from standwatch.estimate.breaks import break_of
from standwatch.estimate.history import History, Visit
from standwatch.horology.kinds import READING_DOUBT_S, Traits
from standwatch.model.words import ReadBy, Work

_WORDS: dict[Work | None, str] = {
    Work.HANDS_SET: "set",
    Work.HELD: "held",
    Work.NUT: "regulated",
    Work.STOPPED: "found stopped",
    Work.RAN_OUT: "found run out",
    Work.RESTARTED: "restarted",
    Work.MOVED: "moved",
}


@dataclass(frozen=True, slots=True)
class Told:
    """The error at one time at home as found, and as left after what was done then, with their standard doubts."""

    at: datetime
    error_s: float
    doubt_s: float
    left_s: float
    left_doubt_s: float


@dataclass(frozen=True, slots=True)
class Telling:
    """What was told at one time: the error with its standard doubt, if any, and what was done then ("it was set").

    What was done stepped the error by `shift_s`, give or take `shift_sd_s`; `regulated`: its rate is new.
    """

    at: datetime
    error_s: float | None
    doubt_s: float
    done: str = ""
    shift_s: float = 0.0
    shift_sd_s: float = 0.0
    regulated: bool = False

    def found_after(self, told: Sequence[Told]) -> list[Told]:
        """What was `told` before, with what was found now."""
        if self.error_s is None:
            return list(told)
        return [*told, Told(self.at, self.error_s, self.doubt_s, self.error_s, self.doubt_s)]

    def left_after(self, told: list[Told]) -> list[Told]:
        """What counts of all `told`, now too, once this was done: nothing where nobody knows how far it stepped."""
        if not self.done:
            return told
        if math.isinf(self.shift_sd_s) or not told:
            return []
        last = told[-1]
        left = math.hypot(last.left_doubt_s, self.shift_sd_s)
        return [*told[:-1], replace(last, left_s=last.left_s + self.shift_s, left_doubt_s=left)]


def tellings(history: History, since: datetime) -> list[Telling]:
    """What was told from delivery on, in order."""
    owner_s = READING_DOUBT_S[ReadBy.ESTIMATE]  # told over the telephone
    found: list[Telling] = []
    for step in history.handovers:
        if step.at < since or step.what not in {"delivered", "called"}:
            continue
        doubt = history.usual_doubt_s if step.what == "delivered" else owner_s
        if step.stopped and step.error_s is None:
            found.append(Telling(step.at, None, doubt, "it stopped", 0.0, math.inf))
        else:
            found.append(Telling(step.at, step.error_s, doubt))
    found += [_read(visit, history.traits, owner_s) for visit in history.at_home if visit.at >= since]
    return sorted(found, key=lambda telling: telling.at)


def _read(visit: Visit, traits: Traits, owner_s: float) -> Telling:
    doubt = visit.doubt_s or owner_s
    broken = break_of(visit.row, visit.order, traits)
    if broken is None or visit.work is Work.WOUND:
        return Telling(visit.at, visit.error_s, doubt)
    done = ""
    if broken.error_sd_s or broken.error_shift_s or broken.opens_rate:
        done = f"it was {_WORDS.get(broken.work, 'worked on')}"
    return Telling(
        visit.at, visit.error_s, doubt, done, broken.error_shift_s, broken.error_sd_s, regulated=broken.opens_rate
    )
