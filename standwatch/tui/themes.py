"""The house theme, dark and light. Each text colour stands above 6:1 on its ground."""

from __future__ import annotations

from textual.theme import Theme

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
