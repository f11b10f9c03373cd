"""User text is text: markup, escape bytes and formulas do nothing, on the way in, out and back."""

from __future__ import annotations

import pytest

from tests.cli.conftest import Program
from tests.shop import morning, write_ledger

NASTY = ["[bold]7[/]", "[/]", "=1+1", "@SUM(A1)", "\x1b[2J\x1b]0;x\x07T", "a\r\nb", "\u202etag", "T;\u00e9\u4e2d"]


@pytest.mark.parametrize("tag", NASTY)
def test_a_tag_is_text(program: Program, tag: str) -> None:
    program("clock", "add", tag, "--kind", "mantel", "--position", "A1", "--owner", tag)
    program("checkin", tag, "--error", "3", "--note", tag)
    for words in (["status"], ["status", tag], ["clock", "list"], ["clock", "show", tag], ["due"], ["selfcheck"]):
        told = program(*words)
        assert not {c for c in told.out + told.err if (ord(c) < 32 and c != "\n") or 0x7F <= ord(c) <= 0x9F}
        assert "\u202e" not in told.out
    shown = program("status", "--json").json["clocks"][0]["tag"]
    assert program("status", shown, "--json").json["clocks"][0]["tag"] == shown
    folder = program.book.parent / "out"
    program("export", folder)
    other = Program(program.book.parent / "other.sqlite")
    other("import", folder)
    assert other("status", "--json").out == program("status", "--json").out


@pytest.mark.parametrize("tag", NASTY)
def test_imported_text_is_text(program: Program, tag: str) -> None:
    folder = program.book.parent / "in"
    rows = [{"at": morning(1), "tag": tag, "error_s": 3, "note": tag}]
    program("import", write_ledger(folder, [{"tag": tag, "kind": "mantel", "description": tag}], rows))
    told = program("clock", "list").out
    assert not {c for c in told if (ord(c) < 32 and c != "\n") or 0x7F <= ord(c) <= 0x9F}


def test_an_unknown_nasty_tag_is_said_as_text(program: Program) -> None:
    program("clock", "add", "T1", "--kind", "mantel")
    told = program("status", "\x1b[2J", code=4)
    assert "\x1b" not in told.err
