"""Every check there is, in order: `python -m tests`. Further words go to pytest (`python -m tests -k chime`)."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
WORKERS = 2 * (os.cpu_count() or 1)
"""The screens' tests wait for half of their time."""
CHECKS = (
    ("ruff", "check", "standwatch", "tests"),
    ("ruff", "format", "--check", "--quiet", "standwatch", "tests"),
    ("mypy",),
    ("pytest", "-n", str(WORKERS), "--dist", "worksteal"),
)


def main() -> int:
    """Run each check as a module of this Python; the first that fails ends it with its exit code."""
    for tool, *arguments in CHECKS:
        further = sys.argv[1:] if tool == "pytest" else []
        print(f"— {tool}", flush=True)
        code = subprocess.run([sys.executable, "-m", tool, *arguments, *further], cwd=ROOT, check=False).returncode
        if code:
            return code
    return 0


if __name__ == "__main__":
    sys.exit(main())
