"""The person's settings file: read whatever it holds; written so that comments survive, whole or not at all."""

from __future__ import annotations

import os
import tempfile
from contextlib import suppress
from pathlib import Path

from standwatch.model.errors import BadValue
from standwatch.service.personal.settings import Settings, settings_of
from standwatch.service.personal.toml_lines import Wrong

_HEAD = "# standwatch: your own settings. docs/settings.md names every key.\n\n"


def read_settings(path: Path) -> Settings:
    """The settings in `path`; where no file is, the defaults. What can't be is in `wrong`."""
    try:
        text = path.read_text("utf-8")
    except FileNotFoundError:
        return Settings(name=path.name)
    except (OSError, ValueError) as error:
        why = error.strerror if isinstance(error, OSError) else "it is not UTF-8"
        return Settings(name=path.name, wrong=(Wrong(0, f"can't be read: {why}; the defaults hold"),))
    return settings_of(text, path.name)


def keep_theme(path: Path, theme: str) -> None:
    """Write `theme` into the file, made where it is missing; every other byte of it stays.

    Raises BadValue, with the place, where the file can't be read as TOML or not be written; it is as it was then.
    """
    from tomlkit import parse  # noqa: PLC0415  # 50 ms that only this wants
    from tomlkit.exceptions import TOMLKitError  # noqa: PLC0415  # the same

    home = path.resolve()  # a link stays one
    try:
        text = home.read_text("utf-8") if home.exists() else _HEAD
        written = parse(text.removeprefix("\ufeff"))
        written["theme"] = theme
        _replace(home, written.as_string())
    except (TOMLKitError, UnicodeDecodeError) as error:
        first = read_settings(home)
        said = first.told(first.wrong[0]) if first.wrong else f"{path.name}: {error}"
        raise BadValue(f"the theme is not kept: {said}") from None
    except OSError as error:
        raise BadValue(f"the theme is not kept: {path} can't be written: {error.strerror}") from None


def _replace(path: Path, text: str) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(prefix=f".{path.name}-", dir=path.parent)
    try:
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        if path.exists():
            Path(name).chmod(path.stat().st_mode & 0o777)
        Path(name).replace(path)
    except BaseException:
        with suppress(OSError):
            Path(name).unlink()
        raise
