"""The round on paper, for a dead battery or a power cut: what to read, blanks to write in, nothing that is expected."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime

from standwatch.horology.cautions import LAST
from standwatch.judge.assessment import Assessment
from standwatch.judge.phases import Phase, phase_of
from standwatch.model.answers import Moment
from standwatch.model.text import natural
from standwatch.model.words import NextStep, ReadBy, Train
from standwatch.papers.blocks import Blanks, Block, Caution, Sheet, Table, Words
from standwatch.papers.fitting import hung
from standwatch.papers.words import local

_COLUMNS = "slot; tag; kind; read by; watch; dial, error; swing; L; C; R; heard; mind"
_HEAD = tuple(_COLUMNS.split("; "))
_WIDTHS = (0.7, 1.2, 1.8, 1.3, 1.3, 1.9, 1.3, 1.1, 1.1, 1.1, 1.3, 1.5)
_FIGURES = frozenset(range(6, 10))
"""Columns whose unit stands at the right, so that the figure is written before it."""
_ROW_MM = 9.0
_FOOT = (
    "Read by the seconds hand, the minute hand or the first blow; the dial, or the error in s, + fast. L, C, R: the "
    "weights as you face the clock, mm fallen from fully wound, or what the slot's scale reads. Later: standwatch "
    "checkin TAG --dial H:MM:SS --at ISO, and standwatch work TAG WHAT."
)
_NOT = "–"
_BY = {
    ReadBy.SECONDS_HAND: "seconds",
    ReadBy.MINUTE_HAND: "minute",
    ReadBy.FIRST_BLOW: "first blow",
    ReadBy.ESTIMATE: "estimate",
}


def round_sheet(assessments: Iterable[Assessment], now: datetime, *, zone: str, next_round: datetime) -> Sheet:
    """The clocks on the stand by slot, as a table to write in; what runs out before `next_round` is marked.

    What is expected of a clock is not on it: it is read blind.
    """
    told = sorted((found for found in assessments if _here(found)), key=_place)
    rows = tuple(_row(found, next_round, zone) for found in told)
    blocks: list[Block] = [
        Words("Listen, look, read, then touch. What hangs: dial and weights before it is set going.", "strong"),
        Blanks(("date", "read by", "watch against the reference, s, + fast", "°C on the stand"), columns=2),
        Caution(_cautions(told)),
        Table(_HEAD, rows, _WIDTHS, right=_FIGURES, least_mm=_ROW_MM, ruled=True)
        if rows
        else Words("No clock is on the stand."),
        Words(
            _FOOT,
            "small",
        ),
    ]
    return Sheet("round-sheet", f"Round sheet, as of {local(now, zone)}", "", tuple(blocks), now, zone)


def _here(found: Assessment) -> bool:
    return phase_of(found.estimates.history.handovers) is Phase.ON_STAND


def _place(found: Assessment) -> tuple[object, ...]:
    slot = found.estimates.history.position
    return not slot, natural(slot), natural(found.tag)


def _row(found: Assessment, next_round: datetime, zone: str) -> tuple[str, ...]:
    history = found.estimates.history
    clock, traits = history.clock, history.traits
    swing = {"pendulum": "mm" if clock.swing_scale_mm else "°", "balance": "°", "torsion": "l/r °"}[traits.oscillator]
    sides = {side or "centre": train for side, train in hung(clock, traits).items()}
    weights = [_weight(found, sides[side]) if side in sides else _NOT for side in ("left", "centre", "right")]
    heard = "chime, blows" if Train.CHIME in traits.trains else "blows" if Train.STRIKE in traits.trains else _NOT
    mark = " !" if clock.hazards else ""
    return (
        history.position or _NOT,
        f"{found.tag}{mark}",
        traits.kind.short if not traits.reference else traits.kind.title,
        _BY[history.usual_read_by],
        "",
        "",
        _NOT if traits.reference else swing,
        *weights,
        heard,
        _mind(found, next_round, zone),
    )


def _weight(found: Assessment, train: Train) -> str:
    return "mm" if getattr(found.estimates.history.clock, f"{train}_scale_mm") is None else "scale"


def _mind(found: Assessment, next_round: datetime, zone: str) -> str:
    """Standing still, or what is to be wound before the next round, with the day by which."""
    if found.going.hangs is not None:
        return "STANDS"
    ends = [run.runs_out for run in found.estimates.power.trains if isinstance(run.runs_out, Moment)]
    first = min((end.low for end in ends), default=None)
    if first is None or first > next_round:
        return ""
    if found.next.code is NextStep.LET_RUN_OUT:
        return "let run out"
    return f"WIND by {local(first, zone)[:6].strip()}"


def _cautions(told: Sequence[Assessment]) -> tuple[str, ...]:
    clocks = [found.estimates.history.clock for found in told]
    items = [f"{clock.tag}: {clock.hazards}" for clock in clocks if clock.hazards]
    if any(found.estimates.history.traits.weights for found in told):
        items.append("Weights fall: feet clear, no line slack. Bare fingers mark brass.")
    if any(Train.CHIME in found.estimates.history.traits.trains for found in told):
        items.append("No hands and no selector are moved while it strikes or chimes.")
    return (*items, LAST)
