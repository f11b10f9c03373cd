"""What comes after a clock went home: its warranty, what came back and how often, and whether holding pays."""
