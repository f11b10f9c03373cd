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
)
TYPES = ("mypy",)
TESTS = ("pytest", "-n", str(WORKERS), "--dist", "worksteal")


def main() -> int:
    """Run each check as a module of this Python; the first that fails ends it with its exit code.

    The types are looked at while the tests run, since neither fills two cores by itself, and told after them.
    """
    for check in CHECKS:
        print(f"— {check[0]}", flush=True)
        if code := subprocess.run([sys.executable, "-m", *check], cwd=ROOT, check=False).returncode:
            return code
    types = subprocess.Popen(
        [sys.executable, "-m", *TYPES], cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )
    print("— pytest", flush=True)
    tested = subprocess.run([sys.executable, "-m", *TESTS, *sys.argv[1:]], cwd=ROOT, check=False).returncode
    print("— mypy", flush=True)
    print(types.communicate()[0], end="", flush=True)
    return tested or types.returncode


if __name__ == "__main__":
    sys.exit(main())
