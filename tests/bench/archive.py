"""What delivered clocks cost the stand: `python -m tests.bench.archive [--delivered 0 400 2000]`.

Sixteen clocks on the stand, and beside them clocks that went home over the years, twenty facts each, called about and
done with. Each figure stands with its ratio to the same book without them, from the same run: whole processes for
`status` and for the tags that are painted first, and within an open stand one further check-in. What the shop's clocks
teach is learned by the week's first `status` and kept for the others. Seconds are of processor time. Memory is the
most that `status` held.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median

from standwatch.bootstrap import need_stand
from standwatch.model.facts import Body, CheckIn, Clock, Handover
from standwatch.model.records import Draft, build
from standwatch.model.words import KindName
from standwatch.store import open_book

NOW = datetime(2026, 11, 20, 9, tzinfo=UTC)
ON_STAND, READINGS = 16, 40
FACTS = 20
_A_WEEK = 8
"""Clocks that go home in a week: the 400 a year of a busy shop."""
_KINDS = (KindName.LONGCASE, KindName.MANTEL, KindName.BRACKET, KindName.WEIGHT_WALL, KindName.CARRIAGE)
_RECORD = "{" + '"because": "' + "as found" * 1000 + '"}'
"""As long as the record of a release is."""
_TAGS = "from datetime import *; from standwatch.bootstrap import need_stand; from pathlib import Path; import sys; "
_TAGS += "need_stand(Path(sys.argv[1])).roster(datetime.fromisoformat(sys.argv[2]))"


def on_stand(tag: str, slot: str, kind: KindName) -> Iterator[Body]:
    """A clock of the stand, read every morning and wound once a week."""
    begun = NOW - timedelta(days=READINGS, hours=1)
    yield build(Clock, {"tag": tag, "kind": kind, "position": slot, "on_stand_at": begun})
    yield from _read(tag, begun, READINGS)


def delivered(tag: str, kind: KindName, ended: datetime) -> Iterator[Body]:
    """A clock that went home at `ended`, with `FACTS` facts about it, and needs no further call."""
    begun = ended - timedelta(days=FACTS - 4)
    yield build(Clock, {"tag": tag, "kind": kind, "on_stand_at": begun, "owner": "Mrs. Ash", "repaired": "bushes"})
    yield from _read(tag, begun, FACTS - 4)
    steps: dict[str, dict[str, object]] = {
        "released": {"by": "K. M.", "record": _RECORD},
        "delivered": {"error_s": 1.0},
        "called": {"error_s": 9.0, "reason": "goes well"},
    }
    for days, (what, told) in zip((0.1, 0.2, 14.2), steps.items(), strict=True):
        yield build(Handover, {"at": ended + timedelta(days=days), "tag": tag, "what": what, **told})


def _read(tag: str, begun: datetime, days: int) -> Iterator[Body]:
    for day in range(days):
        cells: dict[str, object] = {"at": begun + timedelta(days=day), "tag": tag, "error_s": round(1.7 * day, 1)}
        cells |= {"temperature_c": 18 + day % 3} if day == 3 else {}
        yield build(CheckIn, cells | ({"work": "wound"} if day % 7 == 0 else {}))


def make_book(path: Path, archived: int) -> Path:
    """The book of `ON_STAND` clocks and `archived` delivered ones."""
    drafts = []
    for n in range(archived):
        ended = NOW - timedelta(days=30) - timedelta(weeks=1) * ((archived - n) / _A_WEEK)
        drafts += [Draft(body) for body in delivered(f"D{n}", _KINDS[n % len(_KINDS)], ended)]
    for n in range(ON_STAND):
        drafts += [Draft(body) for body in on_stand(f"C{n}", f"A{n + 1}", _KINDS[n % len(_KINDS)])]
    with closing(open_book(path, create=True)) as book:
        book.set({"zone": "Europe/London"}, at=NOW)
        book.append(drafts, at=NOW)
    return path


def process(command: Sequence[str], runs: int) -> tuple[float, float]:
    """Median seconds of processor time of a whole process, and the most MB it held."""
    taken, held = [], 0.0
    for _ in range(runs):
        with subprocess.Popen(command, stdout=subprocess.DEVNULL) as child:
            _, status, used = os.wait4(child.pid, 0)
            child.returncode = os.waitstatus_to_exitcode(status)
        taken.append(used.ru_utime + used.ru_stime)
        if child.returncode:
            raise SystemExit(f"{command} ended with {child.returncode}")
        held = max(held, used.ru_maxrss / 1024)
    return median(taken), held


def one_more(path: Path, times: int) -> float:
    """Median seconds of processor time of one further check-in, saved and worked out, in an open stand."""
    taken = []
    with closing(need_stand(path)) as stand:
        stand.view(NOW)
        for n in range(times):
            begun = time.process_time()
            stand.check_in({"tag": f"C{n}", "error_s": 60.0}, NOW + timedelta(seconds=n))
            taken.append(time.process_time() - begun)
    return median(taken)


def figures(path: Path, runs: int) -> dict[str, float]:
    """What the book at `path` costs."""
    program = [sys.executable, "-m", "standwatch", "--book", str(path), "--now", NOW.isoformat()]
    first, _ = process([*program, "status"], 1)
    status, held = process([*program, "status"], runs)
    tags, _ = process([sys.executable, "-c", _TAGS, str(path), NOW.isoformat()], runs)
    one, _ = process([*program, "status", "C1"], runs)
    return {
        "the week's first status, s": first,
        "status, s": status,
        "status of one clock, s": one,
        "tags that are painted first, s": tags,
        "one further check-in, ms": one_more(path, 8) * 1000,
        "memory of status, MB": held,
    }


def main() -> None:
    """Print the figures and their ratios to the first book's."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--delivered", type=int, nargs="+", default=[0, 400, 2000])
    parser.add_argument("--runs", type=int, default=3)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        os.environ["XDG_CACHE_HOME"] = folder  # nobody's own, where what was learned is kept for the next start
        found = [figures(make_book(Path(folder) / f"{n}.sqlite", n), asked.runs) for n in asked.delivered]
    print(f"{ON_STAND} clocks on the stand; delivered ones of {FACTS} facts beside them; medians of {asked.runs}")
    print(f"{'':32}" + "".join(f"{n:>16}" for n in asked.delivered))
    for name, first in found[0].items():
        cells = [f"{each[name]:8.2f} {each[name] / first:5.2f} x" for each in found]
        print(f"{name:32}" + "".join(f"{cell:>16}" for cell in cells))


if __name__ == "__main__":
    main()
