"""The house theme, dark and light. Each text colour stands above 6:1 on its ground."""

from __future__ import annotations

from textual.color import Color
from textual.theme import Theme

from standwatch.service.personal.settings import Palette

DARK = Theme(
    name="standwatch-dark",
    dark=True,
    primary="#93BDF2",
    secondary="#93BDF2",
    error="#FF8F80",
    warning="#F0C265",
    success="#9AD3A0",
    accent="#F0C265",
    foreground="#EFE9DC",
    background="#141310",
    surface="#1E1C18",
    panel="#2A2723",
    variables={
        "text-error": "#FF8F80",
        "text-warning": "#F0C265",
        "text-success": "#9AD3A0",
        "text-primary": "#93BDF2",
        "foreground-muted": "#A39D90",
        "foreground-disabled": "#7D786D",
    },
)

LIGHT = Theme(
    name="standwatch-light",
    dark=False,
    primary="#1F4E96",
    secondary="#1F4E96",
    error="#A81E17",
    warning="#7E5200",
    success="#225A2B",
    accent="#7E5200",
    foreground="#1F1C16",
    background="#F6F2E7",
    surface="#FBF8F0",
    panel="#E6E0D0",
    variables={
        "text-error": "#A81E17",
        "text-warning": "#7E5200",
        "text-success": "#225A2B",
        "text-primary": "#1F4E96",
        "foreground-muted": "#5F594C",
        "foreground-disabled": "#77705F",
    },
)

STATE_COLOURS = ("text-error", "text-warning", "text-success", "text-primary")
"""Without colour these are the foreground: greys would make red darker than plain text."""


SIXTEEN_DARK = {
    "background": "#000000",
    "surface": "#000000",
    "panel": "#000000",
    "foreground": "#FFFFFF",
    "primary": "#0000AA",
    "text-error": "#FF5555",
    "text-warning": "#FFFF55",
    "text-success": "#55FF55",
    "text-primary": "#55FFFF",
    "foreground-muted": "#AAAAAA",
    "foreground-disabled": "#AAAAAA",
}
SIXTEEN_LIGHT = {
    "background": "#FFFFFF",
    "surface": "#FFFFFF",
    "panel": "#FFFFFF",
    "foreground": "#000000",
    "primary": "#8080FF",
    "text-error": "#AA0000",
    "text-warning": "#AA5500",
    "text-success": "#00AA00",
    "text-primary": "#0000AA",
    "foreground-muted": "#555555",
    "foreground-disabled": "#555555",
}
"""For a terminal of sixteen colours: those of them that the states want, and a tint so weak that it is the ground.

The house's colours brought to the nearest of sixteen would make green and blue the grey of what is muted, and put grey
on grey in a chosen row.
"""


def theme_of(name: str, cells: Palette) -> Theme:
    """A theme of the person's own; what is muted or asleep is mixed from the text and its ground."""
    ground, text = Color.parse(cells.background), Color.parse(cells.foreground)
    return Theme(
        name=name,
        dark=cells.dark,
        primary=cells.primary,
        secondary=cells.primary,
        error=cells.error,
        warning=cells.warning,
        success=cells.success,
        accent=cells.warning,
        foreground=cells.foreground,
        background=cells.background,
        surface=ground.blend(text, 0.05).hex,
        panel=ground.blend(text, 0.10).hex,
        variables={
            "text-error": cells.error,
            "text-warning": cells.warning,
            "text-success": cells.success,
            "text-primary": cells.primary,
            "foreground-muted": text.blend(ground, 0.35).hex,
            "foreground-disabled": text.blend(ground, 0.50).hex,
        },
    )
