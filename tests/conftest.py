"""Nobody's own settings, in London: neither what a contributor set nor another test must change a test."""

from __future__ import annotations

import locale
import os
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
import tzlocal


@pytest.fixture(autouse=True, scope="session")
def _nobodys_settings(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("STANDWATCH_SETTINGS", str(tmp_path_factory.mktemp("settings") / "settings.toml"))
        patch.setenv("XDG_CACHE_HOME", str(tmp_path_factory.mktemp("cache")))
        patch.setenv("TZ", "Europe/London")
        for name in ("STANDWATCH_BOOK", "TEXTUAL_THEME", "TEXTUAL_COLOR_SYSTEM", "NO_COLOR"):
            patch.delenv(name, raising=False)
        time.tzset()
        yield
    time.tzset()


@pytest.fixture(autouse=True)
def _leaves_all_as_it_was(_nobodys_settings: None) -> Iterator[None]:
    """A test that leaves its process changed fails, not the one that comes after it in some other order."""
    before = _process()
    yield
    assert _process() == before


def _process() -> dict[str, object]:
    """What all tests of this process share; `zone` as the program asks for it, which is remembered once asked."""
    told = {name: value for name, value in os.environ.items() if name != "PYTEST_CURRENT_TEST"}
    zone = tzlocal.get_localzone_name()
    return {
        "environment": told,
        "folder": Path.cwd(),
        "zone": zone,
        "names": time.tzname,
        "locale": locale.setlocale(locale.LC_ALL),
    }
