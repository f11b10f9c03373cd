"""Letting a clock go, and what was kept of it: frozen, read again, compared with what is known now."""
