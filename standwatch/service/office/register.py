"""All clocks of the book at once, without their facts: who is done with, and who was read when.

A clock that went home and needs no further call costs the stand its line here, and nothing else of it is read until
someone asks for it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Sequence
from datetime import datetime

from standwatch.model.records import Outline, Step
from standwatch.model.words import KindName
from standwatch.service.phases import done_with
from standwatch.service.ports import Book


class Register:
    """Kept as the book tells it, and brought up to date by the tags that were touched."""

    def __init__(self, book: Book) -> None:
        self._book = book
        self._tags: dict[str, Outline] | None = None
        self._steps: dict[str, tuple[Step, ...]] | None = None
        self._done: tuple[tuple[int, ...], datetime, frozenset[str]] | None = None
        self._read: tuple[datetime, dict[str, datetime]] | None = None
        self._since: tuple[datetime, frozenset[str]] | None = None
        self._ids: tuple[datetime, dict[str, tuple[str, ...]]] | None = None
        self._latest: tuple[datetime, int, list[str]] | None = None

    def refresh(self, touched: frozenset[str] | None) -> None:
        """Ask the book again about the clocks `touched`; about all where that is None."""
        self._latest = None
        if touched is None or self._tags is None or self._steps is None:
            self._tags = self._steps = self._done = self._read = self._since = self._ids = None
            return
        here, steps = self._book.outlines(touched), self._book.steps(touched)
        known = {tag: self._tags[tag] for tag in touched if tag in self._tags}
        places = {tag: one.place for tag, one in here.items()}
        if places == {tag: one.place for tag, one in known.items()}:
            self._tags |= here
        else:
            self._tags = None  # one came, went or moved
        if here != known or steps or any(tag in self._steps for tag in touched):
            self._done = None
        self._steps = {tag: told for tag, told in self._steps.items() if tag not in touched} | steps
        if self._read is not None:
            until, read = self._read
            kept = {tag: at for tag, at in read.items() if tag not in touched}
            self._read = until, kept | self._book.last_read(until, touched)
        if self._ids is not None:
            until, ids = self._ids
            self._ids = until, {tag: told for tag, told in ids.items() if tag not in touched}
        if self._since is not None:
            since, tags = self._since
            self._since = since, tags | touched

    def tags(self) -> dict[str, Outline]:
        """Every current clock in outline, in order of first writing."""
        if self._tags is None:
            self._tags = self._book.outlines()
        return self._tags

    def steps(self, tag: str) -> tuple[Step, ...]:
        """The steps of one clock's handing over, in order of time."""
        return self._all_steps().get(tag, ())

    def _all_steps(self) -> dict[str, tuple[Step, ...]]:
        if self._steps is None:
            self._steps = self._book.steps()
        return self._steps

    def here(self, now: datetime, calls: Sequence[int]) -> list[str]:
        """The clocks that are not done with at `now`, in order of first writing."""
        done = self.done(now, calls)
        return [tag for tag in self.tags() if tag not in done]

    def done(self, now: datetime, calls: Sequence[int]) -> frozenset[str]:
        """The clocks that are at their owners' at `now` with every call made."""
        if self._done is not None and self._done[0] == tuple(calls) and now >= self._done[1]:
            return self._done[2]
        tags, steps = self.tags(), self._all_steps()
        last = max((told[-1].at for told in steps.values()), default=now)
        found = frozenset(
            tag
            for tag, told in steps.items()
            if tag in tags and done_with(tags[tag], [step for step in told if step.at <= now], calls)
        )
        if last <= now:
            self._done = tuple(calls), last, found
        return found

    def read_since(self, since: datetime, until: datetime | None = None) -> frozenset[str]:
        """The clocks read since then (and by `until`), and maybe some of which something was written only lately."""
        if until is not None:
            return self._book.read_since(since, until) & self.tags().keys()
        if self._since is None or self._since[0] != since:
            self._since = since, self._book.read_since(since)
        return self._since[1] & self.tags().keys()

    def latest(self, until: datetime, most: int) -> list[str]:
        """Of each kind the `most` clocks that were read last by `until`, by tag."""
        if self._latest is not None and self._latest[:2] == (until, most):
            return self._latest[2]
        if self._read is None or self._read[0] != until:
            self._read = until, self._book.last_read(until)
        by_kind: dict[KindName, list[tuple[datetime, str]]] = defaultdict(list)
        for tag, at in self._read[1].items():
            if tag in self.tags():
                by_kind[self.tags()[tag].kind].append((at, tag))
        found = sorted(tag for read in by_kind.values() for _, tag in sorted(read)[-most:])
        self._latest = until, most, found
        return found

    def ids_until(self, until: datetime, tags: Sequence[str]) -> dict[str, tuple[str, ...]]:
        """The ids of what was told up to `until` of each of `tags`, in their order."""
        if self._ids is None or self._ids[0] != until:
            self._ids = until, {}
        ids = self._ids[1]
        missing = [tag for tag in tags if tag not in ids]
        if missing:
            ids |= self._book.ids_until(until, missing)
        return {tag: ids[tag] for tag in tags}

    def gone(self, now: datetime, kinds: Collection[KindName], most: int) -> list[str]:
        """Of these kinds the `most` clocks that went home last by `now`, by tag."""
        tags, found = self.tags(), []
        for tag, told in self._all_steps().items():
            went = [step.at for step in told if step.what == "delivered" and step.at <= now]
            if went and tag in tags and tags[tag].kind in kinds:
                found.append((went[-1], tag))
        return sorted(tag for _, tag in sorted(found)[-most:])
