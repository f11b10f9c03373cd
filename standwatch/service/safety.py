"""Is the book whole, do its releases still say what they said, and does the computer know what time it is?"""

from __future__ import annotations

import ctypes
import shutil
import subprocess
import sys

from standwatch.service.freezing import untrue_releases
from standwatch.service.ports import Book
from standwatch.service.views import Selfcheck

_TIME_ERROR = 5
_STA_UNSYNC = 0x40
_UNKNOWN = "unknown: nothing on this computer tells whether its clock is synchronised"


def selfcheck(book: Book) -> Selfcheck:
    """Look the book over. Problems are a sentence each."""
    problems = book.selfcheck()
    steps = [record.body for record in book.handovers()]
    problems = [*problems, *untrue_releases(book, steps)]
    return Selfcheck(tuple(problems), sum(step.what == "released" for step in steps), computer_clock())


def computer_clock() -> str:
    """Whether the computer's clock is synchronised: "synchronised ...", "not synchronised ..." or "unknown: ..."."""
    if sys.platform == "linux":
        return _by_kernel() or _UNKNOWN
    if sys.platform == "win32":
        return _by_w32tm() or _UNKNOWN
    return _UNKNOWN


class _Timex(ctypes.Structure):
    """`struct timex` of adjtimex(2), as on every 64-bit Linux; the tail is room for what we don't read."""

    _fields_ = (
        ("modes", ctypes.c_uint),
        ("offset", ctypes.c_long),
        ("freq", ctypes.c_long),
        ("maxerror", ctypes.c_long),
        ("esterror", ctypes.c_long),
        ("status", ctypes.c_int),
        ("rest", ctypes.c_long * 40),
    )


def _by_kernel() -> str:
    """What adjtimex(2) tells without privilege; empty where it doesn't."""
    timex = _Timex()
    try:
        state = ctypes.CDLL(None, use_errno=True).adjtimex(ctypes.byref(timex))
    except (OSError, AttributeError):
        return ""
    if state < 0:
        return ""
    if state == _TIME_ERROR or timex.status & _STA_UNSYNC:
        return "not synchronised: the kernel says that nothing keeps this computer's clock right"
    return f"synchronised, by the kernel's word, within {timex.maxerror / 1e6:.3g} s at most"


def _by_w32tm() -> str:
    """What `w32tm /query /status` tells: leap indicator 3 is unsynchronised; empty where it can't be asked."""
    program = shutil.which("w32tm")
    if program is None:
        return ""
    try:
        asked = subprocess.run([program, "/query", "/status"], capture_output=True, text=True, timeout=5, check=False)  # noqa: S603
    except (OSError, subprocess.TimeoutExpired):
        return ""
    if asked.returncode != 0 or "3(" in asked.stdout.split("\n", 1)[0]:
        return "not synchronised, by the word of w32tm" if asked.returncode == 0 else ""
    return "synchronised, by the word of w32tm"
