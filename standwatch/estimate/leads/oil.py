"""What eyes saw at the pivots."""

from __future__ import annotations

from standwatch.estimate.answers import Lead
from standwatch.estimate.leads.evidence import Evidence
from standwatch.model.words import Work

_ONE_LOOK, _TWO_LOOKS = 0.85, 0.95
"""How often oil that looks dark or dry means a bush that sheds: once seen, and seen again (common practice)."""


def oil_dark(evidence: Evidence) -> Lead | None:
    """Oil dark or dry at a pivot when it was last looked at."""
    looks = [v for v in evidence.since_opened if v.work is Work.OIL_CHECKED and v.row.amount is not None]
    if not looks or not looks[-1].row.amount:
        return None
    again = len(looks) > 1 and bool(looks[-2].row.amount)
    text = (
        f"oil dark or dry at a pivot on {evidence.day(looks[-1].at)} ({looks[-1].row.note}): "
        "a bush sheds or plating has gone; open it"
    )
    return Lead("oil-dark", _TWO_LOOKS if again else _ONE_LOOK, text)
