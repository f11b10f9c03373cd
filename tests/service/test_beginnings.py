"""What the person's settings give a new book and a new clock: written into them, and then theirs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime, time, timedelta
from pathlib import Path

import pytest

from standwatch.service.personal.settings import Settings, settings_of
from standwatch.service.stand import Stand
from standwatch.store import open_book

NOW = datetime(2026, 11, 20, 8, 20, tzinfo=UTC)
MINE = settings_of(
    """
    [new_book]
    next_round = "07:45"
    open_days = "Tue-Sat"
    [kinds.longcase]
    least_days = 21
    mean_rate_limit = 7
    """
)
Open = Callable[..., Stand]


@pytest.fixture
def opened(tmp_path: Path) -> Iterator[Open]:
    """Opens a book as someone with these settings would."""
    stands: list[Stand] = []

    def one(settings: Settings = MINE, name: str = "book") -> Stand:
        book = open_book(tmp_path / f"{name}.sqlite")
        stands.append(Stand(book, computer_zone=lambda: "Europe/London", own=lambda _section: settings))
        return stands[-1]

    yield one
    for each in stands:
        each.close()


def told(stand: Stand) -> dict[str, str]:
    return {each.name: each.value for each in stand.settings() if each.given}


def test_before_its_first_fact_a_book_has_what_the_person_gives_it(opened: Open) -> None:
    assert opened().shop.next_round == time(7, 45)
    assert opened(Settings()).shop.next_round == time(8), "and nothing of it is kept"
    assert told(opened()) == {}


def test_with_its_first_fact_it_is_the_book_s(opened: Open) -> None:
    opened().add_clock({"tag": "1", "kind": "mantel"}, NOW)
    others = opened(settings_of("[new_book]\nnext_round = '09:00'\ncalls = 3"))
    assert told(others) == {"zone": "Europe/London", "next_round": "07:45", "open_days": "Tue-Sat"}
    assert others.shop.calls == (14,)


def test_what_the_book_was_set_to_goes_first(opened: Open) -> None:
    stand = opened()
    stand.set_settings({"next_round": "06:30"}, NOW)
    assert stand.shop.next_round == time(6, 30)
    stand.add_clock({"tag": "1", "kind": "mantel"}, NOW)
    assert told(stand)["next_round"] == "06:30"
    assert told(stand)["open_days"] == "Tue-Sat"


def test_a_ledger_s_own_settings_come_whole(opened: Open, tmp_path: Path) -> None:
    first = opened(Settings(), "first")
    first.add_clock({"tag": "1", "kind": "mantel"}, NOW)
    first.export_ledger(tmp_path / "ledger")
    second = opened(MINE, "second")
    second.import_ledger([tmp_path / "ledger"], NOW)
    assert second.shop.next_round == time(8), "the ledger's book had the default"


def test_a_ledger_without_settings_begins_a_book_of_the_person_s(opened: Open, tmp_path: Path) -> None:
    (tmp_path / "clocks.csv").write_text("tag,kind\n1,longcase\n", "utf-8")
    stand = opened()
    stand.import_ledger([tmp_path / "clocks.csv"], NOW)
    assert told(stand)["next_round"] == "07:45"
    assert stand.clock("1").body.least_days is None, "a ledger's row says all of its clock"


def test_a_new_clock_takes_its_kind_s_columns(opened: Open) -> None:
    stand = opened()
    stand.add_clock({"tag": "1", "kind": "longcase", "least_days": 30, "mean_rate_limit": None}, NOW)
    stand.add_clock({"tag": "2", "kind": "mantel"}, NOW)
    assert (stand.clock("1").body.least_days, stand.clock("1").body.mean_rate_limit) == (30, 7)
    assert stand.clock("2").body.least_days is None
    assert stand.assess("1", NOW).days_needed == 30


def test_a_clock_that_is_there_is_not_changed_by_other_settings(opened: Open) -> None:
    opened(Settings()).add_clock({"tag": "1", "kind": "longcase"}, NOW)
    stand = opened()
    stand.check_in({"tag": "1", "error_s": 3}, NOW + timedelta(hours=1))
    assert stand.clock("1").body.least_days is None


def test_an_empty_book_begun_again_keeps_its_settings(opened: Open) -> None:
    stand = opened()
    stand.add_clock({"tag": "1", "kind": "mantel"}, NOW)
    stand.undo("1", NOW)
    with closing(opened(settings_of("[new_book]\nnext_round = '09:00'"))) as other:
        assert other.shop.next_round == time(7, 45)
