"""Watch the test stand of a clock restorer's workshop."""

__version__ = "0.1.0"
