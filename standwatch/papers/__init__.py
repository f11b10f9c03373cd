"""Papers: from a frozen release, or the stand as it is, to sheets of plain blocks; from those to PDF and plain text."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from standwatch.model.release import ReleaseRecord
    from standwatch.papers.blocks import Sheet


def papers_of(record: ReleaseRecord) -> tuple[Sheet, ...]:
    """All papers of a release: its record, the fitter's sheet, the owner's card, the labels.

    `writing.write` puts them into a folder, on `record.paper` unless another is asked for.
    """
    from standwatch.papers.fitters_sheet import fitters_sheet  # noqa: PLC0415  # no face loads them before they are asked for
    from standwatch.papers.owners_card import owners_card  # noqa: PLC0415  # the same
    from standwatch.papers.rail_label import label_of  # noqa: PLC0415  # the same
    from standwatch.papers.release_record import release_record  # noqa: PLC0415  # the same

    return (release_record(record), fitters_sheet(record), owners_card(record), label_of(record))
