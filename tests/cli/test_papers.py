"""Papers, labels and the round on paper, by commands on a real book."""

from __future__ import annotations

import re
from collections.abc import Iterable
from datetime import timedelta
from pathlib import Path

import pytest

from standwatch.cli.main import root
from standwatch.model.words import KindName
from standwatch.papers.fitters_sheet import fitters_sheet
from standwatch.papers.plain import text_of
from tests.cli.conftest import Program
from tests.papers.every_kind import RELEASED_KINDS, released
from tests.papers.reading import reader, squeezed, words
from tests.shop import NOW, Row, morning, regulator_ready, write_ledger

LATER = NOW + timedelta(days=1)


def let_go(program: Program, **columns: object) -> None:
    clock, rows = regulator_ready(missing="oil")
    program("import", write_ledger(program.book.parent / "ledger", [{**clock, **columns}], rows))
    program("release", "R1", "--by", "K. M.", "--waive", "oil=looked at in March")


def texts(folder: Path) -> dict[str, str]:
    return {path.stem: path.read_text(encoding="utf-8") for path in folder.glob("*.txt")}


def test_the_papers_of_the_last_release(program: Program, tmp_path: Path) -> None:
    let_go(program, owner="Averill")
    told = program("papers", "R1", "--out", tmp_path / "out")
    names = ("release-record", "fitters-sheet", "owners-card", "label")
    paths = [str(tmp_path / "out" / f"R1-{name}.{end}") for name in names for end in ("pdf", "txt")]
    assert told.out.splitlines() == paths
    assert told.err == ""
    for name in names:
        data = (tmp_path / "out" / f"R1-{name}.pdf").read_bytes()
        assert len(reader(data).pages) <= 2
        assert "R1" in words(data)
        assert float(reader(data).pages[0].mediabox.width) == pytest.approx(595.28, abs=0.1)  # ISO 216 A4
    sheets = texts(tmp_path / "out")
    assert "NOT PROVED IN ITS CASE" in sheets["R1-fitters-sheet"]
    assert "looked at in March" in sheets["R1-release-record"]
    assert "for Averill" in sheets["R1-fitters-sheet"]
    assert "Averill" not in sheets["R1-owners-card"] + sheets["R1-label"]


def test_papers_say_what_was_let_go_whatever_came_since(program: Program, tmp_path: Path) -> None:
    let_go(program)
    program("papers", "R1", "--out", tmp_path / "one")
    program("clock", "change", "R1", "owner=someone", "unlock_deg=0.8")
    program("set", "shop=Another", "paper=Letter", "warranty_months=24")
    program("papers", "R1", "--out", tmp_path / "two", now=LATER)
    one, two = ({path.name: path.read_bytes() for path in (tmp_path / name).iterdir()} for name in ("one", "two"))
    assert one == two


def test_without_a_release_the_next_step_is_said(program: Program, tmp_path: Path) -> None:
    clock, rows = regulator_ready()
    program("import", write_ledger(program.book.parent / "ledger", [clock], rows))
    told = program("papers", "R1", "--out", tmp_path / "out", code=3)
    assert "`standwatch release R1 --by NAME`" in told.err
    assert program("papers", "R9", "--out", tmp_path / "out", code=4).err
    assert program("papers", "R1", code=2).err
    assert not (tmp_path / "out").exists()


def test_the_shop_s_paper_unless_another_is_asked_for(program: Program, tmp_path: Path) -> None:
    program("set", "paper=Letter", "shop=Thornbury & Vale")
    let_go(program)
    told = program("papers", "R1", "--out", tmp_path, "--json").json
    assert told["paper"] == "Letter"
    assert told["not_printed"] is None
    assert len(told["files"]) == 8
    assert all(Path(path).exists() for path in told["files"])
    [card] = [path for path in told["files"] if path.endswith("owners-card.pdf")]
    assert float(reader(Path(card).read_bytes()).pages[0].mediabox.height) == pytest.approx(792, abs=0.1)
    assert "Thornbury & Vale" in words(Path(card).read_bytes())
    assert program("papers", "R1", "--out", tmp_path, "--json", "--paper", "a4").json["paper"] == "A4"
    assert program("papers", "R1", "--out", tmp_path, "--paper", "A5", code=2).err


def test_what_can_not_be_printed_is_named_and_nothing_is_led_astray(program: Program, tmp_path: Path) -> None:
    program("clock", "add", "../up \U00013080", "--kind", "carriage")
    told = program("label", "../up \U00013080", "--out", tmp_path / "out")
    assert "U+13080" in told.err
    assert {path.parent for path in (tmp_path / "out").iterdir()} == {tmp_path / "out"}
    assert re.fullmatch(r"up-[0-9a-f]{8}-label\.(pdf|txt)", Path(told.out.splitlines()[0]).name)
    (tmp_path / "file").write_text("x", encoding="utf-8")
    assert "can't be written to" in program("label", "--out", tmp_path / "file", code=4).err


def test_labels_of_the_stand_or_of_some(program: Program, tmp_path: Path) -> None:
    program("clock", "add", "A", "--kind", "longcase", "--position", "A2", "--going-kg", "5.4", "--strike-kg", "5.2")
    program("clock", "add", "B", "--kind", "mantel", "--position", "A1", "--owner", "Marrack", "--hazards", "mercury")
    program("label", "--out", tmp_path)
    told = texts(tmp_path)["labels"]
    assert told.index("mantel, slot A1") < told.index("longcase, slot A2")
    assert "LEFT strike 5.2 kg; RIGHT going 5.4 kg" in told
    assert "CAUTION: mercury" in told
    assert "Marrack" not in told
    program("label", "A", "--out", tmp_path)
    assert set(texts(tmp_path)) == {"labels", "A-label"}


