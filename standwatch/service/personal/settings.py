"""The person's own settings: what may be set, and what each line of the file says. Pure; the file is settings_file's.

What is the book's goes with the book (`shop.py`). What the person's file says of a new book or a new clock is written
into them when they begin, so that no book depends on who opens it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, field
from datetime import time
from typing import Annotated

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from standwatch.horology.limits import check_clock
from standwatch.model.errors import BadValue
from standwatch.model.facts import Clock
from standwatch.model.records import build
from standwatch.model.words import KindName
from standwatch.service.personal.toml_lines import Leaf, Wrong, read_lines
from standwatch.service.shop import DEFAULTS, WORDS, checked
from standwatch.service.shop_limits import LIMIT_COLUMNS, unknown

Colour = Annotated[str, Field(pattern=r"^#[0-9A-Fa-f]{6}$")]


class Palette(BaseModel):
    """A theme of the person's own: every colour as #RRGGBB. Muted and asleep are mixed from ground and text."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)  # built when first used

    dark: bool = Field(description="true where the ground is darker than the text")
    background: Colour = Field(description="the ground")
    foreground: Colour = Field(description="plain text")
    primary: Colour = Field(description="keys, the chosen row, forecasts")
    error: Colour = Field(description="stopped, slipped, missed")
    warning: Colour = Field(description="time short, falling, suspect")
    success: Colour = Field(description="met, may go")


@dataclass(frozen=True)
class Settings:
    """What the person's file says. `wrong` has one entry for each line that can't be; it counts as not written.

    `keys` are the keys of an action by its id, `place.action`, as typed; which there are the screens know, as they
    know the themes' names. `lines` is the line of each key of the file that was taken.
    """

    theme: str = ""
    bell: bool = False
    keys: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    new_book: Mapping[str, str] = field(default_factory=dict)
    kinds: Mapping[KindName, Mapping[str, float]] = field(default_factory=dict)
    themes: Mapping[str, Palette] = field(default_factory=dict)
    lines: Mapping[str, int] = field(default_factory=dict)
    wrong: tuple[Wrong, ...] = ()
    name: str = "settings.toml"

    def told(self, wrong: Wrong) -> str:
        """What is wrong with its place: file:line."""
        return f"{self.name}:{wrong.line}: {wrong.sentence}" if wrong.line else f"{self.name}: {wrong.sentence}"

    def refuse(self, *sections: str) -> None:
        """Raise BadValue where a line of one of `sections`, or one that may belong there, is wrong."""
        found = [each for each in self.wrong if each.section in {*sections, "?"}]
        if found:
            more = f" (and {len(found) - 1} more; `standwatch selfcheck` names them)" if len(found) > 1 else ""
            raise BadValue(self.told(found[0]) + more)


OwnSettings = Callable[[str], Settings]
"""The person's settings as they are now, asked for one section; may refuse where a line of it is wrong."""


@dataclass
class _Taken:
    """What was taken so far."""

    theme: str = ""
    bell: bool = False
    keys: dict[str, tuple[str, ...]] = field(default_factory=dict)
    new_book: dict[str, str] = field(default_factory=dict)
    kinds: dict[KindName, dict[str, float]] = field(default_factory=dict)
    palettes: dict[str, dict[str, Leaf]] = field(default_factory=dict)


WORDS_OF = {
    "theme": "the colours: `standwatch-dark`, `standwatch-light`, one of your own below, or another of the palette's",
    "bell": "`true`: in the round one ring for a reading as expected, two for look",
    "keys.PLACE.ACTION": 'a key, or a list of keys: `"r"`, `["space", "c"]`',
    **{f"new_book.{name}": words for name, words in WORDS.items()},
    **{f"kinds.KIND.{column}": f"{words}, of a new clock of this kind" for column, words in LIMIT_COLUMNS.items()},
    **{f"themes.NAME.{name}": told.description or "" for name, told in Palette.model_fields.items()},
}
"""Every key that the file may have, with its words."""


def settings_of(text: str, name: str = "settings.toml") -> Settings:
    """The settings that `text`, a TOML file called `name`, holds; what can't be is in `wrong`, the rest counts."""
    leaves, wrong = read_lines(text)
    taken = _Taken()
    lines: dict[str, int] = {}
    for leaf in leaves:
        try:
            _take(leaf, taken)
        except BadValue as error:
            wrong.append(Wrong(leaf.line, str(error), leaf.path[0]))
        else:
            lines[".".join(leaf.path)] = leaf.line
    themes = {}
    for theme, cells in taken.palettes.items():
        palette = _palette(theme, cells, wrong)
        if palette is not None:
            themes[theme] = palette
    return Settings(
        theme=taken.theme,
        bell=taken.bell,
        keys=taken.keys,
        new_book=taken.new_book,
        kinds=taken.kinds,
        themes=themes,
        lines=lines,
        wrong=tuple(sorted(wrong, key=lambda each: each.line)),
        name=name,
    )


