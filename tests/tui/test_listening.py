"""Listening: as it looks, and every key of it over a real book, at both sizes."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from standwatch.model.facts import CheckIn
from standwatch.model.words import Chime, Work
from standwatch.tui.actions import at as actions_at
from standwatch.tui.app import StandwatchApp
from standwatch.tui.screens.help import HelpScreen
from standwatch.tui.screens.listening import ListeningScreen
from standwatch.tui.screens.stand import StandScreen
from standwatch.tui.widgets.bar import Bar
from tests.stories import at
from tests.tui.screens import SMALL, WIDE, check_golden, press, running, settle, text_of, type_in
from tests.tui.shop import Told, make_book, open_shop

Books = Callable[[str], Path]
pytestmark = pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])

BEFORE = at("11-20 08:56:48")
"""As in the mock: three minutes to nine."""
AFTER = at("11-20 09:01:30")
QUARTER = at("11-20 09:29:20")


EARS = (
    Told("2424", "mantel", "C1", 10.0, noise=0.1, days=8),
    Told("2425", "mantel", "C4", -10.0, noise=0.1, days=8),
    Told(
        "2417", "floor-chiming", "A3", 0.0, noise=0.1, days=8, columns={"tunes": "Vesper;Meadow"},
        extra=[("2026-11-20 08:15", {"chime": "in-step", "quarter": 1})],
    ),
    Told(
        "2422", "floor-chiming", "B5", 0.2, noise=0.1, days=8,
        extra=[("2026-11-20 08:15", {"chime": "out-of-step", "quarter": 1})],
    ),
)  # fmt: skip
"""Four that sound: C1 over a minute before nine, A3 and B5 about nine, C4 over a minute after."""


@pytest.fixture(scope="module")
def ears_made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return make_book(tmp_path_factory.mktemp("ears") / "ears.sqlite", EARS)


@pytest.fixture
def ears(ears_made: Path, tmp_path: Path) -> Path:
    """A copy of the book of those four."""
    return Path(shutil.copy(ears_made, tmp_path / "book.sqlite"))


def facts(book: Path, tag: str) -> list[CheckIn]:
    """In the order in which they were recorded."""
    stand = open_shop(book)
    try:
        return [record.body for record in sorted(stand.facts(tag), key=lambda record: record.sequence)]
    finally:
        stand.close()


def screen_of(app: StandwatchApp) -> ListeningScreen:
    assert isinstance(app.screen, ListeningScreen)
    return app.screen


def under_cursor(app: StandwatchApp) -> str:
    row = screen_of(app).row
    return "" if row is None else row.voice.name


def count(book: Path) -> int:
    stand = open_shop(book)
    try:
        return sum(len(stand.facts(record.body.tag)) for record in stand.clocks())
    finally:
        stand.close()


MORNING: tuple[tuple[str, datetime, list[str], list[str]], ...] = (
    ("early", at("11-20 08:54:00"), ["h"], ["escape"]),
    ("before", BEFORE, [], []),
    ("sounding", at("11-20 09:00:10"), [], []),
    ("silent", AFTER, ["s"], ["escape"]),
    ("counting", AFTER, ["b"], ["escape"]),
    ("told", AFTER, ["h", "h"], ["escape"]),
    ("quarter", QUARTER, [], []),
    ("other", QUARTER, ["down", "down"], []),
)
"""What is looked at in turn: its name, when, the keys before, the keys after."""


async def test_how_a_morning_looks(size: tuple[int, int], books: Books) -> None:
    times = [MORNING[0][1]]
    async with running(books("demo"), size, now=lambda: times[0]) as (app, pilot):
        await press(pilot, "l")
        for name, now, before, after in MORNING:
            times[0] = now
            app.look()
            await settle(pilot)
            screen_of(app).tick()
            await press(pilot, *before)
            check_golden(f"listening-{name}-{size[0]}x{size[1]}", text_of(app))
            await press(pilot, *after)


async def test_where_nothing_is_worth_hearing_the_next_is_named(size: tuple[int, int], books: Books) -> None:
    now = at("11-20 10:13:00")
    book = books("one")
    async with running(book, size, now=lambda: now) as (app, pilot):
        await press(pilot, "l")
        check_golden(f"listening-nothing-{size[0]}x{size[1]}", text_of(app))
        before = count(book)
        await press(pilot, "h", "b", "q", "s", "u")
        assert count(book) == before, "no row is under the cursor: no key means one"


async def test_an_empty_stand(size: tuple[int, int], books: Books) -> None:
    book = books("empty")
    async with running(book, size, now=lambda: BEFORE) as (app, pilot):
        await press(pilot, "l", "h", "b", "q", "s", "y", "d", "u", "t", "down", "up", "1")
        assert "Nothing is worth hearing for an hour." in text_of(app)
        assert count(book) == 0
        await press(pilot, "escape")
        assert isinstance(app.screen, StandScreen)


async def test_heard_right_is_written_at_once_and_the_next_is_under_the_cursor(
    size: tuple[int, int], ears: Path
) -> None:
    async with running(ears, size, now=lambda: AFTER) as (app, pilot):
        await press(pilot, "l")
        assert under_cursor(app) == "C1"
        await press(pilot, "h")
        fact = facts(ears, "2424")[-1]
        assert (fact.hour, fact.blows, fact.chime, fact.at) == (9, 9, None, AFTER)
        assert under_cursor(app) == "B5"
        assert "✓ told" in text_of(app)
        assert "to be told: B5, C4" in text_of(app)
        await press(pilot, "plus")
        fact = facts(ears, "2422")[-1]
        assert (fact.hour, fact.blows, fact.chime, fact.quarter) == (9, 9, Chime.IN_STEP, 4)
        await press(pilot, "h")
        assert "all told" in text_of(app)


async def test_a_chimer_is_told_with_its_quarter(size: tuple[int, int], ears: Path) -> None:
    async with running(ears, size, now=lambda: at("11-20 09:31:00")) as (app, pilot):
        await press(pilot, "l")
        assert under_cursor(app) == "B5"
        await press(pilot, "q")
        fact = facts(ears, "2422")[-1]
        assert (fact.chime, fact.quarter, fact.hour, fact.blows) == (Chime.OUT_OF_STEP, 2, None, None)
        assert "a quarter off" in text_of(app)
        await press(pilot, "down", "h")
        fact = facts(ears, "2417")[-1]
        assert (fact.chime, fact.quarter) == (Chime.IN_STEP, 2), "one that was too near may be told all the same"


async def test_a_wrong_count_is_asked_blind(size: tuple[int, int], ears: Path) -> None:
    async with running(ears, size, now=lambda: AFTER) as (app, pilot):
        await press(pilot, "l")
        assert "nine, new" in row_text(app, "C1")
        await press(pilot, "b")
        shown = row_text(app, "C1")
        assert "nine" not in shown
        assert "○" not in shown
        await press(pilot, "enter")
        assert "0 to 24" in text_of(app)
        await type_in(pilot, "99")
        await press(pilot, "enter")
        assert facts(ears, "2424")[-1].blows != 99
        app.screen.query_one("EntryLine").value = "8"  # type: ignore[attr-defined]
        await press(pilot, "enter")
        fact = facts(ears, "2424")[-1]
        assert (fact.hour, fact.blows) == (9, 8)
        assert "counted 8" in text_of(app)
        assert "✗ told" in text_of(app)
        assert "missed: struck 8 at nine" in " ".join(text_of(app).split())


def row_text(app: StandwatchApp, name: str) -> str:
    """The lines of one clock on the page."""
    lines = text_of(app).splitlines()
    row = screen_of(app)._row_of(screen_of(app)._tag)
    assert row is not None
    tag = row.voice.tag if row.voice.name == name else name
    first = next(n for n, line in enumerate(lines) if f" {tag} " in line)
    return "\n".join(lines[first : first + 3])


async def test_a_count_that_is_right_after_all_is_right(size: tuple[int, int], ears: Path) -> None:
    async with running(ears, size, now=lambda: AFTER) as (app, pilot):
        await press(pilot, "l", "minus", "9", "enter")
        assert (facts(ears, "2424")[-1].hour, facts(ears, "2424")[-1].blows) == (9, 9)
        assert "heard right" in text_of(app)


@pytest.mark.parametrize(
    ("when", "answer", "told"),
    [
        (("09:31:00", "2422"), "1", {"chime": Chime.SILENT, "quarter": 2}),
        (("09:31:00", "2422"), "2", {"chime": Chime.NOT_RUNNING, "quarter": 2}),
        (("09:01:30", "2424"), "2", {"hour": 9, "blows": 0}),
        (("09:01:30", "2424"), "1", {"note": "strike shut off at nine"}),
    ],
)
async def test_silent_asks_whether_it_is_meant(
    when: tuple[str, str], answer: str, told: dict[str, object], size: tuple[int, int], ears: Path
) -> None:
    time, tag = when
    async with running(ears, size, now=lambda: at(f"11-20 {time}")) as (app, pilot):
        await press(pilot, "l")
        before = len(facts(ears, tag))
        await press(pilot, "s")
        assert "MEANT, OR A FAULT?" in text_of(app)
        await press(pilot, "7", "escape")
        assert len(facts(ears, tag)) == before
        await press(pilot, "s", answer)
        fact = facts(ears, tag)[-1]
        assert {name: getattr(fact, name) for name in told} == told


async def test_too_early_is_asked_once_more(size: tuple[int, int], ears: Path) -> None:
    async with running(ears, size, now=lambda: at("11-20 08:54:00")) as (app, pilot):
        before = count(ears)
        await press(pilot, "l", "h")
        assert "C1 ALREADY?" in text_of(app)
        assert count(ears) == before
        await press(pilot, "h")
        assert count(ears) == before + 1


async def test_twice_is_not_kept_twice(size: tuple[int, int], ears: Path) -> None:
    async with running(ears, size, now=lambda: AFTER) as (app, pilot):
        await press(pilot, "l", "h", "up")
        before = count(ears)
        await press(pilot, "h", "b", "s")
        assert count(ears) == before
        assert "IS TOLD ALREADY" in text_of(app)


async def test_undo_takes_back_what_was_told_last_though_the_cursor_went_on(size: tuple[int, int], ears: Path) -> None:
    async with running(ears, size, now=lambda: AFTER) as (app, pilot):
        before = count(ears)
        await press(pilot, "l", "h")
        assert under_cursor(app) == "B5"
        await press(pilot, "u")
        assert count(ears) == before
        assert under_cursor(app) == "C1"
        assert "TAKEN BACK" in text_of(app)
        await press(pilot, "escape", "h")
        assert count(ears) == before + 1


async def test_the_stagger_is_recorded_as_hands_set(size: tuple[int, int], ears: Path) -> None:
    async with running(ears, size, now=lambda: AFTER) as (app, pilot):
        await press(pilot, "l")
        shown = text_of(app)
        assert "set A3 one minute fast: at ten it chimes alone, 09:59:1" in shown
        await press(pilot, "y")
        fact = facts(ears, "2417")[-1]
        assert (fact.work, fact.amount) == (Work.HANDS_SET, 60)
        assert fact.at == AFTER
        await press(pilot, "u")
        assert facts(ears, "2417")[-1].work is not Work.HANDS_SET


async def test_by_hand_is_staged(size: tuple[int, int], ears: Path) -> None:
    async with running(ears, size, now=lambda: AFTER) as (app, pilot):
        await press(pilot, "l", "d")
        assert "BY HAND" in text_of(app)
        await type_in(pilot, "13")
        await press(pilot, "enter")
        app.screen.query_one("EntryLine").value = "7"  # type: ignore[attr-defined]
        await press(pilot, "enter")
        fact = facts(ears, "2424")[-1]
        assert (fact.hour, fact.blows, fact.staged) == (7, 7, True)


async def test_another_by_arrow_and_by_figure(size: tuple[int, int], ears: Path) -> None:
    async with running(ears, size, now=lambda: AFTER) as (app, pilot):
        await press(pilot, "l", "2")
        assert under_cursor(app) == "B5"
        await press(pilot, "up")
        assert under_cursor(app) == "C1"
        await press(pilot, "down", "j", "down", "down")
        assert under_cursor(app) == "A3", "those that are not to be heard come after"
        assert " A3 " in text_of(app) or "2417" in text_of(app)
        await press(pilot, "9", "k")
        assert under_cursor(app) == "C4"


async def test_touched_records_work_on_it(size: tuple[int, int], ears: Path) -> None:
    async with running(ears, size, now=lambda: AFTER) as (app, pilot):
        await press(pilot, "l", "t", "j", "enter")
        assert facts(ears, "2424")[-1].work is Work.STRIKE_SET
        assert isinstance(app.screen, ListeningScreen)


async def test_the_next_quarter_comes_by_itself(size: tuple[int, int], ears: Path) -> None:
    times = [AFTER]
    async with running(ears, size, now=lambda: times[0]) as (app, pilot):
        await press(pilot, "l")
        assert "sound at nine" in text_of(app)
        times[0] = at("11-20 09:08:00")
        screen_of(app).tick()
        await settle(pilot)
        assert "at a quarter past nine" in text_of(app).splitlines()[0]
        assert under_cursor(app) == "B5"


async def test_once_all_is_told_the_next_quarter_is_shown_a_minute_later(size: tuple[int, int], ears: Path) -> None:
    times = [at("11-20 09:02:30")]
    async with running(ears, size, now=lambda: times[0]) as (app, pilot):
        await press(pilot, "l", "h", "h")
        times[0] += timedelta(minutes=2)
        screen_of(app).tick()
        await settle(pilot)
        assert "sound at nine" in text_of(app), "C4 is not told yet"
        await press(pilot, "h")
        times[0] += timedelta(seconds=59)
        screen_of(app).tick()
        await settle(pilot)
        assert "sound at nine" in text_of(app)
        times[0] += timedelta(seconds=1)
        screen_of(app).tick()
        await settle(pilot)
        assert "at a quarter past nine" in text_of(app).splitlines()[0]
        await press(pilot, "u")
        assert facts(ears, "2425")[-1].blows is None, "what was told last is still taken back by u"


async def test_those_named_stay_while_they_are_told(size: tuple[int, int], ears: Path) -> None:
    """What was heard is wanted no more; its row stays until the quarter's turn is over."""
    times = [BEFORE]
    async with running(ears, size, now=lambda: times[0]) as (app, pilot):
        await press(pilot, "l")
        times[0] = AFTER
        await press(pilot, "h", "h", "h")
        heard = screen_of(app)._heard
        assert heard is not None
        assert [row.voice.name for row in heard.hear] == ["C1", "B5", "C4"]
        assert all(row.answered is not None for row in heard.hear)


