"""Papers: of a release, labels for the rail, the round on paper."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click

from standwatch.cli import as_json as document
from standwatch.cli.arguments import JSON, TAG, TAGS
from standwatch.cli.commands import command
from standwatch.cli.session import Session, pass_session
from standwatch.service.shop import PAPERS

if TYPE_CHECKING:
    from standwatch.papers.blocks import Sheet

OUT = click.option("--out", "folder", metavar="FOLDER", required=True, help="Where they go; made where it is missing.")
PAPER = click.option(
    "--paper", type=click.Choice(PAPERS, case_sensitive=False), help="A4 or Letter, instead of the shop's own."
)


@command("papers", example="standwatch papers 2398 --out papers/")
@TAG
@OUT
@PAPER
@JSON
@pass_session
def papers(session: Session, tag: str, folder: str, paper: str | None, *, as_json: bool) -> None:
    """The papers of a clock's last release: its record, the fitter's sheet, the owner's card, labels.

    Each is a PDF and the same as plain text. They say what the release kept, whatever was recorded since.
    """
    from standwatch.papers import papers_of  # noqa: PLC0415  # what prints is loaded by who prints

    record = session.needed().released(tag, session.now)
    _put(session, folder, papers_of(record), paper or record.paper, as_json=as_json)


@command("label", example="standwatch label 2398 2417 --out papers/")
@TAGS
@OUT
@PAPER
@JSON
@pass_session
def label(session: Session, tags: tuple[str, ...], folder: str, paper: str | None, *, as_json: bool) -> None:
    """Labels to cut out, of TAGS or of the whole stand: the tag with its QR, kind, slot, weights, hazards; no owner."""
    from standwatch.papers.rail_label import labels_for  # noqa: PLC0415  # the same

    stand = session.needed()
    sheet = labels_for(stand.chosen(tags, session.now), session.now, zone=stand.shop.zone.key)
    _put(session, folder, [sheet], paper or stand.shop.paper, as_json=as_json)


@command("round-sheet", example="standwatch round-sheet --out papers/")
@OUT
@PAPER
@JSON
@pass_session
def round_sheet(session: Session, folder: str, paper: str | None, *, as_json: bool) -> None:
    """The round on paper, for a dead battery or a power cut: every clock on the stand, by slot, to be written in."""
    from standwatch.papers.round_sheet import round_sheet as sheet_of  # noqa: PLC0415  # the same

    stand = session.needed()
    view = stand.view(session.now)
    sheet = sheet_of(view.assessments, view.now, zone=view.shop.zone.key, next_round=view.next_round)
    _put(session, folder, [sheet], paper or stand.shop.paper, as_json=as_json)


def _put(session: Session, folder: str, sheets: Sequence[Sheet], paper: str, *, as_json: bool) -> None:
    """Write them and say where they are; what no font has a letter for is said beside."""
    from standwatch.papers.writing import not_printed, write  # noqa: PLC0415  # the same

    paths = write(Path(folder), sheets, paper)
    said = not_printed(sheets)
    if as_json:
        document.emit(
            {
                "now": document.iso(session.now),
                "paper": paper,
                "files": [str(path) for path in paths],
                "not_printed": said or None,
            }
        )
    else:
        for path in paths:
            click.echo(path)
    if said:
        session.say(said)
