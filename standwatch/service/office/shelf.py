"""The facts by clock, read once and kept as long as nobody writes to them."""

from __future__ import annotations

import difflib
from bisect import bisect_right
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TypeVar

from standwatch.estimate.history import at_owner, rail_of
from standwatch.model.errors import BadValue
from standwatch.model.facts import CheckIn, Clock, Handover, Waiver
from standwatch.model.records import Record
from standwatch.model.text import clean
from standwatch.model.words import Work
from standwatch.service.office.register import Register
from standwatch.service.ports import Book

Log = tuple[tuple[datetime, float], ...]
"""Times and deg C, in order of time."""
Warm = tuple[datetime, int, str, str, float]
"""A temperature: its time and place, the tag and the id of the check-in that tells it, deg C."""


_FEW = 8
"""So many clocks are read one by one."""


@dataclass(frozen=True, eq=False)
class ClockFacts:
    """The current facts of one clock. The same object means the same facts."""

    clock: Record[Clock]
    check_ins: tuple[Record[CheckIn], ...]
    handovers: tuple[Record[Handover], ...]
    waivers: tuple[Record[Waiver], ...]

    @property
    def span(self) -> tuple[tuple[datetime, datetime], ...]:
        """The times of its first and its last check-in; nothing where there is none."""
        return ((self.check_ins[0].body.at, self.check_ins[-1].body.at),) if self.check_ins else ()

    def begun(self, now: datetime) -> bool:
        """Whether the clock is known at `now`: it came by then, or a fact tells of it before."""
        came = self.clock.body.on_stand_at
        return came is None or came <= now or any(r.body.at <= now for r in self.check_ins)

    def steps(self, now: datetime) -> tuple[Handover, ...]:
        """Its handovers up to `now`, in order."""
        return tuple(record.body for record in self.handovers if record.body.at <= now)