async def test_what_to_mind_is_said_once_a_day(size: tuple[int, int], ears: Path) -> None:
    times = [BEFORE - timedelta(minutes=5)]
    async with running(ears, size, now=lambda: times[0]) as (app, pilot):
        await press(pilot, "l")
        assert "no hands, no selector while it sounds" in text_of(app)
        await press(pilot, "escape", "l")
        assert "no hands" not in text_of(app)
        assert "touch nothing while it sounds" in text_of(app)
        times[0] += timedelta(days=1)
        await press(pilot, "escape", "l")
        assert "no hands" in text_of(app)


async def test_keys_without_sense_are_greyed(size: tuple[int, int], ears: Path) -> None:
    async with running(ears, size, now=lambda: AFTER) as (app, pilot):
        await press(pilot, "l")
        screen = screen_of(app)
        assert screen.check_action("quarter_off", ()) is None, "C1 does not chime"
        assert screen.check_action("wrong_count", ()) is True
        assert screen.check_action("staggered", ()) is True
    async with running(ears, size, now=lambda: QUARTER) as (app, pilot):
        await press(pilot, "l")
        screen = screen_of(app)
        assert screen.check_action("wrong_count", ()) is None, "no hour is struck at half past"
        assert screen.check_action("quarter_off", ()) is True


