"""The wheel: the whole program with the demo inside, its version told in one place, and it runs from any folder."""

from __future__ import annotations

import email
import os
import re
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from standwatch import __version__

ROOT = Path(__file__).parents[2]
SOURCES = ("pyproject.toml", "README.md", "LICENSE")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel of a clean copy of the sources, made once."""
    folder = tmp_path_factory.mktemp("wheel")
    clean = folder / "clean"
    clean.mkdir()
    for name in SOURCES:
        shutil.copy(ROOT / name, clean)
    no_leavings = shutil.ignore_patterns("__pycache__", "*.pyc")
    shutil.copytree(ROOT / "standwatch", clean / "standwatch", symlinks=True, ignore=no_leavings)
    shutil.copytree(ROOT / "fixtures" / "demo", clean / "fixtures" / "demo")
    command = [sys.executable, "-m", "pip", "wheel", "--quiet", "--no-deps", "--no-build-isolation"]
    done = subprocess.run(
        [*command, "--disable-pip-version-check", "--wheel-dir", str(folder), str(clean)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    [made] = folder.glob("*.whl")
    return made


@pytest.fixture(scope="module")
def unpacked(wheel: Path) -> Path:
    """The wheel as it lies in an environment's packages."""
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(wheel.parent / "packages")
    return wheel.parent / "packages"


def ours(folder: Path) -> Iterator[str]:
    for path in sorted(folder.rglob("*")):
        if path.is_file() and "__pycache__" not in path.parts:
            yield path.relative_to(folder).as_posix()


def test_it_holds_the_program_and_the_demo_and_nothing_else(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as packed:
        held = {name for name in packed.namelist() if ".dist-info/" not in name}
        told = {name: packed.read(name) for name in held if name.startswith("standwatch/demo/")}
    program = {f"standwatch/{name}" for name in ours(ROOT / "standwatch") if not name.startswith("demo/")}
    demo = {f"standwatch/demo/{name}": ROOT / "fixtures" / "demo" / name for name in ours(ROOT / "fixtures" / "demo")}
    assert held == program | demo.keys()
    assert {"standwatch/demo/clocks.csv", "standwatch/demo/checkins.csv"} <= told.keys()
    assert told == {name: path.read_bytes() for name, path in demo.items()}


def test_its_version_is_the_program_s(wheel: Path, unpacked: Path) -> None:
    assert wheel.name.startswith(f"standwatch-{__version__}-")
    told = email.message_from_string((unpacked / f"standwatch-{__version__}.dist-info" / "METADATA").read_text("utf-8"))
    assert told["Version"] == __version__
    entry = (unpacked / f"standwatch-{__version__}.dist-info" / "entry_points.txt").read_text("utf-8")
    assert "standwatch = standwatch.__main__:main" in entry


def test_the_demo_is_printed_from_another_folder(unpacked: Path, tmp_path: Path) -> None:
    environment = {**os.environ, "PYTHONPATH": str(unpacked)}

    def run(*words: str) -> str:
        command = [sys.executable, *words]
        return subprocess.run(command, capture_output=True, text=True, check=True, cwd=tmp_path, env=environment).stdout

    assert Path(run("-c", "import standwatch; print(standwatch.__file__)").strip()).is_relative_to(unpacked)
    printed = run("-m", "standwatch", "demo", "--print")
    assert "need you" in printed
    assert len(re.findall(r"^[A-Z]\d+ +\d{4} ", printed, re.MULTILINE)) >= 10
    assert run("-m", "standwatch", "--version").split() == ["standwatch", __version__]


def test_the_version_is_told_in_one_place() -> None:
    pages = [*ROOT.glob("*.md"), *ROOT.glob("*.toml"), *ROOT.glob("docs/*.md")]  # a record of the demo's keeps its own
    modules = [path for room in ("standwatch", "tests") for path in (ROOT / room).rglob("*.py")]
    changes = ROOT / "docs" / "CHANGELOG.md"
    frozen = ROOT / "fixtures" / "demo" / "releases.csv"  # each record tells by which version it was let go
    version = re.compile(rf"(?<![\d.]){re.escape(__version__)}(?![\d.])")
    telling = {path for path in {*pages, *modules} - {changes, frozen} if version.search(path.read_text("utf-8"))}
    assert telling == {ROOT / "standwatch" / "__init__.py"}


def test_the_latest_of_the_changes_is_this_version() -> None:
    heads = re.findall(r"^## (\d+\.\d+\.\d+)", (ROOT / "docs" / "CHANGELOG.md").read_text("utf-8"), re.MULTILINE)
    assert heads
    assert heads[0] == __version__
