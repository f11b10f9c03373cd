"""Of every kind a clock that has shown everything goes; without any one piece of its evidence it stays.

The ledgers are those of tests/cli/complete_ledgers.py. What applies to a kind and which requirements are never skipped
is written down here by hand, from the trade's table (common practice).
"""

from __future__ import annotations

import csv
import json
import re
import shutil
import sqlite3
from contextlib import closing
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from standwatch.model.release import ReleaseRecord
from standwatch.model.words import KindName
from standwatch.papers.plain import text_of
from standwatch.papers.release_record import release_record
from tests.cli.complete_ledgers import PROVED, Complete, Lack, complete
from tests.cli.conftest import Program, Told
from tests.cli.ledger import keep, moment
from tests.cli.ledger import seen as seen_at

STARRED = {
    *("continuous-running", "full-duration", "beat", "twelve-counts", "chime-step", "mis-set", "own-case", "safety"),
}
ALWAYS = {
    *("continuous-running", "full-duration", "mean-rate", "day-range", "amplitude", "beat", "oil", "safety"),
}
STRIKE = {"twelve-counts"}
CHIME = {"chime-step", "mis-set", "tunes"}
APPLIES: dict[str, set[str]] = {
    "regulator": {"weight-passage", "own-case"},
    "weight-wall": {"weight-passage", "own-case", *STRIKE},
    "longcase": {"weight-passage", "own-case", "moon", *STRIKE},
    "longcase-30h": {"weight-passage", "own-case", *STRIKE},
    "floor-chiming": {"weight-passage", "own-case", "moon", *STRIKE, *CHIME},
    "cuckoo": {"weight-passage", "own-case", *STRIKE},
    "spring-wall": {"own-case", *STRIKE},
    "spring-wall-31d": {"own-case", *STRIKE},
    "mantel": {"own-case", *STRIKE},
    "bracket": {"own-case", *STRIKE},
    "mantel-chiming": {"own-case", *STRIKE, *CHIME},
    "carriage": {"own-case", *STRIKE},
    "torsion": set(),
}
"""Beside ALWAYS; the ledgers of the longcase and the floor chiming clock have a moon."""
ALL = {*ALWAYS, *STRIKE, *CHIME, "weight-passage", "own-case", "moon"}

WOUND_DAILY = {KindName.LONGCASE_30H, KindName.CUCKOO}
"""On the last morning about to run out, and still in the shop."""

STORIES: dict[KindName, Complete] = {name: complete(name) for name in PROVED}
MOVEMENTS: dict[KindName, Complete] = {
    name: complete(name, movement_only=True) for name in PROVED if name is not KindName.TORSION
}
LACKS = [(name, lack) for name, story in STORIES.items() for lack in story.lacks]
RATES = [
    (name, lack)
    for name, story in MOVEMENTS.items()
    for lack in story.lacks
    if "mean-rate" in story.lacks[lack].wanting
]


def taken_in(program: Program, story: Complete, lack: Lack | None = None) -> None:
    """The ledger in its book, whole or without a piece."""
    lines = story.lines if lack is None else story.lacking(lack)
    columns: dict[str, Any] = story.columns if lack is None else {**story.columns, **lack.columns}
    keep(program, story.kind, lines, now=story.now, **columns)


def released(program: Program, story: Complete, *waive: str, code: int = 0, after: timedelta = timedelta()) -> Told:
    """What `release` says."""
    waived = [word for each in waive for word in ("--waive", each)]
    return program("release", "T1", "--by", "JQ", *waived, now=moment(story.now) + after, code=code)


def named(told: Told) -> dict[str, str]:
    """The requirements that a refusal names, and whether each has its star."""
    found = re.findall(r"^  ([a-z-]+)(\*?) (missed|not yet known): \S", told.err, re.MULTILINE)
    assert [bool(star) for _, star, _ in found] == [name in STARRED for name, _, _ in found], told.err
    return {name: outcome for name, _, outcome in found}


def kept(program: Program) -> list[str]:
    """All that the book holds."""
    with closing(sqlite3.connect(program.book)) as db:
        return list(db.iterdump())


