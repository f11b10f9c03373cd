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
    "round-found",
    "round-surprise",
    "round-end",
    "listening",
    "winding",
    "regulate",
    "stoppage",
    "first-hour",
    "release",
    "delivered",
    "rates",
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
_ROUND: tuple[Place, ...] = ("round", "round-take", "round-found", "round-surprise", "round-end")

ACTIONS: tuple[Action, ...] = (
    Action("read", ("space", "c"), "Space", "read", "Read the chosen clock; the press is the reading's time.", _BOTH),
    Action("round", ("r",), "r", "round", "The morning round, clock by clock, from where it was left.", ("stand",)),
    Action("listening", ("l",), "l", "listening", "The coming quarter: whom to hear, and for what.", ("stand",)),
    Action("winding", ("w",), "w", "winding", "Every train by its run-out, and what was wound.", ("stand",)),
    Action("touched", ("t",), "t", "touched", "Record work on the chosen clock: wound, nut, stopped.", _BOTH),
    Action("open_clock", ("enter",), "Enter", "clock", "Open the chosen clock's page.", ("stand",)),
    Action("regulate", ("g",), "g", "regulate", "Whether to touch the rating nut, and how far.", _BOTH),
    Action("release", ("e",), "e", "release", "May the chosen clock go? What remains, and letting it go.", _BOTH),
    Action("stoppage", ("o",), "o", "stopped", "When and why it stopped: what it tells before it is touched.", _BOTH),
    Action("find", ("slash",), "/", "find", "Find a clock: its tag, slot, owner, words; or scan it.", ("stand",)),
    Action("undo", ("u",), "u", "undo", "Take back what was recorded last of the chosen clock.", _BOTH),
    Action("add", ("a",), "a", "add clock", "Put a clock on the stand: tag and kind are enough.", ("stand",)),
    Action("import", ("i",), "i", "import", "Bring in a ledger, a folder or a file.", ("stand",)),
    Action("by_place", ("p",), "p", "by place", "Rail by rail: warmth, and who swings alike; and back.", ("stand",)),
    Action("delivered", ("d",), "d", "delivered", "The clocks at their owners': calls due, what was told.", ("stand",)),
    Action("round_sheet", ("s",), "s", "round sheet", "Print the round, to be written in by hand.", ("stand",), False),
    Action("labels", ("y",), "y", "rail labels", "Print the labels of every clock on the stand.", ("stand",), False),
    Action("facts", ("f",), "f", "facts", "All facts of this clock, with their ids; and back.", ("clock",)),
    Action("needed", ("n",), "n", "needed", "What it still has to show, with reasons.", ("clock",), foot=False),
    Action("chart_rate", ("v",), "v", "rate", "Chart the daily rates; and back to the error.", ("clock",), foot=False),
    Action("chart_swing", ("a",), "a", "swing", "Chart the swing; and back to the error.", ("clock",), foot=False),
    Action("table", ("m",), "m", "as table", "The chart as a table; and back.", ("clock",), foot=False),
    Action("papers", ("p",), "p", "papers", "Print the papers of its release.", ("clock",), False),
    Action("open_other", ("enter",), "Enter", "other job", "Open the other job on this clock.", ("clock",), False),
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
    Action("let_go", ("e",), "e", "let it go", "Release it, by typing its tag and your name.", ("release",)),
    Action("papers", ("p",), "p", "papers", "Print it: record, fitter's sheet, owner's card, labels.", ("release",)),
    Action("deliver", ("d",), "d", "went home", "It went home: how it was left there.", ("release",)),
    Action("reopen", ("o",), "o", "reopen", "Take it back to the stand, with a reason.", ("release",)),
    Action("waive", ("v",), "v", "waive", "Let the chosen requirement go, with a reason.", ("release",)),
    Action("in_full", ("n",), "n", "in full", "All reasons, at home, holding, what was kept; and back.", ("release",)),
    Action("sign", ("f",), "f", "safety", "Lines, hooks, suspension, clicks looked over and signed.", ("release",)),
    Action("oil", ("i",), "i", "oil", "The oil at each visible pivot looked at.", ("release",)),
    Action("cased", ("c",), "c", "cased", "It hangs in its own case from now on.", ("release",)),
    Action("undo", ("u",), "u", "undo", "Take back what was recorded last of this clock.", ("release",)),
    Action("back", ("escape",), "Esc", "back", "Back to where you came from.", ("release",)),
    Action("evidence", ("enter",), "Enter", "reason", "The chosen requirement's reason, whole.", ("release",)),
    Action("label", ("l",), "l", "label", "Print its labels, for rail and weights.", ("release", "clock"), False),
    Action("move(-1)", ("up", "k"), "↑", "above", "The requirement above.", ("release",), False, False),
    Action("move(1)", ("down", "j"), "↓", "below", "The requirement below.", ("release",), False, False),
    Action("page(-1)", ("pageup",), "PgUp", "a page up", "A page up.", ("release",), False, False),
    Action("page(1)", ("pagedown",), "PgDn", "a page down", "A page down.", ("release",), False, False),
    Action("end(-1)", ("home",), "Home", "first", "The first.", ("release",), False, False),
    Action("end(1)", ("end",), "End", "last", "The last.", ("release",), False, False),
    Action("app.quit", ("q",), "q", "quit", "Leave; everything is kept.", ("release",), False),
    Action("help", ("question_mark", "f1"), "?", "help", "The keys that work here.", ("release",)),
    Action("wound", ("w", "plus"), "w +", "wound", "Wound; then turns or mm, or Enter alone: fully.", ("winding",)),
    Action("number", tuple("123456789"), "1-9", "turns", "Wound by so many turns of the key, or mm.", ("winding",)),
    Action("clock_wound", ("c",), "c", "clock", "Every train of this clock is wound, fully.", ("winding",)),
    Action("let", ("o", "asterisk"), "o *", "let", "Why it is let run out, or not.", ("winding",)),
    Action("restarted", ("r",), "r", "restarted", "Wound and set going again.", ("winding",)),
    Action("mark", ("space", "0"), "Space", "mark", "Mark this train for a; then the next.", ("winding",)),
    Action("all_marked", ("a", "slash"), "a /", "marked", "All marked trains are wound, fully.", ("winding",)),
    Action("undo", ("u", "full_stop"), "u .", "undo", "Take back what was recorded last.", ("winding",)),
    Action("back", ("escape",), "Esc", "back", "Back to where you came from.", ("winding",)),
    Action("move(-1)", ("up", "k", "minus"), "↑ -", "train above", "The train above.", ("winding",), False, False),
    Action("move(1)", ("down", "j", "enter"), "↓ Enter", "train below", "The train below.", ("winding",), False, False),
    Action("page(-1)", ("pageup",), "PgUp", "a page up", "A page up.", ("winding",), False, False),
    Action("page(1)", ("pagedown",), "PgDn", "a page down", "A page down.", ("winding",), False, False),
    Action("end(-1)", ("home",), "Home", "first", "The first.", ("winding",), False, False),
    Action("end(1)", ("end",), "End", "last", "The last.", ("winding",), False, False),
    Action("app.quit", ("q",), "q", "quit", "Leave; everything is kept.", ("winding",), False),
    Action("help", ("question_mark", "f1"), "?", "help", "The keys that work here.", ("winding",)),
    Action("heard_right", ("h", "plus"), "h +", "heard right", "Chime in step, count right.", ("listening",)),
    Action("wrong_count", ("b", "minus"), "b -", "wrong count", "A wrong count: how many blows.", ("listening",)),
    Action("quarter_off", ("q", "slash"), "q /", "quarter off", "It played another quarter.", ("listening",)),
    Action("silent", ("s", "asterisk"), "s *", "silent", "It said nothing: selector, or fault?", ("listening",)),
    Action("staggered", ("y", "0"), "y 0", "staggered", "The stagger that is proposed was made.", ("listening",)),
    Action("undo", ("u", "full_stop"), "u .", "undo", "Take back what was recorded last.", ("listening",)),
    Action("back", ("escape",), "Esc", "back", "Back to where you came from.", ("listening",)),
    Action("by_hand", ("d",), "d", "by hand", "An hour that was moved to by hand and heard right.", ("listening",)),
    Action("other", tuple("123456789"), "1-9", "another", "The voice of that place; ↑ ↓ too.", ("listening",)),
    Action("touched", ("t",), "t", "touched", "Work on this clock: mis-set, tune, put right.", ("listening",)),
    Action("move(-1)", ("up", "k"), "↑", "voice above", "The voice above.", ("listening",), False, False),
    Action("move(1)", ("down", "j"), "↓", "voice below", "The voice below.", ("listening",), False, False),
    Action("help", ("question_mark", "f1"), "?", "help", "The keys that work here.", ("listening",)),
    Action("call", ("c",), "c", "called", "What was said on the telephone, and its error there.", ("delivered",)),
    Action("came_back", ("b",), "b", "came back", "It came back, or somebody had to go: why.", ("delivered",)),
    Action("rates", ("r",), "r", "rates", "How many came back: by repair, waiver, days tested.", ("delivered",)),
    Action("take_back", ("o",), "o", "take back", "It comes back to the stand, with a reason.", ("delivered",)),
    Action("back", ("escape",), "Esc", "back", "Back to the stand.", ("delivered",)),
    Action("read", ("space",), "Space", "read", "Its error as read at its owner's.", ("delivered",)),
    Action("open_clock", ("enter",), "Enter", "clock", "Open the chosen clock's page.", ("delivered",)),
    Action("papers", ("p",), "p", "papers", "Print the papers of its release.", ("delivered",)),
    Action("undo", ("u",), "u", "undo", "Take back what was recorded last of this clock.", ("delivered",)),
    Action("move(-1)", ("up", "k"), "↑", "above", "The clock above.", ("delivered",), False, False),
    Action("move(1)", ("down", "j"), "↓", "below", "The clock below.", ("delivered",), False, False),
    Action("end(-1)", ("home",), "Home", "first", "The first.", ("delivered",), False, False),
    Action("end(1)", ("end",), "End", "last", "The last.", ("delivered",), False, False),
    Action("app.quit", ("q",), "q", "quit", "Leave; everything is kept.", ("delivered",), False),
    Action("help", ("question_mark", "f1"), "?", "help", "The keys that work here.", ("delivered",)),
    Action("back", ("escape",), "Esc", "back", "Back to the clocks at their owners'.", ("rates",)),
    Action("move(-1)", ("up", "k"), "↑", "up", "A line up.", ("rates",), True, False),
    Action("move(1)", ("down", "j"), "↓", "down", "A line down.", ("rates",), True, False),
    Action("page(-1)", ("pageup",), "PgUp", "a page up", "A page up.", ("rates",), False, False),
    Action("page(1)", ("pagedown",), "PgDn", "a page down", "A page down.", ("rates",), False, False),
    Action("end(-1)", ("home",), "Home", "top", "The top.", ("rates",), False, False),
    Action("end(1)", ("end",), "End", "end", "The end.", ("rates",), False, False),
    Action("app.quit", ("q",), "q", "quit", "Leave; everything is kept.", ("rates",), False),
    Action("help", ("question_mark", "f1"), "?", "help", "The keys that work here.", ("rates",)),
    Action("turned", ("enter",), "Enter", "turned", "Turned as advised, to be seen before it is kept.", ("regulate",)),
    Action("number", tuple("123456789"), "0-9", "turns", "Turned so far: 0.3, 3/8, + faster, - slower.", ("regulate",)),
    Action("read", ("space", "c"), "Space", "read", "Read it; the press is the reading's time.", ("regulate",)),
    Action("other_way", ("x", "asterisk"), "x *", "other way", "The last turn was the other way.", ("regulate",)),
    Action("touched", ("t",), "t", "touched", "Record other work on it.", ("regulate", "stoppage"), False),
    Action("undo", ("u",), "u", "undo", "Take back what was recorded last of this clock.", ("regulate",)),
    Action("back", ("escape",), "Esc", "back", "Back to where you came from.", ("regulate",)),
    Action("app.quit", ("q",), "q", "quit", "Leave; everything is kept.", ("regulate",), False),
    Action("help", ("question_mark", "f1"), "?", "help", "The keys that work here.", ("regulate",)),
    Action("press", ("space",), "Space", "crosses", "The hand crosses its mark now.", ("round",)),
    Action("press", ("space",), "Space", "again", "The hand crosses now: stamp it anew.", ("round-take",)),
    Action("press", ("space",), "Space", "next", "The hand of the next clock crosses now.", ("round-found",), False),
    Action("press", ("space",), "Space", "look again", "A second look: press anew.", ("round-surprise",), False),
    Action("press", ("space",), "Space", "stand", "Back to the stand.", ("round-end",), False),
    Action("figure", tuple("0123456789"), "0-9", "figure", "A figure; one for the minute takes it.", ("round-take",)),
    Action("figure", tuple("0123456789"), "0-9", "figure", "A figure of what is asked.", ("round-found",)),
    Action("figure", tuple("0123456789"), "1-6", "answer", "What happened, by its number.", ("round-surprise",)),
    Action("figure", tuple("0123456789"), "1-9", "go there", "To the clock of that number.", ("round-end",)),
    Action("enter", ("enter",), "Enter", "crosses", "The hand crosses its mark now, as Space.", ("round",), False),
    Action("enter", ("enter",), "Enter", "later", "Next clock; the figures at the rail's end.", ("round-take",)),
    Action("enter", ("enter",), "Enter", "take", "Take the figure; nothing typed: not read.", ("round-found",)),
    Action("enter", ("enter",), "Enter", "the first", "The answer in the block.", ("round-surprise",)),
    Action("enter", ("enter",), "Enter", "stand", "Back to the stand.", ("round-end",)),
    Action("going", ("g", "plus"), "g +", "going", "Seen going, not read.", ("round",)),
    Action("stopped", ("x", "asterisk"), "x *", "stopped", "It stands still: dial and weights.", _ROUND[:-1]),
    Action("skip", ("n", "minus"), "n -", "skip", "The next clock; this one comes at the end.", _ROUND[:2]),
    Action("skip", ("n", "minus"), "n -", "next", "Leave the rest; the next clock.", ("round-found",)),
    Action("skip", ("n", "minus"), "n -", "more", "Further lines.", ("round-end",)),
    Action("skip", ("n", "minus"), "n -", "later", "Leave it as it is; the next clock.", ("round-surprise",)),
    Action("touched", ("t", "slash"), "t /", "touched", "Record work on this clock.", ("round", "round-found")),
    Action("mark", ("m",), "m", "other mark", "It was another mark: say which.", _ROUND[2:4], False),
    Action("note", ("a",), "a", "note", "A note on this clock, in words.", ("round", "round-found"), False),
    Action("undo", ("u", "full_stop"), "u .", "undo", "Take back what was done last.", _ROUND),
    Action("rub_out", ("backspace",), "⌫", "rub out", "The last figure; or the one before.", ("round-found",), False),
    Action("bell", ("b",), "b", "bell", "The bell on or off: once as expected, twice for look.", _ROUND, False),
    Action("back", ("escape",), "Esc", "leave", "Leave; your place is kept.", _ROUND, False),
    Action("app.quit", ("q",), "q", "quit", "Leave the program; everything is kept.", _ROUND, False),
    Action("help", ("question_mark", "f1"), "?", "help", "The keys that work here.", _ROUND),
    Action("ask", ("o", "enter"), "o", "read it", "Dial, weights and tick of a clock that hangs now.", ("stoppage",)),
    Action("explain", ("e", "plus"), "e +", "explain", "Why the chosen stop came, in words.", ("stoppage",)),
    Action("restarted", ("r", "asterisk"), "r *", "restarted", "Set going again.", ("stoppage",)),
    Action("undo", ("u", "full_stop"), "u .", "undo", "Take back what was recorded last of it.", ("stoppage",)),
    Action("back", ("escape", "slash"), "Esc", "back", "Back to where you came from.", ("stoppage",)),
    Action("move(-1)", ("up", "k", "8"), "↑", "stop above", "A later stop.", ("stoppage",), False, False),
    Action("move(1)", ("down", "j", "2"), "↓", "stop below", "An earlier stop.", ("stoppage",), False, False),
    Action("app.quit", ("q",), "q", "quit", "Leave; everything is kept.", ("stoppage",), False),
    Action("help", ("question_mark", "f1"), "?", "help", "The keys that work here.", ("stoppage",)),
    Action("first_hour", ("b",), "b", "first hour", "The start sheet, told once.", ("clock",), foot=False),
    Action("answer", ("enter",), "Enter", "answer", "Type it; of what is seen: right.", ("first-hour",)),
    Action("number", tuple("0123456789"), "0-9", "figure", "The figure of this line.", ("first-hour",)),
    Action("right", ("plus", "y"), "+ y", "right", "Looked at, and right.", ("first-hour",)),
    Action("wrong", ("minus", "n"), "- n", "not right", "Looked at, and not right: what is it?", ("first-hour",)),
    Action("move(1)", ("down", "j", "asterisk"), "↓ *", "later", "Leave this; the next.", ("first-hour",), True, False),
    Action("move(-1)", ("up", "k", "slash"), "↑", "line above", "The line above.", ("first-hour",), False, False),
    Action("undo", ("u", "full_stop"), "u .", "undo", "Take back what was recorded last.", ("first-hour",)),
    Action("back", ("escape",), "Esc", "back", "Back to where you came from.", ("first-hour",)),
    Action("app.quit", ("q",), "q", "quit", "Leave; everything is kept.", ("first-hour",), False),
    Action("help", ("question_mark", "f1"), "?", "help", "The keys that work here.", ("first-hour",)),
    Action("save", ("enter",), "Enter", "take", "Take what is typed.", ("entry",), palette=False),
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
