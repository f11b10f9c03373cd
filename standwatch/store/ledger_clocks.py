"""The clocks that the rows of an import speak of: known tags, one clock a tag, and what can be true of each."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from standwatch.model.errors import BadValue
from standwatch.model.facts import Body, Clock
from standwatch.store.ledger_row import Row
from standwatch.store.rows import CLOCKS

if TYPE_CHECKING:
    from sqlite_utils import Database


class ClockRoll:
    """The clocks of book and ledger by tag. `call` it once all clocks.csv are in, before other rows are checked."""

    def __init__(self, db: Database, check: Callable[[Body, Clock | None], None]) -> None:
        self._db = db
        self._check = check
        self._versions: dict[str, list[Clock]] | None = None
        self._current: set[str] = set()
        self._new: dict[int, Row] = {}
        self._replaced: dict[str, Row] = {}
        self._orphans: dict[int, tuple[str, Row]] = {}

    def call(self) -> None:
        """Read the clocks from the book. Raises BadValue where one tag has come to have two."""
        if self._versions is not None:
            return
        columns = f"f.seq, f.tag, c.seq IS NOT NULL, {CLOCKS.select}"
        rows = self._db.execute(
            f"SELECT {columns} FROM clocks AS b JOIN facts AS f ON f.seq = b.seq "  # noqa: S608  # names of our own
            "LEFT JOIN current AS c ON c.seq = f.seq ORDER BY c.seq IS NULL, f.seq DESC"
        ).fetchall()
        self._versions = {}
        for seq, tag, stands, *cells in rows:
            if stands and tag in self._current:
                self._refuse_second(tag, seq)
            if stands:
                self._current.add(tag)
            self._versions.setdefault(tag, []).append(CLOCKS.body(tag, cells))

    def _refuse_second(self, tag: str, older: int) -> None:
        """Two current clocks have one tag: blame the ledger's last row of it, by what else has it."""
        rows = [row for row in self._new.values() if row.body and row.body.tag == tag]
        if not rows:  # not this ledger's doing
            return
        sentence = f"tag {tag!r} is already on the stand; use `standwatch clock change`"
        if older in self._new:
            sentence = f"tag {tag!r} stands twice in the ledger, with different cells; keep one row"
        raise rows[-1].bad(BadValue(sentence, column="tag"))

    def check(self, seq: int, row: Row, body: Body) -> None:
        """Raise BadValue, with its place, where the new row can't be true of its clock or names none.

        A row that was possible for the clock as it was described before stays possible, so that a book's own ledger
        always goes back in.
        """
        if isinstance(body, Clock):
            self._new[seq] = row
            self._check_against([None], row, body)
            return
        assert self._versions is not None  # noqa: S101  # the roll was called
        versions = self._versions.get(body.tag)
        if versions is None:
            raise self._unknown(row, body.tag)
        if body.tag not in self._current:
            self._orphans[seq] = (body.tag, row)
        self._check_against(versions, row, body)

    def _check_against(self, versions: list[Clock] | list[None], row: Row, body: Body) -> None:
        first: BadValue | None = None
        for clock in versions:
            try:
                self._check(body, clock)
            except BadValue as error:
                first = first or error
            else:
                return
        if first is not None:
            raise row.bad(first)

    def replaced(self, tag: str, row: Row) -> None:
        """Note that `row` corrects or takes back the clock `tag`."""
        self._replaced[tag] = row

    def finish(self) -> None:
        """Raise BadValue where a current fact is left without its clock."""
        for seq, (tag, row) in self._orphans.items():
            if self._db.execute("SELECT 1 FROM current WHERE seq = ?", (seq,)).fetchone():
                raise self._unknown(row, tag)
        for tag, row in self._replaced.items():
            sorts = [sort for (sort,) in self._db.execute("SELECT sort FROM current WHERE tag = ?", (tag,)).fetchall()]
            if sorts and CLOCKS.name not in sorts:
                sentence = f"clock {tag!r} has other facts and can't be taken from them; take those back first"
                raise row.bad(BadValue(sentence, column="replaces"))

    @staticmethod
    def _unknown(row: Row, tag: str) -> BadValue:
        sentence = f"tag {tag!r} is no clock of the book or the ledger; mend the tag, or add it to clocks.csv"
        return row.bad(BadValue(sentence, column="tag"))
