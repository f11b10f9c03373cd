"""The only place that joins the real parts: the book, the service, and the two faces."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from standwatch.cli.house import House

if TYPE_CHECKING:
    from standwatch.service.personal.settings import OwnSettings, Settings
    from standwatch.service.stand import Stand

DEMO_ZONE = "Europe/London"
DEMO_BEGINS = datetime(2026, 11, 20, 8, 20, tzinfo=ZoneInfo(DEMO_ZONE))
"""Friday morning, in the middle of the demo's last round."""


def house() -> House:
    """The command line's parts, each imported when it is first wanted."""
    return House(
        default_book=default_book,
        open_stand=open_stand,
        need_stand=need_stand,
        look_at=look_at,
        restore=restore,
        demo=demo,
        run_screens=run_screens,
        own_settings=own_settings,
    )


def default_book() -> Path:
    """The book in the user's data folder."""
    from platformdirs import user_data_path  # noqa: PLC0415

    return user_data_path("standwatch", appauthor=False) / "book.sqlite"


def settings_file() -> Path:
    """The person's settings: $STANDWATCH_SETTINGS, else in the user's configuration folder."""
    given = os.environ.get("STANDWATCH_SETTINGS")
    if given:
        return Path(given).expanduser()
    from platformdirs import user_config_path  # noqa: PLC0415

    return user_config_path("standwatch", appauthor=False) / "settings.toml"


def lessons_file() -> Path:
    """What the shop's clocks taught, in the user's cache folder, where it may be thrown away at any time."""
    from platformdirs import user_cache_path  # noqa: PLC0415

    return user_cache_path("standwatch", appauthor=False) / "learned.json"


def own_settings() -> Settings:
    """The person's settings as they are now; what can't be is named in them."""
    from standwatch.service.personal.file import read_settings  # noqa: PLC0415

    return read_settings(settings_file())


def _refusing(section: str) -> Settings:
    """The same, for a command that is about to write: BadValue where a line of `section` can't be."""
    settings = own_settings()
    settings.refuse(section)
    return settings


def _forgiving(_section: str) -> Settings:
    """The same, for one who only looks, and for the screens, which say what is wrong and go on."""
    return own_settings()


def open_stand(path: Path) -> Stand:
    """The stand of the book at `path`, begun where there is none. One per thread."""
    _make_home(path)
    return _stand(path, create=True, own=_refusing)


def need_stand(path: Path) -> Stand:
    """The stand of a book that must be there; BookUnusable where it isn't."""
    return _stand(path, create=False, own=_forgiving)


def look_at(path: Path) -> Stand:
    """A stand to look at: that of the book at `path`, or an empty one that leaves no file."""
    if path.exists():
        return need_stand(path)
    folder = tempfile.TemporaryDirectory(prefix="standwatch-")
    stand = _stand(Path(folder.name) / "empty.sqlite", create=True, own=_forgiving)
    stand.on_close(folder.cleanup)
    return stand


def _stand(path: Path, *, create: bool, own: OwnSettings | None) -> Stand:
    from standwatch.service.office.lessons import Lessons  # noqa: PLC0415
    from standwatch.service.stand import Stand  # noqa: PLC0415
    from standwatch.store import open_book  # noqa: PLC0415

    lessons = Lessons(lessons_file)
    return Stand(open_book(path, create=create), computer_zone=computer_zone, own=own, lessons=lessons)


def computer_zone() -> str:
    """The IANA name of the computer's time zone: $TZ, else what the system is set to; UTC where it has none."""
    import tzlocal  # noqa: PLC0415

    try:
        name = tzlocal.get_localzone_name()
        ZoneInfo(name or "")
    except (LookupError, ValueError, OSError):
        return "UTC"
    return name or "UTC"


def restore(backup: Path, book: Path, now: datetime) -> Path | None:
    """Put `backup` in the place of `book`; where what was there before is kept, if anything."""
    from standwatch.store import restore_book  # noqa: PLC0415

    _make_home(book)
    return restore_book(backup, book, at=now)


def _make_home(path: Path) -> None:
    """Make the folder of the default book, which nobody has named; of any other book it must be there."""
    if path == default_book():
        with suppress(OSError):  # the book then says that it can't be kept
            path.parent.mkdir(parents=True, exist_ok=True)


def demo_ledger() -> Path:
    """The folder with the demo shop's ledger, as installed."""
    return Path(__file__).parent / "demo"


@contextmanager
def demo() -> Iterator[tuple[Path, datetime]]:
    """A fresh demo book in a temporary folder, and the instant at which it begins."""
    with tempfile.TemporaryDirectory(prefix="standwatch-demo-") as folder:
        path = Path(folder) / "demo.sqlite"
        stand = _stand(path, create=True, own=None)
        stand.set_settings({"zone": DEMO_ZONE}, DEMO_BEGINS)
        stand.import_ledger([demo_ledger()], DEMO_BEGINS)
        stand.close()
        yield path, DEMO_BEGINS


def papers_folder() -> Path:
    """Where papers are proposed to be written, in the user's folder of documents."""
    from platformdirs import user_documents_path  # noqa: PLC0415

    return user_documents_path() / "standwatch"


def run_screens(path: Path, clock: Callable[[], datetime], banner: str | None, papers: Path | None) -> None:
    """Open the terminal face on the book at `path`; each of its threads opens a stand of its own.

    Without a banner `clock` is the computer's, and what is chosen on the screens is kept. `papers` is the folder that
    is proposed for papers; None: the user's.
    """
    from standwatch.service.reference import reference_time  # noqa: PLC0415
    from standwatch.tui.app import run  # noqa: PLC0415
    from standwatch.tui.personal import Own  # noqa: PLC0415

    def open_one() -> Stand:
        _make_home(path)
        return _stand(path, create=True, own=_forgiving)

    real = banner is None
    own = Own(
        own_settings(),
        settings_file() if real else None,
        reference_time if real else None,
        papers or papers_folder(),
    )
    run(open_one, clock=clock, banner=banner, own=own)
