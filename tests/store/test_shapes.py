"""What the rooms beside the store rely on: its shape, its columns, and what it costs to load."""

from __future__ import annotations

import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from standwatch.service import ports
from standwatch.store import SqliteBook, open_book
from standwatch.store.rows import SORTS
from standwatch.store.schema import LATEST
from tests.store.shelf import NOW, clock, reading

if TYPE_CHECKING:

    def is_a_book(book: SqliteBook) -> ports.Book:
        """The type checker holds the store to what the service asks for."""
        return book


def test_a_book_has_all_that_the_service_asks_for(book: SqliteBook) -> None:
    asked = {name for name in vars(ports.Book) if not name.startswith("_")}
    assert asked
    assert {name for name in asked if not hasattr(book, name)} == set()


@pytest.mark.parametrize("name", SORTS)
def test_a_table_has_the_columns_of_its_model(book: SqliteBook, name: str) -> None:
    """A column added to the model needs a migration: this says so."""
    sort = SORTS[name]
    sql = {float: "REAL", int: "INTEGER", bool: "INTEGER"}
    table = {column.name: column.type for column in book._db[sort.table].columns}
    assert table == {"seq": "INTEGER", **{c: sql.get(sort.kinds[c], "TEXT") for c in sort.columns}}


def test_every_table_is_strict_and_written_in_full(book: SqliteBook) -> None:
    tables = [book._db.table(name) for name in book._db.table_names()]
    assert tables
    assert all(table.strict for table in tables)
    pragmas = {name: book._db.execute(f"PRAGMA {name}").fetchone()[0] for name in ("journal_mode", "foreign_keys")}
    assert pragmas == {"journal_mode": "wal", "foreign_keys": 1}
    assert book._db.execute("PRAGMA synchronous").fetchone()[0] == 2  # FULL


def test_one_clock_is_found_without_reading_all(book: SqliteBook) -> None:
    """The plans of the commonest questions search by an index: none scans the table of facts."""
    book.append([clock()], at=NOW)
    questions = {
        "one clock's rows": "SELECT * FROM current AS f CROSS JOIN checkins AS b WHERE b.seq = f.seq AND f.tag = 'L1'",
        "one clock's last fact": "SELECT seq FROM current WHERE tag = 'L1' ORDER BY seq DESC LIMIT 1",
        "a row by value": "SELECT id FROM facts WHERE digest IN (x'00', x'01')",
        "what is new": "SELECT tag FROM facts WHERE seq > 7",
    }
    for question, sql in questions.items():
        plan = [row[3] for row in book._db.execute(f"EXPLAIN QUERY PLAN {sql}").fetchall()]
        assert plan, question
        assert not [step for step in plan if step.startswith("SCAN")], (question, plan)


def test_the_temperature_log_is_found_without_reading_all_check_ins(book: SqliteBook) -> None:
    asked: list[str] = []
    book._db.conn.set_trace_callback(asked.append)
    book.temperatures()
    book._db.conn.set_trace_callback(None)
    [sql] = [each for each in asked if "temperature_c" in each]
    plan = [row[3] for row in book._db.execute(f"EXPLAIN QUERY PLAN {sql}").fetchall()]
    scans = [step for step in plan if step.startswith("SCAN")]
    assert scans == ["SCAN b USING INDEX checkins_by_temperature"]  # an index of the few rows that tell one


def test_a_book_of_the_first_version_is_brought_up_with_its_facts(tmp_path: Path) -> None:
    path = tmp_path / "b.db"
    with closing(open_book(path)) as book:
        book.append([clock(), _draft(2)], at=NOW)
        shape = book._db.execute("SELECT sql FROM sqlite_master ORDER BY name").fetchall()
        facts = (book.clocks(), book.check_ins())
        book._db.execute("DROP INDEX checkins_by_temperature")
        for column in ("swing_limit", "beat_limit", "home_site", "home_temperature_c"):
            book._db.execute(f"ALTER TABLE clocks DROP COLUMN {column}")
        for column in ("beat_error_pct", "beat_error_ms", "going_mm", "strike_mm", "chime_mm"):
            book._db.execute(f"ALTER TABLE handovers DROP COLUMN {column}")
        book._db.execute("PRAGMA user_version = 1")
    with closing(open_book(path)) as book:
        assert (book.clocks(), book.check_ins()) == facts
        assert book._db.execute("SELECT sql FROM sqlite_master ORDER BY name").fetchall() == shape
        assert book._db.execute("PRAGMA user_version").fetchone()[0] == LATEST
        assert book.selfcheck() == []


def test_opening_a_book_loads_no_pandas_and_hides_none(tmp_path: Path) -> None:
    """sqlite-utils would import pandas where it is installed, at five times its own cost."""
    program = (
        "import sys; from pathlib import Path; from standwatch.store import open_book\n"
        f"open_book(Path({str(tmp_path / 'b.db')!r})).close()\n"
        "assert 'sqlite_utils' in sys.modules and 'pandas' not in sys.modules\n"
        "import pandas; assert pandas.DataFrame"
    )
    told = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False, timeout=60)
    assert told.returncode == 0, told.stderr


def test_a_fact_moved_in_its_chain_is_found(tmp_path: Path) -> None:
    with closing(open_book(tmp_path / "b.db")) as book:
        [first, _, second] = book.append([clock(), *map(_draft, (2, 3))], at=NOW)
        assert first
        assert book.selfcheck() == []
        trigger = book._db.execute("SELECT sql FROM sqlite_master WHERE name = 'facts_no_update'").fetchone()[0]
        book._db.execute("DROP TRIGGER facts_no_update")
        book._db.execute("UPDATE facts SET place = 1 WHERE id = ?", (second,))
        book._db.execute(trigger)
        assert book.selfcheck() == [f"The fact {second} no longer stands where it was written."]


def _draft(day: int) -> ports.Draft:
    return ports.Draft(reading(day))