async def test_help_names_every_key_and_escape_comes_back(size: tuple[int, int], ears: Path) -> None:
    async with running(ears, size, now=lambda: AFTER) as (app, pilot):
        await press(pilot, "l", "question_mark")
        assert isinstance(app.screen, HelpScreen)
        page = " ".join(str(app.screen.query_one("#help-page").render()).split())
        for action in actions_at("listening"):
            assert action.help in page
        await press(pilot, "escape", "h", "escape")
        assert isinstance(app.screen, ListeningScreen)
        assert app.screen.query_one(Bar).mode == "rest"
        await press(pilot, "escape")
        assert isinstance(app.screen, StandScreen)


async def test_user_text_is_text(size: tuple[int, int], books: Books) -> None:
    async with running(books("odd"), size, now=lambda: at("11-20 10:00:30")) as (app, pilot):
        await press(pilot, "l", "down", "down", "down")
        rows = screen_of(app)._heard
        assert rows is not None
        for row in rows.rows:
            screen_of(app)._choose(rows.rows.index(row))
            await settle(pilot)
            assert row.voice.tag in text_of(app)
        assert {"[bold]No 1[/]", "[/]"} <= {row.voice.tag for row in rows.rows}
        await press(pilot, "h", "u")
        assert isinstance(app.screen, ListeningScreen)
