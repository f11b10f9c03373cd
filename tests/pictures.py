"""The README's pictures, made from the demo: `python -m tests.pictures --out docs`. The same every time."""

from __future__ import annotations

import argparse
import asyncio
from datetime import timedelta
from pathlib import Path

from standwatch.bootstrap import demo, open_stand
from standwatch.tui.app import StandwatchApp
from tests.tui.screens import WIDE, press, settle

_PICTURES: dict[str, tuple[str, tuple[str, ...]]] = {"stand": ("2417", ()), "clock": ("2417", ("enter",))}
"""By file name: the clock chosen, and the keys pressed."""


async def picture(book: Path, now: timedelta, tag: str, keys: tuple[str, ...]) -> str:
    """One screen of the demo at 120x36, as SVG."""
    with demo() as (path, begins):
        app = StandwatchApp.over(lambda: open_stand(path), clock=lambda: begins + now)
        async with app.run_test(size=WIDE) as pilot:
            await settle(pilot)
            app.follow(tag)
            await settle(pilot)
            await press(pilot, *keys)
            return app.export_screenshot(title=f"standwatch: {book.stem}")


def main() -> None:
    """Write each picture into the folder."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--out", type=Path, required=True)
    folder: Path = parser.parse_args().out
    folder.mkdir(parents=True, exist_ok=True)
    for name, (tag, keys) in _PICTURES.items():
        path = folder / f"{name}.svg"
        path.write_text(asyncio.run(picture(path, timedelta(seconds=14), tag, keys)), encoding="utf-8")
        print(path)


if __name__ == "__main__":
    main()
