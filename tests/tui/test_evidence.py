"""What was observed against what is wanted, in a few words."""

from __future__ import annotations

import pytest

from standwatch.judge.assessment import Verdict
from standwatch.model.words import Outcome, Requirement
from standwatch.tui.draw.needed import evidence, needed_in_full
from tests.judge.judged import assessed
from tests.judge.test_asked import GAINS_FOUR
from tests.stories import ZONE


def test_a_moon_is_told_to_a_tenth_of_a_day() -> None:
    verdict = Verdict(Requirement.MOON, Outcome.MET, 0.0306, 1.0, "0.0 d off the sky over 13 days", None, "d")
    assert evidence(verdict) == "0.0 of 1 d"


@pytest.mark.parametrize("width", [56, 78, 118])
def test_a_limit_of_the_shop_s_own_stands_in_the_reasons_whole(width: int) -> None:
    told = assessed("longcase", GAINS_FOUR, now="11-09 08:30", maintaining="yes", asked={"mean_rate_limit": 2})
    lines = [part.plain.rstrip() for part in needed_in_full(told, width, now=told.estimates.history.now, zone=ZONE)]
    assert all(len(line) <= width for line in lines)
    assert "limit 2 s/day (the kind's 10: stricter)" in " ".join(" ".join(lines).split())
    assert sum("stricter" in line or "looser" in line for line in lines) == 1
