"""What the trade and physics know. Pure functions, each with its unit and its published source."""
