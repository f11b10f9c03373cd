"""The person's own settings: what may stand in their file, and what is wrong with it."""
