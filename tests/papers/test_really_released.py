"""The demo's own ready clocks, let go by the program: what their record says is what was found."""

from __future__ import annotations

import csv
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from standwatch.bootstrap import demo, need_stand, open_stand
from standwatch.model.release import ReleaseRecord
from standwatch.model.text import columns
from standwatch.model.words import REQUIREMENT_NAMES, Outcome
from standwatch.papers.blocks import Chart
from standwatch.papers.pdf import lacking, pdf_of
from standwatch.papers.pen import PAPERS
from standwatch.papers.plain import WIDTH, text_of
from standwatch.papers.release_record import release_record
from standwatch.papers.words import OUTCOMES
from tests.papers.reading import reader, squeezed, words

TAGS = ("2398", "2391")
EDITION_ONE = Path(__file__).parents[1] / "service" / "edition_one"


@pytest.fixture(scope="module")
def records() -> Iterator[dict[str, ReleaseRecord]]:
    with demo() as (path, now):
        stand = need_stand(path)
        for tag in TAGS:
            stand.release(tag, by="K. Moss", waive={}, now=now)
        yield {tag: stand.released(tag, now) for tag in TAGS}
        stand.close()


@pytest.mark.parametrize("paper", list(PAPERS))
@pytest.mark.parametrize("tag", TAGS)
def test_its_record_is_two_pages_that_hold_every_outcome(
    records: dict[str, ReleaseRecord], tag: str, paper: str
) -> None:
    sheet = release_record(records[tag])
    data = pdf_of(sheet, paper)
    assert len(reader(data).pages) == 2
    told = squeezed(words(data))
    for judged in records[tag].outcomes:
        if judged.outcome is Outcome.NOT_APPLICABLE:
            assert squeezed(f"{REQUIREMENT_NAMES[judged.name]} ({judged.because})") in told
        else:
            assert squeezed(judged.because) in told
            assert squeezed(OUTCOMES[judged.outcome]) in told
    assert records[tag].digest in told


@pytest.mark.parametrize("tag", TAGS)
def test_it_has_both_charts_its_forecast_and_no_letter_missing(records: dict[str, ReleaseRecord], tag: str) -> None:
    sheet = release_record(records[tag])
    assert [block.title for block in sheet.blocks if isinstance(block, Chart)] == [
        "Error",
        "Rate, one interval at a time",
    ]
    text = text_of(sheet)
    assert max(columns(line) for line in text.splitlines()) <= WIDTH
    assert "14 days after it is set right" in text
    assert "No forecast" not in text
    assert lacking([sheet]) == ()


def test_every_release_of_the_first_edition_is_still_printed(tmp_path: Path) -> None:
    """A ledger that the first edition of the rules wrote: its releases as they were, with what was not kept said."""
    stand = open_stand(tmp_path / "old.sqlite")
    stand.import_ledger([EDITION_ONE], datetime(2026, 11, 24, tzinfo=UTC))
    with (EDITION_ONE / "releases.csv").open(encoding="utf-8", newline="") as file:
        tags = {row["tag"] for row in csv.DictReader(file) if row["what"] == "released"}
    records = [record for tag in sorted(tags) for record in stand.releases(tag)]
    stand.close()
    assert records
    for record in records:
        sheet = release_record(record)
        data = pdf_of(sheet)
        assert len(reader(data).pages) in {1, 2}
        assert record.digest in squeezed(words(data))
        assert "Kept by edition 1 of the rules" in words(data)
        for judged in record.outcomes:
            if judged.waived:
                assert squeezed(judged.waived) in squeezed(words(data))