class Shelf:
    """The clocks of a book and their facts, brought up to date by `refresh`; each is read when it is first wanted."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self.register = Register(book)
        self._version: int | None = None
        self._clocks: dict[str, Record[Clock]] = {}
        self._facts: dict[str, ClockFacts] = {}
        self._bumped: tuple[tuple[str, datetime], ...] | None = None
        self._warmth: list[Warm] | None = None
        self._cold: frozenset[str] = frozenset()
        self._log: Log = ()

    def refresh(self) -> None:
        """Forget what others (or we) have written to since the last look."""
        version = self._book.version()
        if version == self._version:
            return
        touched = None if self._version is None else self._book.touched(self._version)
        self._version = version
        self.register.refresh(touched)
        self._bumped = None
        if touched is None:
            self._warmth = None
            self._clocks.clear()
            self._facts.clear()
            return
        self._cold |= touched
        for tag in touched:
            self._clocks.pop(tag, None)
            self._facts.pop(tag, None)

    def clocks(self, tags: Iterable[str] | None = None) -> dict[str, Record[Clock]]:
        """The current clocks of `tags`, in their order; every one, in order of first writing, if None."""
        wanted = list(self.register.tags() if tags is None else tags)
        missing = [tag for tag in wanted if tag not in self._clocks]
        if missing:
            most = len(missing) > len(self.register.tags()) // 2
            self._clocks |= {r.body.tag: r for r in self._book.clocks(of=None if most else missing)}
        return {tag: self._clocks[tag] for tag in wanted}

    def clock(self, tag: str) -> Record[Clock]:
        """The clock called `tag`, upper or lower case where that leaves one; BadValue if there is none."""
        tags = self.register.tags()
        wanted = clean(tag)
        alike = [wanted] if wanted in tags else [known for known in tags if known.casefold() == wanted.casefold()]
        if len(alike) == 1:
            return self.clocks(alike)[alike[0]]
        near = difflib.get_close_matches(wanted, list(tags), n=3, cutoff=0.5)
        near.sort(key=lambda tag: sorted(tag) != sorted(wanted))  # two figures in the wrong order, before others
        mend = f"did you mean {near[0]!r}?" if near else "`standwatch clock list` names them all"
        raise BadValue(f"no clock is called {wanted!r}; {mend}", column="tag")

    def of(self, tag: str) -> ClockFacts:
        """The facts of `tag`, which must be a clock's exact tag."""
        if tag not in self._facts:
            book = self._book
            self._facts[tag] = ClockFacts(
                self.clocks([tag])[tag],
                tuple(book.check_ins(tag)),
                tuple(book.handovers(tag)),
                tuple(book.waivers(tag)),
            )
        return self._facts[tag]

    def all_of(self, tags: Iterable[str]) -> dict[str, ClockFacts]:
        """The facts of `tags`, each an exact tag, in their order; read in one go where many are missing."""
        wanted = list(tags)
        missing = [tag for tag in wanted if tag not in self._facts]
        if len(missing) > _FEW:
            book, clocks = self._book, self.clocks(missing)
            of = None if len(missing) > len(self.register.tags()) // 2 else missing
            rows, steps = _by_tag(book.check_ins(of=of)), _by_tag(book.handovers(of=of))
            waivers = _by_tag(book.waivers(of=of))
            for tag in missing:
                self._facts[tag] = ClockFacts(
                    clocks[tag], tuple(rows.get(tag, ())), tuple(steps.get(tag, ())), tuple(waivers.get(tag, ()))
                )
        return {tag: self.of(tag) for tag in wanted}

    def slots(self, tags: Sequence[str], now: datetime) -> dict[str, tuple[Record[Clock], str]]:
        """Each of `tags` with its slot at `now`; reads no other facts."""
        moves = self._moves(tags)
        found = {}
        for tag, record in self.clocks(tags).items():
            gone = [r.body.note for r in moves.get(tag, ()) if r.body.at <= now and r.body.note]
            found[tag] = (record, gone[-1] if gone else record.body.position or "")
        return found

    def bumps(self, now: datetime) -> tuple[tuple[str, datetime], ...]:
        """(rail, time) of every bump up to `now`, by the slot its clock had then."""
        if self._bumped is None:
            rows = self._book.check_ins(work=Work.BUMPED)
            clocks = self.clocks({r.body.tag for r in rows} & self.register.tags().keys())
            moves = self._moves(clocks)
            self._bumped = tuple((_rail(r, clocks, moves), r.body.at) for r in rows)
        return tuple(bump for bump in self._bumped if bump[1] <= now)

    def _moves(self, tags: Collection[str]) -> dict[str, list[Record[CheckIn]]]:
        return _by_tag(self._book.check_ins(work=Work.MOVED, of=tags)) if tags else {}

    def temperatures(self, now: datetime, *, without: str | None = None) -> Log:
        """(time, deg C) of every check-in on the stand up to `now` that tells a temperature, in order of time.

        As if the check-in `without` had not been recorded. The same object, as long as the log is the same.
        """
        if self._warmth is None or self._cold:
            kept = [told for told in self._warmth or () if told[2] not in self._cold]
            fresh = self._read_warmth(None if self._warmth is None else self._cold)
            if self._warmth is None or fresh or len(kept) < len(self._warmth):
                self._warmth = sorted([*kept, *fresh], key=lambda told: told[:2])
                log = tuple((told[0], told[4]) for told in self._warmth)
                self._log = self._log if self._log == log else log
            self._cold = frozenset()
        if without is not None and any(told[3] == without for told in self._warmth):
            return tuple((told[0], told[4]) for told in self._warmth if told[0] <= now and told[3] != without)
        if not self._log or self._log[-1][0] <= now:
            return self._log
        return self._log[: bisect_right(self._log, now, key=lambda told: told[0])]

    def _read_warmth(self, of: frozenset[str] | None) -> list[Warm]:
        steps = self.register.steps
        return [
            (at, place, tag, fact, c)
            for fact, tag, at, c, place in self._book.temperatures(of)
            if not at_owner(at, steps(tag))
        ]


def _rail(
    bump: Record[CheckIn], clocks: Mapping[str, Record[Clock]], moves: Mapping[str, Sequence[Record[CheckIn]]]
) -> str:
    """The rail on which the clock of `bump` hung then; none for a clock that is known no more."""
    tag = bump.body.tag
    if tag not in clocks:
        return ""
    before = [r for r in moves.get(tag, ()) if (r.body.at, r.place) <= (bump.body.at, bump.place) and r.body.note]
    return rail_of((before[-1].body.note if before else clocks[tag].body.position) or "")


_B = TypeVar("_B", CheckIn, Handover, Waiver)


def _by_tag(records: Iterable[Record[_B]]) -> dict[str, list[Record[_B]]]:
    found: dict[str, list[Record[_B]]] = {}
    for record in records:
        found.setdefault(record.body.tag, []).append(record)
    return found