def releases(program: Program) -> tuple[bytes, list[dict[str, Any]]]:
    """The file of releases as it is exported, and the records in it."""
    folder = program.book.parent / f"out-{sum(1 for _ in program.book.parent.glob('out-*'))}"
    program("export", folder)
    with (folder / "releases.csv").open(encoding="utf-8", newline="") as file:
        records = [row["record"] for row in csv.DictReader(file) if row["record"]]
    return (folder / "releases.csv").read_bytes(), [json.loads(text) for text in records]


def outcomes(record: dict[str, Any]) -> dict[str, str]:
    """Each requirement of a record."""
    return {each["name"]: each["outcome"] for each in record["outcomes"]}


def test_every_kind_but_the_reference_is_tried_with_each_of_its_requirements() -> None:
    assert set(APPLIES) == {str(name) for name in STORIES} == set(map(str, KindName)) - {"reference"}
    for name, story in STORIES.items():
        wanted = {each for lack in story.lacks.values() for each in lack.wanting}
        assert wanted == ALWAYS | APPLIES[name], name


@pytest.mark.parametrize("name", PROVED)
def test_a_clock_that_has_shown_everything_goes_with_its_record(program: Program, name: KindName) -> None:
    """And the record is the same in another book, where the stand looks the same."""
    story = STORIES[name]
    taken_in(program, story)
    assert released(program, story).out.startswith("T1 may go  (")
    seen = seen_at(program, story.now)
    assert (seen.standing, seen.next) == ("released", "wind" if name in WOUND_DAILY else "deliver")
    file, [record] = releases(program)
    applies = ALWAYS | APPLIES[name]
    assert outcomes(record) == {each: "met" if each in applies else "not-applicable" for each in ALL}
    assert (record["tag"], record["by"], record["at"]) == ("T1", "JQ", moment(story.now).isoformat())
    assert outcomes(record) == seen.outcomes
    other = Program(program.book.parent / "other.sqlite")
    other("import", program.book.parent / "out-0", now=moment(story.now))
    assert releases(other)[0] == file
    for words in (["status", "--json"], ["clock", "show", "T1"]):
        assert other(*words, now=moment(story.now)).out == program(*words, now=moment(story.now)).out
    assert "the book is whole" in other("selfcheck").out


@pytest.mark.parametrize("name", MOVEMENTS)
def test_a_movement_goes_without_its_case_and_is_called_about_on_the_second_day(
    program: Program, name: KindName
) -> None:
    story = MOVEMENTS[name]
    taken_in(program, story)
    released(program, story)
    _, [record] = releases(program)
    applies = ALWAYS | APPLIES[name] - {"own-case"}
    assert outcomes(record) == {each: "met" if each in applies else "not-applicable" for each in ALL}
    case = next(each for each in record["outcomes"] if each["name"] == "own-case")
    assert "not proved in its case" in case["because"]
    assert record["first_call_days"] == [2, 14]


def test_a_clock_in_its_case_is_called_about_after_two_weeks_only(program: Program) -> None:
    taken_in(program, STORIES[KindName.CARRIAGE])
    released(program, STORIES[KindName.CARRIAGE])
    assert releases(program)[1][0]["first_call_days"] == [14]


@pytest.mark.parametrize(("name", "what"), LACKS)
def test_without_one_piece_of_its_evidence_it_stays(program: Program, name: KindName, what: str) -> None:
    story = STORIES[name]
    lack = story.lacks[what]
    taken_in(program, story, lack)
    before = kept(program)
    told = released(program, story, code=3)
    assert named(told) == lack.wanting
    assert told.out == ""
    assert kept(program) == before


@pytest.mark.parametrize(("name", "what"), RATES)
def test_a_movement_has_its_rate_to_show_too(program: Program, name: KindName, what: str) -> None:
    """Where there is no case to be proved in, the rate is named alone."""
    story = MOVEMENTS[name]
    taken_in(program, story, story.lacks[what])
    assert named(released(program, story, code=3)) == story.lacks[what].wanting
    assert "own-case" not in story.lacks[what].wanting


WAIVED = [
    (KindName.LONGCASE, "one whole wind, not two", "weight-passage"),
    (KindName.BRACKET, "not read for three mornings", "day-range"),
    (KindName.CARRIAGE, "a low swing", "amplitude"),
    (KindName.CUCKOO, "no unlocking point", "amplitude"),
    (KindName.MANTEL_CHIMING, "the second tune never heard", "tunes"),
    (KindName.FLOOR_CHIMING, "moon three days off", "moon"),
    (KindName.TORSION, "oil dark", "oil"),
]


