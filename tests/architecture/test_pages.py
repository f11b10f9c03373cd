"""What the pages point to is there: files, headings, and the modules that their commands name."""

from __future__ import annotations

import re
from importlib.util import find_spec
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PAGES = sorted([*ROOT.glob("*.md"), *ROOT.glob("docs/*.md")])
LINK = re.compile(r"\]\(([^)\s]+)\)")


def anchors(page: Path) -> set[str]:
    """The anchors that a page's headings have where it is shown."""
    heads = re.findall(r"^#+ (.+)$", page.read_text("utf-8"), re.MULTILINE)
    return {re.sub(r"[^\w\- ]", "", head.lower()).replace(" ", "-") for head in heads}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_link_leads_somewhere(page: Path) -> None:
    lost = []
    for link in LINK.findall(page.read_text("utf-8")):
        if not link.startswith(("http:", "https:")):
            name, _, anchor = link.partition("#")
            to = (page.parent / name).resolve() if name else page
            if not to.exists() or (anchor and anchor not in anchors(to)):
                lost.append(link)
    assert not lost


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_module_named_is_there(page: Path) -> None:
    named = set(re.findall(r"python3? -m (tests[\w.]*)", page.read_text("utf-8")))
    assert not {module for module in named if find_spec(module) is None}


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_every_file_named_is_there(page: Path) -> None:
    text = page.read_text("utf-8")
    named = set(re.findall(r"`((?:tests|standwatch|docs)/[\w./]+)`", text))
    assert not {name for name in named if not (ROOT / name.rstrip(":")).exists()}
