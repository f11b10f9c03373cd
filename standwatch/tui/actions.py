"""The one registry of actions: key, words, help. Bindings, bottom line, palette and help all come from it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from textual.binding import Binding, BindingType

Place = Literal[
    "stand",
    "clock",
    "entry",
    "works",
    "help",
    "round",
    "round-take",
    "round-surprise",
    "listening",
    "winding",
    "regulate",
    "stoppage",
    "first-hour",
    "release",
    "delivered",
]


@dataclass(frozen=True, slots=True)
class Action:
    """One thing that can be done.

    `keys` are Textual's names, `shown` what the bottom line calls the first; `words` two or three for a narrow line,
    `help` a sentence. `foot`: shown in the bottom line (all are in help, and all but movements in the palette).
    """

    id: str
    keys: tuple[str, ...]
    shown: str
    words: str
    help: str
    places: tuple[Place, ...]
    foot: bool = True
    palette: bool = True


_BOTH: tuple[Place, ...] = ("stand", "clock")

ACTIONS: tuple[Action, ...] = (
    Action("read", ("space", "c"), "Space", "read", "Read the chosen clock; the press is the reading's time.", _BOTH),
    Action("touched", ("t",), "t", "touched", "Record work on the chosen clock: wound, nut, stopped.", _BOTH),
    Action("open_clock", ("enter",), "Enter", "clock", "Open the chosen clock's page.", ("stand",)),
    Action("regulate", ("g",), "g", "regulate", "Say what the rating nut wants.", _BOTH),
    Action("undo", ("u",), "u", "undo", "Take back what was recorded last of the chosen clock.", _BOTH),
    Action("facts", ("f",), "f", "facts", "All facts of this clock, with their ids; and back.", ("clock",)),
    Action("needed", ("n",), "n", "needed", "What it still has to show, with reasons.", ("clock",), foot=False),
    Action("chart_rate", ("v",), "v", "rate", "Chart the daily rates; and back to the error.", ("clock",), foot=False),
    Action("chart_swing", ("a",), "a", "swing", "Chart the swing; and back to the error.", ("clock",), foot=False),
    Action("table", ("m",), "m", "as table", "The chart as a table; and back.", ("clock",), foot=False),
    Action("add", ("a",), "a", "add clock", "Put a clock on the stand: tag and kind are enough.", ("stand",)),
    Action("import", ("i",), "i", "import", "Bring in a ledger, a folder or a file.", ("stand",)),
    Action("back", ("escape",), "Esc", "stand", "Back to the stand.", ("clock",)),
    Action("move(-1)", ("up", "k"), "↑", "clock above", "The clock above, or before.", _BOTH, False, False),
    Action("move(1)", ("down", "j"), "↓", "clock below", "The clock below, or next.", _BOTH, False, False),
    Action("page(-1)", ("pageup",), "PgUp", "a page up", "A page up.", _BOTH, False, False),
    Action("page(1)", ("pagedown",), "PgDn", "a page down", "A page down.", _BOTH, False, False),
    Action("end(-1)", ("home",), "Home", "first", "The first.", _BOTH, False, False),
    Action("end(1)", ("end",), "End", "last", "The last.", _BOTH, False, False),
    Action("quiet", ("escape",), "Esc", "close", "Close what is said below the table.", ("stand",), False, False),
    Action("app.quit", ("q",), "q", "quit", "Leave; everything is kept.", _BOTH),
    Action("help", ("question_mark", "f1"), "?", "help", "The keys that work here, and what the marks mean.", _BOTH),
    Action("save", ("enter",), "Enter", "save", "Keep what is typed.", ("entry",), palette=False),
    Action("leave", ("escape",), "Esc", "leave", "Leave without keeping anything.", ("entry", "works"), palette=False),
    Action("entry_help", ("f1",), "F1", "help", "What can be typed here.", ("entry",), palette=False),
    Action("close", ("escape", "question_mark", "q", "space"), "Esc", "back", "Close this.", ("help",), True, False),
)  # fmt: skip


def at(place: Place) -> tuple[Action, ...]:
    """The actions of a place, in the registry's order."""
    return tuple(action for action in ACTIONS if place in action.places)


def bindings(place: Place, *, priority: bool = False) -> list[BindingType]:
    """Textual's bindings for a place."""
    return [
        Binding(
            ",".join(action.keys),
            action.id,
            action.words,
            key_display=action.shown,
            show=action.foot,
            tooltip=action.help,
            priority=priority,
            id=f"{place}.{action.id}",
        )
        for action in at(place)
    ]


def find(name: str, places: Iterable[Place]) -> Action | None:
    """The action called `name` in one of `places`."""
    return next((a for a in ACTIONS if a.id == name and any(place in a.places for place in places)), None)