def _take(leaf: Leaf, taken: _Taken) -> None:
    section, *rest = leaf.path
    take: dict[str, Callable[[Leaf, list[str], _Taken], None]] = {
        "theme": _theme,
        "bell": _bell,
        "keys": _keys,
        "new_book": _new_book,
        "kinds": _kinds,
        "themes": _themes,
    }
    if section not in take:
        raise unknown(section, take, "setting")
    take[section](leaf, rest, taken)


def _theme(leaf: Leaf, rest: list[str], taken: _Taken) -> None:
    if rest or not isinstance(leaf.value, str) or not leaf.value.strip():
        raise BadValue(f'theme {leaf.shown} is no theme\'s name; give one such as "standwatch-light"')
    taken.theme = leaf.value.strip()


def _bell(leaf: Leaf, rest: list[str], taken: _Taken) -> None:
    if rest or not isinstance(leaf.value, bool):
        raise BadValue(f"bell {leaf.shown} is neither true nor false; give true or false")
    taken.bell = leaf.value


def _keys(leaf: Leaf, rest: list[str], taken: _Taken) -> None:
    keys = leaf.value if isinstance(leaf.value, list) else [leaf.value]
    if not keys or not all(isinstance(key, str) and key for key in keys):
        raise BadValue(f'{".".join(leaf.path)} {leaf.shown} is no key; give one such as "r" or ["space", "c"]')
    taken.keys[".".join(rest)] = tuple(str(key) for key in keys)


def _new_book(leaf: Leaf, rest: list[str], taken: _Taken) -> None:
    name = ".".join(rest)
    if len(rest) > 1 and rest[0] in set(KindName):
        raise BadValue(f"{name} is no setting of a new book; write it under [kinds.{rest[0]}]")
    if name not in DEFAULTS:
        raise unknown(name, DEFAULTS, "setting of a book")
    taken.new_book[name] = checked(name, _text(leaf))


def _text(leaf: Leaf) -> str:
    """A value of TOML as a person would type it for `standwatch set`."""
    match leaf.value:
        case bool():
            return "yes" if leaf.value else "no"
        case time():
            return f"{leaf.value:%H:%M}"
        case list():
            return (";" if leaf.path[-1] == "calls" else ",").join(str(part) for part in leaf.value)
        case _:
            return str(leaf.value)


def _kinds(leaf: Leaf, rest: list[str], taken: _Taken) -> None:
    if len(rest) != 2 or rest[0] not in set(KindName):
        raise unknown(rest[0] if rest else "", KindName, "kind")
    kind, column = KindName(rest[0]), rest[1]
    if column not in LIMIT_COLUMNS:
        raise unknown(column, LIMIT_COLUMNS, "default of a kind")
    if isinstance(leaf.value, bool | str):
        raise BadValue(f"{column} {leaf.shown} is not a number; {Clock.model_fields[column].description}")
    clock = build(Clock, {"tag": "T", "kind": kind, column: leaf.value})
    check_clock(clock)
    taken.kinds.setdefault(kind, {})[column] = getattr(clock, column)


def _themes(leaf: Leaf, rest: list[str], taken: _Taken) -> None:
    if len(rest) != 2:
        raise BadValue(f"{'.'.join(leaf.path)} is no theme's colour; write it under [themes.NAME]")
    name, column = rest
    if column not in Palette.model_fields:
        raise unknown(column, Palette.model_fields, "part of a theme")
    taken.palettes.setdefault(name, {})[column] = leaf


def _palette(name: str, cells: Mapping[str, Leaf], wrong: list[Wrong]) -> Palette | None:
    try:
        return Palette(**{column: leaf.value for column, leaf in cells.items()})
    except ValidationError as error:
        missing = _missing(error)
        for each in error.errors():
            column = str(each["loc"][0])
            if column in cells:
                leaf = cells[column]
                mend = "give true or false" if column == "dark" else 'give one such as "#93BDF2"'
                wrong.append(Wrong(leaf.line, f"{column} {leaf.shown} is no colour; {mend}", "themes"))
        if missing:
            first = min(leaf.line for leaf in cells.values())
            wrong.append(Wrong(first, f"the theme {name!r} lacks {', '.join(missing)}; give them", "themes"))
        return None


def _missing(error: ValidationError) -> Collection[str]:
    return [str(each["loc"][0]) for each in error.errors() if each["type"] == "missing"]
