"""Release on the screen: what remains, waived, signed, let go, taken back, gone home."""

import re
import shutil
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest

from standwatch.bootstrap import house
from standwatch.model.words import Standing
from standwatch.tui.app import StandwatchApp
from standwatch.tui.screens.clock import ClockScreen
from standwatch.tui.screens.stand import StandScreen
from standwatch.tui.widgets.bar import EntryLine
from tests.shop import regulator_ready, write_ledger
from tests.tui.home_shop import make_home_book
from tests.tui.screens import SMALL, WIDE, check_golden, press, running, text_of, type_in
from tests.tui.shop import NOW, open_shop
from tests.tui.test_golden import name_of

Books = Callable[[str], Path]
THEN = NOW - timedelta(days=2)


@pytest.fixture(scope="module")
def shops(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """Copies of two books: "oil", a regulator that lacks only its oil; "home", clocks at their owners'."""
    made: dict[str, Path] = {}
    folder = tmp_path_factory.mktemp("release")

    def copy(name: str) -> Path:
        if name not in made:
            path = folder / f"{name}.sqlite"
            made[name] = make_home_book(path) if name == "home" else make_oil_book(path)
        fresh = tmp_path_factory.mktemp(name) / "book.sqlite"
        shutil.copy(made[name], fresh)
        return fresh

    return copy


def make_oil_book(path: Path) -> Path:
    """One regulator two days ago, complete but for its oil; the shop asks stricter of its rate than is usual."""
    clock, rows = regulator_ready("2350", now=THEN, missing="oil")
    told = {**clock, "owner": "Harrow", "mean_rate_limit": 0.8, "rod": "invar"}
    stand = house().open_stand(path)
    stand.set_settings({"zone": "Europe/London", "site": "52.1,60"}, NOW)
    stand.import_ledger([write_ledger(path.parent / "oil", [told], rows)], NOW)
    stand.close()
    return path


def masked(app: StandwatchApp) -> str:
    """The screen with its digest masked: ids, and so digests, are new in each book."""
    return re.sub("digest [0-9a-f]{12}", "digest 0123456789ab", text_of(app))


def ready(app: StandwatchApp) -> str:
    """A clock of the demo that may go."""
    assert app.view is not None
    return app.view.may_go[0].tag


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=name_of)
@pytest.mark.parametrize("name", ["hold", "go", "waive"])
async def test_how_it_looks(name: str, size: tuple[int, int], books: Books) -> None:
    async with running(books("demo"), size) as (app, pilot):
        app.follow(ready(app) if name == "go" else "2417")
        await press(pilot, "e")
        if name == "waive":
            await press(pilot, *["down"] * 20, *["up"] * 20)
            while app.screen.check_action("waive", ()) is not True:
                await press(pilot, "down")
            await press(pilot, "v")
            await type_in(pilot, "dial is with the painter")
            await press(pilot, "enter")
        check_golden(f"release-{name}-{name_of(size)}", text_of(app))


async def test_it_is_let_go_by_its_tag_and_a_name_and_taken_back(books: Books) -> None:
    async with running(books("demo"), SMALL) as (app, pilot):
        tag = ready(app)
        app.follow(tag)
        await press(pilot, "e", "e")
        await type_in(pilot, "JQ")
        await press(pilot, "enter")
        assert f"type {tag}, a space, and your name" in text_of(app)
        assert app.assessment(tag).standing is Standing.READY  # type: ignore[union-attr]  # it is on the stand
        await press(pilot, "escape", "e")
        await type_in(pilot, f"{tag} JQ")
        await press(pilot, "enter")
        assert "let go by JQ" in text_of(app)
        assert app.assessment(tag).standing is Standing.RELEASED  # type: ignore[union-attr]
        await press(pilot, "o")
        await type_in(pilot, "the owner wants it later")
        await press(pilot, "enter")
        assert "ON THE STAND AGAIN" in text_of(app)
        assert app.assessment(tag).standing is not Standing.RELEASED  # type: ignore[union-attr]


