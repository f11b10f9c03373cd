"""Whether the computer's clock is known to be right: adjtimex(2) and its constants, from Linux' own header."""

from __future__ import annotations

import subprocess
import sys

import pytest

from standwatch.service.safety import computer_clock


def test_it_says_one_of_three_things_and_never_that_all_is_fine() -> None:
    told = computer_clock()
    assert told.startswith(("synchronised", "not synchronised", "unknown: "))
    assert "fine" not in told


@pytest.mark.skipif(sys.platform != "linux", reason="adjtimex is Linux'")
def test_it_agrees_with_another_caller_of_adjtimex() -> None:
    """CPython has no adjtimex; ntptime or adjtimex may be installed: compare where one is."""
    for program in (["adjtimex", "--print"], ["ntptime"]):
        try:
            told = subprocess.run(program, capture_output=True, text=True, check=False).stdout
        except FileNotFoundError:
            continue
        unsynchronised = "UNSYNC" in told or "return value = 5" in told
        assert computer_clock().startswith("not synchronised" if unsynchronised else "synchronised")
        return
    pytest.skip("no other caller of adjtimex here")
