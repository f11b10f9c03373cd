"""`standwatch` and `python -m standwatch`."""

from __future__ import annotations

import sys


def main() -> None:
    """Run the command line and leave with its exit code."""
    try:
        from standwatch.bootstrap import house  # noqa: PLC0415  # Ctrl+C while importing ends quietly too
        from standwatch.cli.main import run  # noqa: PLC0415

        sys.exit(run(house(), sys.argv[1:]))
    except KeyboardInterrupt:
        sys.exit(130)


if __name__ == "__main__":
    main()
