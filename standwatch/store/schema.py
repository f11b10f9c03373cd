"""The book's tables, by version. A migration that has been released is never edited: add one after it.

Two tables tell the order of everything: `facts` has one row for each thing ever written, and its body lies in the
table of its sort under the same `seq`. `seq` is one numbering for facts, settings and restores, in order of writing.

- `replaces` names the fact that this one corrects or, without a body (and so without digest), takes back.
- `place` is the seq of the first fact in that chain and `generation` the steps from it.
- `live` are facts with a body that are not taken back; `current` is the last live one of each chain.

Triggers refuse every UPDATE and DELETE.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from standwatch.model.errors import BookUnusable

if TYPE_CHECKING:
    from sqlite_utils import Database

APPLICATION_ID = int.from_bytes(b"stwb", "big")
"""What the file's header says of whose it is."""

_TABLES = ("facts", "clocks", "checkins", "handovers", "waivers", "settings", "restores")

_FACTS = """
CREATE TABLE facts (
    seq INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    sort TEXT NOT NULL CHECK (sort IN ('clock', 'checkin', 'handover', 'waiver')),
    tag TEXT NOT NULL,
    replaces TEXT REFERENCES facts (id),
    place INTEGER NOT NULL,
    generation INTEGER NOT NULL,
    digest BLOB,
    recorded_at TEXT NOT NULL,
    CHECK ((replaces IS NULL) = (generation = 0)),
    CHECK (digest IS NOT NULL OR replaces IS NOT NULL)
) STRICT
"""

_VIEWS = {
    "live": """
        SELECT * FROM facts AS f
        WHERE f.digest IS NOT NULL
          AND NOT EXISTS (SELECT 1 FROM facts AS t WHERE t.replaces = f.id AND t.digest IS NULL)
    """,
    "current": """
        SELECT * FROM live AS f
        WHERE NOT EXISTS (
            SELECT 1 FROM live AS o
            WHERE o.place = f.place AND o.generation > 0 AND (o.generation, o.seq) > (f.generation, f.seq)
        )
    """,
}

_INDICES = (
    "CREATE INDEX facts_by_tag ON facts (tag)",
    "CREATE INDEX facts_by_digest ON facts (digest)",
    "CREATE INDEX facts_by_replaced ON facts (replaces) WHERE replaces IS NOT NULL",
    "CREATE INDEX facts_by_place ON facts (place) WHERE generation > 0",
    "CREATE INDEX checkins_by_work ON checkins (work) WHERE work IS NOT NULL",
)

_CLOCKS = (
    "description:str kind:str position:str beats_per_hour:float seconds_hand:int drive:str trains:str duration_h:float "
    "going_usable_mm:float strike_usable_mm:float chime_usable_mm:float case_fall_mm:float going_kg:float "
    "strike_kg:float chime_kg:float going_turns:float strike_turns:float chime_turns:float going_scale_mm:float "
    "strike_scale_mm:float chime_scale_mm:float scale:str bob_below_top_mm:float unlock_deg:float "
    "swing_scale_mm:float seconds_turn_s:float escapement:str balance:str rod:str maintaining:int "
    "self_correcting:int night_silence:str tunes:str moon:int movement_only:int nut_pitch_mm:float weight_order:str "
    "half_hour:int mean_rate_limit:float day_range_limit:float least_days:float repaired:str hazards:str owner:str "
    "promised_on:str earlier_tag:str on_stand_at:str"
)
_CHECKINS = (
    "at:str error_s:float error_u_s:float dial:str read_by:str amplitude_deg:float beat_error_pct:float "
    "beat_error_ms:float overswing_left_deg:float overswing_right_deg:float going_mm:float strike_mm:float "
    "chime_mm:float chime:str quarter:int hour:int blows:int strike_s:float staged:int moon_age_d:float "
    "temperature_c:float work:str amount:float train:str explained:int note:str"
)
_HANDOVERS = (
    "at:str what:str by:str error_s:float amplitude_deg:float stopped:int chime:str fixed_to_wall:int wound_by:str "
    "code:str reason:str record:str"
)
_WAIVERS = "at:str requirement:str reason:str by:str"