async def test_it_goes_home_as_it_was_left(books: Books) -> None:
    async with running(books("demo"), SMALL) as (app, pilot):
        tag = ready(app)
        app.follow(tag)
        await press(pilot, "e", "e")
        await type_in(pilot, f"{tag} JQ")
        await press(pilot, "enter", "d")
        await type_in(pilot, "h7")
        await press(pilot, "enter")
        assert "no part of how it was left" in text_of(app)
        await press(pilot, "escape", "d")
        await type_in(pilot, "+2 a2.6 wall n third stair")
        await press(pilot, "enter")
        assert "WENT HOME" in text_of(app)
        [gone] = [step.body for step in await app.backroom.ask(lambda s: s.steps(tag)) if step.body.what == "delivered"]
        assert (gone.error_s, gone.amplitude_deg, gone.fixed_to_wall, gone.reason) == (2, 2.6, True, "third stair")


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=name_of)
async def test_waived_let_go_and_what_is_other_since(size: tuple[int, int], shops: Callable[[str], Path]) -> None:
    book = shops("oil")
    async with running(book, size, now=lambda: THEN) as (app, pilot):
        await press(pilot, "e", "v")
        await type_in(pilot, "seen in the spring")
        await press(pilot, "enter")
        check_golden(f"release-waived-{name_of(size)}", text_of(app))
        await press(pilot, "e")
        await type_in(pilot, "2350 JQ")
        await press(pilot, "enter", "escape")
        check_golden(f"release-let-go-{name_of(size)}", masked(app))
        assert "seen in the spring, JQ" in text_of(app)
    stand = open_shop(book)
    stand.check_in({"tag": "2350", "error_s": 6.4, "at": NOW - timedelta(hours=1)}, NOW)
    stand.change_clock("2350", {"mean_rate_limit": "0.1"}, NOW)
    stand.close()
    async with running(book, size) as (app, pilot):
        await press(pilot, "e")
        check_golden(f"release-since-{name_of(size)}", masked(app))
        assert "Mean-rate limit was 0.8, is 0.1 now" in " ".join(text_of(app).split())
        assert "✓ met      mean rate" in text_of(app), "the record stays as it was"


@pytest.mark.parametrize("size", [SMALL, WIDE], ids=name_of)
async def test_one_that_went_home_long_ago_is_found_by_its_tag(
    size: tuple[int, int], shops: Callable[[str], Path]
) -> None:
    book = shops("home")
    stand = open_shop(book)
    stand.change_clock("2344", {"earlier_tag": "2304"}, NOW)
    stand.close()
    async with running(book, size) as (app, pilot):
        assert app.assessment("2304") is None, "every call about it is made"
        await press(pilot, *"2344", "enter")
        assert isinstance(app.screen, ClockScreen)
        assert "EARLIER JOB  2304 regulator, let go" in text_of(app)
        check_golden(f"clock-earlier-{name_of(size)}", text_of(app))
        await press(pilot, "enter")
        assert app.screen.chosen is not None
        assert app.screen.chosen.tag == "2304"
        assert "LATER JOB  2344" in text_of(app)
        check_golden(f"clock-found-{name_of(size)}", text_of(app))
        await press(pilot, "e")
        check_golden(f"release-home-{name_of(size)}", masked(app))
        await press(pilot, "escape", "escape", "escape")
        assert isinstance(app.screen, StandScreen)
        app.look()
        await press(pilot)
        assert app.sitting.guests == {}, "nobody looks at it any more"


async def test_a_tag_that_never_was_is_said(shops: Callable[[str], Path]) -> None:
    async with running(shops("home"), SMALL) as (app, pilot):
        await press(pilot, *"9999", "enter")
        assert "no clock is called '9999'" in text_of(app)
        assert isinstance(app.screen, StandScreen)


