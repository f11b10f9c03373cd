"""The README's pictures, made from the demo: `python -m tests.pictures --out docs`. The same every time.

Each is an SVG of the terminal's cells: words at their own columns and half blocks as rectangles, so that it looks
the same whatever fixed-pitch font the reader has.
"""

from __future__ import annotations

import argparse
import asyncio
import os
import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from xml.sax.saxutils import escape

from rich.cells import cell_len
from rich.color import ColorType
from rich.style import Style

from standwatch.bootstrap import demo, open_stand
from standwatch.tui.app import StandwatchApp
from standwatch.tui.themes import DARK, LIGHT
from tests.tui.screens import WIDE, press, settle

_PICTURES: dict[str, tuple[str, tuple[str, ...]]] = {
    "stand": ("2417", ()),
    "round": ("2417", ("r", "space", "2")),
    "clock": ("2417", ("enter",)),
    "release": ("2398", ("e",)),
}
"""By file name: the clock chosen, and the keys pressed."""
_AFTER = timedelta(seconds=14)
_WIDTH, _HEIGHT, _BASE = 9, 18, 14
_BLOCKS = {"█": (0.0, 1.0), "▀": (0.0, 0.5), "▄": (0.5, 1.0)}
_FONT = 'font-family="DejaVu Sans Mono, Menlo, Consolas, Liberation Mono, monospace" font-size="15"'


def svg_of(app: StandwatchApp) -> str:
    """The screen as SVG."""
    width, height = app.size
    ground = app.theme_variables["background"]
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width * _WIDTH:g} {height * _HEIGHT:g}" {_FONT}>',
        f'<rect width="100%" height="100%" fill="{ground}"/>',
    ]
    for y, strip in enumerate(app.screen._compositor.render_strips()):
        x = 0
        for text, style, _ in strip:
            parts += _cells(text, style or Style(), x, y)
            x += cell_len(text)
    return "\n".join([*parts, "</svg>"]) + "\n"


def _cells(text: str, style: Style, x: int, y: int) -> Iterator[str]:
    """One run of cells of one style: its ground, then its blocks and words."""
    ink, ground = _colour(style, "color"), _colour(style, "bgcolor")
    if style.reverse:
        ink, ground = ground, ink
    if ground:
        yield _rect(x, cell_len(text), y, (0.0, 1.0), ground)
    bold = ' font-weight="bold"' if style.bold else ""
    for found in re.finditer(r"█+|▀+|▄+|[^ █▀▄]+", text):
        at = x + cell_len(text[: found.start()])
        if found[0][0] in _BLOCKS:
            yield _rect(at, len(found[0]), y, _BLOCKS[found[0][0]], ink)
            continue
        yield (
            f'<text x="{at * _WIDTH:g}" y="{y * _HEIGHT + _BASE:g}" textLength="{cell_len(found[0]) * _WIDTH:g}" '
            f'lengthAdjust="spacingAndGlyphs" fill="{ink}"{bold}>{escape(found[0])}</text>'
        )


def _rect(x: int, cells: int, y: int, part: tuple[float, float], colour: str) -> str:
    top, bottom = part
    return (
        f'<rect x="{x * _WIDTH:g}" y="{(y + top) * _HEIGHT:g}" width="{cells * _WIDTH:g}" '
        f'height="{(bottom - top) * _HEIGHT:g}" fill="{colour}" shape-rendering="crispEdges"/>'
    )


def _colour(style: Style, which: str) -> str:
    colour = style.color if which == "color" else style.bgcolor
    if colour is None or colour.type is ColorType.DEFAULT:
        return ""
    return colour.get_truecolor().hex


async def picture(tag: str, keys: tuple[str, ...], size: tuple[int, int], theme: str) -> str:
    """One screen of the demo, a few seconds after it began."""
    with demo() as (path, begins):
        app = StandwatchApp.over(lambda: open_stand(path), clock=lambda: begins + _AFTER)
        app.theme = theme
        async with app.run_test(size=size) as pilot:
            await settle(pilot)
            app.follow(tag)
            await settle(pilot)
            await press(pilot, *keys)
            return svg_of(app)


def main() -> None:
    """Write each picture into the folder."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, default=Path("docs"), help="the folder (default: docs)")
    parser.add_argument("--size", default=f"{WIDE[0]}x{WIDE[1]}", help="columns x rows (default: %(default)s)")
    parser.add_argument("--theme", default=DARK.name, choices=[DARK.name, LIGHT.name])
    asked = parser.parse_args()
    os.environ.update(TERM="xterm-256color", COLORTERM="truecolor")  # whatever terminal it is called from
    os.environ.pop("NO_COLOR", None)
    folder: Path = asked.out
    columns, rows = (int(part) for part in asked.size.split("x"))
    folder.mkdir(parents=True, exist_ok=True)
    for name, (tag, keys) in _PICTURES.items():
        path = folder / f"{name}.svg"
        path.write_text(asyncio.run(picture(tag, keys, (columns, rows), asked.theme)), encoding="utf-8")
        print(path)


if __name__ == "__main__":
    main()
