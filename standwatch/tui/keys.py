"""The keys as this person has them: the registry's, but for those that the settings move."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import get_args

from textual.binding import Binding, BindingsMap, InvalidBinding
from textual.keys import REPLACED_KEYS, key_to_character
from textual.keys import Keys as Known

from standwatch.service.personal.settings import Settings
from standwatch.service.personal.toml_lines import Wrong
from standwatch.tui.actions import ACTIONS, Action, Place, at
from standwatch.tui.works import WORKS

_NAMES = {
    "up": "↑", "down": "↓", "left": "←", "right": "→", "pageup": "PgUp", "pagedown": "PgDn", "escape": "Esc",
    "space": "Space", "enter": "Enter", "home": "Home", "end": "End", "tab": "Tab", "backspace": "Backspace",
    "delete": "Del", "insert": "Ins",
}  # fmt: skip
_EVERYWHERE = {
    "ctrl+c": "copies what is selected",
    "ctrl+q": "leaves at once",
    "ctrl+p": "opens the command palette",
}
_FEW = 5
"""An action of more keys than this is told by which of them was pressed: it can't be moved."""
_TYPED_INTO: frozenset[Place] = frozenset({"entry"})


@dataclass(frozen=True)
class Keys:
    """Where every action lies. `moved` are Textual's names of the keys by id, `place.action`, of those moved."""

    moved: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def of(self, place: Place, action: Action) -> tuple[str, ...]:
        """The keys of an action at a place, by Textual's names."""
        return self.moved.get(f"{place}.{action.id}", action.keys)

    def shown(self, place: Place, action: Action) -> str:
        """What the bottom line calls its first key, or its first two where it has room for the pad's."""
        moved = self.moved.get(f"{place}.{action.id}")
        room = len(action.shown.split())
        return action.shown if moved is None else " ".join(key_words(key) for key in moved[:room])

    def applied(self, bindings: BindingsMap) -> BindingsMap:
        """A node's bindings as the person has them.

        Textual's own keymap takes a key away from every action that has it, and a screen of several places has one
        key for several.
        """
        if not self.moved:
            return bindings
        told = [(key, each) for key, group in bindings.key_to_bindings.items() for each in group]
        fresh: dict[str, list[Binding]] = {}
        for key, each in told:
            if (each.id or "") not in self.moved:
                fresh.setdefault(key, []).append(each)
        for name, each in {each.id: each for _, each in told if each.id in self.moved}.items():
            for key in self.moved[name or ""]:
                fresh.setdefault(key, []).append(each.with_key(key))
        applied = bindings.copy()
        applied.key_to_bindings = fresh
        return applied


def key_words(key: str) -> str:
    """A key as a person calls it: Space, Esc, ?, Ctrl+R, F5."""
    *held, last = key.split("+") if key != "plus" else (key,)
    character = _character(last)
    shown = _NAMES.get(last) or (character if character and character.isprintable() else last.title())
    return "+".join(
        [*(word.title() for word in held), shown if not held else shown.upper() if len(shown) == 1 else shown]
    )


def keys_of(settings: Settings) -> tuple[Keys, tuple[Wrong, ...]]:
    """The keys that `settings` move, and the lines that can't be: no such action, no such key, two on one key."""
    wrong: list[Wrong] = []
    moved: dict[str, tuple[str, ...]] = {}
    lines = {name: settings.lines.get(f"keys.{name}", 0) for name in settings.keys}
    by_id = {f"{place}.{action.id}": (place, action) for action in ACTIONS for place in action.places}
    for name, typed in settings.keys.items():
        if name not in by_id:
            near = get_close_matches(name, by_id, 1)
            mend = f"did you mean {near[0]}?" if near else f"give place.action; places are {', '.join(get_args(Place))}"
            wrong.append(Wrong(lines[name], f"no action is called {name!r}; {mend}", "keys"))
            continue
        if len(by_id[name][1].keys) > _FEW:
            wrong.append(Wrong(lines[name], f"keys.{name}: these are figures and stay; move another action", "keys"))
            continue
        keys = [_normal(key) for key in typed]
        said = next((_why_not(key, plain, by_id[name][0]) for key, plain in zip(typed, keys, strict=True)
                     if _why_not(key, plain, by_id[name][0])), "")  # fmt: skip
        if said:
            wrong.append(Wrong(lines[name], f"keys.{name}: {said}", "keys"))
        else:
            moved[name] = tuple(dict.fromkeys(key for key in keys if key))
    wrong += _settle(moved, lines)
    return Keys(moved), tuple(sorted(wrong, key=lambda each: each.line))


def _normal(typed: str) -> str:
    """Textual's name of a key as a person types it; empty where there is none."""
    text = typed if len(typed) == 1 else typed.strip().lower()
    if len(text) == 1 and not text.isprintable():
        return ""
    text = {" ": "space", ",": "comma", "?": "question_mark"}.get(text, text)
    try:
        [binding] = Binding.make_bindings([Binding(text, "nothing")])
    except (InvalidBinding, ValueError):
        return ""
    return binding.key if _known(binding.key) else ""


def _known(key: str) -> bool:
    *held, last = key.split("+")
    if not set(held) <= {"ctrl", "alt", "shift", "super"}:
        return False
    return last in {known.value for known in Known} or _character(last) is not None


def _character(key: str) -> str | None:
    """What a key types, None where it types nothing."""
    return key_to_character(REPLACED_KEYS.get(key, key))


def _why_not(typed: str, key: str, place: Place) -> str:
    """Why a key can't be had at a place; empty where it can."""
    if not key:
        near = get_close_matches(typed.lower(), [known.value for known in Known], 1)
        return f"{typed!r} is no key; " + (
            f"did you mean {near[0]}?" if near else 'give one such as "r", "f5", "ctrl+r"'
        )
    if key in _EVERYWHERE:
        return f"{typed!r} {_EVERYWHERE[key]} everywhere; give another"
    if place in _TYPED_INTO and _character(key) is not None:
        return f'{typed!r} is typed into the line there; give one that types nothing, such as "f2" or "ctrl+s"'
    if place == "works" and _character(key) in {*(known.key for known in WORKS), *"0123456789"}:
        return f"{typed!r} picks a work there; give another"
    return ""


def _settle(moved: dict[str, tuple[str, ...]], lines: Mapping[str, int]) -> list[Wrong]:
    """Take out of `moved` what clashes at its place, the later line first, until no key means two things."""
    refused: list[Wrong] = []
    while (found := _clash(moved, lines)) is not None:
        name, key, other = found
        del moved[name]
        refused.append(
            Wrong(
                lines[name],
                f"keys.{name}: {key_words(key)!r} is the key of {other} there already; give another, or move that too",
                "keys",
            )
        )
    return refused


def _clash(moved: Mapping[str, tuple[str, ...]], lines: Mapping[str, int]) -> tuple[str, str, str] | None:
    """A moved action, the key it can't have, and the action that has it."""
    keys = Keys(moved)
    for place in {name.partition(".")[0] for name in moved}:
        taken: dict[str, str] = {}
        for action in at(place):  # type: ignore[arg-type]  # the part before the point of a known id
            name = f"{place}.{action.id}"
            for key in keys.of(place, action):  # type: ignore[arg-type]  # the same
                other = taken.setdefault(key, name)
                if other != name:
                    late = max((one for one in (name, other) if one in moved), key=lines.__getitem__, default="")
                    if late:
                        return late, key, other if late == name else name
    return None
