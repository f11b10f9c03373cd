"""Names in any script: joined, turned and stacked as they are written, or named where the font has no letters."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

import pytest

from standwatch.papers.blocks import Sheet, TagMark, Words
from standwatch.papers.directions import visual_runs
from standwatch.papers.fonts import Fonts
from standwatch.papers.missing import Letters, inert, sentence
from standwatch.papers.pdf import lacking, pdf_of
from standwatch.papers.pen import Pen
from standwatch.papers.plain import text_of
from standwatch.papers.release_record import release_record
from tests.papers.reading import shown, squeezed, words
from tests.papers.records import AT, full_longcase

# Invented names.
SIMPLE = {
    "accents": "Zoë Dvořáková-Łąkowska",
    "Vietnamese": "Nguyễn Thị Bưởi",
    "Greek": "Ελένη Παπαδοπούλου",
    "Greek with breathings": "ᾍδης Ὀρφεύς",
    "Cyrillic": "Ивана Ђорђевић Щукина",
}
JOINED = {"Arabic": "علي بن محمد", "Hebrew": "שרה לוי", "Thai": "สมชาย", "Georgian": "ქეთევანი"}


@pytest.fixture
def pen() -> Iterator[Pen]:
    with Fonts() as fonts, Pen(fonts, "A4", title="", made_at=AT) as made:
        yield made


def sheet_of(*texts: str) -> Sheet:
    return Sheet("t", "Names", "2398", tuple(Words(text) for text in texts), AT)


@pytest.mark.parametrize("name", list(SIMPLE.values()), ids=list(SIMPLE))
def test_a_name_is_read_back_as_it_was_written(name: str) -> None:
    assert name in words(pdf_of(sheet_of(name)))
    assert lacking([sheet_of(name)]) == ()


@pytest.mark.parametrize("name", list(JOINED.values()), ids=list(JOINED))
def test_a_name_in_letters_that_are_shaped_is_read_back(name: str) -> None:
    told = words(pdf_of(sheet_of(name)))
    assert all(part in told for part in name.split())
    assert lacking([sheet_of(name)]) == ()


def test_arabic_letters_are_joined(pen: Pen) -> None:
    """Meem, hah, meem, dal in a word are what Unicode's charts name initial, medial, medial, final form."""
    forms = "\N{ARABIC LETTER MEEM INITIAL FORM}\N{ARABIC LETTER HAH MEDIAL FORM}"
    forms += "\N{ARABIC LETTER MEEM MEDIAL FORM}\N{ARABIC LETTER DAL FINAL FORM}"
    widths = [pen.width_of(form, 10) for form in forms]
    assert pen.width_of("محمد", 10) == pytest.approx(sum(widths), abs=0.01)
    assert sum(widths) != pytest.approx(sum(pen.width_of(letter, 10) for letter in "محمد"), abs=0.1)


def test_devanagari_letters_are_stacked(pen: Pen) -> None:
    """A conjunct takes less room than its consonants with their halants (Unicode 17, chapter 12.1)."""
    assert pen.width_of("क्ष", 10) < 0.9 * sum(pen.width_of(letter, 10) for letter in "कष")
    assert lacking([sheet_of("कृष्णा शर्मा क्षत्रिय")]) == ()


# Logical and displayed, of UAX 9, section 3.4 (Hebrew letters for its capitals), and numbers within such words.
DISPLAYED = {
    "car means אבג.": "car means גבא.",
    "אבג means car.": ".means car גבא",
    "for שרה 12 לוי, A1": "for יול 12 הרש, A1",
    "ערך 123, 456, 789, בסדר": "רדסב ,789 ,456 ,123 ךרע",
}


@pytest.mark.parametrize(("text", "displayed"), DISPLAYED.items())
def test_what_is_read_to_the_left_is_set_so(text: str, displayed: str) -> None:
    told = "".join(run.text[::-1] if run.leftwards else run.text for run in visual_runs(text))
    assert told == displayed
    assert displayed in shown(pdf_of(sheet_of(text)))