def _first(db: Database) -> None:
    """Facts with their bodies, settings, restores."""
    db.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    db.execute(_FACTS)
    for name, words, given in (
        ("clocks", _CLOCKS, {"kind"}),
        ("checkins", _CHECKINS, {"at"}),
        ("handovers", _HANDOVERS, {"at", "what"}),
        ("waivers", _WAIVERS, {"at", "requirement", "reason", "by"}),
    ):
        _body(db, name, words, given)
    for name, columns in (("settings", {"name": str, "value": str}), ("restores", {"lost": int})):
        db.table(name).create(
            {"seq": int, **columns, "recorded_at": str}, pk="seq", not_null={*columns, "recorded_at"}, strict=True
        )
    for sql in _INDICES:
        db.execute(sql)
    for name, select in _VIEWS.items():
        db.create_view(name, select)
    for table in _TABLES:
        for deed in ("UPDATE", "DELETE"):
            db.execute(
                f"CREATE TRIGGER {table}_no_{deed.lower()} BEFORE {deed} ON {table} "
                "BEGIN SELECT RAISE(ABORT, 'the book is appended to, never edited'); END"
            )


def _body(db: Database, name: str, words: str, given: set[str]) -> None:
    types: dict[str, type] = {"str": str, "float": float, "int": int}
    columns = {column: types[kind] for column, kind in (word.split(":") for word in words.split())}
    db.table(name).create(
        {"seq": int, **columns}, pk="seq", not_null=given, foreign_keys=[("seq", "facts", "seq")], strict=True
    )


def _second(db: Database) -> None:
    """The stand's temperature log is found without reading all check-ins."""
    db.execute("CREATE INDEX checkins_by_temperature ON checkins (at) WHERE temperature_c IS NOT NULL")


def _third(db: Database) -> None:
    """The shop's own limits for swing and beat, the owner's place, and how a clock was left at its owner's."""
    for table, columns in (
        ("clocks", {"swing_limit": float, "beat_limit": float, "home_site": str, "home_temperature_c": float}),
        ("handovers", dict.fromkeys(("beat_error_pct", "beat_error_ms", "going_mm", "strike_mm", "chime_mm"), float)),
    ):
        for name, kind in columns.items():
            db.table(table).add_column(name, kind)


MIGRATIONS: tuple[Callable[[Database], None], ...] = (_first, _second, _third)
"""Migration n (from 1) brings a book of version n - 1 to version n."""

LATEST = len(MIGRATIONS)
"""The version of book that this program writes."""


def newer(path: Path, version: int) -> BookUnusable:
    """That a newer version of the program wrote the book."""
    return BookUnusable(
        f"The book {path} was written by a newer version of standwatch (book version {version}, this one knows up to "
        f"{LATEST}), and was left alone; upgrade standwatch."
    )


def stranger(path: Path) -> BookUnusable:
    """That the file is another program's."""
    return BookUnusable(f"{path} is a database of another program, and was left alone; name a book with --book.")


def migrate(db: Database, path: Path) -> None:
    """Bring the book up to LATEST, each migration in its own transaction; safe beside others who do the same.

    Raises BookUnusable for a file that is no book after all, or was written by a newer version.
    """
    while (version := _version(db)) != LATEST:
        if version > LATEST:
            raise newer(path, version)
        try:
            db.execute("BEGIN IMMEDIATE")
            if _version(db) == version:  # else another process was faster
                if version == 0:
                    _refuse_stranger(db, path)
                MIGRATIONS[version](db)
                db.execute(f"PRAGMA user_version = {version + 1}")
            db.execute("COMMIT")
        except BaseException:
            if db.conn.in_transaction:
                db.conn.rollback()
            raise


def _refuse_stranger(db: Database, path: Path) -> None:
    if db.table_names():
        raise stranger(path)


def _version(db: Database) -> int:
    return int(db.execute("PRAGMA user_version").fetchone()[0])
