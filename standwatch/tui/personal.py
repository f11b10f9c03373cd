"""The part of the app that is the person's and the computer's: colours, keys, and whether the clock is kept right."""

from __future__ import annotations

import asyncio
import os
from collections.abc import Callable
from dataclasses import dataclass, field
from difflib import get_close_matches
from functools import partial
from pathlib import Path

from textual.app import App
from textual.theme import Theme

from standwatch.model.errors import StandwatchError
from standwatch.service.personal.settings import Settings
from standwatch.service.personal.toml_lines import Wrong
from standwatch.service.reference import ReferenceTime
from standwatch.tui.behind import behind
from standwatch.tui.desk import Desk
from standwatch.tui.keys import keys_of
from standwatch.tui.sitting import Sitting
from standwatch.tui.themes import DARK, LIGHT, SIXTEEN_DARK, SIXTEEN_LIGHT, STATE_COLOURS, theme_of

_ASK_EVERY_S = 64.0
"""How often the computer's clock is asked about, in seconds: as often as time is usually fetched."""
_NOTICE_S = 20.0
_SIXTEEN = frozenset({"standard", "windows"})
"""Rich's names of the terminals with sixteen colours."""


@dataclass(frozen=True)
class Own:
    """What the app is given of the person and the computer.

    `file` is where a chosen theme is kept, None: nowhere. `ask` tells of the computer's clock, None where the screens
    don't show that clock. `papers` is the folder proposed for papers, None: none.
    """

    settings: Settings = field(default_factory=Settings)
    file: Path | None = None
    ask: Callable[[], ReferenceTime] | None = None
    papers: Path | None = None


class PersonalApp(Desk):
    """Puts the person's settings in force, and follows the computer's clock."""

    def __init__(self, own: Own) -> None:
        super().__init__()
        self.settings = own.settings
        self.settings_file = own.file
        self.sitting = Sitting(own.papers)
        self._ask = own.ask
        self.keys, wrong = keys_of(own.settings)
        for theme in (DARK, LIGHT, *(theme_of(name, cells) for name, cells in own.settings.themes.items())):
            self.register_theme(theme)
        # Textual takes $TEXTUAL_THEME for its first theme before ours are known to it: change to it once they are
        self.set_reactive(App.theme, "textual-dark")
        wrong += self._begin_theme()
        self.wrong = tuple(sorted((*own.settings.wrong, *wrong), key=lambda each: each.line))

    def _begin_theme(self) -> tuple[Wrong, ...]:
        """The environment's theme, else the file's, else the house's; what is wrong with the file's."""
        chosen, by_environment = self.settings.theme, os.environ.get("TEXTUAL_THEME")
        known = self.available_themes
        wanted = by_environment if by_environment in known else chosen
        self.theme = wanted if wanted in known else DARK.name
        if not chosen or chosen in known:
            return ()
        near = get_close_matches(chosen, known, 1)
        mend = f"did you mean {near[0]}?" if near else f"give one such as {DARK.name} or {LIGHT.name}"
        return (Wrong(self.settings.lines.get("theme", 0), f"no theme is called {chosen!r}; {mend}", "theme"),)

    def get_css_variables(self) -> dict[str, str]:
        """The theme's colours; without colour the states' are the foreground, and marks, bold and reverse tell."""
        variables = super().get_css_variables()
        if self.console.color_system in _SIXTEEN:
            variables |= SIXTEEN_DARK if self.current_theme.dark else SIXTEEN_LIGHT
            self.theme_variables = variables
        if self.no_color:
            variables |= dict.fromkeys(STATE_COLOURS, variables["foreground"])
            self.theme_variables = variables
        return variables

    def on_mount(self) -> None:
        """Say what is wrong with the settings; from now on a theme that is chosen is kept."""
        self.theme_changed_signal.subscribe(self, self._keep_theme)
        if self.wrong:
            self.call_after_refresh(self._tell_wrong)
        if self._ask is not None:
            self._ask_reference()
            self.set_interval(_ASK_EVERY_S, self._ask_reference)

    def _tell_wrong(self) -> None:
        more = len(self.wrong) - 1
        rest = f" {more} more: the end of the help lists them." if more else ""
        self.notify(f"{self.settings.told(self.wrong[0])}.{rest}", severity="warning", timeout=_NOTICE_S, markup=False)

    def _ask_reference(self) -> None:
        behind(self, self._refer, group="reference", exclusive=True)

    async def _refer(self) -> None:
        if self._ask is not None:
            self.reference = await asyncio.to_thread(self._ask)

    def _keep_theme(self, theme: Theme) -> None:
        if self.settings_file is not None and theme.name != self.settings.theme:
            behind(self, partial(self._write_theme, self.settings_file, theme.name), group="theme")

    async def _write_theme(self, file: Path, name: str) -> None:
        from standwatch.service.personal.file import keep_theme  # noqa: PLC0415  # wanted once in a while

        try:
            await asyncio.to_thread(keep_theme, file, name)
        except StandwatchError as error:
            self.notify(str(error), severity="warning", timeout=_NOTICE_S, markup=False)
