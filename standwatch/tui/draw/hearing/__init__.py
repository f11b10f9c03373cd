"""Listening, drawn."""
