"""Labels, and papers in a folder: safe names, each file whole, nothing led astray by what a user wrote."""

from __future__ import annotations

import re
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standwatch.model.errors import BadValue
from standwatch.model.words import KindName
from standwatch.papers import papers_of
from standwatch.papers.blocks import Sheet, TagMark, Words
from standwatch.papers.pdf import pdf_of
from standwatch.papers.plain import text_of
from standwatch.papers.rail_label import label_of, rail_label, rail_labels
from standwatch.papers.writing import file_name, not_printed, slug, write
from tests.papers.every_kind import AT, RELEASED_KINDS, clock_of, released
from tests.papers.reading import reader, squeezed, words

TAGS = st.text(min_size=1, max_size=24)


def one(tag: str, text: str = "some words") -> Sheet:
    return Sheet("owners-card", "Card", tag, (Words(text),), AT)


@given(TAGS)
def test_a_slug_is_safe_on_any_disk(tag: str) -> None:
    told = slug(tag)
    assert re.fullmatch(r"[A-Za-z0-9]+(-[A-Za-z0-9]+)*", told)
    assert len(told) <= 24 + 9


@given(st.lists(TAGS, min_size=2, max_size=6, unique=True))
def test_two_tags_never_share_a_file(tags: list[str]) -> None:
    names = [file_name(one(tag)).casefold() for tag in tags]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize(("tags"), [("K 17", "K-17", "K/17", "k17", "K17", "k-17", "K17 ", "../K17", "K\u202e17")])
def test_tags_that_look_alike_are_told_apart(tags: tuple[str, ...]) -> None:
    for a, b in combinations(tags, 2):
        assert slug(a).casefold() != slug(b).casefold()
    assert slug("K17") == "K17"
    assert slug("2398") == "2398"


def test_each_sheet_becomes_a_pdf_and_its_text(tmp_path: Path) -> None:
    sheets = papers_of(released(KindName.MANTEL))
    paths = write(tmp_path / "new" / "papers", sheets, "Letter")
    names = ["release-record", "fitters-sheet", "owners-card", "label"]
    assert [path.name for path in paths] == [f"2417-{name}.{end}" for name in names for end in ("pdf", "txt")]
    assert sorted(path.name for path in paths) == sorted(path.name for path in paths[0].parent.iterdir())
    for sheet, pdf, text in zip(sheets, paths[::2], paths[1::2], strict=True):
        assert pdf.read_bytes() == pdf_of(sheet, "Letter")
        assert text.read_text(encoding="utf-8") == text_of(sheet)


def test_a_tag_leads_nowhere_else(tmp_path: Path) -> None:
    folder = tmp_path / "papers"
    for tag in ("../../up", "/etc/passwd", "..", "a/b", "C:\\x", "CON", "\x00x"):
        paths = write(folder, [one(tag)])
        assert {path.parent for path in paths} == {folder}
        assert all(path.resolve().parent == folder.resolve() for path in paths)
    assert [path.name for path in tmp_path.iterdir()] == ["papers"]


def test_a_file_is_replaced_whole_and_a_link_is_not_followed(tmp_path: Path) -> None:
    other = tmp_path / "other.txt"
    other.write_text("someone's own", encoding="utf-8")
    folder = tmp_path / "papers"
    folder.mkdir()
    (folder / "2417-owners-card.txt").symlink_to(other)
    (folder / "2417-owners-card.pdf").write_text("an older one, much longer" * 9999, encoding="utf-8")
    write(folder, [one("2417")])
    assert other.read_text(encoding="utf-8") == "someone's own"
    assert not (folder / "2417-owners-card.txt").is_symlink()
    assert (folder / "2417-owners-card.pdf").read_bytes() == pdf_of(one("2417"))
    assert sorted(path.name for path in folder.iterdir()) == ["2417-owners-card.pdf", "2417-owners-card.txt"]


def test_a_folder_that_cant_be_written_to_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x", encoding="utf-8")
    for folder in (tmp_path / "file", tmp_path / "file" / "below"):
        with pytest.raises(
            BadValue, match=r"papers can't be written to .*file.*; give a folder that can be written to"
        ):
            write(folder, [one("2417")])
    (tmp_path / "2417-owners-card.pdf").mkdir()
    with pytest.raises(BadValue, match="can't be written"):
        write(tmp_path, [one("2417")])
    assert sorted(path.name for path in tmp_path.iterdir()) == ["2417-owners-card.pdf", "file"]


def test_another_paper_is_refused_before_anything_is_written(tmp_path: Path) -> None:
    with pytest.raises(BadValue, match="A4 or Letter"):
        write(tmp_path, [one("2417")], "A5")
    assert not [*tmp_path.iterdir()]


def test_what_no_font_has_is_named() -> None:
    assert not_printed([one("2417")]) == ""
    assert "U+13080" in not_printed([one("2417", "owner \U00013080")])


def test_a_label_bears_tag_kind_slot_weights_and_hazards_and_no_owner() -> None:
    sheet = rail_label(clock_of(KindName.FLOOR_CHIMING), AT, slot="A3")
    told = squeezed(words(pdf_of(sheet)))
    for text in ("2417", "floor chiming, slot A3", "LEFT strike 9.5 kg; CENTRE going 9.5 kg; RIGHT chime 12 kg"):
        assert squeezed(text) in told
    assert squeezed("CAUTION: weights over 9 kg; mercury pendulum") in told
    assert squeezed("RIGHT weight: chime") in told
    assert "Quillane" not in told
    marks = [block for block in sheet.blocks if isinstance(block, TagMark)]
    assert len(marks) == 1 + 3
    assert all(mark.cut and mark.tag == "2417" for mark in marks)


def test_one_weight_or_none_can_not_be_exchanged() -> None:
    for kind in (KindName.REGULATOR, KindName.LONGCASE_30H, KindName.CARRIAGE):
        marks = [block for block in label_of(released(kind)).blocks if isinstance(block, TagMark)]
        assert len(marks) == 1
    assert "Weight: going and strike 4.6 kg" in text_of(label_of(released(KindName.LONGCASE_30H)))
    assert "not weighed" in text_of(label_of(released(KindName.LONGCASE, going_kg=None)))


def test_labels_of_many_take_pages_and_are_not_set_smaller() -> None:
    clocks = [(clock_of(kind, tag=f"T{n}{k}"), f"A{n}") for n in range(3) for k, kind in enumerate(RELEASED_KINDS)]
    data = pdf_of(rail_labels(clocks, AT))
    assert len(reader(data).pages) > 2
    told = squeezed(words(data))
    assert all(clock.tag in told for clock, _ in clocks)
