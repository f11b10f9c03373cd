"""A piece of work in a restorer's words, with its amount and its signs said aloud."""

from __future__ import annotations

from collections.abc import Callable

from standwatch.estimate.history import History
from standwatch.model.facts import CheckIn
from standwatch.model.units import error_words
from standwatch.model.words import Drive, Work


def work_words(row: CheckIn, history: History) -> str:
    """ "bob raised 0.5 turns", "wound strike to the top", "stopped, explained"; `row` must tell a work."""
    assert row.work is not None  # noqa: S101  # the caller asked
    teller = _WORK.get(row.work)
    text = teller(row, history) if teller else row.work.value.replace("-", " ")
    if row.explained is not None:
        text += ", explained" if row.explained else ", not explained"
    return text


def _wound(row: CheckIn, history: History) -> str:
    train = f" {row.train}" if row.train else ""
    if row.amount is None:
        return f"wound{train} to the top" if history.traits.drive is Drive.WEIGHT else f"wound{train} fully"
    unit = "mm" if history.traits.drive is Drive.WEIGHT else "turns"
    return f"wound{train} {row.amount:g} {unit}"


def _nut(row: CheckIn, history: History) -> str:
    bob = history.traits.oscillator == "pendulum"
    if row.amount is None:
        return "nut turned" if bob else "index moved"
    turn = f"{abs(row.amount):g} turn{'' if abs(row.amount) == 1 else 's'}"
    if bob:
        return f"bob {'raised' if row.amount > 0 else 'lowered'} {turn}"
    return f"{turn} towards {'faster' if row.amount > 0 else 'slower'}"


def _seconds(said: str) -> Callable[[CheckIn, History], str]:
    def told(row: CheckIn, _history: History) -> str:
        if row.amount is None:
            return f"{said}, by how much isn't told"
        side = "forward" if row.amount > 0 else "back"
        return f"{said} {error_words(row.amount).split()[0]} {side}" if row.amount else said

    return told


def _held(row: CheckIn, _history: History) -> str:
    return "held on purpose" if row.amount is None else f"held {error_words(row.amount).split()[0]} on purpose"


def _shifted(row: CheckIn, _history: History) -> str:
    if not row.amount:
        return "hours shifted"
    hours = "1 hour" if abs(row.amount) == 1 else f"{abs(row.amount):g} hours"
    return f"hands {hours} {'on' if row.amount > 0 else 'back'}, to hear other hours"


def _mis_set(row: CheckIn, _history: History) -> str:
    if not row.amount:
        return "chime mis-set"
    return f"chime mis-set {row.amount:g} {'quarter' if row.amount == 1 else 'quarters'}"


def _signed_off(said: str) -> Callable[[CheckIn, History], str]:
    def told(row: CheckIn, _history: History) -> str:
        dark = " dark or dry at a pivot" if row.work is Work.OIL_CHECKED and row.amount else ""
        return f"{said}{dark} ({row.note})"

    return told


_WORK: dict[Work, Callable[[CheckIn, History], str]] = {
    Work.WOUND: _wound,
    Work.NUT: _nut,
    Work.HANDS_SET: _seconds("hands set"),
    Work.SUMMER_TIME: _seconds("summer time changed"),
    Work.HELD: _held,
    Work.HOURS_SHIFTED: _shifted,
    Work.OIL_CHECKED: _signed_off("oil looked at"),
    Work.SAFETY_CHECKED: _signed_off("safety signed"),
    Work.MIS_SET: _mis_set,
    Work.TUNE: lambda row, _h: f"tune {row.amount or 0:.0f}" if row.amount else "tune: silent",
    Work.CHIME_SET: lambda _r, _h: "chime put right",
    Work.STRIKE_SET: lambda _r, _h: "strike put right",
    Work.RAN_OUT: lambda row, _h: f"{row.train} ran out" if row.train else "ran out",
}
