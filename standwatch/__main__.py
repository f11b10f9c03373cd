"""`standwatch` and `python -m standwatch`."""

from __future__ import annotations

import sys


def main() -> None:
    """Run the command line and leave with its exit code."""
    from standwatch.bootstrap import house  # noqa: PLC0415  # an interrupt while importing ends quietly below
    from standwatch.cli.main import run  # noqa: PLC0415

    sys.exit(run(house(), sys.argv[1:]))


if __name__ == "__main__":
    main()
