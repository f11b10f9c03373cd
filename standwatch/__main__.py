"""`standwatch` and `python -m standwatch`."""


def main() -> None:
    """Run the command line."""