def test_a_joiner_parts_no_run() -> None:
    """Persian is spelt with it (UAX 9, 5.2: what is kept of such characters has the level of what is before it)."""
    assert [run.leftwards for run in visual_runs("for می\u200cخواهم, A1")] == [False, True, False]


def test_a_mark_takes_no_room_of_its_own(pen: Pen) -> None:
    """Marks that compose are composed (NFC), others are set over their letter."""
    assert inert("e\u0301") == "é"
    assert pen.width_of("g\u0303", 10) == pytest.approx(pen.width_of("g", 10), abs=0.01)
    assert lacking([sheet_of("g\u0303 x\u0323\u0302")]) == ()


def test_what_has_no_letter_is_printed_by_its_number_and_named() -> None:
    """水 and 野 are U+6C34 and U+91CE, the clock's face is U+1F570 (Unicode code charts)."""
    sheet = sheet_of("for 水野 🕰️", "水 again")
    assert lacking([sheet]) == ("水", "野", "🕰")
    told = words(pdf_of(sheet))
    assert "for [U+6C34][U+91CE] [U+1F570]" in told
    assert squeezed("U+6C34 (cjk unified ideograph-6c34), U+91CE") in squeezed(told)
    assert "U+1F570 (mantelpiece clock)" in told
    assert "for 水野 🕰" in text_of(sheet)


def test_a_sheet_without_such_letters_says_nothing_of_them() -> None:
    assert sentence(()) == ""
    assert "no letters" not in words(pdf_of(sheet_of("plain")))
    assert lacking([]) == ()


def test_a_record_for_an_owner_in_any_script_is_printed() -> None:
    record = full_longcase()
    for owner in [*SIMPLE.values(), *JOINED.values(), "水野", "a" * 300, "🕰" * 60]:
        clock = record.clock.model_copy(update={"owner": owner})
        assert pdf_of(release_record(record.model_copy(update={"clock": clock})))


@pytest.mark.parametrize("tag", ["水" * 24, "W" * 24, "علي", "i", "[/]", "%s{}"])
def test_a_tag_of_any_letters_is_printed(tag: str) -> None:
    data = pdf_of(Sheet("t", "Tag", tag, (TagMark(tag, ("a line",)), TagMark(tag, cut=True)), AT))
    assert "a line" in words(data)


CONTROLS = ["\x00", "\x1b[31m", "\x7f", "\x9b2J", "\u2028", "\u2029", "\r", "\t"]
HIDDEN = [
    "\u200b",
    "\u200e",
    "\u200f",
    "\u202a",
    "\u202e",
    "\u2066",
    "\u2069",
    "\ufeff",
    "\u00ad",
    "\u061c",
    "\U000e0041",
]


@pytest.mark.parametrize("char", CONTROLS + HIDDEN, ids=lambda char: f"{ord(char[0]):04X}")
def test_what_commands_turns_or_hides_is_inert(char: str) -> None:
    assert char[0] not in inert(f"a{char}b")
    assert all(unicodedata.category(each) not in {"Cc", "Zl", "Zp"} for each in inert(f"a{char}b"))
    text = text_of(sheet_of(f"a{char}b"))
    assert not any(unicodedata.category(each) in {"Cc", "Zl", "Zp"} and each != "\n" for each in text)
    assert char[0] not in text
    assert lacking([sheet_of(f"a{char}b")]) == ()


def test_joiners_stay_where_they_are_spelling() -> None:
    assert inert("می\u200cخواهم") == "می\u200cخواهم"


def test_line_feeds_part_lines_only_where_a_block_says_so() -> None:
    assert inert("a\nb") == "a b"
    assert inert("a\nb", lines=True) == "a\nb"
    assert Letters(map(ord, "ab")).printable("a\nb", lines=True) == "a\nb"
