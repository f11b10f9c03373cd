"""Bringing clocks to the stand: a new one, or a whole ledger."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from threading import Event

from standwatch.model.errors import Refused, StandwatchError
from standwatch.service.ports import ImportReport
from standwatch.tui.behind import behind
from standwatch.tui.draw.paint import WARNING, Lines, strong, wrapped
from standwatch.tui.draw.prompts import new_clock_under
from standwatch.tui.entry import parse_new_clock
from standwatch.tui.screens.hands import HandsScreen


class BringingScreen(HandsScreen):
    """A screen on which clocks are added. While a ledger comes in, Esc stops it and nothing is brought in."""

    _stop_import: Event | None = None

    def action_add(self) -> None:
        """A new clock: tag, kind and, if it has them, slot and what was repaired."""
        self._ask(
            lambda: "ADD A CLOCK  tag, kind, slot, r repairs: 2426 longcase A4 r bushes",
            lambda text, width: new_clock_under(text, parse_new_clock(text), width),
            self._add,
        )

    def _add(self, text: str) -> None:
        entry = parse_new_clock(text)
        if entry.problem:
            problem = entry.problem
            self.bar.complain(lambda width: wrapped(problem, width, 3, strong(WARNING)))
            return
        behind(self, partial(self._write_clock, entry.cells), group="record")

    async def _write_clock(self, cells: dict[str, object]) -> None:
        now = self.stand_app.now()
        try:
            written = await self.stand_app.backroom.keep(lambda stand: stand.add_clock(cells, now))
        except StandwatchError as error:
            sentence = str(error)
            self.bar.complain(lambda width: wrapped(sentence, width, 3, strong(WARNING)))
            return
        then = (
            f"Mind: {written.warning}." if written.warning else "Space takes its first reading, t says what was done."
        )
        self.say("ADDED", f"{written.tag} is on the stand. {then}")
        await self.stand_app.look().wait()
        self.stand_app.follow(written.tag)

    def action_import(self) -> None:
        """A ledger from a folder or a file."""

        def under(_text: str, width: int) -> Lines:
            return wrapped("clocks.csv and checkins.csv; all of it comes in, or nothing", width, 2, "$foreground-muted")

        self._ask(lambda: "IMPORT A LEDGER  the folder or file", under, self._import)

    def _import(self, text: str) -> None:
        path = Path(text.strip().strip("'\"")).expanduser()
        if not text.strip():
            self.bar.complain(lambda width: wrapped("nothing typed yet; Esc leaves", width, 1, strong(WARNING)))
            return
        if self._stop_import is None:
            behind(self, partial(self._bring_in, path), group="import")

    async def _bring_in(self, path: Path) -> None:
        app, now = self.stand_app, self.stand_app.now()
        stop = self._stop_import = Event()

        def progress(rows: int) -> None:
            if stop.is_set():
                raise Refused("stopped; nothing was brought in")
            app.call_from_thread(self._progress, rows)

        try:
            report = await app.backroom.apart(lambda stand: stand.import_ledger([path], now, progress=progress))
        except StandwatchError as error:
            sentence = str(error)
            self.bar.complain(lambda width: wrapped(sentence, width, 3, strong(WARNING)))
            return
        finally:
            self._stop_import = None
        self.say("IMPORTED", _imported(report))
        app.look()

    def _progress(self, rows: int) -> None:
        self.bar.complain(lambda width: wrapped(f"{rows} rows read; Esc stops it, and nothing is brought in", width, 1))

    def leave_entry(self) -> None:
        """Esc stops a ledger that is coming in; else it leaves."""
        if self._stop_import is not None:
            self._stop_import.set()
        else:
            super().leave_entry()


def _imported(report: ImportReport) -> str:
    told = [f"{report.added.get(name, 0)} new of {rows} in {name}" for name, rows in report.rows.items()]
    return "; ".join([*told, *report.notes])
