"""The facts by clock, read once and kept as long as nobody writes to them."""

from __future__ import annotations

import difflib
from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

from standwatch.estimate.history import at_owner, rail_of
from standwatch.model.errors import BadValue
from standwatch.model.facts import CheckIn, Clock, Handover, Waiver
from standwatch.model.records import Record
from standwatch.model.text import clean
from standwatch.model.words import Work
from standwatch.service.ports import Book

Log = tuple[tuple[datetime, float], ...]
"""Times and deg C, in order of time."""
Warmth = tuple[tuple[str, datetime, float], ...]
"""The same with the check-ins' ids."""


_FEW = 8
"""So many clocks are read one by one."""


@dataclass(frozen=True, eq=False)
class ClockFacts:
    """The current facts of one clock. The same object means the same facts."""

    clock: Record[Clock]
    check_ins: tuple[Record[CheckIn], ...]
    handovers: tuple[Record[Handover], ...]
    waivers: tuple[Record[Waiver], ...]

    def begun(self, now: datetime) -> bool:
        """Whether the clock is known at `now`: it came by then, or a fact tells of it before."""
        came = self.clock.body.on_stand_at
        return came is None or came <= now or any(r.body.at <= now for r in self.check_ins)

    def steps(self, now: datetime) -> tuple[Handover, ...]:
        """Its handovers up to `now`, in order."""
        return tuple(record.body for record in self.handovers if record.body.at <= now)


class Shelf:
    """The clocks of a book and their facts, brought up to date by `refresh`."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._version: int | None = None
        self._clocks: dict[str, Record[Clock]] | None = None
        self._facts: dict[str, ClockFacts] = {}
        self._bumped: tuple[Record[CheckIn], ...] | None = None
        self._warmth: Warmth | None = None
        self._log: Log = ()

    def refresh(self) -> None:
        """Forget what others (or we) have written to since the last look."""
        version = self._book.version()
        if version == self._version:
            return
        touched = None if self._version is None else self._book.touched(self._version)
        self._version = version
        self._clocks = self._clocks_after(touched) if touched is not None and len(touched) <= _FEW else None
        self._bumped = None
        self._warmth = None
        if touched is None:
            self._facts.clear()
        for tag in touched or ():
            self._facts.pop(tag, None)

    def _clocks_after(self, touched: Iterable[str]) -> dict[str, Record[Clock]] | None:
        """What is kept of the clocks, once those `touched` are read again; None where one came, went or moved."""
        kept = self._clocks
        for tag in touched if kept is not None else ():
            now = self._book.clocks(tag)
            if kept is None or tag not in kept or len(now) != 1 or now[0].place != kept[tag].place:
                return None
            kept = kept | {tag: now[0]}
        return kept

    def clocks(self) -> dict[str, Record[Clock]]:
        """Every current clock by tag, in order of first writing."""
        if self._clocks is None:
            self._clocks = {record.body.tag: record for record in self._book.clocks()}
        return self._clocks

    def clock(self, tag: str) -> Record[Clock]:
        """The clock called `tag`, upper or lower case where that leaves one; BadValue if there is none."""
        clocks = self.clocks()
        wanted = clean(tag)
        if wanted in clocks:
            return clocks[wanted]
        alike = [known for known in clocks if known.casefold() == wanted.casefold()]
        if len(alike) == 1:
            return clocks[alike[0]]
        near = difflib.get_close_matches(wanted, list(clocks), n=3, cutoff=0.5)
        near.sort(key=lambda tag: sorted(tag) != sorted(wanted))  # two figures in the wrong order, before others
        mend = f"did you mean {near[0]!r}?" if near else "`standwatch clock list` names them all"
        raise BadValue(f"no clock is called {wanted!r}; {mend}", column="tag")

    def of(self, tag: str) -> ClockFacts:
        """The facts of `tag`, which must be a clock's exact tag."""
        if tag not in self._facts:
            book = self._book
            self._facts[tag] = ClockFacts(
                self.clocks()[tag],
                tuple(book.check_ins(tag)),
                tuple(book.handovers(tag)),
                tuple(book.waivers(tag)),
            )
        return self._facts[tag]

    def all(self) -> dict[str, ClockFacts]:
        """The facts of every clock, by tag; read in one go where most are missing."""
        clocks = self.clocks()
        missing = [tag for tag in clocks if tag not in self._facts]
        if len(missing) > max(_FEW, len(clocks) // 8):
            book = self._book
            rows, steps = _by_tag(book.check_ins()), _by_tag(book.handovers())
            waivers = _by_tag(book.waivers())
            for tag in missing:
                self._facts[tag] = ClockFacts(
                    clocks[tag], tuple(rows.get(tag, ())), tuple(steps.get(tag, ())), tuple(waivers.get(tag, ()))
                )
        return {tag: self.of(tag) for tag in clocks}

    def outlines(self, now: datetime) -> dict[str, tuple[Record[Clock], tuple[Handover, ...], str]]:
        """Each clock with its handovers up to `now` and its slot then; reads no other facts."""
        steps = _by_tag(self._book.handovers())
        moves = _by_tag(self._book.check_ins(work=Work.MOVED))
        found = {}
        for tag, record in self.clocks().items():
            gone = [r.body.note for r in moves.get(tag, ()) if r.body.at <= now and r.body.note]
            slot = gone[-1] if gone else record.body.position or ""
            found[tag] = (record, tuple(r.body for r in steps.get(tag, ()) if r.body.at <= now), slot)
        return found

    def bumps(self, now: datetime) -> tuple[tuple[str, datetime], ...]:
        """(rail, time) of every bump up to `now`, by the slot its clock had then."""
        if self._bumped is None:
            self._bumped = tuple(self._book.check_ins(work=Work.BUMPED))
        return tuple((self._rail(r.body.tag, r), r.body.at) for r in self._bumped if r.body.at <= now)

    def temperatures(self, now: datetime, *, without: str | None = None) -> Log:
        """(time, deg C) of every check-in on the stand up to `now` that tells a temperature, in order of time.

        As if the check-in `without` had not been recorded. The same object, as long as the log is the same.
        """
        if self._warmth is None:
            self._warmth = self._read_warmth()
            log = tuple((at, c) for _, at, c in self._warmth)
            self._log = self._log if self._log == log else log
        if without is not None and any(fact == without for fact, _, _ in self._warmth):
            return tuple((at, c) for fact, at, c in self._warmth if at <= now and fact != without)
        if not self._log or self._log[-1][0] <= now:
            return self._log
        return self._log[: bisect_right(self._log, now, key=lambda told: told[0])]

    def _read_warmth(self) -> Warmth:
        told = self._book.temperatures()
        steps = _by_tag(self._book.handovers()) if told else {}
        return tuple(
            (fact, at, c) for fact, tag, at, c in told if not at_owner(at, [r.body for r in steps.get(tag, ())])
        )

    def _rail(self, tag: str, bump: Record[CheckIn]) -> str:
        if tag not in self.clocks():
            return ""
        facts = self.of(tag)
        position = facts.clock.body.position or ""
        for record in facts.check_ins:
            if (record.body.at, record.place) > (bump.body.at, bump.place):
                break
            if record.body.work is Work.MOVED and record.body.note:
                position = record.body.note
        return rail_of(position)


_B = TypeVar("_B", CheckIn, Handover, Waiver)


def _by_tag(records: Iterable[Record[_B]]) -> dict[str, list[Record[_B]]]:
    found: dict[str, list[Record[_B]]] = {}
    for record in records:
        found.setdefault(record.body.tag, []).append(record)
    return found
