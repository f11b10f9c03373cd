"""Nobody's own settings: what a contributor set for themselves must not change a test."""

from __future__ import annotations

from collections.abc import Iterator

import pytest


@pytest.fixture(autouse=True, scope="session")
def _nobodys_settings(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("STANDWATCH_SETTINGS", str(tmp_path_factory.mktemp("settings") / "settings.toml"))
        for name in ("TEXTUAL_THEME", "TEXTUAL_COLOR_SYSTEM", "NO_COLOR"):
            patch.delenv(name, raising=False)
        yield
