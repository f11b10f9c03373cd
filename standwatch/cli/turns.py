"""Past turns of the rating nut as plain text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from zoneinfo import ZoneInfo

from standwatch.cli import words
from standwatch.judge.turns import PastTurn
from standwatch.model.answers import NotYetKnown
from standwatch.model.units import signed

_HEADS = ("TURNED", "TURNS", "PREDICTED s/d", "BECAME s/d", "")


def past_turns(turns: Iterable[PastTurn], zone: ZoneInfo) -> str:
    """One line a turn, + raises the bob or goes towards faster; what is not known says why at the end."""
    return words.table(_HEADS, [_row(each, zone) for each in turns], right=_HEADS[1:4])


def _row(turn: PastTurn, zone: ZoneInfo) -> Sequence[str]:
    told = "?" if turn.turns is None else signed(turn.turns, 2)
    answers = {"predicted": turn.predicted, "became": turn.became}
    why = [f"{name}: {each.because}" for name, each in answers.items() if isinstance(each, NotYetKnown)]
    return (words.when(turn.at, zone), told, *(words.rate_cell(each) for each in answers.values()), "; ".join(why))
