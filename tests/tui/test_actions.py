"""Every action by its key, over a real book, at both sizes; the book is read back each time."""

import asyncio
import sys
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from threading import Event, Timer
from time import monotonic

import pytest
from textual.binding import Binding
from textual.widgets import Input

from standwatch.model.facts import CheckIn
from standwatch.model.words import Work
from standwatch.tui.actions import ACTIONS, at
from standwatch.tui.app import StandwatchApp
from standwatch.tui.screens.clock import ClockScreen
from standwatch.tui.screens.help import HelpScreen
from standwatch.tui.screens.stand import StandScreen
from standwatch.tui.widgets.bar import Bar
from standwatch.tui.widgets.table import StandTable
from tests.bench.import_rows import write_ledger as write_long_ledger
from tests.tui.screens import SMALL, WIDE, press, running, settle, text_of, type_in
from tests.tui.shop import NOW, open_shop, write_ledger

Books = Callable[[str], Path]
pytestmark = pytest.mark.parametrize("size", [SMALL, WIDE], ids=["80x24", "120x36"])


def last_fact(book: Path, tag: str) -> CheckIn:
    stand = open_shop(book)
    try:
        return max(stand.facts(tag), key=lambda record: record.sequence).body
    finally:
        stand.close()


def row_of(app: StandwatchApp, tag: str) -> str:
    return next(line for line in text_of(app).splitlines() if f" {tag} " in line[:12])


def count(book: Path, tag: str) -> int:
    stand = open_shop(book)
    try:
        return len(stand.facts(tag))
    finally:
        stand.close()


async def test_space_stamps_a_reading_and_enter_keeps_it(size: tuple[int, int], shop_book: Path) -> None:
    times = [NOW]
    async with running(shop_book, size, now=lambda: times[0]) as (app, pilot):
        app.follow("2417")
        await press(pilot, "space")
        times[0] = NOW + timedelta(seconds=40)
        await type_in(pilot, "+46 a3.2 c275 i2 n [b]as found[/b]")
        await press(pilot, "enter")
        fact = last_fact(shop_book, "2417")
        assert fact.at == NOW, "the reading is of the press, not of the typing"
        assert (fact.error_s, fact.amplitude_deg, fact.going_mm, fact.quarter) == (46, 3.2, 275, 2)
        assert fact.note == "[b]as found[/b]"
        shown = text_of(app)
        assert "expected" in shown
        assert "[b]as found[/b]" not in shown or "“[b]as found[/b]”" in shown


