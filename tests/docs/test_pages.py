"""Each page is followed by the letter, command by command, on the book that it names."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from standwatch.bootstrap import demo
from standwatch.cli.main import COMMANDS
from tests.docs.page import PAGES, REFUSED, ROOT, as_shown, book_of, last_id_in, said, typed

TASKS = ("first-day", "morning-round", "regulate", "chime", "release", "call-backs", "moving-books", "numbers")
FOLLOWED = [page for page in PAGES if book_of(page.read_text("utf-8")) is not None]


@pytest.fixture(scope="module")
def demo_book(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo shop's book."""
    kept = tmp_path_factory.mktemp("demo") / "demo.sqlite"
    with demo() as (book, _begins):
        shutil.copy(book, kept)
    return kept


@pytest.mark.parametrize("page", FOLLOWED, ids=lambda page: page.stem)
def test_a_page_is_followed_by_the_letter(
    page: Path, demo_book: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    book = tmp_path / "book.sqlite"
    text = page.read_text("utf-8")
    if (told := book_of(text)) is not None and told[0] == "demo":
        shutil.copy(demo_book, book)
    followed, last_id = 0, ""
    for command in typed(text):
        code, printed = said(command, book, last_id)
        assert (code in REFUSED) if command.refused else code == 0, f"{command.line}: exit {code}\n{printed}"
        if command.shown is not None:
            assert as_shown(command.shown, printed), f"{command.line}\nshown:\n{command.shown}\nprinted:\n{printed}"
        followed, last_id = followed + 1, last_id_in(printed, last_id)
    assert followed


def test_a_page_that_tells_commands_says_on_which_book() -> None:
    for page in PAGES:
        text = page.read_text("utf-8")
        assert bool(list(typed(text))) == (book_of(text) is not None), page.name


def test_there_is_a_page_for_each_task_and_the_index_names_them_all() -> None:
    index = (ROOT / "docs" / "README.md").read_text("utf-8")
    pages = {page.name for page in (ROOT / "docs").glob("*.md")} - {"README.md"}
    assert {f"{task}.md" for task in TASKS} <= pages
    assert not {name for name in pages if f"]({name})" not in index}


def test_each_command_is_on_some_page() -> None:
    told = {word for page in FOLLOWED for each in typed(page.read_text("utf-8")) for word in each.words[1:2]}
    assert not COMMANDS.keys() - told


@pytest.mark.parametrize(
    ("shown", "printed", "alike"),
    [
        ("a\nb\n", "a\nb\n", True),
        ("a\n", "a\nb\n", False),
        ("a\n…\n", "a\nb\nc\n", True),
        ("a\n…\nc\n", "a\nc\n", True),
        ("a\n…\nc\n", "a\nb\n", False),
        ("may go  (…)\n", "may go  (x7)\n", True),
        ("may go  (…)\n", "may not\n", False),
        ("1.5\n", "145\n", False),
        ("", "", True),
        ("", "a\n", False),
    ],
)
def test_what_is_shown_is_held_against_what_is_printed(shown: str, printed: str, *, alike: bool) -> None:
    assert as_shown(shown, printed) == alike
