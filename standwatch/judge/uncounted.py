"""A swing or a beat that was read and doesn't count: said when it is read, so that nobody waits for it."""

from __future__ import annotations

from standwatch.estimate.history import History
from standwatch.estimate.swing import FIRST_SWING, STARTS, in_doubt, is_first_swing
from standwatch.model.words import Work

_MINUTES = int(FIRST_SWING.total_seconds() // 60)
_AFTER = {Work.RESTARTED: "set going", Work.BEAT_SET: "set in beat"}


def uncounted_words(history: History, fact_id: str) -> str:
    """Why the swing told by the check-in `fact_id` is no amplitude, or the beat in doubt; empty where it counts."""
    visit = next((each for each in history.visits if each.id == fact_id), None)
    if visit is None:
        return ""
    row = visit.row
    swing = any(value is not None for value in (row.amplitude_deg, row.overswing_left_deg, row.overswing_right_deg))
    beat = row.beat_error_pct is not None or row.beat_error_ms is not None
    starts = [start for start in history.works(*STARTS) if is_first_swing(visit, [start])]
    if swing and starts and starts[-1].work is not None:
        return (
            f"not counted: the first swing, within {_MINUTES} minutes of being {_AFTER[starts[-1].work]}, is wide and "
            "finds the beat; read it again later"
        )
    if (swing or beat) and in_doubt(history, visit.at):
        return "not counted: its rail was bumped less than a day before; read it again tomorrow"
    return ""
