"""What is typed faster than the screen follows, as by a scanner, is not lost."""

from __future__ import annotations

from textual import events
from textual.screen import Screen

from standwatch.tui.widgets.bar import Bar, EntryLine


class TypedScreen(Screen[None]):
    """A screen with a line that is typed into, which has the keys only some time after it was opened."""

    def on_key(self, event: events.Key) -> None:
        """A letter that still came here while the line is open belongs to the line.

        A screen whose own `on_key` opens the line prevents this one, or the letter would be in it twice.
        """
        bar = next(iter(self.query(Bar)), None)
        if bar is None or bar.mode != "entry" or not event.is_printable or event.character is None:
            return
        entry = bar.query_one(EntryLine)
        event.stop()
        event.prevent_default()
        if event.key == "space" and not entry.value:
            entry.post_message(EntryLine.Stamped())
        else:
            entry.insert_text_at_cursor(event.character)
