"""Listening: what sounds when, what is worth hearing, and what was heard."""
