"""Papers from a key: of a clock that was let go, labels, the round on paper. The folder is asked for in the bar."""

from __future__ import annotations

import asyncio
import tempfile
from collections.abc import Callable, Sequence
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from standwatch.model.errors import StandwatchError
from standwatch.model.words import Standing
from standwatch.service.stand import Stand
from standwatch.tui.behind import behind
from standwatch.tui.draw.paint import MUTED, Lines, wrapped
from standwatch.tui.screens.hands import HandsScreen
from standwatch.tui.widgets.bar import EntryLine

if TYPE_CHECKING:
    from standwatch.papers.blocks import Sheet

Made = tuple["Sequence[Sheet]", str]
"""Sheets, and the paper that they are printed on."""


class PaperingScreen(HandsScreen):
    """A screen that prints. While papers are being written, the bar says how far it is."""

    _writing = False
    _offered: str | None = None

    @property
    def paper_tag(self) -> str | None:
        """The clock whose papers are meant."""
        return self.chosen.tag if self.chosen is not None else None

    @property
    def let_go(self) -> bool:
        """That clock was let go, so it has a record to print."""
        return self.chosen is not None and self.chosen.standing is Standing.RELEASED

    def action_papers(self) -> None:
        """The papers of its release; before it, its labels are offered."""
        tag = self.paper_tag
        if tag is None:
            return
        if self.let_go:
            title = f"PAPERS  {tag}  record, fitter's sheet, owner's card, labels"
            self._ask_folder(title, partial(_papers, tag=tag))
        elif self._offered == tag and self.bar.mode == "told":
            self.action_label()
        else:
            self.say("NO PAPERS YET", f"{tag} is not let go, so it has no record to print. p again: its rail label.")
            self._offered = tag

    def action_label(self) -> None:
        """Its labels: for the rail, and for each weight."""
        tag = self.paper_tag
        if tag is not None:
            self._ask_folder(f"RAIL LABEL  {tag}  and one for each weight", partial(_labels, tags=(tag,)))

    def action_labels(self) -> None:
        """Labels of the whole stand."""
        self._ask_folder("RAIL LABELS  of every clock on the stand", partial(_labels, tags=()))

    def action_round_sheet(self) -> None:
        """The round on paper."""
        self._ask_folder("ROUND SHEET  the stand on paper, to write in", _round_sheet)

    def _ask_folder(self, title: str, make: Callable[[Stand, datetime], Made]) -> None:
        """Ask where the papers go; the folder used last is typed already."""
        proposed = self.stand_app.sitting.papers

        def under(text: str, width: int) -> Lines:
            told = "Enter writes them into this folder, as PDF and as text; or type another"
            if text.strip() and _passing(_folder(text)):
                told += ". This one is temporary: it goes when you leave"
            return wrapped(told, width, 2, MUTED)

        def save(text: str) -> None:
            if not text.strip():
                self.bar.complain(lambda width: wrapped("type the folder they go into; Esc leaves", width, 1))
            elif not self._writing:
                behind(self, partial(self._write, _folder(text), make), group="papers")

        self._ask(lambda: title, under, save)
        if proposed is not None:
            entry = self.query_one(EntryLine)
            entry.value = _short(proposed)
            entry.cursor_position = len(entry.value)

    async def _write(self, folder: Path, make: Callable[[Stand, datetime], Made]) -> None:
        now = self.stand_app.now()
        self._writing = True
        try:
            sheets, paper = await self.stand_app.backroom.ask(lambda stand: make(stand, now))
            names, lacking = await self._written(folder, sheets, paper)
        except StandwatchError as error:
            sentence = str(error)
            self.bar.complain(lambda width: wrapped(sentence, width, 3))
            return
        finally:
            self._writing = False
        self.stand_app.sitting.papers = folder
        each = "; each" if len(sheets) > 1 else ","
        self.say("PRINTED", f"in {_short(folder)}: {names}{each} as PDF and as text.", mind=lacking)

    async def _written(self, folder: Path, sheets: Sequence[Sheet], paper: str) -> tuple[str, str]:
        """Each sheet written by a worker, how far it is in the bar; their names, and what could not be printed."""
        from standwatch.papers.writing import file_name, not_printed, write  # noqa: PLC0415  # only who prints loads it

        for n, sheet in enumerate(sheets, 1):
            how_far = f"{n} of {len(sheets)}: {sheet.title.lower()}"
            if self.bar.mode == "entry":
                self.bar.complain(lambda width, told=how_far: wrapped(told, width, 1, MUTED))  # type: ignore[misc]  # mypy does not see the default
            await asyncio.to_thread(write, folder, [sheet], paper)
        lacking = await asyncio.to_thread(not_printed, sheets)
        return ", ".join(file_name(sheet) for sheet in sheets), lacking


def _papers(stand: Stand, now: datetime, tag: str) -> Made:
    from standwatch.papers import papers_of  # noqa: PLC0415  # the same

    record = stand.released(tag, now)
    return papers_of(record), record.paper


def _labels(stand: Stand, now: datetime, tags: Sequence[str]) -> Made:
    from standwatch.papers.rail_label import labels_for  # noqa: PLC0415  # the same

    return [labels_for(stand.chosen(tags, now), now, zone=stand.shop.zone.key)], stand.shop.paper


def _round_sheet(stand: Stand, now: datetime) -> Made:
    from standwatch.papers.round_sheet import round_sheet  # noqa: PLC0415  # the same

    view = stand.view(now)
    shop = view.shop
    return [round_sheet(view.assessments, view.now, zone=shop.zone.key, next_round=view.next_round)], shop.paper


def _folder(text: str) -> Path:
    return Path(text.strip().strip("'\"")).expanduser().absolute()


def _short(folder: Path) -> str:
    """The folder, with ~ for the person's own."""
    home = Path.home()
    return f"~/{folder.relative_to(home)}" if folder.is_relative_to(home) and folder != home else str(folder)


def _passing(folder: Path) -> bool:
    """It lies where files don't stay."""
    return folder.is_relative_to(tempfile.gettempdir())
