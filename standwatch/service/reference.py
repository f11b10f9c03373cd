"""The computer's clock as the reference: is it kept right, by what, how well, and what that does to a reading."""

from __future__ import annotations

import csv
import ctypes
import math
import shutil
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

State = Literal["synchronised", "not synchronised", "unknown"]

_TIME_ERROR = 5
_STA_UNSYNC = 0x40
_MOST_S = 16.0
"""Where nobody says how far a clock may be out: the greatest dispersion of NTP (RFC 5905, MAXDISP), as the kernel's."""
_TIMESYNCD = Path("/run/systemd/timesync/synchronized")


@dataclass(frozen=True, slots=True)
class ReferenceTime:
    """What is known of the computer's clock. `within_s` is the most it may be out by, None where nobody says.

    Unknown is not fine: it is said, and no doubt is invented for it.
    """

    state: State
    by: str = ""
    within_s: float | None = None

    @property
    def words(self) -> str:
        """One line: "synchronised, by ..., within ...", "not synchronised: ..." or "unknown: ..."."""
        match self.state:
            case "synchronised":
                within = "" if self.within_s is None else f", within {_seconds(self.within_s)} at most"
                return f"synchronised, {self.by}{within}"
            case "not synchronised":
                return f"not synchronised: {self.by}; it may be out by {self.within_s or _MOST_S:.3g} s"
            case _:
                return "unknown: nothing on this computer tells whether its clock is synchronised"

    @property
    def short(self) -> str:
        """The same in two or three words, for a head line."""
        match self.state:
            case "synchronised":
                return "synchronised" if self.within_s is None else f"good to {_seconds(self.within_s)}"
            case "not synchronised":
                return "clock not synchronised"
            case _:
                return "clock unchecked"

    @property
    def mark(self) -> str:
        """The same in one word, for where there is no room: what the clock may be out by."""
        if self.state == "unknown" or (self.state == "synchronised" and self.within_s is None):
            return "±?"
        return f"±{_seconds(self.within_s or _MOST_S)}"

    @property
    def extra_doubt_s(self) -> float:
        """Standard doubt in seconds that every reading against this clock has besides its own.

        A clock that isn't kept lies anywhere within its bound: that over the root of three (GUM, JCGM 100, 4.3.7).
        """
        return (self.within_s or _MOST_S) / math.sqrt(3) if self.state == "not synchronised" else 0.0

    def doubt_of(self, own_s: float) -> float:
        """The standard doubt of a reading whose own is `own_s` seconds."""
        return math.hypot(own_s, self.extra_doubt_s)


UNKNOWN = ReferenceTime("unknown")


def reference_time() -> ReferenceTime:
    """Ask this computer. May take a second: not for the thread of a screen."""
    if sys.platform == "linux":
        return _on_linux()
    if sys.platform == "win32":
        return by_w32tm(_told("w32tm", "/query", "/status"))
    return UNKNOWN


def _seconds(most: float) -> str:
    """A bound as a person reads it, never rounded down: 0.1 s, 12 s."""
    step = 1.0 if most >= 10 else 0.1 if most >= 1 else 0.01
    return f"{math.ceil(most / step - 1e-9) * step:.{0 if step == 1 else 1 if step == 0.1 else 2}f} s"


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


def _on_linux() -> ReferenceTime:
    timex = _Timex()
    try:
        state = ctypes.CDLL(None, use_errno=True).adjtimex(ctypes.byref(timex))
    except (OSError, AttributeError):
        return UNKNOWN
    told = by_kernel(state, timex.status, timex.maxerror)
    if told.state != "synchronised":
        return told
    tracking = by_chrony(_told("chronyc", "-c", "tracking"))
    if tracking is not None:
        return tracking
    return ReferenceTime(told.state, "by systemd-timesyncd", told.within_s) if _TIMESYNCD.exists() else told


def by_kernel(state: int, status: int, maxerror_us: int) -> ReferenceTime:
    """What adjtimex(2) returned, its `status` and its `maxerror` (µs) say.

    By its manual page TIME_ERROR (5) or STA_UNSYNC (0x40) is a clock that nothing keeps right.
    """
    if state < 0:
        return UNKNOWN
    within = maxerror_us / 1e6 if maxerror_us > 0 else None
    if state == _TIME_ERROR or status & _STA_UNSYNC:
        return ReferenceTime("not synchronised", "the kernel says that nothing keeps it right", within)
    return ReferenceTime("synchronised", "by the kernel's word", within)


def by_chrony(tracking: str) -> ReferenceTime | None:
    """What `chronyc -c tracking` says, fourteen cells of CSV; None where it says nothing.

    The bound is its manual's: the offset in hand, root dispersion and half the root delay.
    """
    cells: Sequence[str] = next(csv.reader([tracking.strip().split("\n", 1)[0]]), [])
    if len(cells) < 14:
        return None
    if cells[13] == "Not synchronised":
        return ReferenceTime("not synchronised", "chrony says that it follows nothing")
    try:
        within = abs(float(cells[4])) + float(cells[11]) + float(cells[10]) / 2
    except ValueError:
        return None
    return ReferenceTime("synchronised", f"by chrony from {cells[1] or cells[0]}", within)


def by_w32tm(status: str) -> ReferenceTime:
    """What `w32tm /query /status` says: its first line's leap indicator 3 is unsynchronised."""
    if not status.strip():
        return UNKNOWN
    if "3(" in status.strip().split("\n", 1)[0]:
        return ReferenceTime("not synchronised", "w32tm says so")
    return ReferenceTime("synchronised", "by the word of w32tm")


def _told(name: str, *arguments: str) -> str:
    """What a program of the system prints; empty where it isn't there or fails."""
    program = shutil.which(name)
    if program is None:
        return ""
    try:
        asked = subprocess.run([program, *arguments], capture_output=True, text=True, timeout=5, check=False)  # noqa: S603
    except (OSError, subprocess.TimeoutExpired):
        return ""
    return asked.stdout if asked.returncode == 0 else ""
