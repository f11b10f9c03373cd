"""Text from people, made safe at the model's edge."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standwatch.model.facts import CheckIn, Clock
from standwatch.model.records import build
from standwatch.model.text import clean


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("\x1b[2J\x1b[31mred", "[2J [31mred"),  # what would clear a terminal is plain text
        ("one\r\ntwo\tthree", "one two three"),
        ("\x00\x07bell\x7f", "bell"),
        ("\x9b2Jcsi", "2Jcsi"),  # C1 control sequence introducer
        ("a\u2028b\u2029c", "a b c"),
        ("24\u202e17", "2417"),  # what would turn the digits round
        ("\ufeff2417\u200b", "2417"),
        ("  two  spaces  ", "two  spaces"),
        ("[/] =1+1 <b>", "[/] =1+1 <b>"),  # markup and formulas are somebody's text
        ("Ægir, 時計, ♜", "Ægir, 時計, ♜"),
    ],
)
def test_clean(text: str, kept: str) -> None:
    assert clean(text) == kept


@given(st.text())
def test_clean_text_is_one_line_and_stays_clean(text: str) -> None:
    once = clean(text)
    assert clean(once) == once
    assert len(once.splitlines()) <= 1
    assert not any(ord(c) < 32 or 127 <= ord(c) < 160 for c in once)


def test_tags_and_notes_are_cleaned() -> None:
    clock = build(Clock, {"tag": " 24\x1b17 ", "kind": "mantel", "owner": "Quil\u200blane\n"})
    assert (clock.tag, clock.owner) == ("24 17", "Quillane")
    row = build(CheckIn, {"at": "2026-11-20T08:00:00+00:00", "tag": "2417", "note": "\x1b]0;title\x07"})
    assert row.note == "]0;title"


def test_text_of_nothing_but_controls_is_not_given() -> None:
    row = build(CheckIn, {"at": "2026-11-20T08:00:00+00:00", "tag": "2417", "note": "\x1b\x07"})
    assert row.note is None
