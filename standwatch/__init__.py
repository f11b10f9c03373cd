"""Watch the test stand of a clock restorer's workshop."""

__version__ = "1.0.0"