async def test_a_second_terminal_is_told_who_let_it_go_first(books: Books) -> None:
    book = books("demo")
    async with running(book, SMALL) as (first, at_first), running(book, SMALL) as (second, at_second):
        for app, pilot in ((first, at_first), (second, at_second)):
            app.follow("2398")
            await press(pilot, "e", "e")
            await type_in(pilot, "2398 JQ" if app is first else "2398 MK")
        await press(at_first, "enter")
        assert "let go by JQ" in text_of(first)
        await press(at_second, "enter")
        told = " ".join(text_of(second).split())
        assert "NOT LET GO" in told
        assert "JQ let it go on Fri 20 Nov 2026" in told
        await press(at_second, "escape")
        assert "let go Fri 20 Nov 2026 by JQ" in text_of(second)
        steps = await second.backroom.ask(lambda stand: stand.steps("2398"))
    assert [step.body.by for step in steps] == ["JQ"]


async def test_its_tag_alone_once_somebody_has_said_who_they_are(books: Books) -> None:
    async with running(books("demo"), SMALL) as (app, pilot):
        app.follow("2398")
        await press(pilot, "e", *"2398", "enter")
        assert app.screen.query_one(EntryLine).value == "2398 ", "a scanner's Enter asks for the initials"
        await type_in(pilot, "JQ")
        await press(pilot, "enter", "escape", "escape")
        app.follow("2391")
        await press(pilot, "e", *"2391", "enter")
        assert "let go by JQ" in text_of(app)


async def test_a_reason_typed_for_a_waiver_stays_until_it_is_let_go(books: Books) -> None:
    async with running(books("demo"), SMALL) as (app, pilot):
        app.follow("2417")
        await press(pilot, "e")
        while app.screen.check_action("waive", ()) is not True:
            await press(pilot, "down")
        await press(pilot, "v")
        await type_in(pilot, "dial away")
        await press(pilot, "enter", "escape", "e")
        assert "dial away; printed on its record" in text_of(app)


async def test_what_is_in_the_way_keeps_it(books: Books) -> None:
    async with running(books("demo"), SMALL) as (app, pilot):
        app.follow("2417")
        await press(pilot, "e")
        assert app.screen.check_action("let_go", ()) is None
        await press(pilot, "e")
        assert "type its tag" not in text_of(app)
        await press(pilot, "escape")
        assert isinstance(app.screen, StandScreen)


@pytest.mark.parametrize(("key", "words"), [("f", "n JQ"), ("i", "0 n JQ"), ("c", "")])
async def test_what_can_be_done_at_once_is_a_key(key: str, words: str, books: Books) -> None:
    async with running(books("demo"), SMALL) as (app, pilot):
        app.follow("2417")
        before = len(await app.backroom.ask(lambda stand: stand.facts("2417")))
        await press(pilot, "e", key)
        await type_in(pilot, words)
        await press(pilot, "enter")
        assert len(await app.backroom.ask(lambda stand: stand.facts("2417"))) == before + 1
        await press(pilot, "u")
        assert len(await app.backroom.ask(lambda stand: stand.facts("2417"))) == before


async def test_all_of_it_in_sentences(books: Books) -> None:
    async with running(books("demo"), SMALL) as (app, pilot):
        app.follow("2417")
        await press(pilot, "e", "n")
        assert "HOLD: ALL OF IT" in text_of(app)
        assert "more lines" in text_of(app)
        await press(pilot, "end")
        told = text_of(app)
        assert "AT HOME" in told
        assert "more lines" not in told
        await press(pilot, "home", "pagedown")
        assert "more lines" in text_of(app)
        await press(pilot, "escape")
        assert "WHAT REMAINS, OR WHY" in text_of(app), "Esc closes it first"


async def test_a_reason_in_full(books: Books) -> None:
    async with running(books("demo"), SMALL) as (app, pilot):
        app.follow("2417")
        await press(pilot, "e", "enter")
        full = text_of(app)
        await press(pilot, "escape", "escape")
        assert isinstance(app.screen, StandScreen)
        assert "…" not in full.splitlines()[-3]
