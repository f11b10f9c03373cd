"""The round, drawn."""
