"""What a clock's page says of a chime that should have sounded and didn't."""

from __future__ import annotations

from standwatch.tui.draw.stops import stops_in_full
from tests.judge.judged import assessed
from tests.stories import daily

READ = daily("11-02 08:00", "11-05 08:00", "error_s=0")


def said(*lines: str, width: int = 60) -> list[str]:
    told = assessed("floor-chiming", [*READ, *lines], now="11-05 12:00")
    return [line.plain.rstrip() for line in stops_in_full(told, width)]


def test_each_silence_says_when_and_how_to_explain_it() -> None:
    told = said("11-04 09:15 chime=not-running", "11-05 10:30 chime=not-running quarter=2")
    assert told[1].startswith("SILENT ─")
    assert "■ the chime should have sounded Wed 4 Nov 09:15 and didn't" in told
    assert "■ the chime should have sounded Thu 5 Nov 10:30 and didn't" in told
    assert sum("standwatch correct T1-" in line for line in told) == 2


def test_none_once_it_is_explained_or_put_right() -> None:
    assert said("11-04 09:15 chime=not-running explained=yes") == []
    assert said("11-04 09:15 chime=not-running", "11-04 10:00 work=chime-set") == []
    assert said("11-04 09:15 chime=silent", "11-04 09:30 chime=in-step") == []


def test_stops_come_first() -> None:
    told = said("11-04 09:15 chime=not-running", "11-05 11:00 work=stopped dial=9:00")
    titles = [line.split()[0] for line in told if "───" in line]
    assert titles == ["STOPS", "SILENT"]
