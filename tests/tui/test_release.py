"""Release on the screen: what remains, waived, signed, let go, taken back, gone home."""

from collections.abc import Callable
from pathlib import Path

import pytest

from standwatch.model.words import Standing
from standwatch.tui.app import StandwatchApp
from standwatch.tui.screens.stand import StandScreen
from tests.tui.screens import SMALL, WIDE, check_golden, press, running, text_of, type_in
from tests.tui.test_golden import name_of

Books = Callable[[str], Path]


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


async def test_a_reason_in_full(books: Books) -> None:
    async with running(books("demo"), SMALL) as (app, pilot):
        app.follow("2417")
        await press(pilot, "e", "enter")
        full = text_of(app)
        await press(pilot, "escape", "escape")
        assert isinstance(app.screen, StandScreen)
        assert "…" not in full.splitlines()[-3]
