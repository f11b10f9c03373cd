"""By which command the evidence that a requirement still wants is recorded, for whoever is told that a clock stays."""

from __future__ import annotations

from standwatch.estimate.history import History
from standwatch.judge.assessment import Verdict
from standwatch.model.words import Outcome, Requirement, Work

_READING = "checkin {tag} --dial H:MM:SS"
_SHOWN: dict[Requirement, str] = {
    Requirement.MEAN_RATE: _READING,
    Requirement.DAY_RANGE: _READING,
    Requirement.AMPLITUDE: "checkin {tag} --amplitude DEG",
    Requirement.BEAT: "checkin {tag} --beat-error N",
    Requirement.TWELVE_COUNTS: "checkin {tag} --hour H --blows N",
    Requirement.CHIME_STEP: "checkin {tag} --chime in-step --quarter N",
    Requirement.MIS_SET: "work {tag} mis-set --amount N",
    Requirement.TUNES: "work {tag} tune --amount N",
    Requirement.MOON: "checkin {tag} --moon-age D",
    Requirement.OIL: "work {tag} oil-checked --note INITIALS",
    Requirement.SAFETY: "work {tag} safety-checked --note INITIALS",
}
"""What runs by itself (continuous running, full duration, past the bob) is shown by any reading, and needs no word."""
_MENDED: dict[Requirement, str] = {
    Requirement.MEAN_RATE: "regulate {tag}",
    Requirement.BEAT: "work {tag} beat-set",
    Requirement.TWELVE_COUNTS: "work {tag} strike-set",
    Requirement.CHIME_STEP: "work {tag} chime-set",
    Requirement.MIS_SET: "work {tag} mis-set --amount N",
    Requirement.MOON: "work {tag} moon-set",
    Requirement.OIL: "work {tag} opened",
    Requirement.SAFETY: "work {tag} safety-checked --note INITIALS",
}
"""What is recorded once it is put right; where nothing stands, why it was missed is to be found first."""
_TORSION = "checkin {tag} --overswing LEFT,RIGHT"


def shown_by(verdict: Verdict, history: History) -> str:
    """The command, without the program's name, that records what an open requirement wants next; empty for none."""
    wanted = verdict.requirement
    swing = wanted in {Requirement.AMPLITUDE, Requirement.BEAT}
    if verdict.outcome is Outcome.MISSED:
        told = _MENDED.get(wanted, "")
    elif swing and history.traits.oscillator == "torsion":
        told = _TORSION
    elif wanted is Requirement.AMPLITUDE and history.traits.oscillator == "pendulum" and not history.clock.unlock_deg:
        told = "clock change {tag} unlock_deg=DEG"
    elif wanted is Requirement.OWN_CASE and not any(v.work is Work.CASED for v in history.since_opened):
        told = "work {tag} cased"
    else:
        told = _SHOWN.get(wanted, "")
    return told.format(tag=history.clock.tag)
