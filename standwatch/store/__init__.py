"""The book: facts kept in SQLite, appended and never edited; the ledger in and out; backup and restore."""

from standwatch.store.book import SqliteBook, open_book
from standwatch.store.restore import restore_book

__all__ = ["SqliteBook", "open_book", "restore_book"]
