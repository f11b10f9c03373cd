"""What falling weights betray of strike and chime: stuck, running on, or striking less than they should."""

from __future__ import annotations

from standwatch.estimate.answers import STRONG, Lead
from standwatch.estimate.leads.evidence import Evidence
from standwatch.estimate.running_wrong import Wrong
from standwatch.horology.hanging import one_weight
from standwatch.model.words import Train

_STUCK = {
    Train.STRIKE: "listen whether it is hung in warning; then the fly and the rack tail",
    Train.CHIME: "look at the selector, then whether it is hung in warning, and the fly",
}
_RUNS_ON = {
    Train.STRIKE: "look at the locking, and in the wind log",
    Train.CHIME: "look at the locking, at what makes it correct itself, and in the wind log",
}


def strike_stuck(evidence: Evidence) -> Lead | None:
    """The strike's weight hangs higher than it should."""
    return _stuck(evidence, Train.STRIKE)


def chime_stuck(evidence: Evidence) -> Lead | None:
    """The chime's weight hangs higher than it should."""
    return _stuck(evidence, Train.CHIME)


def strike_runs_on(evidence: Evidence) -> Lead | None:
    """The strike's weight hangs lower than it should."""
    return _runs_on(evidence, Train.STRIKE)


def chime_runs_on(evidence: Evidence) -> Lead | None:
    """The chime's weight hangs lower than it should."""
    return _runs_on(evidence, Train.CHIME)


def strike_lacks(evidence: Evidence) -> Lead | None:
    """The strike's weight falls a little too little, day after day."""
    wrong = _of(evidence, Train.STRIKE)
    if wrong is None or not wrong.lacks:
        return None
    text = (
        f"the strike weight fell {wrong.due_mm - wrong.lack_mm:.0f} mm where the winds before make it "
        f"{wrong.due_mm:.0f}: hours go unstruck; stay for some, and look at the lifting and the warning"
    )
    return Lead("strike-lacks", wrong.lacks, text)


def seem_stuck(evidence: Evidence) -> frozenset[Train]:
    """The trains that a strong lead calls stuck."""
    if evidence.history.traits.reference or evidence.history.home_since is not None:
        return frozenset()
    leads = {wrong.train: _stuck(evidence, wrong.train) for wrong in evidence.wrong}
    return frozenset(train for train, lead in leads.items() if lead is not None and lead.odds >= STRONG)


def _of(evidence: Evidence, train: Train) -> Wrong | None:
    return next((wrong for wrong in evidence.wrong if wrong.train is train), None)


def _stuck(evidence: Evidence, train: Train) -> Lead | None:
    wrong = _of(evidence, train)
    if wrong is None or wrong.since is None or wrong.stuck <= wrong.runs_on:
        return None
    if one_weight(evidence.history.traits):
        seen = f"the weight falls since {evidence.day(wrong.since[0])} as if the {train} took none of it"
    else:
        seen = f"the {train} weight has hardly fallen since {evidence.day(wrong.since[0])}, and the clock went on"
    return Lead(f"{train}-stuck", wrong.stuck, f"{seen}: {_STUCK[train]}")


def _runs_on(evidence: Evidence, train: Train) -> Lead | None:
    wrong = _of(evidence, train)
    if wrong is None or wrong.since is None or wrong.runs_on <= wrong.stuck:
        return None
    seen = f"the {train} weight fell further by {evidence.day(wrong.since[1])} than its {_sounds(train)} account for"
    return Lead(f"{train}-runs-on", wrong.runs_on, f"{seen}: {_RUNS_ON[train]}")


def _sounds(train: Train) -> str:
    return "blows" if train is Train.STRIKE else "quarters"