def test_a_clock_that_went_home_has_no_label_among_the_stand_s(program: Program, tmp_path: Path) -> None:
    program("set", "paper=A4")
    program("label", "--out", tmp_path)
    assert "No clock is on the stand." in texts(tmp_path)["labels"]
    let_go(program)
    program("label", "--out", tmp_path)
    assert "regulator, slot A1" in texts(tmp_path)["R1-label"]  # let go, and still to be carried
    program("deliver", "R1", "--at", NOW.isoformat())
    for tag in ("S", "T"):
        program("clock", "add", tag, "--kind", "mantel")
    program("label", "--out", tmp_path)
    assert "R1" not in texts(tmp_path)["labels"]


def forty(errors: Iterable[float]) -> tuple[list[Row], list[Row]]:
    """Forty clocks of all kinds, read twice since they were wound five days ago."""
    told = [*errors]
    kinds = [*RELEASED_KINDS] * 4
    clocks: list[Row] = []
    rows: list[Row] = []
    for n, kind in enumerate(kinds[:40]):
        hazards = "mercury pendulum" if n % 9 == 0 else ""
        clocks.append(
            {"tag": f"24{n:02}", "kind": kind, "position": f"{'ABCD'[n // 10]}{n % 10 + 1}", "hazards": hazards}
        )
        rows.append({"at": morning(5), "tag": f"24{n:02}", "work": "wound"})
        rows += [{"at": morning(2 - day), "tag": f"24{n:02}", "error_s": told[day]} for day in (0, 1)]
    return clocks, rows


def test_forty_clocks_are_two_pages_by_slot(program: Program, tmp_path: Path) -> None:
    clocks, rows = forty((3, 5))
    program("import", write_ledger(tmp_path / "ledger", clocks, rows))
    for paper in ("A4", "Letter"):
        told = program("round-sheet", "--out", tmp_path / paper, "--paper", paper)
        assert told.out.splitlines() == [str(tmp_path / paper / f"round-sheet.{end}") for end in ("pdf", "txt")]
        data = (tmp_path / paper / "round-sheet.pdf").read_bytes()
        assert len(reader(data).pages) == 2
        assert all(str(clock["tag"]) in squeezed(words(data)) for clock in clocks)
    text = texts(tmp_path / "A4")["round-sheet"]
    slots = re.findall(r"^([A-D]\d+) ", text, re.MULTILINE)
    assert slots == [clock["position"] for clock in clocks]
    assert "2400: mercury pendulum" in text
    assert re.search(r"^C6 .*WIND", text, re.MULTILINE) is None  # a torsion clock goes for a year


def test_it_is_read_blind(program: Program, tmp_path: Path) -> None:
    """The same clocks with other errors and rates make the same sheet, so nothing expected is on it."""
    sheets = []
    for name, errors in (("one", (3.0, 5.0)), ("two", (-41.0, -36.5))):
        other = Program(tmp_path / f"{name}.sqlite")
        other("import", write_ledger(tmp_path / f"ledger-{name}", *forty(errors)))
        other("round-sheet", "--out", tmp_path / name)
        sheets.append(texts(tmp_path / name)["round-sheet"])
    assert sheets[0] == sheets[1]


def test_what_stands_is_marked_and_what_runs_out_and_who_is_gone_is_not_there(program: Program, tmp_path: Path) -> None:
    let_go(program)
    program("clock", "add", "C", "--kind", "cuckoo", "--position", "B1")
    program("clock", "add", "S", "--kind", "mantel", "--position", "B2")
    program("work", "C", "wound", "--at", morning(0).isoformat())
    program("checkin", "C", "--error", "5", "--at", morning(0).isoformat())
    program("checkin", "S", "--error", "5", "--at", morning(1).isoformat())
    program("work", "S", "stopped", "--dial", "3:47")
    program("round-sheet", "--out", tmp_path)
    rows = texts(tmp_path)["round-sheet"]
    assert re.search(r"^B1 .*WIND", rows, re.MULTILINE)  # 30 hours, and the next round is on Monday
    assert re.search(r"^B2 .*STAND", rows, re.MULTILINE)
    assert "R1" not in rows


def test_an_empty_stand_has_a_sheet_too(program: Program, tmp_path: Path) -> None:
    program("set", "paper=A4")
    program("round-sheet", "--out", tmp_path)
    assert "No clock is on the stand." in texts(tmp_path)["round-sheet"]


@pytest.mark.parametrize("kind", RELEASED_KINDS)
def test_what_the_fitter_writes_down_is_what_deliver_takes(kind: KindName) -> None:
    command = root.get_command(None, "deliver")  # type: ignore[arg-type]
    assert command is not None
    known = {name for parameter in command.params for name in (*parameter.opts, *parameter.secondary_opts)}
    told = set(re.findall(r"--[a-z-]+[a-z]", text_of(fitters_sheet(released(kind)))))
    assert told
    assert told <= known
    assert {"--at", "--error", "--wound-by", "--note"} <= told
