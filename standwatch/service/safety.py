"""Is the book whole, do its releases still say what they said, and does the computer know what time it is?"""

from __future__ import annotations

from standwatch.service.ports import Book
from standwatch.service.reference import reference_time
from standwatch.service.release.freezing import untrue_releases
from standwatch.service.views import Selfcheck


def selfcheck(book: Book) -> Selfcheck:
    """Look the book over. Problems are a sentence each."""
    problems = book.selfcheck()
    steps = [record.body for record in book.handovers()]
    problems = [*problems, *untrue_releases(book, steps)]
    return Selfcheck(tuple(problems), sum(step.what == "released" for step in steps), reference_time().words)
