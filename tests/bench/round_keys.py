"""The morning round's figures: `python -m tests.bench.round_keys [--clocks 300] [--keys 200] [--round 30]`.

Keys of a reading; seconds from a key until the terminal is painted, on a stand of 300 clocks, beside a bare Textual
app that paints a page of the same size; and a whole round through a terminal, one reading each: is every key's fact in
the book? The goals are 2 keys for a plain reading, 12 with two weights and the swing, and 30 ms (95 % of keys).
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path
from statistics import median, quantiles

from standwatch.bootstrap import open_stand
from standwatch.service.round.asking import Wanted, swing_wanted, weights_wanted
from tests.bench.terminal import Terminal

GOAL_MS = 30.0
_BARE = """
from textual.app import App
from textual.widgets import Static

class Bare(App):
    count = 0

    def compose(self):
        yield Static(self.page(), id="page")

    def page(self):
        return "\\n".join(f"{self.count:>6} " + "█" * 60 for _ in range(22))

    def on_key(self):
        self.count += 1
        self.query_one("#page").update(self.page())

Bare().run()
"""


def make_book(path: Path, clocks: int) -> Path:
    """Mantel clocks that go right, read each morning but today's, of which nothing but the dial is wanted."""
    now = datetime.now(UTC)
    with closing(open_stand(path)) as stand:
        stand.set_settings({"zone": "UTC", "open_days": "Mon-Sun", "next_round": "00:00"}, now)
        folder = path.parent / "ledger"
        folder.mkdir()
        tags = [f"K{n}" for n in range(clocks)]
        lines = [f"{tag},mantel,2.9" for tag in tags]
        (folder / "clocks.csv").write_text("\n".join(["tag,kind,unlock_deg", *lines]) + "\n")
        rows = []
        for tag in tags:
            begun = now - timedelta(days=8)
            rows.append(f"{begun.isoformat()},{tag},,,wound")
            rows += [f"{(begun + timedelta(days=d)).isoformat()},{tag},{d % 3},5.0," for d in range(1, 8)]
        (folder / "checkins.csv").write_text("\n".join(["at,tag,error_s,amplitude_deg,work", *rows]) + "\n")
        stand.import_ledger([folder], now)
    return path


def figure_now() -> str:
    """The last figure of the minute whose mark the minute hand of a right clock is nearest to."""
    return str(round(time.time() / 60) % 10)


def read_round(path: Path, clocks: int) -> tuple[int, int, float]:
    """A round of all clocks through a terminal: keys pressed, readings in the book, seconds."""
    begun = datetime.now(UTC)
    command = [sys.executable, "-m", "standwatch", "--book", str(path)]
    keys = 0
    with Terminal(command) as terminal:
        terminal.wait_for(f"read 0 of {clocks}")
        terminal.press("r")
        terminal.wait_for("READ NOW")
        started = time.perf_counter()
        for n in range(clocks):
            terminal.press(" ")
            terminal.wait_for("0 to 9")
            terminal.press(figure_now())
            keys += 2
            terminal.wait_for(f"{n + 1} of {clocks}")
            terminal.wait_for("expected")
        taken = time.perf_counter() - started
        terminal.press("\x1b")
        terminal.wait_for("STAND")
        terminal.press("q")
        terminal.quiet(1.0)
    with closing(open_stand(path)) as stand:
        facts = [record.body for clock in stand.clocks() for record in stand.facts(clock.body.tag)]
    return keys, sum(fact.at >= begun and fact.dial is not None for fact in facts), taken


def paint_times(command: list[str], ready: str, keys: list[str], *, pause: float) -> list[float]:
    """Milliseconds from each key to the paint, the program first brought to where it shows `ready`."""
    with Terminal(command) as terminal:
        terminal.wait_for(ready, 120.0)
        if "standwatch" in command:
            terminal.press("r")
            terminal.wait_for("READ NOW", 120.0)
        taken = []
        for key in keys:
            time.sleep(pause)
            taken.append(1000 * terminal.seconds_to_paint(figure_now() if key == "figure" else key))
        return taken


def figures_asked() -> tuple[Wanted, ...]:
    """What a two-weight longcase late in its wind is asked before a weekend, beside its dial."""
    friday = datetime(2026, 11, 20, 8, 20, tzinfo=UTC)
    with tempfile.TemporaryDirectory() as name, closing(open_stand(Path(name) / "book.sqlite")) as stand:
        stand.set_settings({"zone": "UTC"}, friday)
        stand.add_clock({"tag": "T", "kind": "longcase", "unlock_deg": 1.6, "swing_scale_mm": 980}, friday)
        stand.check_in({"tag": "T", "at": friday - timedelta(days=7), "work": "wound"}, friday)
        for day in range(7, 0, -1):
            stand.check_in({"tag": "T", "at": friday - timedelta(days=day), "error_s": 7.0 - day}, friday)
        told, shop = stand.assess("T", friday), stand.shop
        return (*weights_wanted(told, shop, friday), *swing_wanted(told, shop, friday))


def keys_for(wanted: Wanted, figure: str) -> int:
    """Keys for one figure, Enter included where it doesn't take itself."""
    taken_at = next((n for n in range(1, len(figure) + 1) if wanted.complete(figure[:n])), None)
    return len(figure) + 1 if taken_at is None else taken_at


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--clocks", type=int, default=300)
    parser.add_argument("--keys", type=int, default=200)
    parser.add_argument("--round", type=int, default=30)
    asked = parser.parse_args()
    weights = sum(keys_for(w, f) for w, f in zip(figures_asked(), ("825", "1155", "43"), strict=True))
    print("keys of a plain reading           2 (goal 2)")
    print(f"with two weights and the swing   {2 + weights:2} (goal 12)")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        keys, kept, seconds = read_round(make_book(folder / "round.sqlite", asked.round), asked.round)
        told = f"{keys} keys, {kept} of {asked.round} readings in the book, {seconds:.1f} s"
        print(f"a round of {asked.round} through a terminal: {told}")
        (folder / "many").mkdir()
        book = make_book(folder / "many" / "book.sqlite", asked.clocks)
        bare = folder / "bare.py"
        bare.write_text(_BARE)
        script = [" ", "figure"] * (asked.keys // 2)
        theirs = paint_times([sys.executable, str(bare)], "█", ["x"] * len(script), pause=0.1)
        ours = paint_times(
            [sys.executable, "-m", "standwatch", "--book", str(book)], f"read 0 of {asked.clocks}", script, pause=0.25
        )
    p95, reference = quantiles(ours, n=20)[-1], quantiles(theirs, n=20)[-1]
    told = f"median {median(ours):.1f}, 95 % {p95:.1f} ms, goal {GOAL_MS:.0f}"
    print(f"key to paint, {asked.clocks} clocks, {len(ours)} keys: {told}")
    print(f"bare app, as many keys: median {median(theirs):.1f}, 95 % {reference:.1f} ms; ratio {p95 / reference:.1f}")


if __name__ == "__main__":
    main()
