"""What the command line needs of the rest of the program, handed over by bootstrap."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from standwatch.service.personal.settings import Settings
    from standwatch.service.stand import Stand


@dataclass(frozen=True, slots=True)
class House:
    """The real parts.

    `open_stand` creates a missing book, `need_stand` refuses one (BookUnusable), `look_at` finds an empty stand
    there and writes nothing. `demo` gives a stand on a fresh demo book, its path, and the instant it begins;
    `run_screens` opens the terminal face on the book at a path, and a folder may be proposed for papers there;
    `own_settings` are the person's.
    """

    default_book: Callable[[], Path]
    open_stand: Callable[[Path], Stand]
    need_stand: Callable[[Path], Stand]
    look_at: Callable[[Path], Stand]
    restore: Callable[[Path, Path, datetime], Path | None]
    demo: Callable[[], AbstractContextManager[tuple[Path, datetime]]]
    run_screens: Callable[[Path, Callable[[], datetime], str | None, Path | None], None]
    own_settings: Callable[[], Settings]