async def test_what_is_expected_is_not_shown_before_the_reading_is_in(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        app.follow("2417")
        await press(pilot)
        known = "0:45 fast"
        assert known in row_of(app, "2417")
        await press(pilot, "space")
        assert known not in row_of(app, "2417")
        await press(pilot, "escape")
        assert known in row_of(app, "2417")
        await press(pilot, "enter", "space")
        assert known not in text_of(app)
        await press(pilot, "escape")
        assert known in text_of(app)


async def test_space_in_an_empty_line_stamps_anew(size: tuple[int, int], shop_book: Path) -> None:
    times = [NOW]
    async with running(shop_book, size, now=lambda: times[0]) as (app, pilot):
        app.follow("2418")
        await press(pilot, "space")
        times[0] = NOW + timedelta(seconds=75)
        await press(pilot, "space")
        await type_in(pilot, "8:21:30")
        await press(pilot, "enter")
        fact = last_fact(shop_book, "2418")
        assert fact.at == times[0]
        assert fact.dial == "8:21:30"


async def test_a_wrong_line_keeps_nothing_and_says_why(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        app.follow("2417")
        before = count(shop_book, "2417")
        await press(pilot, "space", "1", "4", "enter")
        assert "fast or slow?" in text_of(app)
        await press(pilot, "escape", "space", "enter")
        assert "nothing typed yet" in text_of(app)
        await press(pilot, "escape", "space")
        await type_in(pilot, "a44 c9000")
        await press(pilot, "enter")
        assert "can't have fallen" in text_of(app).replace("\n", " ")
        assert count(shop_book, "2417") == before
        await press(pilot, "escape")
        assert app.screen.query_one(Bar).mode == "rest"


async def test_a_surprise_is_named(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        app.follow("2417")
        await press(pilot, "space")
        await type_in(pilot, "+5:10")
        await press(pilot, "enter")
        assert "not as expected: look again" in text_of(app)


async def test_undo_after_recording_takes_back_at_once(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        app.follow("2417")
        before = count(shop_book, "2417")
        await press(pilot, "space")
        await type_in(pilot, "+46")
        await press(pilot, "enter")
        assert count(shop_book, "2417") == before + 1
        await press(pilot, "u")
        assert count(shop_book, "2417") == before
        assert "TAKEN BACK" in text_of(app)


async def test_undo_of_older_facts_asks_first(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        app.follow("2417")
        before = count(shop_book, "2417")
        await press(pilot, "u")
        assert "TAKE THIS BACK?" in text_of(app)
        await press(pilot, "escape")
        assert count(shop_book, "2417") == before
        await press(pilot, "u", "down", "u")
        assert count(shop_book, "2417") == before, "another clock's question is another question"
        app.follow("2417")
        await press(pilot, "u", "u")
        assert count(shop_book, "2417") == before - 1


@pytest.mark.parametrize(
    ("told", "kept"),
    [
        (("2405", "n", "-0.6"), (Work.NUT, -0.6, None)),
        (("2405", "w", ""), (Work.WOUND, None, None)),
        (("2396", "e", "0 n JW"), (Work.OIL_CHECKED, 0, "JW")),
        (("2396", "m", "n D4"), (Work.MOVED, None, "D4")),
        (("2402", "g", ""), (Work.SEEN_GOING, None, None)),
    ],
)
async def test_touched(
    told: tuple[str, str, str], kept: tuple[Work, float | None, str | None], size: tuple[int, int], shop_book: Path
) -> None:
    async with running(shop_book, size) as (app, pilot):
        tag, key, typed = told
        app.follow(tag)
        await press(pilot, "t", key)
        await type_in(pilot, typed)
        await press(pilot, "enter")
        fact = last_fact(shop_book, tag)
        assert (fact.work, fact.amount, fact.note) == kept
        assert fact.at == NOW


async def test_touched_shows_a_key_for_every_work_and_escape_leaves(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        app.follow("2417")
        await press(pilot, "t")
        shown = text_of(app)
        for words in ("w wound", "s found stopped", "k chime put right", "x safety signed"):
            assert words in shown
        await press(pilot, "5", "escape")
        assert app.screen.query_one(Bar).mode == "rest"


async def test_signing_without_initials_is_refused_in_a_sentence(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        app.follow("2417")
        before = count(shop_book, "2417")
        await press(pilot, "t", "x", "enter")
        assert "initials" in text_of(app)
        assert count(shop_book, "2417") == before


async def test_moving(size: tuple[int, int], books: Books) -> None:
    async with running(books("forty"), size) as (app, pilot):
        table = app.screen.query_one(StandTable)
        tags = [told.tag for told in (app.view.assessments if app.view else ())]
        assert table.chosen == tags[0]
        await press(pilot, "down", "j", "up")
        assert table.chosen == tags[1]
        await press(pilot, "end")
        assert table.chosen == tags[-1]
        assert tags[-1] in text_of(app)
        assert "▲" in text_of(app)
        await press(pilot, "pageup", "home")
        assert table.chosen == tags[0]
        assert "▼" in text_of(app)


async def test_a_clocks_page_and_back(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        app.follow("2417")
        await press(pilot, "enter")
        assert isinstance(app.screen, ClockScreen)
        await press(pilot, "f")
        assert "standwatch correct" in text_of(app)
        await press(pilot, "down", "pagedown", "home", "f", "n")
        assert "never waived" not in text_of(app)
        await press(pilot, "n", "v")
        assert "RATE s/day" in text_of(app)
        await press(pilot, "a")
        assert "SWING" in text_of(app)
        await press(pilot, "a", "m")
        assert "as chart" in text_of(app)
        await press(pilot, "m", "down")
        tags = [told.tag for told in (app.view.assessments if app.view else ())]
        after = tags[tags.index("2417") + 1]
        assert f"  {after}  " in text_of(app).splitlines()[0]
        await press(pilot, "escape")
        assert isinstance(app.screen, StandScreen)
        assert app.screen.table.chosen == after, "the stand follows"


async def test_a_reading_is_taken_from_the_clocks_page_too(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        app.follow("2417")
        await press(pilot, "enter", "space")
        await type_in(pilot, "46 fast")
        await press(pilot, "enter")
        assert last_fact(shop_book, "2417").error_s == 46
        await press(pilot, "escape", "escape")
        assert isinstance(app.screen, StandScreen)


async def test_the_first_clock_of_an_empty_stand(size: tuple[int, int], empty_book: Path) -> None:
    async with running(empty_book, size) as (app, pilot):
        assert "No clock is on the stand yet." in text_of(app)
        await press(pilot, "space")
        assert app.screen.query_one(Bar).mode == "rest", "there is nothing to read yet"
        await press(pilot, "a")
        await type_in(pilot, "No 3 [loan] sundial")
        await press(pilot, "enter")
        assert "no kind is called so" in text_of(app).replace("\n", " ")
        app.screen.query_one(Input).value = "No 3 [loan] longcase A1"
        await press(pilot, "enter")
        assert "No 3 [loan]" in text_of(app)
        stand = open_shop(empty_book)
        assert [line.tag for line in stand.roster(NOW)] == ["No 3 [loan]"]
        stand.close()
        await press(pilot, "space")
        await type_in(pilot, "8:20:20")
        await press(pilot, "enter")
        assert last_fact(empty_book, "No 3 [loan]").dial == "8:20:20"


async def test_import_a_ledger(size: tuple[int, int], empty_book: Path, tmp_path: Path) -> None:
    ledger = write_ledger(tmp_path / "ledger")
    async with running(empty_book, size) as (app, pilot):
        await press(pilot, "i")
        app.screen.query_one(Input).value = str(tmp_path / "nowhere")
        await press(pilot, "enter")
        assert app.screen.query_one(Bar).mode == "entry", "what is wrong is said where it was typed"
        app.screen.query_one(Input).value = str(ledger)
        await press(pilot, "enter")
        assert "IMPORTED" in text_of(app)
        assert app.view is not None
        assert len(app.view.assessments) == 16


async def test_a_ledger_that_comes_in_is_stopped_and_nothing_was_brought_in(
    size: tuple[int, int], empty_book: Path, tmp_path: Path
) -> None:
    (tmp_path / "ledger").mkdir()
    write_long_ledger(tmp_path / "ledger", clocks=160, readings=500)
    async with running(empty_book, size) as (app, pilot):
        await press(pilot, "i")
        app.screen.query_one(Input).value = str(tmp_path / "ledger")
        await pilot.press("enter")
        begun = monotonic()
        while "rows read; Esc stops it" not in text_of(app) and monotonic() - begun < 30:
            await pilot.pause(0.01)
        await pilot.press("escape")
        await settle(pilot)
        assert "stopped; nothing was brought in" in text_of(app)
        stand = open_shop(empty_book)
        assert stand.roster(NOW) == ()
        stand.close()
        await press(pilot, "escape")
        assert app.screen.query_one(Bar).mode == "rest"


async def test_help_names_every_key_of_its_place(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        await press(pilot, "question_mark")
        assert isinstance(app.screen, HelpScreen)
        page = app.screen.query_one("#help-page").render()
        for action in at("stand"):
            assert action.help in " ".join(str(page).split())
        await press(pilot, "escape", "space", "f1")
        assert isinstance(app.screen, HelpScreen)
        await press(pilot, "escape")
        assert app.screen.query_one(Bar).mode == "entry", "help leaves the entry as it was"


async def test_the_palette_offers_what_makes_sense_now(size: tuple[int, int], books: Books) -> None:
    async with running(books("empty"), size) as (app, _):
        told = [command.title for command in app.get_system_commands(app.screen)]
        assert "add clock (a)" in told
        assert "read (Space)" not in told
    async with running(books("shop"), size) as (app, pilot):
        told = [command.title for command in app.get_system_commands(app.screen)]
        assert {"read (Space)", "touched (t)", "theme", "quit (q)"} <= set(told)
        await press(pilot, "ctrl+p")
        await type_in(pilot, "touched")
        await press(pilot, "enter", "enter")
        assert app.screen.query_one(Bar).mode == "works"


async def test_every_binding_is_in_help_bottom_line_or_palette(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        for keys in ((), ("enter",)):
            await press(pilot, *keys)
            known = {action.id for action in ACTIONS}
            ours = list(app.screen._bindings.key_to_bindings.values())
            bound = [binding for group in ours for binding in group if isinstance(binding, Binding)]
            for binding in bound:
                if not binding.system and binding.id is not None:
                    assert binding.action in known, binding


async def test_quit(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        await pilot.press("q")
        await pilot.pause()
        assert app._exit


async def test_a_key_without_sense_is_greyed(size: tuple[int, int], empty_book: Path) -> None:
    async with running(empty_book, size) as (app, _):
        assert app.screen.check_action("read", ()) is None
        assert app.screen.check_action("add", ()) is True


async def test_another_programs_check_in_appears_within_two_seconds(size: tuple[int, int], shop_book: Path) -> None:
    async with running(shop_book, size) as (app, pilot):
        app.follow("2418")
        await pilot.pause()
        program = (
            "from tests.tui.shop import NOW, open_shop; from pathlib import Path; import sys;"
            "stand = open_shop(Path(sys.argv[1]));"
            "stand.check_in({'tag': '2418', 'error_s': 3.0}, NOW); stand.close()"
        )
        process = await asyncio.create_subprocess_exec(sys.executable, "-c", program, str(shop_book))
        assert await process.wait() == 0
        begun = monotonic()
        while monotonic() - begun < 2.0:
            await pilot.pause(0.05)
            told = app.assessment("2418")
            if told is not None and not told.unread_today:
                break
        assert "≈" not in row_of(app, "2418")
        assert app.screen.query_one(StandTable).chosen == "2418", "the cursor stays on its clock"


async def test_user_text_is_text(size: tuple[int, int], books: Books) -> None:
    book = books("odd")
    stand = open_shop(book)
    stand.check_in({"tag": "[/]", "error_s": 3, "note": "\x1b[2J[red]x[/red] =1+1 \x07"}, NOW)
    stand.close()
    async with running(book, size) as (app, pilot):
        shown = text_of(app)
        for tag in ("[bold]No 1[/]", "[/]", "$x {y} \\[z]", "掛け時計 七"):
            assert tag in shown
        assert "\x1b" not in shown
        assert "\x07" not in shown
        app.follow("[/]")
        await press(pilot, "enter")
        assert "[/]" in text_of(app).splitlines()[0]
        await press(pilot, "f")
        assert "[2J[red]x[/red] =1+1" in text_of(app)
        await press(pilot, "f", "escape", "t", "g", "enter", "u", "u", "u")
        assert "[/]" in text_of(app)


async def test_by_place_and_back(size: tuple[int, int], books: Books) -> None:
    async with running(books("demo"), size) as (app, pilot):
        first = text_of(app)
        await press(pilot, "p")
        placed = text_of(app)
        slots = ["A1 2398", "A2 2405", "B1 2409"]
        assert [placed.index(slot) for slot in slots] == sorted(placed.index(slot) for slot in slots)
        assert ("  rail A  " in placed) == (size == WIDE)
        assert placed.startswith(" BY PLACE ")
        await press(pilot, "p")
        assert text_of(app) == first


async def test_what_was_saved_is_in_the_book_though_the_app_was_left_at_once(
    size: tuple[int, int], shop_book: Path
) -> None:
    """The book is busy while Enter is pressed and the app is left: the reading waits its turn, and is written."""
    free = Event()
    async with running(shop_book, size) as (app, pilot):
        app.follow("2398")
        await press(pilot, "space")
        busy = asyncio.ensure_future(app.backroom.keep(lambda _stand: free.wait(20)))
        await pilot.press("plus", "4", "enter")
        for _ in range(5):
            await pilot.pause()
        assert any(worker.group == "record" for worker in app.workers)
        Timer(1.0, free.set).start()
        app.exit()
    await busy
    assert last_fact(shop_book, "2398").error_s == 4