@pytest.mark.parametrize(("name", "what", "waived"), WAIVED)
def test_a_waiver_that_is_needed_is_kept_and_no_other(program: Program, name: KindName, what: str, waived: str) -> None:
    """It holds for this release alone: reopened, all evidence counts on, and the same is wanting."""
    story = STORIES[name]
    taken_in(program, story, story.lacks[what])
    was = seen_at(program, story.now).outcomes
    needless = next(each for each in ("oil", "mean-rate") if each != waived)
    told = released(program, story, f"{waived}=seen in March", f"{needless}=never mind")
    assert f"T1 may go; waived: {waived}  (" in told.out
    assert f"{needless} needed no waiver, so none is recorded" in told.err
    first, [record] = releases(program)
    assert outcomes(record) == {**was, waived: "waived"}
    assert [each["waived"] for each in record["outcomes"] if each.get("waived")] == ["seen in March"]
    with (program.book.parent / "out-0" / "waivers.csv").open(encoding="utf-8", newline="") as file:
        [row] = csv.DictReader(file)
    assert (row["requirement"], row["reason"], row["by"]) == (waived, "seen in March", "JQ")
    paper = text_of(release_record(ReleaseRecord.model_validate(record)))
    assert "seen in March" in " ".join(paper.split())

    hour = timedelta(hours=1)
    program("reopen", "T1", "--reason", "hands rub", now=moment(story.now) + hour)
    [again] = program("status", "T1", "--json", now=moment(story.now) + hour).json["clocks"]
    assert {each["name"]: each["outcome"] for each in again["requirements"]} == was
    assert named(released(program, story, code=3, after=2 * hour)) == story.lacks[what].wanting
    released(program, story, f"{waived}=as before", after=2 * hour)
    second, records = releases(program)
    assert records[0] == record
    assert [outcomes(each) for each in records] == [outcomes(record)] * 2
    assert set(first.splitlines()) < set(second.splitlines())


STAYS = {
    name: next((kind, what) for kind, what in LACKS if set(STORIES[kind].lacks[what].wanting) == {name})
    for name in sorted(STARRED)
}


@pytest.mark.parametrize("starred", STAYS)
def test_what_is_starred_is_never_waived(program: Program, starred: str) -> None:
    name, what = STAYS[starred]
    story = STORIES[name]
    taken_in(program, story, story.lacks[what])
    before = kept(program)
    assert f"{starred} is never waived" in released(program, story, f"{starred}=no time", code=3).err
    assert kept(program) == before


def test_a_waiver_wants_a_reason_and_a_name(program: Program) -> None:
    story = STORIES[KindName.MANTEL]
    taken_in(program, story, story.lacks["oil not looked at"])
    before = kept(program)
    for reason in ("", "  "):
        assert "without a reason" in released(program, story, f"oil={reason}", code=4).err
    for by in ("", " "):
        told = program("release", "T1", "--by", by, "--waive", "oil=dry week", now=moment(story.now), code=4)
        assert "give the name or initials" in told.err
    assert program("release", "T1", "--waive", "oil=dry week", now=moment(story.now), code=2).err
    assert kept(program) == before


@pytest.mark.parametrize("name", PROVED)
def test_a_record_that_was_altered_on_its_way_is_refused(program: Program, name: KindName, tmp_path: Path) -> None:
    """Of every kind, by one word of one outcome."""
    story = STORIES[name]
    taken_in(program, story)
    released(program, story)
    releases(program)
    sent = shutil.copytree(tmp_path / "out-0", tmp_path / "sent")
    text = (sent / "releases.csv").read_text(encoding="utf-8")
    altered = text.replace('""outcome"":""met""', '""outcome"":""missed""', 1)
    assert altered != text
    (sent / "releases.csv").write_text(altered, encoding="utf-8")
    other = Program(tmp_path / "other.sqlite")
    told = other("import", sent, now=moment(story.now), code=4)
    assert "releases.csv:2:" in told.err
    assert "does not match its digest" in told.err
    assert other("clock", "list", now=moment(story.now)).out.count("T1") == 0
