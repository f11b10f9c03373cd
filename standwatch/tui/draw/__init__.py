"""Drawing: from an Assessment and a size to lines of text. Pure; no widget, no clock, no book."""
